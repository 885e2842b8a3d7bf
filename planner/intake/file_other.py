"""Workbooks of the formats .xls and .ods: values only.

Their reader gives no looks: strike-through, colours and hidden rows are not
seen, which is told with the sheet.
"""

import io
import re
import zipfile
from collections.abc import Iterator
from typing import Any

from python_calamine import (
    CalamineError,
    PasswordError,
    SheetTypeEnum,
    SheetVisibleEnum,
    load_workbook,
)

from planner.intake import cells
from planner.intake.cells import Cell, RawBook, RawRow, RawSheet, TooManyRowsError
from planner.intake.words import clean

_BINARY_MAX_BYTES = 8_000_000
_EMPTY = Cell()
_MAX_SPAN = 20_000_000
_TAGS = re.compile(
    rb"<(/?)table:(table-row|table-cell|covered-table-cell|table)\b([^>]*)>"
)


def read_other(data: bytes) -> RawBook:
    """Read a workbook of another format; never raises on its content.

    Raises
    ------
    TooManyRowsError
        When a sheet has more rows than an intake list can have.
    """
    if len(data) > _BINARY_MAX_BYTES:
        return RawBook(refused="file-too-big", detail=f"{len(data) / 1e6:.0f} MB")
    try:
        book = load_workbook(io.BytesIO(data))
        named = [
            one for one in book.sheets_metadata if one.typ == SheetTypeEnum.WorkSheet
        ]
        sheets = tuple(_sheet(book, one) for one in named)
        book.close()
    except PasswordError:
        return RawBook(refused="file-locked")
    except CalamineError:
        return RawBook(refused="file-damaged")
    except BaseException as fault:
        if type(fault).__name__ != "PanicException":  # the reader's own crash
            raise
        return RawBook(refused="file-damaged")
    filled = [sheet for sheet in sheets if sheet.rows]
    return RawBook(sheets=sheets, refused="" if filled else "file-no-rows")


def _sheet(book: Any, one: Any) -> RawSheet:
    sheet = book.get_sheet_by_name(one.name)
    if sheet.total_height > cells.MAX_ROW_NUMBER:
        raise TooManyRowsError(one.name)
    first = sheet.start or (0, 0)
    return RawSheet(
        name=clean(one.name),
        rows=tuple(_rows(sheet, one.name, first)),
        hidden=one.visible != SheetVisibleEnum.Visible,
        merged=_merged(sheet),
        looks_read=False,
    )


def _merged(sheet: Any) -> tuple[tuple[int, int, int, int], ...]:
    """Areas of merged cells, where the format tells them."""
    areas = sheet.merged_cell_ranges or ()
    return tuple(
        (top + 1, left, bottom + 1, right) for (top, left), (bottom, right) in areas
    )


def _rows(sheet: Any, title: str, first: tuple[int, int]) -> Iterator[RawRow]:
    texts: dict[str, str] = {}
    count = 0
    before = (_EMPTY,) * min(first[1], cells.MAX_COLUMNS)
    for number, values in enumerate(sheet.iter_rows(), start=1):
        row = (*before, *(_cell(value, texts) for value in values))
        row = row[: cells.MAX_COLUMNS]
        if not any(cell.value is not None for cell in row):
            continue
        count += 1
        if count > cells.MAX_ROWS:
            raise TooManyRowsError(title)
        yield RawRow(number, row)


def _cell(value: Any, texts: dict[str, str]) -> Cell:
    if value is None or value == "":
        return _EMPTY
    plain = cells.plain_value(value, texts)
    return Cell(plain, cut=isinstance(value, str) and len(value) > cells.MAX_TEXT)


def too_wide_or_long(content: bytes) -> str:
    """Issue code of an .ods part whose sheets span more than a list, or ``""``.

    A few bytes can say: repeat this row or cell a million times.
    """
    row = column = width = 0
    times = 1
    for tag in _TAGS.finditer(content):
        closing, name, attributes = tag[1], tag[2], tag[3]
        if name == b"table":
            row = 0
        elif name == b"table-row":
            if closing:
                row += times
                continue
            column, times = 0, _repeated(attributes, b"rows")
            row += times if attributes.endswith(b"/") else 0
        elif not closing:
            many = _repeated(attributes, b"columns")
            column += many
            if b"value-type=" in attributes or not attributes.endswith(b"/"):
                width = max(width, column)
                if times > cells.MAX_ROWS or row + times > cells.MAX_ROW_NUMBER:
                    return "too-many-rows"
                if (row + times) * width > _MAX_SPAN:
                    return "file-unpacks-too-big"
    return ""


def _repeated(attributes: bytes, what: bytes) -> int:
    match = re.search(rb"number-" + what + rb"-repeated=[\"'](\d{1,9})", attributes)
    return int(match[1]) if match else 1


def has_password(packed: zipfile.ZipFile) -> bool:
    """Tell an .ods package whose content is encrypted."""
    names = packed.namelist()
    if "META-INF/manifest.xml" not in names:
        return False
    return b"encryption-data" in packed.read("META-INF/manifest.xml")
