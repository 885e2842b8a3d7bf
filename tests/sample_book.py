"""Writes a workbook whose bytes depend on nothing but its content.

The document's times and every time stamp inside the archive are fixed, and
entries are stored without compression, so that the same rows give the same
bytes on any machine with the same workbook library.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from openpyxl import Workbook
from openpyxl.styles import Font

FIXED_TIME = datetime(2026, 1, 1)
FIXED_STAMP = (2026, 1, 1, 0, 0, 0)
INVENTED = "Invented demonstration data; no real people or places"

Row = Mapping[str, Any]


def add_table(
    book: Workbook,
    title: str,
    headings: Sequence[str],
    rows: Iterable[Row | Sequence[Any]],
    *,
    above: Sequence[str] = (),
) -> None:
    """Add a sheet: title lines, an empty line after them, headings, rows.

    A row is a mapping from heading to value (other cells stay empty) or a
    plain sequence of cell values.
    """
    sheet = book.create_sheet(title)
    for line in above:
        sheet.append([line])
        sheet.cell(sheet.max_row, 1).font = Font(bold=True)
    at = len(above) + 2 if above else 1
    for column, heading in enumerate(headings, start=1):
        sheet.cell(at, column, heading).font = Font(bold=True)
        letter = sheet.cell(at, column).column_letter
        sheet.column_dimensions[letter].width = max(9, min(28, len(heading) + 3))
    for offset, row in enumerate(rows, start=1):
        if isinstance(row, Mapping):
            _check(row, headings, title)
            values: Sequence[Any] = [row.get(heading) for heading in headings]
        else:
            values = row
        for column, value in enumerate(values, start=1):
            if value is None:
                continue
            cell = sheet.cell(at + offset, column, value)
            if isinstance(value, str):
                # A text that begins with = stays a text, as people type it.
                cell.data_type = "s"
    sheet.freeze_panes = sheet.cell(at + 1, 1)


def _check(row: Row, headings: Sequence[str], title: str) -> None:
    strange = sorted(set(row) - set(headings))
    if strange:
        msg = f"{title}: no heading for {strange}"
        raise ValueError(msg)


def new_book(title: str) -> Workbook:
    """Return an empty workbook with fixed document properties."""
    book = Workbook()
    book.remove(book.worksheets[0])
    book.properties.creator = "make_samples"
    book.properties.title = title
    book.properties.description = INVENTED
    book.properties.created = FIXED_TIME
    return book


def book_bytes(book: Workbook) -> bytes:
    """Return the workbook as bytes, with every time stamp fixed."""
    raw = io.BytesIO()
    book.save(raw)
    out = io.BytesIO()
    with zipfile.ZipFile(raw) as source, zipfile.ZipFile(out, "w") as target:
        for name in sorted(source.namelist(), key=_order):
            data = source.read(name)
            if name == "docProps/core.xml":
                data = _fix_modified(data)
            info = zipfile.ZipInfo(name, FIXED_STAMP)
            info.create_system = 0
            info.external_attr = 0
            target.writestr(info, data, zipfile.ZIP_STORED)
    return out.getvalue()


def _order(name: str) -> tuple[int, str]:
    """Put the content types first, as readers of the format expect."""
    return (0 if name == "[Content_Types].xml" else 1, name)


def _fix_modified(data: bytes) -> bytes:
    stamp = FIXED_TIME.strftime("%Y-%m-%dT%H:%M:%SZ").encode()
    fixed, count = re.subn(
        rb"(<dcterms:modified[^>]*>)[^<]*(</dcterms:modified>)",
        rb"\g<1>" + stamp + rb"\g<2>",
        data,
    )
    if count != 1:
        msg = "the workbook library no longer writes one modified time"
        raise ValueError(msg)
    return fixed


def write(path: Path, data: bytes) -> None:
    """Write ``data`` only when it differs from what stands there."""
    if not path.exists() or path.read_bytes() != data:
        path.write_bytes(data)
