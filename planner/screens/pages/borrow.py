"""What to ask for, in which order, and what it gives."""

import streamlit as st

from planner.output.cards import LoanCard, loan_cards
from planner.output.headlines import borrow_headline
from planner.screens.frame import need_plan, next_page, say_if_old
from planner.screens.show import bullets, plain
from planner.screens.state import work


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
    for one in found:
        _card(one)
    next_page("take")


def _card(one: LoanCard) -> None:
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


page()
