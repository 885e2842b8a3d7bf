"""Which intake rows hold items; every other row is held with its reason."""

import re

from planner.intake.cells import RawRow
from planner.intake.columns import match_columns
from planner.intake.item_details import details_of
from planner.intake.item_words import GONE, NO_ITEM, UNREADABLE
from planner.intake.items import match_item
from planner.intake.table import Row, Table
from planner.intake.words import is_ditto, key
from planner.scenario import HeldRow

_TOTAL = re.compile(
    r"(grand |sub ?)?totals?\b|sum\b|count of\b|page \d+\b|subtotal\b|total de\b"
)
_MARKS = re.compile(r"[\n;+&,/]")
MAX_MARKS = 60
"""Marks between items; a cell with more is no list of bags."""
_NOTE = re.compile(r"(nb|note|notes|remember|reminder|key|legend|updated|as of)\b")


def hold(row: Row) -> HeldRow | None:
    """Give the reason a row is no line, or ``None`` when it has an item.

    The issue is noted here.  Text of name columns is never repeated.
    """
    raw, table = row.raw, row.table
    item = row.text("item")
    if repeats_header(raw, table):
        return _held(row, "header-repeated", "headings", left_out=True)
    if not item:
        return _without_item(row)
    if re.fullmatch(r"[\d.,\s]+", item):  # a sum or a count, no item
        total = _TOTAL.match(key(row.text("resident") or row.text("household")))
        code = "total-row" if total else "item-not-readable"
        return _held(row, code, item, left_out=bool(total))
    if len(_MARKS.findall(row.cell("item").text)) > MAX_MARKS:
        return _held(row, "item-not-readable", item, left_out=False)
    plain = key(item)
    match = match_item(row.cell("item").text)
    code = "" if match.known or match.rivals else _no_item_code(row, plain)
    if code == "no-item" and "ice" in details_of(item).marks:
        row.say("ice-wanted", "item")
    if code:
        return _held(row, code, item, left_out=True)
    unreadable = re.match(UNREADABLE, item.casefold().strip())
    if unreadable or not plain or is_ditto(row.cell("item").text):
        return _held(row, "item-not-readable", item, left_out=False)
    return None


def _no_item_code(row: Row, plain: str) -> str:
    """Code of a text that is no item; asked only when it names no known one.

    Total parenteral nutrition is no row of totals.
    """
    if _TOTAL.match(plain) and not row.text("resident"):
        return "total-row"
    if re.match(GONE, plain):
        return "item-departed"
    return "no-item" if re.match(NO_ITEM, plain) else ""


def repeats_header(raw: RawRow, table: Table) -> bool:
    """Tell whether two headings and the item's stand again in this row."""
    column = table.columns.get("item")
    typed = raw.at(column.index).text if column else ""
    if key(typed) not in table.spec.names() and typed != (column and column.typed):
        return False
    found = match_columns(raw, table.spec)
    same = [
        name
        for name, column in found.items()
        if name in table.columns and table.columns[name].index == column.index
    ]
    return "item" in same and len(same) >= 2


def _without_item(row: Row) -> HeldRow:
    texts = [" ".join(cell.text.split("\n")) for cell in row.raw.cells if cell.text]
    first = key(texts[0]) if texts else ""
    shown = shown_text(row)
    if _TOTAL.match(first):
        return _held(row, "total-row", shown or "total", left_out=True)
    personal = any(
        row.text(name)
        for name, column in row.table.columns.items()
        if column.field.personal
    )
    long = not personal and len(first.split()) > 3
    if len(texts) == 1 and (_NOTE.match(first) or long):
        return _held(row, "note-row", shown or "note", left_out=True)
    if row.cell("item").lost_formula:
        return _held(row, "formula-no-value", shown, left_out=False)
    return _held(row, "item-missing", shown, left_out=False)


def shown_text(row: Row) -> str:
    """Text of the columns that are known and hold no personal data."""
    parts = [
        row.text(name)
        for name, column in row.table.columns.items()
        if not column.field.personal
    ]
    return "; ".join(part for part in parts if part)[:200]


def _held(row: Row, code: str, text: str, *, left_out: bool) -> HeldRow:
    row.say(code, "item", value=row.text("item"))
    return HeldRow(
        sheet=row.table.sheet,
        row=row.raw.number,
        code=code,
        text=text[:200],
        left_out=left_out,
    )
