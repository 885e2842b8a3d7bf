"""Charge of each battery over the hours, and dark times by sun."""

from collections.abc import Callable
from functools import partial

import streamlit as st

from planner.output.cautions import Topic
from planner.output.charts import Spec, charge_chart, fill_chart
from planner.output.headlines import life_support_warnings
from planner.output.pictures import events_table, timeline_picture
from planner.output.power_views import (
    batteries_in_use,
    battery_by_hour,
    dark_on,
    dark_times,
)
from planner.result import Plan
from planner.screens.contents import heading_of
from planner.screens.frame import need_plan, next_page, say_if_old
from planner.screens.say import manner, say
from planner.screens.show import bullets, caution_box, grid, picture, plain, table
from planner.screens.state import Work, once, work


def page() -> None:
    """Draw the page."""
    now = work()
    st.title(heading_of("power"))
    plan = need_plan(now)
    say_if_old(now)
    st.header(say("at.power.dark"))
    dark = dark_times(plan, manner())
    if dark.empty:
        st.warning(say("at.power.none_on"))
    else:
        table(dark)
    for line in life_support_warnings(plan, manner()):
        st.error(say("at.power.life_support", warning=plain(line)))
    _batteries(now, plan)
    if plan.units_on:
        st.header(say("at.power.fill"))
        _chart(now, plan, "fill", lambda: fill_chart(plan, manner()))
    _timeline(now, plan)
    next_page("short")


def _chart(now: Work, plan: Plan, what: str, make: Callable[[], Spec]) -> None:
    """Draw a chart; its description is written once a plan."""
    spec = once(now, plan, what, make)
    st.vega_lite_chart(spec=spec, width="stretch", theme=None, key=what)


def _numbers(now: Work, plan: Plan, name: str, number: int) -> None:
    """Every hour of a battery as a table; made when somebody opens it."""
    key = f"numbers_{number}"
    opened = st.expander(say("at.power.numbers"), key=key, on_change="rerun")
    if not opened.open:
        return
    make = partial(battery_by_hour, plan, name, manner())
    with opened:
        grid(once(now, plan, f"hours_{number}", make), key=f"hours_{number}")


def _timeline(now: Work, plan: Plan) -> None:
    st.header(say("at.power.when"))
    st.markdown(say("at.power.legend"))
    how = manner()
    picture(
        once(now, plan, "timeline", lambda: timeline_picture(plan, how)), words=False
    )
    with st.expander(say("at.power.events"), key="events"):
        table(once(now, plan, "events", lambda: events_table(plan, how)))


def _batteries(now: Work, plan: Plan) -> None:
    st.header(say("at.power.charge"))
    names, idle = batteries_in_use(plan)
    if not names:
        st.markdown(say("at.power.no_battery"))
        return
    st.markdown(say("at.power.lines"))
    for number, name in enumerate(names):
        _chart(
            now, plan, f"charge_{number}", partial(charge_chart, plan, name, manner())
        )
        bullets(
            say("at.power.dark_from", clock=clock, sun=sun, names=names)
            for clock, sun, names in dark_on(plan, name, manner())
        )
        _numbers(now, plan, name, number)
    if idle:
        st.markdown(say("at.power.idle"))
        bullets(idle)
    caution_box(Topic.BATTERY)


page()
