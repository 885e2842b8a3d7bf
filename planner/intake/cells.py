"""Raw cells with their addresses, and the limits of a file.

Nothing here knows what the cells mean.  The readers of the formats are
``file_*.py``; ``open_file.py`` chooses among them.
"""

import math
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any, NamedTuple

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


class Cell(NamedTuple):
    """One cell: its value, and what its look says about it.

    ``colour`` is the fill somebody gave it, as the file names it;
    ``copied`` marks a value carried over from the corner of merged cells.
    """

    value: CellValue = None
    percent: bool = False
    struck: bool = False
    lost_formula: bool = False
    cut: bool = False
    colour: str = ""
    copied: bool = False

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
    """All non-empty rows of one sheet.

    ``hidden_columns`` are column indices; ``merged`` are areas as first
    row, first column, last row, last column (rows as seen, columns from
    0).  ``looks_read`` is False for formats whose strike-through, colours
    and hidden rows are not seen; ``remarks`` are issue codes of the file
    with a word each.
    """

    name: str
    rows: tuple[RawRow, ...]
    hidden: bool = False
    hidden_columns: frozenset[int] = frozenset()
    merged: tuple[tuple[int, int, int, int], ...] = ()
    looks_read: bool = True
    remarks: tuple[tuple[str, str], ...] = ()


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


def plain_value(value: Any, texts: dict[str, str]) -> CellValue:
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


class TooManyRowsError(Exception):
    """A sheet has more rows than any intake list; carries its name."""
