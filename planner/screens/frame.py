"""The frame of every page: what is open, what is saved, whether the plan fits."""

from datetime import datetime

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from planner.result import Plan
from planner.scenario import Scenario
from planner.screens.choices import show_choices
from planner.screens.contents import page_words, path_of, title_of
from planner.screens.keeping import keep_mine, redo, take_over, undo
from planner.screens.say import manner, say
from planner.screens.show import plain
from planner.screens.state import Work


def show_frame(now: Work) -> DeltaGenerator:
    """Say at the side of every page what is open and what was planned.

    Gives the place at the side for pages on which something typed waits.
    """
    with st.sidebar:
        show_choices(now)
        st.markdown(say("at.frame.heading"))
        if now.list_name:
            st.markdown(say("at.frame.list", name=plain(now.list_name)))
            if now.newer is not None:
                st.markdown(say("at.frame.newer", page=page_words("bring_list")))
        else:
            st.markdown(say("at.frame.no_list"))
        st.markdown(
            say("at.frame.plan", state=say(f"at.frame.plan.{_plan_state(now)}"))
        )
        waiting = st.empty()
        if now.planning:
            _wake(now)
        _saved(now)
        st.caption(say("at.frame.disclaimer"))
    if now.changed_elsewhere:
        _choose_window(now)
    if now.keep_fault:
        st.error(
            say(
                "at.frame.not_saved",
                why=plain(manner().told(now.keep_fault)),
                page=page_words("keep"),
            )
        )
    for note in now.notes:
        st.warning(plain(manner().told(note)))
    return waiting


@st.fragment(run_every=2.0)
def _wake(now: Work) -> None:
    """Draw the page afresh when there is a plan, or all of it."""
    job = now.job
    if job is not None and (job.done or job.base not in (None, now.plan)):
        st.rerun()


def _saved(now: Work) -> None:
    """Say when the work was saved last; one step back, one step forth."""
    kept = now.kept
    if now.changed_elsewhere or now.keep_fault:
        st.markdown(say("at.frame.saved.not"))
        return
    if kept is None or kept.saved_at is None:
        st.markdown(say("at.frame.saved.nothing"))
        return
    today = kept.saved_at.date() == datetime.now().date()
    clock = (
        manner().time_of_day(kept.saved_at)
        if today
        else manner().day_clock(kept.saved_at)
    )
    st.markdown(say("at.frame.saved.at", clock=clock))
    if kept.undo:
        st.button(
            say("at.frame.undo"),
            key="undo",
            on_click=undo,
            args=(now,),
            help=say("at.frame.undo_help", what=plain(manner().told(kept.undo))),
        )
        st.caption(say("at.frame.undo_what", what=plain(manner().told(kept.undo))))
    if kept.redo:
        st.button(say("at.frame.redo"), key="redo", on_click=redo, args=(now,))
        st.caption(say("at.frame.redo_what", what=plain(manner().told(kept.redo))))


def _choose_window(now: Work) -> None:
    with st.container(border=True):
        st.error(say("at.frame.two_windows"))
        st.button(
            say("at.frame.take_over"),
            key="take_over",
            type="primary",
            on_click=take_over,
            args=(now,),
        )
        st.button(
            say("at.frame.keep_mine"),
            key="keep_mine",
            on_click=keep_mine,
            args=(now,),
        )


def _plan_state(now: Work) -> str:
    if now.looking_for_loans and not now.stale:
        return "loans"
    if now.planning:
        return "working"
    if now.plan is None:
        return "none"
    return "old" if now.stale else "fits"


def need_scenario(now: Work) -> Scenario:
    """Give the scenario, or say what is missing and end the page."""
    if now.scenario is None:
        where = page_words("bring_list")
        if now.list_name:
            st.error(say("at.frame.cannot_plan", page=where))
        else:
            st.info(say("at.frame.need_list", page=where))
        to_page("bring_list")
        st.stop()
    return now.scenario


def need_plan(now: Work) -> Plan:
    """Give the plan, or say what is missing and end the page."""
    need_scenario(now)
    if now.plan is None:
        where = page_words("plan")
        if now.planning:
            st.info(say("at.frame.first_plan", page=where.capitalize()))
        else:
            st.info(say("at.frame.need_plan", page=where))
        to_page("plan")
        st.stop()
    return now.plan


def say_if_old(now: Work) -> None:
    """Say at the top of a page that its plan no longer fits the inputs."""
    if now.looking_for_loans and not now.stale:
        st.info(say("at.frame.loans_later"))
    elif now.planning:
        st.warning(say("at.frame.one_before"))
    elif now.stale:
        st.warning(say("at.frame.old_plan", page=page_words("plan")))


def to_page(name: str, label: str = "") -> None:
    """Link to another page."""
    st.page_link(
        path_of(name), label=label or say("at.contents.go", title=title_of(name))
    )


def next_page(name: str) -> None:
    """Link at the foot of a page to the one that follows in the work."""
    st.divider()
    to_page(name, say("at.contents.next", title=title_of(name)))
