"""Page 5: charge of each battery over the hours, and dark times by sun."""

import streamlit as st

from planner.output import tables_power
from planner.output.charts import charge_chart
from planner.screens.frame import need_plan, next_page, say_if_old
from planner.screens.show import grid, table
from planner.screens.state import work


def page() -> None:
    """Draw the page."""
    now = work()
    st.title("Power by the hour")
    plan = need_plan(now)
    say_if_old(now)
    table(tables_power.units(plan))
    hours = tables_power.battery_hours(plan)
    for number, name in enumerate(tables_power.battery_lines(plan)["Battery"]):
        st.altair_chart(
            charge_chart(plan, name), width="stretch", key=f"charge_{number}"
        )
        grid(hours[hours["Battery"] == name], key=f"hours_{number}")
    next_page("short.py", "6 Who is short")


page()
