"""The items of one row: its item cell with what the other columns say."""

import re
from dataclasses import replace
from datetime import datetime, timedelta

from planner.intake import moments, values
from planner.intake.cells import Cell
from planner.intake.item_split import Part, open_apart, split_items
from planner.intake.items import match_item
from planner.intake.table import Row
from planner.scenario import Gate

IN_USE_GROUPS = frozenset({"insulin"})
"""Groups whose pack in use stays with the person."""
_NEAR = datetime(2000, 1, 1)


def parts_of(row: Row) -> tuple[Part, ...]:
    """Items of a row, one a part.

    When the row says open and counts several packs, one pack is open and
    the others are taken as unopened: they stay cold, and that is told.
    """
    total = total_of(row.cell("quantity"))
    parts = split_items(row.cell("item").text, total)
    if len(parts) != 1:
        return parts
    part = parts[0]
    count = total or part.stated().packs or 1
    if count < 2 or not (part.opened or opened_in(row.cell("opened"))):
        return parts
    if not _leaves_the_pool(part) or re.search(r"\b(all|both)\b", part.text.casefold()):
        return parts
    return tuple(
        replace(one, left=part.left) for one in open_apart(part, part.text, 1, count)
    )


def _leaves_the_pool(part: Part) -> bool:
    """Tell whether an open pack of the kind takes no cold space."""
    if part.match.kind.group in IN_USE_GROUPS:
        return True
    again = match_item(f"{' '.join(part.match.used)} open")
    return part.match.known and again.known and again.kind.gate is not Gate.POOL


def total_of(cell: Cell) -> int | None:
    """Give a plain whole number of a quantity cell."""
    value = cell.value
    if isinstance(value, float | int) and not isinstance(value, bool):
        return int(value) if value == int(value) and 1 <= value <= 500 else None
    text = cell.text.strip()
    return int(text) if re.fullmatch(r"[1-9]\d{0,2}", text) else None


def opened_in(cell: Cell) -> bool:
    """Yes, or a date on which it was opened."""
    if isinstance(cell.value, datetime | timedelta):
        return True
    said = values.yes_no(cell)
    if said.wrong:
        when = moments.moment(cell, _NEAR, latest=True)
        return when.value is not None or when.wrong == "date-two-ways"
    return said.value is True
