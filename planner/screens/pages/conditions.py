"""Page 3: the window, the rooms, the sun, the ice."""

import streamlit as st

from planner.output.tables_input import assumed_settings
from planner.screens.frame import need_scenario, next_page
from planner.screens.show import table
from planner.screens.state import work


def page() -> None:
    """Draw the page."""
    now = work()
    st.title("Conditions")
    scenario = need_scenario(now)
    table(assumed_settings(scenario))
    next_page("plan.py", "4 The plan")


page()
