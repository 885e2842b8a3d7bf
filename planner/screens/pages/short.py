"""Page 6: who is without a cold place, why, until when, and what next."""

import streamlit as st

from planner.output import tables
from planner.output.cautions import Topic
from planner.screens.frame import need_plan, next_page, say_if_old
from planner.screens.show import caution_box, table
from planner.screens.state import work


def page() -> None:
    """Draw the page."""
    now = work()
    st.title("Who is short")
    plan = need_plan(now)
    say_if_old(now)
    if not plan.shortfalls:
        st.success("Nobody is short: every bag of the cold pool has a place.")
    else:
        table(tables.shortfalls(plan))
        caution_box(Topic.MEDICINES, Topic.FEEDS)
    next_page("borrow.py", "7 Borrow first")


page()
