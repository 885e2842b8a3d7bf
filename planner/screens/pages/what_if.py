"""What goes dark, moves and is lost when something goes wrong."""

from collections.abc import Iterable

import streamlit as st

from planner.output import stress_cards as cards
from planner.output import stress_tables as tables
from planner.output.cautions import Topic
from planner.output.stress_workbook import stress_workbook
from planner.result import Plan
from planner.result_stress import StressReport
from planner.screens.contents import heading_of
from planner.screens.frame import need_plan, say_if_old
from planner.screens.say import manner, say
from planner.screens.show import bullets, caution_box, plain, table
from planner.screens.state import plan_report, work

_XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def page() -> None:
    """Draw the page."""
    now = work()
    st.title(heading_of("what_if"))
    plan = need_plan(now)
    say_if_old(now)
    st.markdown(say("at.what_if.how"))
    report = plan_report(now, plan, make=False)
    if report is not None:
        _report(plan, report)
    elif st.button(say("at.what_if.work_out"), type="primary", key="work_out_what_if"):
        with st.spinner(say("at.what_if.working")):
            plan_report(now, plan, make=True)
        st.rerun()  # so that the button is gone once the answer is there


def _report(plan: Plan, report: StressReport) -> None:
    how = manner()
    st.markdown(say("at.what_if.jump"))
    st.header(say("at.what_if.failures"), anchor="failures")
    st.markdown(f"**{plain(cards.failure_headline(report, how))}**")
    st.markdown(plain(say(cards.FAILURE_WORDS)))
    _cards(cards.failure_cards(plan, report, how))
    st.header(say("at.what_if.ladder"), anchor="ladder")
    st.markdown(plain(say(cards.LADDER_WORDS)))
    steps = cards.ladder_cards(plan, report, how)
    if not steps:
        st.markdown(plain(say(cards.NO_STEP_WORDS)))
    _cards(steps)
    _harder(plan, report)
    st.header(say("at.what_if.weather"), anchor="weather")
    st.markdown(f"**{plain(tables.weather_headline(report, how))}**")
    if report.weather is not None:
        table(tables.weather_table(plan, report, how))
        st.markdown(plain(say(cards.SAMPLE_WORDS)))
    caution_box(Topic.MEDICINES)
    st.download_button(
        say("at.what_if.download"),
        data=stress_workbook(plan, report),
        file_name="what_if.xlsx",
        mime=_XLSX,
        key="download_what_if",
        on_click="ignore",
    )


def _harder(plan: Plan, report: StressReport) -> None:
    how = manner()
    st.header(say("at.what_if.harder"), anchor="harder")
    for case in tables.sun_cases(report):
        st.subheader(plain(tables.sun_heading(plan, case, how)))
        table(tables.hard_table(plan, report, case, how))
    faults = tables.hard_faults(report, how)
    if faults:
        st.markdown(say("at.what_if.besides"))
        bullets(faults)


def _cards(found: Iterable[cards.StressCard]) -> None:
    for one in found:
        with st.container(border=True):
            st.markdown(f"**{plain(one.title)}**")
            bullets(one.lines)


page()
