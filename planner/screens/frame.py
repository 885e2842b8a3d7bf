"""The frame of every page: what is open, what is saved, whether the plan fits."""

from datetime import datetime

import streamlit as st

from planner.output.words import day_clock
from planner.result import Plan
from planner.scenario import Scenario
from planner.screens.contents import TITLES, page_words, path_of
from planner.screens.keeping import keep_mine, redo, take_over, undo
from planner.screens.show import plain
from planner.screens.state import Work

OLD_PLAN = (
    "THIS PLAN IS OLD: the list, the equipment or the conditions were changed "
    f"after it was made. Plan again on {page_words('plan')} before anything is moved."
)
_TWO_WINDOWS = (
    "**NOT SAVED: another window changed the work.** This window shows an older state "
    "and writes nothing until you choose. Nothing is lost either way: the other state "
    "stays one step away under Undo."
)


def show_frame(now: Work) -> None:
    """Say at the side of every page what is open and what was planned."""
    with st.sidebar:
        st.markdown("**Where things stand**")
        if now.list_name:
            st.markdown(f"List: {plain(now.list_name)}")
            if now.newer is not None:
                st.markdown(f"**A newer list waits** on {page_words('bring_list')}")
        else:
            st.markdown("List: none yet")
        st.markdown(f"Plan: {_plan_words(now)}")
        if now.planning:
            _wake(now)
        _saved(now)
        st.caption(
            "It stores, locates and times. It never says that a medicine is safe: "
            "read the label and ask a pharmacist."
        )
    if now.changed_elsewhere:
        _choose_window(now)
    if now.keep_fault:
        st.error(
            f"**NOT SAVED** ({plain(now.keep_fault)}). The work goes on, but a reload "
            f"would lose it. Fetch it as a file on {page_words('keep')}."
        )
    for note in now.notes:
        st.warning(plain(note))


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
        st.markdown("Saved: **NOT SAVED**, see the top of the page")
        return
    if kept is None or kept.saved_at is None:
        st.markdown("Saved: nothing to save yet")
        return
    today = kept.saved_at.date() == datetime.now().date()
    clock = f"{kept.saved_at:%H:%M}" if today else day_clock(kept.saved_at)
    st.markdown(f"Saved: {clock}, on this computer")
    if kept.undo:
        st.button(
            "Undo",
            key="undo",
            on_click=undo,
            args=(now,),
            help=f"Take back: {plain(kept.undo)}",
        )
        st.caption(f"Undo takes back: {plain(kept.undo)}")
    if kept.redo:
        st.button("Redo", key="redo", on_click=redo, args=(now,))
        st.caption(f"Redo brings again: {plain(kept.redo)}")


def _choose_window(now: Work) -> None:
    with st.container(border=True):
        st.error(_TWO_WINDOWS)
        st.button(
            "Show what the other window saved",
            key="take_over",
            type="primary",
            on_click=take_over,
            args=(now,),
        )
        st.button(
            "Keep what stands in this window",
            key="keep_mine",
            on_click=keep_mine,
            args=(now,),
        )


def _plan_words(now: Work) -> str:
    if now.looking_for_loans and not now.stale:
        return "ready; loans are being looked for"
    if now.planning:
        return "being worked out"
    if now.plan is None:
        return "none yet"
    return "OLD, plan again" if now.stale else "fits what is entered"


def need_scenario(now: Work) -> Scenario:
    """Give the scenario, or say what is missing and end the page."""
    if now.scenario is None:
        where = page_words("bring_list")
        if now.list_name:
            st.error(f"Nothing can be planned yet: {where} says what has to be mended.")
        else:
            st.info(f"There is no list yet. Bring one in on {where}.")
        to_page("bring_list")
        st.stop()
    return now.scenario


def need_plan(now: Work) -> Plan:
    """Give the plan, or say what is missing and end the page."""
    need_scenario(now)
    if now.plan is None:
        where = page_words("plan")
        if now.planning:
            st.info(
                "The first plan is being worked out. "
                f"{where.capitalize()} shows how far it is."
            )
        else:
            st.info(f"There is no plan yet. Ask for one on {where}.")
        to_page("plan")
        st.stop()
    return now.plan


def say_if_old(now: Work) -> None:
    """Say at the top of a page that its plan no longer fits the inputs."""
    if now.looking_for_loans and not now.stale:
        st.info("The plan is ready. What to borrow is still being worked out.")
    elif now.planning:
        st.warning("A new plan is being worked out. This page shows the one before.")
    elif now.stale:
        st.warning(OLD_PLAN)


def to_page(name: str, label: str = "") -> None:
    """Link to another page."""
    st.page_link(path_of(name), label=label or f"Go to {TITLES[name]}")


def next_page(name: str) -> None:
    """Link at the foot of a page to the one that follows in the work."""
    st.divider()
    to_page(name, f"**Next: {TITLES[name]}**")
