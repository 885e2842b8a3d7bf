"""Columns whose cells do not fit their heading, as when two were swapped."""

import re
from collections.abc import Callable, Mapping

from planner.intake.cells import Cell
from planner.intake.columns import Column
from planner.intake.headings import INTAKE
from planner.intake.issues import Log
from planner.intake.items import match_item
from planner.intake.table import Table
from planner.intake.values import is_blank, is_count_word

_FEWEST = 3
"""Cells that are too few to tell a column by."""
_NEARLY_ALL = 0.8
_NUMBERS = frozenset({"count", "volume"})
_NAMES = frozenset({"resident", "household", "first_name", "surname"})
_FIGURES = re.compile(r"[\d.,:/ +-]+")


def say_misfits(table: Table, log: Log) -> None:
    """Remark once on each column of which nearly no cell fits its heading.

    Only what cannot be meant counts: words without any figure as a count, bare
    figures as an item, items of the catalogue as names.
    """
    if table.spec is not INTAKE:
        return
    for key, column in sorted(table.columns.items(), key=lambda one: one[1].index):
        fails = _test_of(key, column)
        if fails is None:
            continue
        cells = [row.at(column.index) for row in table.rows]
        filled = [cell for cell in cells if not is_blank(cell)]
        odd = sum(1 for cell in filled if fails(cell))
        if len(filled) >= _FEWEST and odd >= _NEARLY_ALL * len(filled):
            log.add(
                "column-misfit",
                sheet=table.sheet,
                row=table.header.number,
                column=column.typed,
                odd=odd,
                used=len(filled),
            )


def _test_of(key: str, column: Column) -> Callable[[Cell], bool] | None:
    """What tells a cell that does not fit; nothing where any text may."""
    if column.field.dimension in _NUMBERS:
        return _no_number
    return _TESTS.get(key)


def _no_number(cell: Cell) -> bool:
    words = cell.text.casefold().split()
    return not any(sign.isdigit() for sign in cell.text) and not any(
        is_count_word(word) for word in words
    )


def _only_figures(cell: Cell) -> bool:
    return _FIGURES.fullmatch(cell.text) is not None


def _an_item(cell: Cell) -> bool:
    match = match_item(cell.text)
    return match.known and not match.guessed


_TESTS: Mapping[str, Callable[[Cell], bool]] = {
    "item": _only_figures,
    **dict.fromkeys(_NAMES, _an_item),
}
