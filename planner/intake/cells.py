"""Bytes of a file to raw cells with their addresses; refuses what is unsafe.

Nothing here knows what the cells mean.  Every refusal is an issue code, so
that no file, however broken, raises.
"""

import csv
import io
import math
import re
import warnings
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any, NamedTuple

from openpyxl import load_workbook

from planner.intake.words import clean

MAX_FILE_BYTES = 20_000_000
MAX_UNPACKED_BYTES = 100_000_000
MAX_RATIO = 200
MAX_PARTS = 2_000
MAX_ROWS = 20_000
MAX_ROW_NUMBER = 200_000
MAX_COLUMNS = 100
MAX_TEXT = 2_000

CellValue = str | float | bool | datetime | time | timedelta | None
_OLE = bytes.fromhex("d0cf11e0a1b11ae1")
_ENTITY = tuple(
    word.encode(coding)
    for word in ("<!DOCTYPE", "<!ENTITY")
    for coding in ("utf-8", "utf-16-le", "utf-16-be")
)
_HIDDEN_ROW = re.compile(rb"<(?:\w+:)?row\b([^<>]{0,400})>")


class Cell(NamedTuple):
    """One cell: its value, and what its look says about it."""

    value: CellValue = None
    percent: bool = False
    struck: bool = False
    lost_formula: bool = False
    cut: bool = False

    @property
    def text(self) -> str:
        """The value as cleaned text; empty when blank."""
        return show(self.value)


class RawRow(NamedTuple):
    """One non-empty row under its spreadsheet number."""

    number: int
    cells: tuple[Cell, ...]
    hidden: bool = False

    def at(self, index: int) -> Cell:
        """Cell at a column index; a blank one beyond the end."""
        return self.cells[index] if 0 <= index < len(self.cells) else Cell()


