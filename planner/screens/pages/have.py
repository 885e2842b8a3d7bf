"""Cold units, batteries, panels and other power, to be typed over."""

import pandas as pd
import streamlit as st
from streamlit.elements.lib.column_types import ColumnConfig

from planner.edits import (
    KIT_SHEETS,
    KitDraft,
    apply_kit,
    choices,
    draft_frame,
    kit_draft,
)
from planner.edits.kit import ASSUMED_COLUMN
from planner.edits.kit_cells import KitSheet
from planner.output.input_words import kit_in_words
from planner.output.tables_input import assumed_values
from planner.scenario import Scenario
from planner.screens.contents import heading_of
from planner.screens.drafting import begun, ending, say_put_back, typed
from planner.screens.edited import say_edited, take_edited
from planner.screens.frame import need_scenario, next_page
from planner.screens.say import manner, say
from planner.screens.show import bullets, table
from planner.screens.state import Work, work

_NAMES = {
    "Cold units": "cold_units",
    "Batteries": "batteries",
    "Panels": "panels",
    "Other power": "other_power",
}
# Names of the sheets as the tables of words have them.


def page() -> None:
    """Draw the page."""
    now = work()
    st.title(heading_of("have"))
    scenario = need_scenario(now)
    st.markdown(say("at.have.how"))
    say_edited(now, "have")
    start = begun(now, "have", KitDraft, KitDraft)
    say_put_back(now, "have")
    frames = {
        name: _one_sheet(now, scenario, sheet, start)
        for name, sheet in KIT_SHEETS.items()
    }
    if st.button(say("at.apply"), type="primary", key="apply_kit"):
        take_edited(now, "have", apply_kit(scenario, frames))
    typed(now, "have", kit_draft(scenario, frames))
    _assumed(scenario)
    next_page("conditions")


def _one_sheet(
    now: Work, scenario: Scenario, sheet: KitSheet, start: KitDraft
) -> pd.DataFrame:
    """Draw one table, and give it as it stands with the labels of its rows."""
    name = sheet.spec.name
    st.header(say(f"at.have.{_NAMES[name]}"))
    things = getattr(scenario, sheet.attribute)
    if things:
        bullets(kit_in_words(scenario, things, manner()))
    else:
        st.markdown(say("at.have.none", thing=say(f"at.have.new.{_NAMES[name]}")))
    shown = draft_frame(scenario, name, start)
    labels = dict(enumerate(shown.index, start=1))
    shown.index = pd.RangeIndex(1, len(shown) + 1)
    assumed = shown[ASSUMED_COLUMN]
    shown[ASSUMED_COLUMN] = [_told(one) for one in assumed]
    edited: pd.DataFrame = st.data_editor(
        shown,
        column_order=_order(shown),
        num_rows="dynamic",
        width="stretch",
        disabled=[ASSUMED_COLUMN],
        column_config=_columns(scenario, sheet),
        key=f"kit_{name}_{ending(now)}",
        alt=say("at.have.to_type_over", sheet=say(f"at.have.{_NAMES[name]}")),
    )
    return edited.set_axis([labels.get(one, 0) for one in edited.index])


def _told(headings: str) -> str:
    """Headings in one cell, each as it stands above its column."""
    return ", ".join(manner().told(one) for one in headings.split(", "))


def _order(shown: pd.DataFrame) -> list[str]:
    """Put the mark of assumed values beside the name, when there are any."""
    cells = [str(one) for one in shown.columns if one != ASSUMED_COLUMN]
    if shown[ASSUMED_COLUMN].any():
        return [cells[0], ASSUMED_COLUMN, *cells[1:]]
    return [*cells, ASSUMED_COLUMN]


def _columns(
    scenario: Scenario, sheet: KitSheet
) -> dict[str, ColumnConfig | str | None]:
    tell = manner().told
    found: dict[str, ColumnConfig | str | None] = {}
    for number, cell in enumerate(sheet.cells):
        field = sheet.spec.field(cell.column)
        words = choices(sheet, cell.column, scenario)
        hint, label = tell(field.help) or None, tell(field.heading)
        found[field.heading] = (
            st.column_config.SelectboxColumn(
                label,
                options=list(words),
                help=hint,
                format_func=lambda one: tell(str(one)),
            )
            if words
            else st.column_config.TextColumn(label, help=hint, pinned=number == 0)
        )
    found[ASSUMED_COLUMN] = st.column_config.TextColumn(
        tell(ASSUMED_COLUMN), help=say("at.have.assumed_column"), width="medium"
    )
    return found


def _assumed(scenario: Scenario) -> None:
    st.header(say("at.none_supplied"))
    found = assumed_values(scenario.equipment)
    if found.empty:
        st.markdown(say("at.have.all_given"))
        return
    st.markdown(say("at.have.assumed"))
    table(found)


page()
