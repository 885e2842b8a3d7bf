"""Headings of a file as they are read, so that somebody can change them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from planner.intake.cells import Cell, RawRow, RawSheet
from planner.intake.columns import match_heading
from planner.intake.header_rows import HEADER_ROWS
from planner.intake.headings import HELP_SHEET, INTAKE
from planner.intake.headless import with_headings
from planner.intake.items import match_item
from planner.intake.mapping import (
    NOT_READ,
    ColumnMapping,
    HeadingChoice,
    propose,
    shape_of,
)
from planner.intake.open_file import open_book
from planner.intake.sheets import spec_of

_MOST_LETTERS = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetHeadings:
    """One sheet and its headings.

    ``found`` is False when no heading is known as the item's; the first row
    of short words is offered, so that somebody can say which it is.
    """

    sheet: str
    mapping: ColumnMapping
    found: bool = True


def headings_seen(
    name: str, data: bytes, known: Iterable[ColumnMapping] = ()
) -> tuple[SheetHeadings, ...]:
    """Give the headings of all sheets that may be the intake list.

    ``known`` are mappings that somebody confirmed; one of the same shape is
    shown as it was confirmed.  Empty for a list without headings, and for a
    file that cannot be opened.
    """
    sheets = [
        sheet
        for sheet in open_book(name, data).sheets
        if sheet.rows and sheet.name != HELP_SHEET
    ]
    named = [sheet for sheet in sheets if spec_of(sheet) is INTAKE]
    free = [sheet for sheet in sheets if spec_of(sheet) is None]
    remembered = tuple(known)
    return _seen(named, remembered) or _seen(free, remembered)


def fits_any(found: Iterable[SheetHeadings], known: Iterable[ColumnMapping]) -> bool:
    """Tell whether a remembered mapping is of the shape of one of the sheets."""
    shapes = {one.shape for one in known if one.confirmed}
    return any(one.mapping.shape in shapes for one in found)


def _seen(
    sheets: Sequence[RawSheet], known: tuple[ColumnMapping, ...]
) -> tuple[SheetHeadings, ...]:
    found = []
    for sheet in sheets:
        mapping = propose(sheet, known)
        if mapping is not None:
            found.append(SheetHeadings(sheet=sheet.name, mapping=mapping))
        else:
            found += _unknown(sheet, known)
    return tuple(found)


def _unknown(
    sheet: RawSheet, known: tuple[ColumnMapping, ...]
) -> tuple[SheetHeadings, ...]:
    """Offer the first row that looks like headings nobody knows.

    Where the list can be read without headings, its first row may be
    somebody's bag: then only a row of words above figures is offered.
    """
    readable = with_headings(sheet) is not None
    for row in sheet.rows:
        if row.number > HEADER_ROWS:
            break
        if _only_words(row) and not (readable and not _over_figures(sheet, row)):
            texts = [" ".join(cell.text.split("\n")) for cell in row.cells]
            shape = shape_of(texts)
            own = next((one for one in known if one.shape == shape), None)
            choices = tuple(
                _choice(index, cell)
                for index, cell in enumerate(row.cells)
                if cell.text
            )
            mapping = own or ColumnMapping(shape=shape, choices=choices)
            return (
                SheetHeadings(sheet=sheet.name, mapping=mapping, found=own is not None),
            )
    return ()


def _choice(index: int, cell: Cell) -> HeadingChoice:
    column = match_heading(index, cell, INTAKE)
    return HeadingChoice(
        typed=" ".join(cell.text.split("\n")),
        field_key=column.field.key if column else NOT_READ,
        confidence=column.confidence if column else 0.0,
    )


def _over_figures(sheet: RawSheet, row: RawRow) -> bool:
    """Tell a row that has a word above a column of nothing but figures."""
    below = [one for one in sheet.rows if one.number > row.number]
    for index, cell in enumerate(row.cells):
        texts = [one.at(index).text for one in below if one.at(index).text]
        if cell.text and texts and all(text[0].isdigit() for text in texts):
            return True
    return False


def _only_words(row: RawRow) -> bool:
    """Tell a row without figures and items: a row of people's bags has either."""
    filled = [cell for cell in row.cells if cell.text]
    return len(filled) >= 2 and all(
        isinstance(cell.value, str)
        and len(cell.text) <= _MOST_LETTERS
        and not any(sign.isdigit() for sign in cell.text)
        and not match_item(cell.text).known
        for cell in filled
    )
