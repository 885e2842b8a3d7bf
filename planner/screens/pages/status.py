"""Where we stand: the three answers and what to do next, in ten seconds."""

import streamlit as st

from planner.intake.review import review_queue
from planner.output.answers import status, title
from planner.output.next_step import NextStep, next_step
from planner.screens.answers import three_answers
from planner.screens.contents import heading_of
from planner.screens.frame import say_if_old, to_page
from planner.screens.say import manner, say
from planner.screens.show import plain
from planner.screens.state import Work, work


def page() -> None:
    """Draw the page."""
    now = work()
    st.title(heading_of("status"))
    if now.plan is not None:
        say_if_old(now)
        three_answers(now, now.plan, links=True)
    _next(now)
    if now.plan is not None:
        st.caption(plain(f"{title(now.plan, manner())}. {status(now.plan, manner())}"))


def _next(now: Work) -> None:
    queue = review_queue(now.reading, now.accepted)
    step: NextStep = next_step(
        has_list=bool(now.list_name),
        can_plan=now.scenario is not None,
        queue=queue,
        plan=now.plan,
        stale=now.stale,
        planning=now.planning and not now.looking_for_loans,
        how=manner(),
    )
    st.subheader(say("at.status.next"))
    with st.container(border=True):
        st.markdown(f"**{plain(step.what)}**")
        if step.why:
            st.markdown(plain(step.why))
        to_page(step.page)


page()
