"""A newer list beside the open one: what differs, and the question which to use."""

import streamlit as st

from planner.edits import NewerList
from planner.issue import Severity
from planner.output.tables_diff import (
    change_rows,
    difference_words,
    line_rows,
    renamed_rows,
)
from planner.output.tables_input import issue_rows
from planner.scenario import Scenario
from planner.screens.bringing import keep_open, take_newer
from planner.screens.contents import page_words
from planner.screens.say import manner, say
from planner.screens.show import grid, plain, table
from planner.screens.state import Work

_MOST_SHOWN = 60
"""Longer tables scroll and can be searched."""


def show_newer(now: Work) -> None:
    """Draw the comparison and the two buttons, while a newer list waits."""
    newer, scenario = now.newer, now.scenario
    if newer is None or scenario is None:
        return
    with st.container(border=True):
        st.header(say("at.newer.title"))
        st.markdown(
            say("at.newer.both", old=plain(now.list_name), new=plain(newer.name))
        )
        _differences(newer, scenario)
        keep_kit = _kit(now, newer, scenario)
        if now.answers:
            st.warning(say("at.newer.answers"))
        with st.container(horizontal=True):
            st.button(
                say("at.newer.take"),
                key="take_newer",
                type="primary",
                on_click=_take,
                args=(now, keep_kit),
            )
            st.button(
                say("at.newer.keep"),
                key="keep_open",
                on_click=keep_open,
                args=(now,),
            )


def _take(now: Work, keep_kit: bool) -> None:
    take_newer(now, keep_kit=keep_kit)


def _differences(newer: NewerList, scenario: Scenario) -> None:
    found = newer.against(scenario)
    if found is None:
        st.error(say("at.newer.cannot_plan"))
        table(issue_rows(newer.reading.issues, Severity.STOP, manner()))
        return
    st.markdown(f"**{plain(difference_words(found, manner()))}**")
    for name, rows in (
        ("new", line_rows(found.new)),
        ("changed", change_rows(found.changed)),
        ("gone", line_rows(found.gone)),
        ("renamed", renamed_rows(found.renamed)),
    ):
        if not rows.empty:
            heading = say(f"at.newer.{name}")
            st.subheader(say("at.newer.counted", heading=heading, count=len(rows)))
            if len(rows) <= _MOST_SHOWN:
                table(rows)
            else:
                grid(rows, key=f"newer_{name}")


def _kit(now: Work, newer: NewerList, scenario: Scenario) -> bool:
    """Ask whether equipment and conditions stay, when they could be lost."""
    lost = bool(scenario.equipment) and not newer.has_equipment
    if not now.changed and not lost:
        return False
    why = (
        say("at.newer.no_kit")
        if lost
        else say(
            "at.newer.kit_changed",
            have=page_words("have"),
            conditions=page_words("conditions"),
        )
    )
    return st.checkbox(
        say("at.newer.keep_kit", why=why),
        value=True,
        key="keep_changes",
    )
