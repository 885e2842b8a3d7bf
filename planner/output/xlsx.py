"""Tables as a spreadsheet file: safe text, print set-up, the same bytes twice.

Nothing here knows about plans; :mod:`planner.output.workbook` does.
"""

import io
import math
import re
import zipfile
from copy import copy
from dataclasses import dataclass
from datetime import datetime
from numbers import Integral, Real
from typing import Any

import pandas as pd
from openpyxl import Workbook
from openpyxl.formatting.rule import Rule
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.styles.differential import DifferentialStyle
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.header_footer import HeaderFooterItem
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from planner.output.words import safe_text, width

FONT_SIZE = 12
"""Points; smaller print is not read in a hall at night."""

_NARROWEST, _WIDEST = 8, 46
_HEADING_FILL = PatternFill("solid", fgColor="E4E4E4")
_LINE = Border(bottom=Side(style="thin", color="999999"))
_CORE = "docProps/core.xml"


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """One table with the words above it."""

    heading: str
    table: pd.DataFrame


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One sheet: the question it answers, a note, and its tables.

    ``none`` stands in a table without rows.  ``marks`` are words that are set off wherever a cell contains them; the
    word itself is the mark, the shade only helps to find it.
    """

    name: str
    question: str
    note: str
    blocks: tuple[Block, ...]
    none: str = "none"
    marks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Stamp:
    """What stands in the file's properties and on every printed page.

    ``page`` numbers the pages, in the codes of a spreadsheet's footer.
    """

    title: str
    footer: str
    moment: datetime
    page: str = "Page &P of &N"


def new_workbook(stamp: Stamp) -> Workbook:
    """Start a workbook without sheets, dated by the stamp and not by now."""
    book = Workbook()
    book.remove(book.worksheets[0])
    book.properties.title = stamp.title
    book.properties.creator = "cold-storage-planner"
    book.properties.created = stamp.moment
    return book


def add_sheet(book: Workbook, sheet: Sheet, stamp: Stamp) -> None:
    """Append one sheet with frozen headings, filter, widths and print set-up."""
    page = book.create_sheet(sheet.name)
    _put(page, 1, 1, sheet.question, Font(size=FONT_SIZE + 4, bold=True), wrap=False)
    _put(page, 2, 1, sheet.note, Font(size=FONT_SIZE, italic=True), wrap=False)
    row = 3
    for number, block in enumerate(sheet.blocks):
        if number:
            row += 1
            _put(page, row, 1, block.heading, Font(size=FONT_SIZE + 2, bold=True))
            row += 1
        last = _add_table(page, row, block.table, sheet.none)
        if number == 0:
            page.freeze_panes = f"A{row + 1}"
            page.print_title_rows = f"1:{row}"
            end = get_column_letter(max(1, block.table.shape[1]))
            page.auto_filter.ref = f"A{row}:{end}{last}"
        _add_marks(
            page, f"A{row + 1}:{get_column_letter(page.max_column)}{last}", sheet
        )
        row = last + 1
    _set_widths(page, sheet)
    set_up_page(page, stamp)


def add_text_sheet(
    book: Workbook, name: str, lines: tuple[tuple[str, bool], ...], stamp: Stamp
) -> None:
    """Append a sheet of sentences; a ``True`` line is a heading."""
    page = book.create_sheet(name)
    for row, (text, heading) in enumerate(lines, start=1):
        size = FONT_SIZE + 4 if row == 1 else FONT_SIZE + 2 if heading else FONT_SIZE
        _put(page, row, 1, text, Font(size=size, bold=heading))
    page.column_dimensions["A"].width = 118
    page.freeze_panes = "A2"
    page.print_title_rows = "1:1"
    set_up_page(page, stamp)


def set_up_page(page: Worksheet, stamp: Stamp) -> None:
    """Set landscape, one page wide, with mark, time and page x of y."""
    page.page_setup.orientation = "landscape"
    page.page_setup.fitToWidth = 1
    page.page_setup.fitToHeight = 0
    page.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    page.page_margins.left = page.page_margins.right = 0.4
    page.page_margins.top = page.page_margins.bottom = 0.7
    page.HeaderFooter.oddHeader = _edge(stamp.title, page.title)
    page.HeaderFooter.oddFooter = _edge(stamp.footer, "")
    page.HeaderFooter.oddFooter.right.text = stamp.page


def to_bytes(book: Workbook, stamp: Stamp) -> bytes:
    """Save a workbook so that the same content is the same bytes.

    The library writes the time of saving into the properties and into every
    entry of the archive; both are set to the stamp's moment, and the entries
    are written in a fixed order.
    """
    saved = io.BytesIO()
    book.save(saved)
    moment = stamp.moment.replace(microsecond=0)
    # The archive's format knows the years 1980 to 2107.
    year = min(max(moment.year, 1980), 2107)
    entry_time = (year, moment.month, moment.day, moment.hour, moment.minute, 0)
    result = io.BytesIO()
    with (
        zipfile.ZipFile(saved) as old,
        zipfile.ZipFile(result, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as new,
    ):
        for name in sorted(old.namelist(), key=_entry_order):
            content = old.read(name)
            if name == _CORE:
                content = _fix_modified(content, moment)
            entry = zipfile.ZipInfo(name, date_time=entry_time)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.create_system = 3
            entry.external_attr = 0o600 << 16
            new.writestr(entry, content)
    return result.getvalue()


def _edge(left: str, right: str) -> HeaderFooterItem:
    # An ampersand starts a code in headers, so a plain one is doubled.
    edge = HeaderFooterItem()
    edge.left.text = left.replace("&", "&&")
    edge.right.text = right.replace("&", "&&")
    return edge


def _entry_order(name: str) -> tuple[bool, str]:
    # Readers that look at the first entry expect the list of content types.
    return name != "[Content_Types].xml", name


def _fix_modified(core: bytes, moment: datetime) -> bytes:
    stamp = moment.isoformat(timespec="seconds").encode() + b"Z"
    return re.sub(
        rb"(<dcterms:modified[^>]*>)[^<]*(</dcterms:modified>)",
        lambda found: found.group(1) + stamp + found.group(2),
        core,
    )


def _put(
    page: Worksheet,
    row: int,
    column: int,
    value: object,
    font: Font,
    *,
    wrap: bool = True,
) -> None:
    cell = page.cell(row=row, column=column)
    _put_value(cell, value)
    cell.font = font
    cell.alignment = Alignment(vertical="top", wrap_text=wrap)


def _put_value(cell: Any, value: object) -> None:
    """Set a value; text that a spreadsheet would run is stored as text."""
    if isinstance(value, str):
        if text := safe_text(value):
            cell.value = text
            # Otherwise a text such as #N/A would be stored as an error.
            cell.data_type = "s"
    elif isinstance(value, Integral):
        cell.value = int(value)
    elif isinstance(value, Real) and math.isfinite(value):
        cell.value = float(value)


def _add_table(page: Worksheet, row: int, table: pd.DataFrame, none: str) -> int:
    """Write headings at ``row`` and the rows below; return the last row."""
    for column, heading in enumerate(table.columns, start=1):
        _put(page, row, column, str(heading), Font(size=FONT_SIZE, bold=True))
        cell = page.cell(row=row, column=column)
        cell.fill = _HEADING_FILL
        cell.border = _LINE
    last = row
    plain = Font(size=FONT_SIZE)
    dressed: Any = None
    for values in table.itertuples(index=False, name=None):
        last += 1
        for column, value in enumerate(values, start=1):
            if dressed is None:
                _put(page, last, column, value, plain)
                dressed = page.cell(row=last, column=column)
                dressed.border = _LINE
                continue
            like: Any = page.cell(row=last, column=column)
            _put_value(like, value)
            # Setting font, alignment and border cell by cell takes half the time.
            like._style = copy(dressed._style)
    if last == row:
        last += 1
        _put(page, last, 1, none, plain)
    return last


def _add_marks(page: Worksheet, cells: str, sheet: Sheet) -> None:
    first = cells.split(":")[0]
    look = DifferentialStyle(
        font=Font(bold=True), fill=PatternFill("solid", bgColor="FFE699")
    )
    for word in sheet.marks:
        rule = Rule(type="containsText", operator="containsText", text=word, dxf=look)
        rule.formula = [f'NOT(ISERROR(FIND("{word}",{first})))']
        page.conditional_formatting.add(cells, rule)


def _set_widths(page: Worksheet, sheet: Sheet) -> None:
    widest: dict[int, int] = {}
    for block in sheet.blocks:
        for column, heading in enumerate(block.table.columns, start=1):
            texts = [safe_text(str(one)) for one in block.table[heading]]
            longest_word = max(width(word) for word in str(heading).split()) + 4
            need = max([longest_word, *(width(text) + 2 for text in texts)])
            widest[column] = max(widest.get(column, 0), need)
    for column, need in widest.items():
        letter = get_column_letter(column)
        page.column_dimensions[letter].width = min(max(need, _NARROWEST), _WIDEST) * 1.1
