"""Find a sheet's heading row and read its rows field by field."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from planner.intake.cells import Cell, RawRow, RawSheet
from planner.intake.headings import Field, SheetSpec
from planner.intake.issues import Log
from planner.intake.units import factor, temp_unit
from planner.intake.words import clean, is_ditto, key

HEADER_ROWS = 12
_UNIT_IN_HEADING = re.compile(r"^(.*?)[\s_]*[(\[]([^()\[\]]*)[)\]]\s*[?:.*]*\s*$", re.S)


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One recognised column: where it stands, its heading and its unit."""

    index: int
    typed: str
    field: Field
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A sheet under its headings."""

    sheet: str
    spec: SheetSpec
    header: RawRow
    columns: Mapping[str, Column]
    rows: tuple[RawRow, ...]

    def typed(self, field_key: str) -> str:
        """Heading as typed; the canonical one when the column is missing."""
        column = self.columns.get(field_key)
        return column.typed if column else self.spec.field(field_key).heading

    def cell(self, row: RawRow, field_key: str) -> Cell:
        """Cell of a field in a row; a blank one when there is no column."""
        column = self.columns.get(field_key)
        return row.at(column.index) if column else Cell()


def find_table(sheet: RawSheet, spec: SheetSpec) -> Table | None:
    """Give the sheet read under its best heading row; ``None`` if there is none.

    The best row is the one with most headings recognised among the rows
    with numbers up to 12; it must hold the Item heading of Intake, or at
    least two headings of another sheet.
    """
    best: tuple[int, RawRow, dict[str, Column]] | None = None
    for row in sheet.rows:
        if row.number > HEADER_ROWS:
            break
        columns = match_columns(row, spec)
        score = len(columns)
        if good_header(columns, spec) and (best is None or score > best[0]):
            best = (score, row, columns)
    if best is None:
        return None
    _, header, columns = best
    below = tuple(row for row in sheet.rows if row.number > header.number)
    return Table(
        sheet=sheet.name, spec=spec, header=header, columns=columns, rows=below
    )


def good_header(columns: Mapping[str, Column], spec: SheetSpec) -> bool:
    """Tell whether enough headings are known to trust the row."""
    if spec.name == "Intake":
        return "item" in columns
    return len(columns) >= 2


def match_columns(row: RawRow, spec: SheetSpec) -> dict[str, Column]:
    """Recognised columns of a heading row by field key, leftmost first."""
    columns: dict[str, Column] = {}
    for index, cell in enumerate(row.cells):
        column = match_heading(index, cell, spec)
        if column is not None:
            columns.setdefault(column.field.key, column)
    return columns


def match_heading(index: int, cell: Cell, spec: SheetSpec) -> Column | None:
    """Give the column a heading names; the unit is taken from its text."""
    typed = " ".join(clean(cell.text).split("\n"))
    if not isinstance(cell.value, str) or not typed or len(typed) > 60:
        return None
    bracket = _UNIT_IN_HEADING.match(typed)
    bare, inside = (bracket[1], bracket[2]) if bracket else (typed, "")
    names = spec.names()
    for text, unit_text in (
        (typed, inside),
        (bare, inside),
        *_trailing_units(bare, inside),
    ):
        found = names.get(key(text))
        if found is not None:
            field = spec.field(found)
            unit = _heading_unit(field, unit_text or text)
            return Column(index=index, typed=typed, field=field, unit=unit)
    return None


def _trailing_units(bare: str, inside: str) -> Iterator[tuple[str, str]]:
    """``Vol oz`` without brackets: the last words may be the unit."""
    words = bare.replace("/", " / ").split()
    if not inside and len(words) > 1:
        yield " ".join(words[:-1]), words[-1]
    if not inside and len(words) > 2:
        yield " ".join(words[:-2]), " ".join(words[-2:])


def _heading_unit(field: Field, text: str) -> str:
    """Give the unit named by a heading, ``""`` when it names none."""
    if field.dimension == "temp" or (field.dimension == "number" and field.unit == "C"):
        return temp_unit(text) or (temp_unit(text.split()[-1]) if text.split() else "")
    if factor(field.dimension, text) is not None:
        return "%" if text.strip() == "%" else text
    return ""


class Row:
    """One row under its headings, with a log for what is wrong in it."""

    __slots__ = ("log", "raw", "table")

    def __init__(self, table: Table, raw: RawRow, log: Log) -> None:
        self.table = table
        self.raw = raw
        self.log = log

    def cell(self, field_key: str) -> Cell:
        """Cell of a field."""
        return self.table.cell(self.raw, field_key)

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


def open_table(sheet: RawSheet, spec: SheetSpec, log: Log) -> Table | None:
    """Like :func:`find_table`, and says what is wrong with the headings."""
    table = find_table(sheet, spec)
    if table is None:
        if sheet.rows:
            log.add("no-header", sheet=sheet.name)
        return None
    _say_columns(table, log)
    for field in spec.fields:
        if (
            field.required
            and field.key not in table.columns
            and _must_have(field, table)
        ):
            log.add("heading-missing", sheet=sheet.name, column=field.heading)
    return table


def _must_have(field: Field, table: Table) -> bool:
    """Names can be made up, and a capacity can come from Ah and Volts."""
    if field.key == "name":
        return False
    return not (field.key == "capacity_wh" and "ah" in table.columns)


def _say_columns(table: Table, log: Log) -> None:
    used = {column.index for column in table.columns.values()}
    row = table.header.number
    for index, cell in enumerate(table.header.cells):
        typed = " ".join(cell.text.split("\n"))
        if index in used:
            continue
        twin = match_heading(index, cell, table.spec)
        if twin is not None and twin.field.key == "private":
            continue
        if twin is not None:
            log.add("heading-twice", sheet=table.sheet, row=row, column=typed)
        elif typed or any(raw.at(index).text for raw in table.rows):
            letter = typed or f"number {index + 1}"
            log.add("column-not-read", sheet=table.sheet, row=row, column=letter)
    private = table.columns.get("private")
    if private is not None:
        log.add("column-not-read", sheet=table.sheet, row=row, column=private.typed)
    priority = table.columns.get("priority")
    if priority is not None:
        log.add("priority-not-read", sheet=table.sheet, row=row, column=priority.typed)


def without_dittos(table: Table, log: Log) -> tuple[RawRow, ...]:
    """Rows with ditto marks replaced by the cell of the row just above."""
    rows: list[RawRow] = []
    for raw in table.rows:
        above = rows[-1] if rows and rows[-1].number == raw.number - 1 else None
        rows.append(_copied(table, raw, above, log))
    return tuple(rows)


def _copied(table: Table, raw: RawRow, above: RawRow | None, log: Log) -> RawRow:
    cells = list(raw.cells)
    for column in table.columns.values():
        cell = raw.at(column.index)
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
