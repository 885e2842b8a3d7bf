"""Page 2: cold units, batteries, panels and other power."""

import streamlit as st

from planner.output.tables_input import assumed_values
from planner.screens.frame import need_scenario, next_page
from planner.screens.show import table
from planner.screens.state import work


def page() -> None:
    """Draw the page."""
    now = work()
    st.title("What we have")
    scenario = need_scenario(now)
    table(assumed_values(scenario.units))
    next_page("conditions.py", "3 Conditions")


page()
