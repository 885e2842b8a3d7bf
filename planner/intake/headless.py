"""Lists without headings: pasted text, and sheets that start with the rows.

The item column is found by what stands in it; it is always told and asked.
"""

import re
from collections.abc import Sequence

from planner.intake.cells import Cell, RawRow, RawSheet
from planner.intake.items import match_item
from planner.intake.words import key

_LEAST_SHARE = 0.5
_MOST_ROWS = 0.6
_LOOKED_AT = 50
_STAMP = re.compile(
    r"^\W*\d{1,4}[/.-]\d{1,2}(?:[/.-]\d{2,4})?,?\s+\d{1,2}[:.]\d{2}(?::\d{2})?"
    r"(?:\s*[ap]m)?\W*\s*",
    re.I,
)
_NAMED = re.compile(r"^(.{1,40}?)\s*(?::|\s-\s|\s=\s|\u2192|->)\s*(.+)$")
_BULLET = re.compile(r"^\s*(?:[-*\u2022>]|\d{1,2}[.)])\s+")


def with_headings(sheet: RawSheet) -> RawSheet | None:
    """Give the sheet under made-up headings, or ``None`` when no items are seen."""
    several = sum(1 for row in sheet.rows if sum(1 for c in row.cells if c.text) > 1)
    wide = several >= _MOST_ROWS * len(sheet.rows)
    stamped = sum(1 for row in sheet.rows if _STAMP.match(_whole(row)))
    if wide and 2 * stamped < len(sheet.rows):
        return _columns(sheet)
    return _lines(sheet)


def _whole(row: RawRow) -> str:
    """Text of a row as it was before it was parted."""
    return ", ".join(cell.text for cell in row.cells)


def _lines(sheet: RawSheet) -> RawSheet | None:
    """One item a line, with a name before a colon or a dash."""
    rows = [_one_line(row) for row in sheet.rows]
    known = sum(1 for row in rows if match_item(row.at(1).text).known)
    if known < 1 or known < _LEAST_SHARE * len(rows) * 0.6:
        return None
    return _made(sheet, ("Resident", "Item"), rows, ("pasted-list", ""))


def _one_line(row: RawRow) -> RawRow:
    text = _BULLET.sub("", _STAMP.sub("", _whole(row)))
    match = _NAMED.match(text)
    name = ""
    if match and match_item(match[2]).known and not match_item(match[1]).known:
        name, text = match[1].strip(), match[2]
    return row._replace(cells=(Cell(value=name or None), Cell(value=text or None)))


def _columns(sheet: RawSheet) -> RawSheet | None:
    rows = sheet.rows[:_LOOKED_AT]
    width = max(len(row.cells) for row in rows)
    shares = [_share_known(rows, at) for at in range(width)]
    item = max(range(width), key=lambda at: shares[at])
    if shares[item] < _LEAST_SHARE:
        return None
    headings = [""] * width
    headings[item] = "Item"
    name = next((at for at in range(width) if at != item and _names(rows, at)), None)
    if name is not None:
        headings[name] = "Resident"
    count = [at for at in range(width) if at not in (item, name) and _counts(rows, at)]
    if len(count) == 1:
        headings[count[0]] = "Quantity"
    return _made(sheet, headings, sheet.rows, ("headings-none", str(item + 1)))


def _share_known(rows: Sequence[RawRow], at: int) -> float:
    texts = [row.at(at).text for row in rows]
    known = sum(1 for text in texts if text and match_item(text).known)
    return known / len(rows)


def _names(rows: Sequence[RawRow], at: int) -> bool:
    """Tell a column of short texts that differ and are no items."""
    texts = [row.at(at).text for row in rows if row.at(at).text]
    words = [text for text in texts if not any(sign.isdigit() for sign in text)]
    short = all(len(text) <= 40 for text in texts)
    return (
        short
        and len(words) >= 0.6 * len(rows)
        and len({key(text) for text in texts}) >= 0.5 * len(texts)
        and not any(match_item(text).known for text in texts)
    )


def _counts(rows: Sequence[RawRow], at: int) -> bool:
    texts = [row.at(at).text for row in rows if row.at(at).text]
    plain = [text for text in texts if re.fullmatch(r"[1-9]\d{0,1}", text)]
    rising = plain == [str(number) for number in range(1, len(plain) + 1)]
    return bool(texts) and len(plain) == len(texts) and not (rising and len(plain) > 2)


def _made(
    sheet: RawSheet,
    headings: Sequence[str],
    rows: Sequence[RawRow],
    remark: tuple[str, str],
) -> RawSheet:
    header = RawRow(0, tuple(Cell(value=text or None) for text in headings))
    return RawSheet(
        name=sheet.name,
        rows=(header, *rows),
        hidden=sheet.hidden,
        merged=sheet.merged,
        looks_read=sheet.looks_read,
        remarks=(*sheet.remarks, remark),
    )
