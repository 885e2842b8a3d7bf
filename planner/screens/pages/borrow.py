"""What to ask for, in which order, and what it gives."""

import streamlit as st

from planner.edits import still_offered
from planner.output.cards import LoanCard, loan_cards
from planner.output.headlines import borrow_headline
from planner.output.pictures import loans_picture
from planner.screens.changes import accept
from planner.screens.frame import need_plan, next_page, say_if_old, to_page
from planner.screens.show import bullets, picture, plain
from planner.screens.state import Work, work


def page() -> None:
    """Draw the page."""
    now = work()
    st.title("Borrow first")
    plan = need_plan(now)
    say_if_old(now)
    found = loan_cards(plan)
    head = borrow_headline(plan, asked=now.borrow_asked)
    if found:
        st.markdown(
            "In this order: each step is worked out with the steps above it in place. "
            f"**{plain(head.more)}**"
        )
    else:
        st.info(f"**{plain(head.answer)}.** {plain(head.more)}")
    for number, one in enumerate(found):
        _card(now, one, number)
    drawn = loans_picture(plan)
    if drawn is not None:
        st.header("How far each step helps")
        st.markdown(f"{plain(drawn.title)}:")
        picture(drawn)
    next_page("take")


def _card(now: Work, one: LoanCard, number: int) -> None:
    with st.container(border=True):
        st.subheader(plain(one.title))
        bullets(
            (
                f"Gives: {one.gives}",
                f"Ready: {one.ready}",
                f"Serves: {one.serves}",
                *(f"Ask for: {line}" for line in one.ask_for),
                *(f"Do not accept: {line}" for line in one.refuse),
            )
        )
        st.markdown("Message to send or read out:")
        st.code(one.message, language=None, wrap_lines=True)
        offered = still_offered(now.scenario, one.item_ids)
        if not offered:
            st.success("It is here. Plan again, so that it is used.")
            to_page("plan")
            return
        st.button(
            "It is here now: count it in",
            key=f"accept_{number}_{now.version}",
            on_click=accept,
            args=(now, one.item_ids),
            help="Counts it in as equipment that is here; then plan again.",
        )


page()
