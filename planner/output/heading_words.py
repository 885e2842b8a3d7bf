"""Headings of a list as they are read, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from planner.intake.headings import INTAKE
from planner.intake.headings_seen import SheetHeadings
from planner.intake.mapping import NOT_READ, READ_AS_ITEM, ColumnMapping, HeadingChoice
from planner.intake.words import key
from planner.output.manner import PLAIN, Manner
from planner.output.tables import Cell, frame
from planner.output.words import clean

if TYPE_CHECKING:
    import pandas as pd

_NEVER = {
    "private": "Private, never read",
    "aside": "Doses, tags and ticks, never read",
    "priority": "A priority, not used",
}
_NOT = "Do not read"
_EACH = "The heading is an item, the cells say how many"
_LIKELY = 0.7
NO_ITEM_HEADING = "No heading here is known as the item's: say which one it is."


def field_choices() -> tuple[str, ...]:
    """Field keys that a heading can be read as, in the order of the workbook."""
    return (NOT_READ, *(field.key for field in INTAKE.fields), READ_AS_ITEM)


def field_label(field_key: str, how: Manner = PLAIN) -> str:
    """Name of a field as it stands in the blank workbook; other choices are told."""
    if field_key == NOT_READ:
        return how.told(_NOT)
    if field_key == READ_AS_ITEM:
        return how.told(_EACH)
    if field_key in _NEVER:
        return how.told(_NEVER[field_key])
    return INTAKE.field(field_key).heading


def sureness(choice: HeadingChoice, *, confirmed: bool) -> str:
    """Say how sure the reading of a heading is."""
    if confirmed:
        return "confirmed by somebody"
    if not choice.field_key and key(choice.typed) in INTAKE.names():
        return "another column is read as this already"
    if not choice.field_key:
        return "not known: look whether it matters"
    if choice.confidence >= 1:
        return "a known heading"
    if choice.confidence >= _LIKELY:
        return "likely: please look"
    return "a guess: please look"


def heading_frame(mapping: ColumnMapping) -> pd.DataFrame:
    """List the headings of one sheet: as typed, read as, how sure."""
    rows: list[tuple[Cell, ...]] = [
        (
            clean(one.typed),
            field_label(one.field_key),
            sureness(one, confirmed=mapping.confirmed),
        )
        for one in mapping.choices
    ]
    return frame(("Heading", "Read as", "How sure"), rows)


def headings_text(found: tuple[SheetHeadings, ...]) -> str:
    """Headings of all sheets as plain text."""
    lines: list[str] = []
    for one in found:
        lines.append(f"Sheet {clean(one.sheet)}:")
        if not one.found:
            lines.append(f"  {NO_ITEM_HEADING}")
        for typed, read_as, sure in heading_frame(one.mapping).itertuples(index=False):
            lines.append(f"  {typed}  ->  {read_as}  ({sure})")
    return "\n".join([*lines, ""])
