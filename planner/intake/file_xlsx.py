"""Workbooks of the .xlsx family: values, and what their looks say."""

import io
import re
import warnings
import zipfile
from collections.abc import Iterator
from typing import Any

from planner.intake import cells
from planner.intake.cells import Cell, RawBook, RawRow, RawSheet, TooManyRowsError
from planner.intake.words import clean

_ROW = re.compile(rb"<(?:\w+:)?row\b([^<>]{0,400})>")
_COLUMN = re.compile(rb"<(?:\w+:)?col\b([^<>]{0,400})/?>")
_MERGED = re.compile(rb'<(?:\w+:)?mergeCell\b[^<>]{0,40}\bref="([A-Z0-9:]{3,20})"')
_LOST = re.compile(
    rb"(?:</(?:\w+:)?f>|<(?:\w+:)?f\b[^<>]{0,400}/>)\s*(?:<(?:\w+:)?v\s*/>|"
    rb"<(?:\w+:)?v>\s*</(?:\w+:)?v>)?\s*</(?:\w+:)?c>"
)
_MAX_MERGED = 2_000
_PLAIN = frozenset({"", "00000000", "FFFFFFFF", "00FFFFFF"})


def read_xlsx(data: bytes) -> RawBook:
    """Read a workbook whose package was found to be safe.

    Raises
    ------
    TooManyRowsError
        When a sheet has more rows than an intake list can have.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the reader warns about styles and fonts
        book = _load(data, data_only=True)
        sheets = []
        formulas = None
        for sheet in book.worksheets:
            xml = _part(data, getattr(sheet, "_worksheet_path", ""))
            if formulas is None and _LOST.search(xml):
                formulas = _load(data, data_only=False)
            lost = formulas is not None and _LOST.search(xml)
            twin = formulas[sheet.title] if formulas is not None and lost else None
            sheets.append(_sheet(sheet, twin, xml))
        book.close()
    filled = [sheet for sheet in sheets if sheet.rows]
    return RawBook(sheets=tuple(sheets), refused="" if filled else "file-no-rows")


def _load(data: bytes, *, data_only: bool) -> Any:
    from openpyxl import load_workbook  # slow to load; not needed before a list

    return load_workbook(
        io.BytesIO(data), read_only=True, data_only=data_only, keep_links=False
    )


def _part(data: bytes, path: str) -> bytes:
    name = path.removeprefix("/")
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        return packed.read(name) if name in packed.namelist() else b""


def _sheet(sheet: Any, twin: Any, xml: bytes) -> RawSheet:
    hidden = _hidden_rows(xml)
    return RawSheet(
        name=clean(sheet.title),
        rows=tuple(_rows(sheet, twin, hidden)),
        hidden=getattr(sheet, "sheet_state", "visible") != "visible",
        hidden_columns=_hidden_columns(xml),
        merged=_merged(xml),
    )


def _is_hidden(attributes: bytes) -> bool:
    return bool(re.search(rb'\bhidden="(?:1|true)"', attributes))


def _hidden_rows(xml: bytes) -> frozenset[int]:
    found = set()
    for match in _ROW.finditer(xml):
        number = re.search(rb'\br="(\d{1,7})"', match[1])
        if number and _is_hidden(match[1]):
            found.add(int(number[1]))
    return frozenset(found)


def _hidden_columns(xml: bytes) -> frozenset[int]:
    found: set[int] = set()
    for match in _COLUMN.finditer(xml):
        edges = [
            re.search(rb"\b" + name + rb'="(\d{1,5})"', match[1])
            for name in (b"min", b"max")
        ]
        if _is_hidden(match[1]) and edges[0] and edges[1]:
            low, high = int(edges[0][1]) - 1, int(edges[1][1])
            found.update(range(low, min(high, cells.MAX_COLUMNS)))
    return frozenset(found)


def _merged(xml: bytes) -> tuple[tuple[int, int, int, int], ...]:
    from openpyxl.utils import range_boundaries

    areas: list[tuple[int, int, int, int]] = []
    for match in _MERGED.finditer(xml):
        if len(areas) >= _MAX_MERGED:
            break
        try:
            left, top, right, bottom = range_boundaries(match[1].decode("ascii"))
        except ValueError:
            continue
        if left and top and right and bottom:
            areas.append((top, left - 1, bottom, right - 1))
    return tuple(areas)


def _rows(sheet: Any, twin: Any, hidden: frozenset[int]) -> Iterator[RawRow]:
    """Non-empty rows; ``twin`` is the same sheet with formulas unread."""
    sheet.reset_dimensions()  # the stated size of a sheet is often wrong
    if twin is not None:
        twin.reset_dimensions()
    looks = _Looks()
    texts: dict[str, str] = {}
    twins = twin.iter_rows() if twin is not None else None
    count = 0
    for number, found in enumerate(sheet.iter_rows(), start=1):
        if number > cells.MAX_ROW_NUMBER:
            raise TooManyRowsError(sheet.title)
        typed = next(twins, ()) if twins is not None else ()
        if not found:
            continue
        row = tuple(
            _cell(cell, typed[at] if at < len(typed) else None, texts, looks)
            for at, cell in enumerate(found[: cells.MAX_COLUMNS])
        )
        if not any(cell.value is not None or cell.lost_formula for cell in row):
            continue
        count += 1
        if count > cells.MAX_ROWS:
            raise TooManyRowsError(sheet.title)
        yield RawRow(number, row, number in hidden)


_EMPTY = Cell()


class _Looks:
    """Percent, strike-through and fill of each style, read once."""

    __slots__ = ("_known",)

    def __init__(self) -> None:
        self._known: dict[int, tuple[bool, bool, str]] = {}

    def of(self, cell: Any) -> tuple[bool, bool, str]:
        style = cell._style_id
        found = self._known.get(style)
        if found is None:
            found = self._known[style] = _look(cell)
        return found


def _look(cell: Any) -> tuple[bool, bool, str]:
    font, fill = cell.font, cell.fill
    colour = ""
    if fill is not None and getattr(fill, "fill_type", None) == "solid":
        colour = _named(fill.fgColor)
    struck = bool(font is not None and font.strike)
    return "%" in (cell.number_format or ""), struck, colour


def _named(colour: Any) -> str:
    """Name of a fill; white and none are no colour."""
    kind = getattr(colour, "type", "")
    if kind == "rgb":
        value = str(colour.rgb)
        return "" if value in _PLAIN else value
    if kind == "theme":
        return "" if colour.theme == 0 else f"theme {colour.theme}"
    if kind == "indexed":
        return "" if colour.indexed in (9, 64, 65) else f"colour {colour.indexed}"
    return ""


def _cell(cell: Any, typed: Any, texts: dict[str, str], looks: _Looks) -> Cell:
    value = cell.value
    if value is None:
        lost = typed is not None and typed.data_type == "f"
        return Cell(lost_formula=True) if lost else _EMPTY
    percent, struck, colour = looks.of(cell)
    return Cell(
        cells.plain_value(value, texts),
        percent,
        struck,
        False,
        isinstance(value, str) and len(value) > cells.MAX_TEXT,
        colour,
    )
