"""Writer of the blank workbook, made from the headings; same bytes each time."""

import io
import re
import zipfile
from datetime import datetime

from openpyxl import Workbook
from openpyxl.comments import Comment
from openpyxl.styles import Alignment, Font, PatternFill
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet

from planner.intake.defaults_text import when_blank
from planner.intake.headings import CONDITIONS, HELP_SHEET, SHEETS, Field, SheetSpec
from planner.intake.settings import SETTINGS

LAST_ROW = 300
_FIXED = datetime(2000, 1, 1)
_HEADER = PatternFill("solid", fgColor="FFDDDDDD")
_BOLD = Font(bold=True)
_WRAP = Alignment(wrap_text=True, vertical="top")


def blank_workbook() -> bytes:
    """Bytes of an empty workbook with all sheets, headings, lists and help."""
    book = Workbook()
    del book[book.sheetnames[0]]
    for spec in SHEETS:
        sheet = book.create_sheet(spec.name)
        _headings(sheet, spec)
        if spec is CONDITIONS:
            _settings(sheet)
    _help(book.create_sheet(HELP_SHEET))
    book.properties.creator = "cold-storage-planner"
    book.properties.created = _FIXED
    raw = io.BytesIO()
    book.save(raw)
    return _same_each_time(raw.getvalue())


def _headings(sheet: Worksheet, spec: SheetSpec) -> None:
    shown = [field for field in spec.fields if not field.extra]
    for column, field in enumerate(shown, start=1):
        cell = sheet.cell(row=1, column=column, value=field.heading)
        cell.font = _BOLD
        cell.fill = _HEADER
        cell.alignment = _WRAP
        cell.comment = _comment(field)
        letter = get_column_letter(column)
        sheet.column_dimensions[letter].width = 30 if field.key == "item" else 16
        _list(sheet, letter, field)
        if field.dimension == "temp":  # as text, so that 2-8 does not become a date
            for row in range(2, LAST_ROW + 1):
                sheet.cell(row=row, column=column).number_format = "@"
    sheet.freeze_panes = "A2"


def _comment(field: Field) -> Comment:
    parts = [field.help, f"Blank: {when_blank(field)}."]
    if field.required:
        parts.insert(0, "Must be filled in.")
    comment = Comment(" ".join(part for part in parts if part), "help")
    comment.width, comment.height = 260, 120
    return comment


def _list(sheet: Worksheet, letter: str, field: Field) -> None:
    choices = ("yes", "no") if field.dimension == "yes/no" else field.choices
    if not choices:
        return
    rule = DataValidation(
        type="list", formula1='"' + ",".join(choices) + '"', allow_blank=True
    )
    rule.errorStyle = "warning"
    rule.error = "Choose one from the list."
    sheet.add_data_validation(rule)
    rule.add(f"{letter}2:{letter}{LAST_ROW}")


def _settings(sheet: Worksheet) -> None:
    for row, setting in enumerate(SETTINGS, start=2):
        sheet.cell(row=row, column=1, value=setting.heading)
        sheet.cell(row=row, column=3).number_format = "@"
        note = f"{setting.help}. Blank: {when_blank(setting)}."
        sheet.cell(row=row, column=4, value=note.removeprefix(". "))
    sheet.column_dimensions["A"].width = 26
    sheet.column_dimensions["D"].width = 90


def _help(sheet: Worksheet) -> None:
    sheet.append(("Sheet", "Column or setting", "What to write", "When blank"))
    for spec in SHEETS:
        fields = SETTINGS if spec is CONDITIONS else spec.fields
        for field in fields:
            if not field.extra:
                sheet.append((spec.name, field.heading, field.help, when_blank(field)))
    for cell in sheet[1]:
        cell.font = _BOLD
        cell.fill = _HEADER
    for letter, width in (("A", 14), ("B", 24), ("C", 60), ("D", 90)):
        sheet.column_dimensions[letter].width = width
    sheet.freeze_panes = "A2"


def _same_each_time(raw: bytes) -> bytes:
    """Pack again with fixed times, so that equal content is equal bytes."""
    packed = io.BytesIO()
    stamp = f"{_FIXED:%Y-%m-%dT%H:%M:%SZ}".encode()
    with (
        zipfile.ZipFile(io.BytesIO(raw)) as source,
        zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as target,
    ):
        for name in source.namelist():
            content = source.read(name)
            if name == "docProps/core.xml":
                content = re.sub(
                    rb"(<dcterms:modified[^>]*>)[^<]*", rb"\g<1>" + stamp, content
                )
            part = zipfile.ZipInfo(name, date_time=(1980, 1, 1, 0, 0, 0))
            part.compress_type = zipfile.ZIP_DEFLATED
            target.writestr(part, content)
    return packed.getvalue()
