"""Tables in text: the code page, the separator and stray quotes are found out."""

import csv
import io
import re
from collections import Counter
from collections.abc import Iterator

from planner.intake import cells
from planner.intake.cells import Cell, RawBook, RawRow, RawSheet
from planner.intake.words import clean

_MARKS = (",", ";", "\t", "|")
_LOOKED_AT = 60
_STEADY = 0.8
_AS_MANY = 0.6
_COMMON = frozenset("\u00e0\u00e1\u00e2\u00e3\u00e4\u00e5\u00e7\u00e8\u00e9\u00ea\u00eb\u00ec\u00ed\u00ee"
                    "\u00ef\u00f1\u00f2\u00f3\u00f4\u00f5\u00f6\u00f9\u00fa\u00fb\u00fc\u00df\u00bf\u00a1\u2019\u2013")  # fmt: skip
_ODD = frozenset(
    "\u017d\u017e\u0192\u2020\u2021\u02c6\u2030\u0160\u0161\u0152\u0153\u2039\u203a\u02dc\u2021\ufffd"
)


def read_text(name: str, data: bytes) -> RawBook:
    """Give a table in text as one sheet called Intake."""
    decoded = _decode(data)
    if decoded is None:
        return RawBook(refused="file-not-workbook")
    text, coding = decoded
    remarks = [("coding-guessed", coding)] if coding else []
    lone = text.count('"') % 2 == 1
    if lone:
        remarks.append(("quotes-odd", ""))
    best = _best(text, quoting=csv.QUOTE_NONE if lone else csv.QUOTE_MINIMAL)
    if best is None:
        return RawBook(refused="file-damaged")
    filled = sum(1 for row in best if any(cell.strip() for cell in row))
    if filled > cells.MAX_ROWS:
        return RawBook(refused="too-many-rows", detail=name)
    rows = tuple(_text_rows(best))
    sheet = RawSheet(name="Intake", rows=rows, remarks=tuple(remarks))
    return RawBook(sheets=(sheet,), refused="" if rows else "file-no-rows")


def looks_like_a_table(data: bytes) -> bool:
    """Tell whether bytes are text with the same separator on several lines."""
    decoded = _decode(data[:20_000])
    if decoded is None or decoded[0].lstrip().startswith(("<", "{", "%")):
        return False
    lines = [line for line in decoded[0].splitlines() if line.strip()][:12]
    return any(sum(line.count(mark) >= 1 for line in lines) >= 2 for mark in "\t;,")


def _best(text: str, *, quoting: int) -> list[list[str]] | None:
    """Rows by the separator that parts most lines into equally many cells."""
    found: list[list[list[str]]] = []
    for mark in _MARKS:
        try:
            rows = list(csv.reader(io.StringIO(text), delimiter=mark, quoting=quoting))  # type: ignore[arg-type]
        except csv.Error:
            continue
        found.append(rows)
    # A list inside a few cells is no table: the separator parts most lines.
    least = _AS_MANY * max((_parted(rows) for rows in found), default=0)
    likely = [rows for rows in found if _parted(rows) >= least]
    return max(likely, key=_score, default=None)


def _parted(rows: list[list[str]]) -> int:
    """Lines of more than one cell."""
    return sum(1 for row in rows[:_LOOKED_AT] if len(row) > 1)


def _score(rows: list[list[str]]) -> tuple[bool, int, float, int]:
    """Steady tables first, then the wider, the steadier, the longer.

    Title lines and blank lines of one cell do not count against a table.
    """
    widths = Counter(len(row) for row in rows[:_LOOKED_AT] if len(row) > 1)
    if not widths:
        return (False, 1, 0.0, 0)
    usual, often = max(widths.items(), key=lambda item: (item[1], item[0]))
    share = often / widths.total()
    lone = sum(1 for row in rows[:_LOOKED_AT] if len(row) == 1 and row[0].strip())
    steady = share >= _STEADY and lone <= max(12, widths.total())
    return (steady, usual, share, widths.total())


def _decode(data: bytes) -> tuple[str, str] | None:
    """Text of the bytes and the code page, where that had to be guessed."""
    text, coding = _decoded(data)
    if text is None:
        return None
    binary = sum(1 for sign in text if ord(sign) < 32 and sign not in "\t\r\n\f\v")
    return (text, coding) if binary == 0 else None


def _decoded(data: bytes) -> tuple[str | None, str]:
    if data.startswith((b"\xff\xfe\x00\x00", b"\x00\x00\xfe\xff")):
        return _try(data, "utf-32"), ""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return _try(data, "utf-16"), ""
    if not data.startswith(b"\xef\xbb\xbf") and (wide := _wide(data)):
        return _try(data, wide), ""
    text = _try(data, "utf-8-sig")
    return (text, "") if text is not None else _old_code_page(data)


def _wide(data: bytes) -> str:
    """UTF-16 without its mark: every second byte of plain text is 0."""
    head = data[:2000]
    if len(head) < 8 or len(data) % 2:
        return ""
    half = len(head) // 2
    if head[1::2].count(0) > 0.7 * half and 0 not in head[0::2]:
        return "utf-16-le"
    if head[0::2].count(0) > 0.7 * half and 0 not in head[1::2]:
        return "utf-16-be"
    return ""


def _try(data: bytes, coding: str) -> str | None:
    try:
        return data.decode(coding)
    except UnicodeDecodeError:
        return None


def _old_code_page(data: bytes) -> tuple[str | None, str]:
    """Windows or Mac letters; Mac only when it is clearly the likelier."""
    windows = _try(data, "cp1252")
    mac = data.decode("mac-roman")
    if windows is None:
        latin = data.decode("latin-1")
        return (
            (mac, "Mac Roman") if _likely(mac) > _likely(latin) else (latin, "Latin-1")
        )
    if _likely(mac) > _likely(windows) + 1 and any(sign in _ODD for sign in windows):
        return mac, "Mac Roman"
    return windows, "Windows 1252"


def _likely(text: str) -> int:
    """Letters of western names that stand inside words, less odd signs."""
    inside = re.findall(r"(?<=[a-zA-Z])[^\x00-\x7f]|[^\x00-\x7f](?=[a-z])", text)
    good = sum(1 for sign in inside if sign in _COMMON)
    return good - 2 * sum(
        1 for sign in text if sign in _ODD or "\x80" <= sign <= "\x9f"
    )


def _text_rows(rows: list[list[str]]) -> Iterator[RawRow]:
    for number, row in enumerate(rows, start=1):
        found = tuple(
            Cell(
                value=clean(one[: cells.MAX_TEXT]) or None,
                cut=len(one) > cells.MAX_TEXT,
            )
            for one in row[: cells.MAX_COLUMNS]
        )
        if any(cell.text for cell in found):
            yield RawRow(number, found)
