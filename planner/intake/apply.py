"""Putting an answer into the raw list, so that it can be read again."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from planner.intake.answers import Answer
from planner.intake.cells import Cell, RawRow, RawSheet
from planner.intake.columns import Column
from planner.intake.header_rows import Header, find_header
from planner.intake.headings import INTAKE
from planner.intake.headless import with_headings

_ONLY_IF_THERE = frozenset({"band", "cold", "frozen", "thawed"})
_PERSON = ("resident", "household", "place", "first_name", "surname", "badge")


def with_answer(
    sheets: Sequence[RawSheet],
    sheet: str,
    row: int,
    answer: Answer,
    mapping: Mapping[str, str] | None = None,
) -> tuple[RawSheet, ...]:
    """Give the sheets with an answer's cells written into a row.

    A column that the sheet lacks is added at its right end under the
    workbook's own heading.  An unknown sheet or row changes nothing.
    """
    return tuple(
        _answered(one, row, answer, mapping) if one.name == sheet else one
        for one in sheets
    )


def _answered(
    sheet: RawSheet, number: int, answer: Answer, mapping: Mapping[str, str] | None
) -> RawSheet:
    header = find_header(sheet, INTAKE, mapping)
    if header is None:
        made = with_headings(sheet)
        header = find_header(made, INTAKE) if made is not None else None
        if made is None or header is None:
            return sheet
        sheet = made
    texts = {
        name: text
        for name, text in (*answer.cells, *_person_cells(sheet, header, answer).items())
        if name in header.columns or name not in _ONLY_IF_THERE
    }
    if not texts or not any(row.number == number for row in sheet.rows):
        return sheet
    wide = max(len(row.cells) for row in sheet.rows)
    places: dict[str, int] = {}
    for name in texts:
        column: Column | None = header.columns.get(name)
        if column is None:
            places[name], wide = wide, wide + 1
        else:
            places[name] = column.index
    rows = [_written(row, number, header, texts, places) for row in sheet.rows]
    return replace(sheet, rows=tuple(rows))


def _person_cells(sheet: RawSheet, header: Header, answer: Answer) -> dict[str, str]:
    source = next(
        (row for row in sheet.rows if row.number == answer.person_of_row), None
    )
    if source is None or source.number in header.rows:
        return {}
    return {
        name: source.at(header.columns[name].index).text
        for name in _PERSON
        if name in header.columns
    }


def _written(
    row: RawRow,
    number: int,
    header: Header,
    texts: Mapping[str, str],
    places: Mapping[str, int],
) -> RawRow:
    wide = max([len(row.cells), *(at + 1 for at in places.values())])
    cells = list(row.cells) + [Cell()] * (wide - len(row.cells))
    if row.number == header.row.number:
        for name, at in places.items():
            if at >= len(row.cells):
                cells[at] = Cell(value=INTAKE.field(name).heading)
    elif row.number == number:
        if "item" in texts:  # somebody has looked: no mark is left open
            cells = [cell._replace(struck=False) for cell in cells]
        for name, at in places.items():
            cells[at] = Cell(value=texts[name] or None)
    else:
        return row
    return row._replace(cells=tuple(cells))
