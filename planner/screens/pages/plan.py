"""Page 4: ask for a plan, see it come, read it."""

import streamlit as st

from planner.output import tables, tables_power, tables_records
from planner.output.answers import row_balance, status, title
from planner.output.cautions import Topic
from planner.output.headlines import Headline, headlines
from planner.result import Plan
from planner.scenario import Scenario
from planner.screens.frame import need_scenario, next_page, say_if_old, to_page
from planner.screens.job import Job
from planner.screens.show import caution_box, plain, sentences, table
from planner.screens.state import Work, collect, work

_LIMITS_S = {"1 minute": 60.0, "3 minutes": 180.0, "10 minutes": 600.0}


def page() -> None:
    """Draw the page."""
    now = work()
    st.title("The plan")
    scenario = need_scenario(now)
    _ask(now, scenario)
    _watch(now)
    if now.failure:
        st.error(plain(now.failure))
    if now.plan is None:
        if not now.failure and not now.planning:
            st.info("There is no plan yet. Press the button above.")
        return
    say_if_old(now)
    _answers(now.plan)
    _details(now.plan)
    next_page("power.py", "5 Power by the hour")


def _ask(now: Work, scenario: Scenario) -> None:
    with st.form("ask_plan", border=True):
        left, right = st.columns(2)
        limit = left.selectbox(
            "Longest time each search may take", list(_LIMITS_S), key="time_limit"
        )
        borrow = right.checkbox(
            "Also work out what to borrow first (takes longer)",
            value=True,
            key="with_borrow",
        )
        pressed = st.form_submit_button(
            "Make the plan" if now.plan is None else "Plan again",
            type="primary",
            key="make_plan",
        )
    if not pressed:
        return
    if now.planning:
        st.info("A plan is being worked out already; it is not started twice.")
        return
    now.failure = ""
    now.job = Job(scenario, time_limit_s=_LIMITS_S[limit], borrow=borrow)


def _watch(now: Work) -> None:
    job = now.job
    if job is None:
        return
    with st.status("Planning. You may look at other pages meanwhile.", expanded=True):
        bar = st.progress(0.0, text="Starting")
        while not job.wait(0.3):
            bar.progress(job.share, text=plain(job.stage))
    collect(now)
    st.rerun()


def _answers(plan: Plan) -> None:
    for place, one in zip(st.columns(3), headlines(plan), strict=True):
        with place, st.container(border=True):
            _headline(one)


def _headline(one: Headline) -> None:
    st.markdown(f"**{plain(one.question)}**")
    st.markdown(f"#### {plain(one.answer)}")
    st.markdown(plain(one.more))


def _details(plan: Plan) -> None:
    sentences((title(plan), status(plan), row_balance(plan)))
    st.header("Which bag goes where")
    table(tables.assignments(plan))
    st.header("How each unit is set, and what powers it")
    table(tables_power.units(plan))
    st.header("What is plugged in where, and when")
    table(tables_power.hookups(plan))
    caution_box(Topic.BATTERY, Topic.ELECTRICAL)
    st.header("What stays at room temperature, and until when")
    table(tables.warm_clocks(plan))
    table(tables_records.items_outside(plan))
    st.header("What each tier got, and the proof")
    table(tables.tiers(plan))
    table(tables_records.findings(plan))
    to_page("short.py", "6 Who is short")


page()
