"""Asking for a plan, waiting for it, saying why there is none: on every page alike."""

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from planner.screens.changes import collect
from planner.screens.contents import page_words
from planner.screens.say import manner, say
from planner.screens.show import bullets, plain
from planner.screens.state import Work

_LIMITS_S = (20, 60, 180, 600)


def ask_limit(place: DeltaGenerator, key: str) -> float:
    """Ask for the longest search, in seconds."""
    names = {one: say(f"at.plan.limit.{one}") for one in _LIMITS_S}
    chosen = place.selectbox(
        say("at.plan.limit"), _LIMITS_S, format_func=names.__getitem__, key=key
    )
    return float(chosen)


def watch(now: Work, place: DeltaGenerator) -> None:
    """Show how far the search is, until there is something new to draw.

    Called last on a page, because it waits: all that is known stands on the
    page meanwhile.
    """
    job = now.job
    if job is None:
        return
    shown = now.plan
    with place:
        st.button(say("at.plan.stop"), key="stop_planning", on_click=job.stop)
        with st.status(say("at.plan.working"), expanded=True):
            bar = st.progress(0.0, text=say("at.job.starting"))
    while not job.wait(0.3):
        bar.progress(job.share, text=plain(job.words(manner())))
        if job.base is not None and job.base is not shown:
            break  # the plan is there: show it while loans are looked for
    collect(now)
    st.rerun()


def say_failure(now: Work) -> None:
    """Say why the last search gave no plan, or less than was asked."""
    if not now.failure:
        return
    st.error(
        say(now.failure, have=page_words("have"), conditions=page_words("conditions"))
    )
    if now.failure_details:
        with st.expander(say("at.plan.for_mender"), key="failure_details"):
            bullets(now.failure_details)
