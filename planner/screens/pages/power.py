"""Charge of each battery over the hours, and dark times by sun."""

import streamlit as st

from planner.output.cautions import Topic
from planner.output.charts import charge_chart, fill_chart
from planner.output.headlines import life_support_warnings
from planner.output.pictures import events_table, timeline_picture
from planner.output.power_views import (
    batteries_in_use,
    battery_by_hour,
    dark_on,
    dark_times,
)
from planner.result import Plan
from planner.screens.frame import need_plan, next_page, say_if_old
from planner.screens.show import bullets, caution_box, grid, picture, plain, table
from planner.screens.state import work


def page() -> None:
    """Draw the page."""
    now = work()
    st.title("Power by the hour")
    plan = need_plan(now)
    say_if_old(now)
    st.header("When does each unit go dark?")
    dark = dark_times(plan)
    if dark.empty:
        st.warning("No unit is on in this plan.")
    else:
        table(dark)
    for line in life_support_warnings(plan):
        st.error(f"**LIFE SUPPORT**: {plain(line)}")
    _batteries(plan)
    if plan.units_on:
        st.header("How full is each unit?")
        st.altair_chart(fill_chart(plan), width="stretch", theme=None, key="fill")
    _timeline(plan)
    next_page("short")


def _timeline(plan: Plan) -> None:
    st.header("What happens when")
    st.markdown(
        "PLUGS: something to plug, move or read. DARK: a unit stops cooling. CLOCK: the "
        "allowance of a bag ends. DATE: a keep-by date is reached. Nights are shaded."
    )
    picture(timeline_picture(plan), words=False)
    with st.expander("The same in words, with every thing named", key="events"):
        table(events_table(plan))


def _batteries(plan: Plan) -> None:
    st.header("Charge of each battery")
    names, idle = batteries_in_use(plan)
    if not names:
        st.markdown("No battery is in use.")
        return
    st.markdown(
        "Nights are shaded. Full line: mean sun, dashed: poor sun, dotted: no sun."
    )
    for number, name in enumerate(names):
        st.altair_chart(
            charge_chart(plan, name),
            width="stretch",
            theme=None,
            key=f"charge_{number}",
        )
        bullets(
            f"Dark from {clock}, {sun}: {names}"
            for clock, sun, names in dark_on(plan, name)
        )
        with st.expander("The same in numbers, hour by hour", key=f"numbers_{number}"):
            grid(battery_by_hour(plan, name), key=f"hours_{number}")
    if idle:
        st.markdown("**Batteries that this plan does not use:**")
        bullets(idle)
    caution_box(Topic.BATTERY)


page()