@dataclass(frozen=True, slots=True, kw_only=True)
class RawSheet:
    """All non-empty rows of one sheet."""

    name: str
    rows: tuple[RawRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RawBook:
    """A file's sheets, or the codes that say why it was refused."""

    sheets: tuple[RawSheet, ...] = ()
    refused: str = ""
    detail: str = ""


def show(value: CellValue) -> str:
    """Give a cell's value as the text a person would see."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float | int):
        return f"{value:.12g}"
    if isinstance(value, datetime):
        return value.strftime("%Y-%m-%d %H:%M").removesuffix(" 00:00")
    if isinstance(value, time):
        return value.strftime("%H:%M")
    if isinstance(value, timedelta):
        return f"{value.total_seconds() / 3600:.12g} h"
    return clean(value)


def open_book(name: str, data: bytes) -> RawBook:
    """Read a workbook or a text table; never raises on its content."""
    if not data:
        return RawBook(refused="file-empty")
    if len(data) > MAX_FILE_BYTES:
        return RawBook(refused="file-too-big", detail=f"{len(data) / 1e6:.0f} MB")
    if data.startswith(_OLE):
        locked = "EncryptedPackage".encode("utf-16-le") in data
        return RawBook(refused="file-locked" if locked else "file-old-format")
    if data.startswith(b"PK"):
        return _open_zip(data)
    if name.lower().endswith((".csv", ".tsv", ".txt")):
        return _open_text(name, data)
    return RawBook(refused="file-not-workbook")


def _open_zip(data: bytes) -> RawBook:
    try:
        refused = _guard(data)
        return RawBook(refused=refused) if refused else _read_workbook(data)
    except _TooManyRowsError as fault:
        return RawBook(refused="too-many-rows", detail=str(fault))
    except Exception:  # any fault of a foreign file is the same news to its owner
        return RawBook(refused="file-damaged")


class _TooManyRowsError(Exception):
    """A sheet has more rows than any intake list; carries its name."""


def _guard(data: bytes) -> str:
    """Issue code for a packed file that must not be opened, or ``""``."""
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        parts = packed.infolist()
        names = {part.filename for part in parts}
        unpacked = sum(part.file_size for part in parts)
        if len(parts) > MAX_PARTS or unpacked > MAX_UNPACKED_BYTES:
            return "file-unpacks-too-big"
        if unpacked > MAX_RATIO * len(data) and unpacked > MAX_TEXT * 1000:
            return "file-unpacks-too-big"
        if "xl/workbook.bin" in names or "content.xml" in names:
            return "file-old-format"
        if any(part.flag_bits & 1 for part in parts):
            return "file-locked"
        if "[Content_Types].xml" not in names:
            return "file-not-workbook"
        for part in parts:
            if part.filename.lower().endswith((".xml", ".rels", ".vml")):
                content = packed.read(part)
                if any(mark in content for mark in _ENTITY):
                    return "file-unsafe"
    return ""


def _read_workbook(data: bytes) -> RawBook:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the reader warns about styles and fonts
        book = _load(data, data_only=True)
        formulas = _load(data, data_only=False) if _has_formulas(data) else None
        sheets = []
        for sheet in book.worksheets:
            twin = formulas[sheet.title] if formulas is not None else None
            hidden = _hidden_rows(data, getattr(sheet, "_worksheet_path", ""))
            rows = tuple(_rows(sheet, twin, hidden))
            sheets.append(RawSheet(name=clean(sheet.title), rows=rows))
        book.close()
    filled = [sheet for sheet in sheets if sheet.rows]
    return RawBook(sheets=tuple(sheets), refused="" if filled else "file-no-rows")


def _load(data: bytes, *, data_only: bool) -> Any:
    return load_workbook(
        io.BytesIO(data), read_only=True, data_only=data_only, keep_links=False
    )


def _parts(data: bytes, start: str) -> Iterator[bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        for part in packed.infolist():
            if start and part.filename.startswith(start):
                yield packed.read(part)


def _has_formulas(data: bytes) -> bool:
    return any(re.search(rb"<(?:\w+:)?f[ >/]", part) for part in _parts(data, "xl/wor"))


def _hidden_rows(data: bytes, path: str) -> frozenset[int]:
    found = set()
    for part in _parts(data, path.removeprefix("/")):
        for match in _HIDDEN_ROW.finditer(part):
            number = re.search(rb'\br="(\d{1,7})"', match[1])
            if number and re.search(rb'\bhidden="(?:1|true)"', match[1]):
                found.add(int(number[1]))
    return frozenset(found)


def _rows(sheet: Any, twin: Any, hidden: frozenset[int]) -> Iterator[RawRow]:
    """Non-empty rows; ``twin`` is the same sheet with formulas unread."""
    sheet.reset_dimensions()  # the stated size of a sheet is often wrong
    if twin is not None:
        twin.reset_dimensions()
    texts: dict[str, str] = {}
    twins = twin.iter_rows() if twin is not None else None
    count = 0
    for number, cells in enumerate(sheet.iter_rows(), start=1):
        if number > MAX_ROW_NUMBER:
            raise _TooManyRowsError(sheet.title)
        typed = next(twins, ()) if twins is not None else ()
        if not cells:
            continue
        row = tuple(
            _cell(cell, typed[at] if at < len(typed) else None, texts)
            for at, cell in enumerate(cells[:MAX_COLUMNS])
        )
        if not any(cell.text or cell.lost_formula for cell in row):
            continue
        count += 1
        if count > MAX_ROWS:
            raise _TooManyRowsError(sheet.title)
        yield RawRow(number, row, number in hidden)


def _cell(cell: Any, typed: Any, texts: dict[str, str]) -> Cell:
    value = _value(cell.value, texts)
    lost = value is None and typed is not None and typed.data_type == "f"
    if value is None:
        return Cell(lost_formula=lost)
    style = cell.number_format or ""
    font = cell.font
    return Cell(
        value=value,
        percent="%" in style,
        struck=bool(font is not None and font.strike),
        cut=isinstance(cell.value, str) and len(cell.value) > MAX_TEXT,
    )


def _value(value: Any, texts: dict[str, str]) -> CellValue:
    """Only plain kinds of values; long texts are cut once and shared."""
    if isinstance(value, str):
        if value not in texts:
            texts[value] = clean(value[:MAX_TEXT])
        return texts[value] or None
    if isinstance(value, bool | datetime | time | timedelta):
        return value
    if isinstance(value, int | float):
        try:
            number = float(value)
        except OverflowError:
            return "number out of range"
        return number if math.isfinite(number) else "number out of range"
    if isinstance(value, date):
        return datetime(value.year, value.month, value.day)
    return None if value is None else clean(str(value)[:MAX_TEXT]) or None


def _open_text(name: str, data: bytes) -> RawBook:
    """Give a table in text: the code page and the separator are found out."""
    text = _decode(data)
    if text is None:
        return RawBook(refused="file-not-workbook")
    best: list[list[str]] = []
    for mark in (",", ";", "\t", "|"):
        try:
            rows = list(csv.reader(io.StringIO(text), delimiter=mark))
        except csv.Error:
            continue
        if _width(rows) > _width(best):
            best = rows
    filled = sum(1 for row in best if any(cell.strip() for cell in row))
    if filled > MAX_ROWS:
        return RawBook(refused="too-many-rows", detail=name)
    raw = tuple(_text_rows(best))
    sheet = RawSheet(name="Intake", rows=raw)
    return RawBook(sheets=(sheet,), refused="" if raw else "file-no-rows")


def _width(rows: list[list[str]]) -> int:
    return max((len(row) for row in rows[:12]), default=0)


def _decode(data: bytes) -> str | None:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        codings: tuple[str, ...] = ("utf-16",)
    else:
        codings = ("utf-8-sig", "cp1252", "latin-1")
    for coding in codings:
        try:
            text = data.decode(coding)
        except UnicodeDecodeError:
            continue
        binary = sum(1 for sign in text if ord(sign) < 32 and sign not in "\t\r\n\f")
        return text if binary == 0 else None
    return None


def _text_rows(rows: list[list[str]]) -> Iterator[RawRow]:
    for number, row in enumerate(rows, start=1):
        cells = tuple(
            Cell(value=clean(c[:MAX_TEXT]) or None, cut=len(c) > MAX_TEXT)
            for c in row[:MAX_COLUMNS]
        )
        if any(cell.text for cell in cells):
            yield RawRow(number, cells)
