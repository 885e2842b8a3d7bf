"""A sheet under its headings, and its rows field by field."""

from collections.abc import Mapping
from dataclasses import dataclass

from planner.intake.cells import Cell, RawRow, RawSheet
from planner.intake.columns import Column
from planner.intake.header_rows import find_header
from planner.intake.headings import INTAKE, SheetSpec
from planner.intake.issues import Log
from planner.intake.item_columns import (
    ItemHeading,
    item_cell,
    item_headings,
    more_items,
)
from planner.intake.words import is_ditto

_CARRIED_ORDER = ("resident", "household", "place", "first_name", "surname", "badge")
_CARRIED = frozenset(_CARRIED_ORDER)


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A sheet under its headings.

    ``more_items`` are further columns of items, ``item_headings`` columns
    whose heading names the item; ``titles`` are the rows above.
    """

    sheet: str
    spec: SheetSpec
    header: RawRow
    columns: Mapping[str, Column]
    rows: tuple[RawRow, ...]
    more_items: tuple[Column, ...] = ()
    item_headings: tuple[ItemHeading, ...] = ()
    titles: tuple[int, ...] = ()

    def typed(self, field_key: str) -> str:
        """Heading as typed; the canonical one when the column is missing."""
        column = self.columns.get(field_key)
        return column.typed if column else self.spec.field(field_key).heading

    def cell(self, row: RawRow, field_key: str) -> Cell:
        """Cell of a field in a row; a blank one when there is no column."""
        column = self.columns.get(field_key)
        if field_key == "item" and (self.more_items or self.item_headings):
            return item_cell(row, column, self.more_items, self.item_headings)
        return row.at(column.index) if column else Cell()


def find_table(
    sheet: RawSheet, spec: SheetSpec, mapping: Mapping[str, str] | None = None
) -> Table | None:
    """Give the sheet read under its best heading row; ``None`` if there is none."""
    found = find_header(sheet, spec, mapping)
    if found is None:
        return None
    below = tuple(row for row in sheet.rows if row.number > found.row.number)
    intake = spec is INTAKE
    return Table(
        sheet=sheet.name,
        spec=spec,
        header=found.row,
        columns=found.columns,
        rows=_carried(sheet, below, found.columns) if intake else below,
        more_items=more_items(found.row, found.columns, mapping) if intake else (),
        item_headings=item_headings(found.row, found.columns, mapping)
        if intake
        else (),
        titles=tuple(row.number for row in sheet.rows if row.number < min(found.rows)),
    )


def _carried(
    sheet: RawSheet, rows: tuple[RawRow, ...], columns: Mapping[str, Column]
) -> tuple[RawRow, ...]:
    """Names of merged cells, carried down to every row they stand beside."""
    indices = {columns[name].index for name in _CARRIED & columns.keys()}
    tall = [area for area in sheet.merged if area[2] > area[0] and area[1] in indices]
    if not tall:
        return rows
    by_number = {row.number: row for row in rows}
    for top, left, bottom, _ in tall:
        source = by_number[top].at(left) if top in by_number else Cell()
        if not source.text:
            continue
        for number in range(top + 1, min(bottom, top + 200) + 1):
            row = by_number.get(number)
            if row is not None and not row.at(left).text:
                cells = list(row.cells) + [Cell()] * (left + 1 - len(row.cells))
                cells[left] = source._replace(copied=True)
                by_number[number] = row._replace(cells=tuple(cells))
    return tuple(by_number[row.number] for row in rows)


class Row:
    """One row under its headings, with a log for what is wrong in it."""

    __slots__ = ("_cells", "log", "raw", "table")

    def __init__(self, table: Table, raw: RawRow, log: Log) -> None:
        self.table = table
        self.raw = raw
        self.log = log
        self._cells: dict[str, Cell] = {}

    def cell(self, field_key: str) -> Cell:
        """Cell of a field."""
        if field_key not in self._cells:
            self._cells[field_key] = self.table.cell(self.raw, field_key)
        return self._cells[field_key]

    def text(self, field_key: str) -> str:
        """Text of a field on one line."""
        return " ".join(self.cell(field_key).text.split("\n"))

    def has(self, field_key: str) -> bool:
        """Tell whether the sheet has the column."""
        return field_key in self.table.columns

    def unit(self, field_key: str) -> str:
        """Give the unit named in the heading, or ``""``."""
        column = self.table.columns.get(field_key)
        return column.unit if column else ""

    def struck_name(self) -> bool:
        """Tell a person or a count that is struck through."""
        return any(self.cell(name).struck for name in (*_CARRIED_ORDER, "quantity"))

    def say(
        self,
        code: str,
        field_key: str = "",
        value: str | None = None,
        **words: object,
    ) -> None:
        """Note an issue of this row."""
        shown = self.text(field_key) if value is None and field_key else value or ""
        self.log.add(
            code,
            sheet=self.table.sheet,
            row=self.raw.number,
            column=self.table.typed(field_key) if field_key else "",
            value=shown,
            **words,
        )


def without_dittos(table: Table, log: Log) -> tuple[RawRow, ...]:
    """Rows with ditto marks replaced by the cell of the row just above."""
    rows: list[RawRow] = []
    for raw in table.rows:
        above = rows[-1] if rows and rows[-1].number == raw.number - 1 else None
        rows.append(_copied(table, raw, above, log))
    return tuple(rows)


def _copied(table: Table, raw: RawRow, above: RawRow | None, log: Log) -> RawRow:
    cells = list(raw.cells)
    for column in (*table.columns.values(), *table.more_items):
        cell = raw.at(column.index)
        if cell.copied:
            log.add("merged-copied", sheet=table.sheet, row=raw.number,
                    column=column.typed)  # fmt: skip
        if not isinstance(cell.value, str) or not is_ditto(cell.value):
            continue
        source = above.at(column.index) if above else Cell()
        if not source.text:
            continue
        cells[column.index] = source
        log.add(
            "ditto-copied",
            sheet=table.sheet,
            row=raw.number,
            column=column.typed,
            value="" if column.field.personal else cell.text,
        )
    return raw._replace(cells=tuple(cells))
