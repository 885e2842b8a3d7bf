"""The frame of every page: what is open, whether the plan still fits."""

import streamlit as st

from planner.result import Plan
from planner.scenario import Scenario
from planner.screens.show import plain
from planner.screens.state import Work, collect

OLD_PLAN = (
    "THIS PLAN IS OLD: the list, the equipment or the conditions were changed "
    "after it was made. Plan again on page 4 before anything is moved."
)
FOLDER = "planner/screens/pages"


def show_frame(now: Work) -> None:
    """Say at the side of every page what is open and what was planned."""
    collect(now)
    with st.sidebar:
        st.markdown("**Where things stand**")
        if now.list_name:
            st.markdown(f"List: {plain(now.list_name)}")
        else:
            st.markdown("List: none yet")
        st.markdown(f"Plan: {_plan_words(now)}")
        st.caption(
            "It stores, locates and times. It never says that a medicine is safe: "
            "read the label and ask a pharmacist."
        )
    for note in now.notes:
        st.warning(plain(note))


def _plan_words(now: Work) -> str:
    if now.planning:
        return "being worked out"
    if now.plan is None:
        return "none yet"
    return "OLD, plan again" if now.stale else "fits what is entered"


def need_scenario(now: Work) -> Scenario:
    """Give the scenario, or say what is missing and end the page."""
    if now.scenario is None:
        if now.list_name:
            st.error("Nothing can be planned yet: page 1 says what has to be mended.")
        else:
            st.info("There is no list yet. Bring one in on page 1.")
        to_page("bring_list.py", "Go to 1 Bring in the list")
        st.stop()
    return now.scenario


def need_plan(now: Work) -> Plan:
    """Give the plan, or say what is missing and end the page."""
    need_scenario(now)
    if now.plan is None:
        if now.planning:
            st.info("The first plan is being worked out. Page 4 shows how far it is.")
        else:
            st.info("There is no plan yet. Ask for one on page 4.")
        to_page("plan.py", "Go to 4 The plan")
        st.stop()
    return now.plan


def say_if_old(now: Work) -> None:
    """Say at the top of a page that its plan no longer fits the inputs."""
    if now.planning:
        st.warning("A new plan is being worked out. This page shows the one before.")
    elif now.stale:
        st.warning(OLD_PLAN)


def to_page(file: str, label: str) -> None:
    """Link to another page."""
    st.page_link(f"{FOLDER}/{file}", label=label)


def next_page(file: str, label: str) -> None:
    """Link at the foot of a page to the one that follows in the work."""
    st.divider()
    to_page(file, f"**Next: {label}**")
