"""Page 7: what to ask for, in which order, and what it gives."""

import streamlit as st

from planner.output import tables
from planner.output.answers import stop_rule
from planner.screens.frame import need_plan, next_page, say_if_old
from planner.screens.show import plain, table
from planner.screens.state import work


def page() -> None:
    """Draw the page."""
    now = work()
    st.title("Borrow first")
    plan = need_plan(now)
    say_if_old(now)
    if plan.loans:
        table(tables.borrow_list(plan))
        st.markdown(plain(stop_rule(plan)))
    else:
        st.info("There is nothing on the borrow list.")
    next_page("take.py", "8 Take it with you")


page()
