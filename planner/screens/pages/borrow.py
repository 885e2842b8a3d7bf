"""What to ask for, in which order, and what it gives."""

import streamlit as st

from planner.edits import still_offered
from planner.output.answers import borrow_limit, stop_rule
from planner.output.cards import LoanCard, asked_cards, loan_cards
from planner.output.headlines import borrow_headline
from planner.output.lend_text import gap_words, other_words, out_words
from planner.output.pictures import loans_picture
from planner.result import Plan
from planner.screens.changes import accept
from planner.screens.contents import heading_of
from planner.screens.frame import need_plan, next_page, say_if_old, to_page
from planner.screens.say import manner, say
from planner.screens.show import bullets, picture, plain
from planner.screens.state import Work, work


def page() -> None:
    """Draw the page."""
    now = work()
    st.title(heading_of("borrow"))
    plan = need_plan(now)
    say_if_old(now)
    found = loan_cards(plan, manner())
    head = borrow_headline(plan, asked=now.borrow_asked, how=manner())
    if found:
        st.markdown(say("at.borrow.order", stop=plain(stop_rule(plan, manner()))))
        limit = borrow_limit(plan, manner())
        if limit:
            st.markdown(say("at.borrow.mind", limit=plain(limit)))
    else:
        st.info(say("at.headline", answer=plain(head.answer), more=plain(head.more)))
    for number, one in enumerate(found):
        _card(now, one, number)
    _beside(plan)
    drawn = loans_picture(plan, manner())
    if drawn is not None:
        st.header(say("at.borrow.helps"))
        st.markdown(f"{plain(drawn.title)}:")
        picture(drawn)
    next_page("take")


def _card(now: Work, one: LoanCard, number: int) -> None:
    with st.container(border=True):
        st.subheader(plain(one.title))
        bullets(
            (
                say("at.borrow.gives", gives=one.gives),
                say("at.borrow.ready", ready=one.ready),
                say("at.borrow.serves", serves=one.serves),
                *one.minds,
                *(say("at.borrow.ask", line=line) for line in one.ask_for),
                *one.least,
                *(say("at.borrow.refuse", line=line) for line in one.refuse),
                *one.terms,
            )
        )
        if one.curves:
            with st.expander(say("tell.lend.curves")):
                for drawn in one.curves:
                    st.markdown(f"{plain(drawn.title)}:")
                    picture(drawn)
        st.markdown(say("at.borrow.message"))
        st.code(one.message, language=None, wrap_lines=True)
        with st.container(horizontal=True):
            for at, (item_id, name) in enumerate(one.items):
                _came(now, item_id, name, f"accept_{number}_{at}_{now.version}")


def _beside(plan: Plan) -> None:
    """Kit nobody has offered, other steps, offers in no step, other sets."""
    how = manner()
    asked = asked_cards(plan, how)
    if asked:
        st.header(say("tell.lend.asked.head"))
        st.markdown(say("tell.lend.asked.how"))
    for one in asked:
        _card(work(), one, 0)
    others = other_words(plan, how)
    if others:
        st.header(say("tell.lend.other.head"))
        st.markdown(say("tell.lend.other.how"))
        bullets(others)
    for head, said in (
        ("tell.lend.out.head", out_words(plan, how)),
        ("tell.lend.gap.head", gap_words(plan, how)),
    ):
        if said:
            st.header(say(head))
            bullets(said)


def _came(now: Work, item_id: str, name: str, key: str) -> None:
    """Count in one thing that came, or say that it is counted in."""
    if still_offered(now.scenario, (item_id,)):
        st.button(
            say("at.borrow.here", name=plain(name)),
            key=key,
            on_click=accept,
            args=(now, (item_id,)),
            help=say("at.borrow.here_help"),
        )
    else:
        st.success(say("at.borrow.counted", name=plain(name)))
        to_page("plan_again")


page()
