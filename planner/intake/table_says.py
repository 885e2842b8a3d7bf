"""What is said about the headings and the looks of a sheet."""

from collections.abc import Mapping
from itertools import pairwise

from planner.intake.cells import RawSheet
from planner.intake.column_fit import say_misfits
from planner.intake.columns import match_heading
from planner.intake.headings import Field, SheetSpec
from planner.intake.issues import Log
from planner.intake.table import Table, find_table

_COLOURED_AT_MOST = 0.5
_LISTED = 12


def open_table(
    sheet: RawSheet, spec: SheetSpec, log: Log, mapping: Mapping[str, str] | None = None
) -> Table | None:
    """Like :func:`find_table`, and says what is wrong with the headings."""
    table = find_table(sheet, spec, mapping)
    if table is None:
        if sheet.rows:
            log.add("no-header", sheet=sheet.name)
        return None
    _say_columns(table, log, mapping)
    _say_looks(sheet, table, log)
    say_misfits(table, log)
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
    if field.key == "name" or (field.key == "item" and table.item_headings):
        return False
    return not (field.key == "capacity_wh" and "ah" in table.columns)


def _say_columns(table: Table, log: Log, mapping: Mapping[str, str] | None) -> None:
    used = {column.index for column in table.columns.values()}
    used |= {column.index for column in table.more_items}
    used |= {one.index for one in table.item_headings}
    row = table.header.number
    for index, cell in enumerate(table.header.cells):
        typed = " ".join(cell.text.split("\n"))
        if index in used:
            continue
        twin = match_heading(index, cell, table.spec, mapping)
        if twin is not None and twin.field.key in {"private", "aside"}:
            log.add("column-not-read", sheet=table.sheet, row=row, column=twin.typed)
        elif twin is not None:
            log.add("heading-twice", sheet=table.sheet, row=row, column=typed)
        elif typed or any(raw.at(index).text for raw in table.rows):
            letter = typed or f"number {index + 1}"
            log.add("column-not-read", sheet=table.sheet, row=row, column=letter)
    for column in (*table.columns.values(), *table.more_items):
        if not column.sure:
            log.add("heading-guessed", sheet=table.sheet, row=row, column=column.typed,
                    used=column.field.heading)  # fmt: skip
    _say_unused(table, log)
    if table.more_items or table.item_headings:
        names = [table.typed("item")] if "item" in table.columns else []
        names += [column.typed for column in table.more_items]
        names += [one.typed for one in table.item_headings]
        log.add("item-columns", sheet=table.sheet, row=row, names=", ".join(names))


def _say_unused(table: Table, log: Log) -> None:
    """Columns that are known and never read."""
    row = table.header.number
    for name, code in (("private", "column-not-read"), ("aside", "column-not-read"),
                       ("priority", "priority-not-read")):  # fmt: skip
        column = table.columns.get(name)
        if column is not None:
            log.add(code, sheet=table.sheet, row=row, column=column.typed)


def _say_looks(sheet: RawSheet, table: Table, log: Log) -> None:
    """What the looks of a sheet may mean: it is asked, not guessed."""
    for code, used in sheet.remarks:
        log.add(code, sheet=sheet.name, used=used)
    if not sheet.looks_read:
        log.add("looks-not-read", sheet=sheet.name)
    if sheet.hidden:
        log.add("sheet-hidden", sheet=sheet.name)
    if table.titles:
        log.add("title-rows", sheet=sheet.name, used=_listed(table.titles))
    for column in table.columns.values():
        if column.index in sheet.hidden_columns:
            log.add("column-hidden", sheet=sheet.name, row=table.header.number,
                    column=column.typed)  # fmt: skip
    for colour, rows in sorted(_coloured(table).items()):
        log.add("colour-not-read", sheet=sheet.name, value=colour, used=_listed(rows))


def _coloured(table: Table) -> dict[str, tuple[int, ...]]:
    """Rows by the colour of any of their cells, without bands and columns."""
    rows: dict[str, list[int]] = {}
    for raw in table.rows:
        for colour in sorted({cell.colour for cell in raw.cells if cell.colour}):
            rows.setdefault(colour, []).append(raw.number)
    most = _COLOURED_AT_MOST * len(table.rows)
    return {
        colour: tuple(found)
        for colour, found in rows.items()
        if (len(found) < most or len(table.rows) == 1) and not _banded(found)
    }


def _banded(rows: list[int]) -> bool:
    """Tell every second row, which is only for the eye."""
    return len(rows) > 2 and all(b - a == 2 for a, b in pairwise(rows))


def _listed(rows: tuple[int, ...]) -> str:
    shown = ", ".join(str(row) for row in rows[:_LISTED])
    return f"{shown} and {len(rows) - _LISTED} more" if len(rows) > _LISTED else shown
