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
        st.header("A newer list: nothing was taken over yet")
        st.markdown(
            f"Open now: **{plain(now.list_name)}**. Newer: **{plain(newer.name)}**."
        )
        _differences(newer, scenario)
        keep_kit = _kit(now, newer, scenario)
        if now.answers:
            st.warning(
                "Answers to questions belong to the rows of the open list. Those of the "
                "newer one are asked afresh."
            )
        with st.container(horizontal=True):
            st.button(
                "Use the newer list",
                key="take_newer",
                type="primary",
                on_click=_take,
                args=(now, keep_kit),
            )
            st.button(
                "Keep the open list",
                key="keep_open",
                on_click=keep_open,
                args=(now,),
            )


def _take(now: Work, keep_kit: bool) -> None:
    take_newer(now, keep_kit=keep_kit)


def _differences(newer: NewerList, scenario: Scenario) -> None:
    found = newer.against(scenario)
    if found is None:
        st.error("The newer list cannot be planned as it is:")
        table(issue_rows(newer.reading.issues, Severity.STOP))
        return
    st.markdown(f"**{plain(difference_words(found))}**")
    for heading, rows in (
        ("New", line_rows(found.new)),
        ("Changed", change_rows(found.changed)),
        ("Gone: not in the newer list", line_rows(found.gone)),
        ("Perhaps the same bag, the name written another way",
         renamed_rows(found.renamed)),
    ):  # fmt: skip
        if not rows.empty:
            st.subheader(f"{heading} ({len(rows)})")
            if len(rows) <= _MOST_SHOWN:
                table(rows)
            else:
                grid(rows, key=f"newer_{heading.split()[0].lower().rstrip(':')}")


def _kit(now: Work, newer: NewerList, scenario: Scenario) -> bool:
    """Ask whether equipment and conditions stay, when they could be lost."""
    lost = bool(scenario.equipment) and not newer.has_equipment
    if not now.changed and not lost:
        return False
    why = (
        "The newer list brings no equipment."
        if lost
        else f"You changed equipment or conditions on {page_words('have')} or "
        f"{page_words('conditions')}."
    )
    return st.checkbox(
        f"{why} Keep the equipment and conditions as they are now",
        value=True,
        key="keep_changes",
    )
