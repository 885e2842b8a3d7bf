"""Reading a list with the answers that somebody gave to its questions."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from planner.intake import Reading, read
from planner.intake.answers import Answer
from planner.intake.apply import with_answer
from planner.intake.cells import RawSheet
from planner.intake.headings import HELP_SHEET
from planner.intake.mapping import (
    ColumnMapping,
    changed,
    confirmed_for,
    propose,
    refitted,
)
from planner.intake.open_file import open_book
from planner.intake.reader import read_sheets


@dataclass(frozen=True, slots=True, kw_only=True)
class GivenAnswer:
    """An answer, and the row of the list it was given for.

    ``row`` is ``None`` for an answer about a whole sheet, such as a heading.
    """

    sheet: str
    row: int | None
    answer: Answer


def read_answered(
    name: str,
    data: bytes,
    given: Sequence[GivenAnswer],
    *,
    now: datetime,
    equipment: tuple[str, bytes] | None = None,
    known: Sequence[ColumnMapping] = (),
    aliases: tuple[str, bytes] | None = None,
) -> Reading:
    """Read a list as :func:`planner.intake.read` does, with answers put in.

    Every check runs again, so that an answer can raise a new question.  An
    answer whose sheet or row is not there changes nothing.  ``known`` are
    headings that were confirmed, ``aliases`` is the site's own word list.
    """
    book = open_book(name, data) if given else None
    if book is None or book.refused:
        return read(
            name, data, now=now, equipment=equipment, mappings=known, aliases=aliases
        )
    sheets = tuple(one for one in book.sheets if one.name != HELP_SHEET)
    mappings = _mappings(sheets, given, known)
    own = {sheet.name: confirmed_for(sheet, mappings) for sheet in sheets}
    answered = sheets
    for one in given:
        if one.row is not None:
            mapping = own.get(one.sheet)
            headings = None if mapping is None else mapping.by_heading()
            answered = with_answer(answered, one.sheet, one.row, one.answer, headings)
    # An answer may add a column; the headings beside it stay as confirmed.
    mappings += tuple(
        refitted(mapping, sheet)
        for sheet in answered
        if (mapping := own.get(sheet.name)) is not None
    )
    return read_sheets(
        answered, now=now, equipment=equipment, mappings=mappings, aliases=aliases
    )


def confirmed_headings(
    name: str,
    data: bytes,
    given: Sequence[GivenAnswer],
    known: Sequence[ColumnMapping] = (),
) -> tuple[ColumnMapping, ...]:
    """Headings that were confirmed, in answers or before."""
    sheets = tuple(one for one in open_book(name, data).sheets)
    return _mappings(sheets, given, known)


def _mappings(
    sheets: Sequence[RawSheet],
    given: Sequence[GivenAnswer],
    known: Sequence[ColumnMapping],
) -> tuple[ColumnMapping, ...]:
    """Headings as they were confirmed; answers about them come first."""
    found = []
    for sheet in sheets:
        choices = {
            typed: field
            for one in given
            if one.sheet == sheet.name
            for typed, field in one.answer.headings
        }
        proposed = propose(sheet, known) if choices else None
        if proposed is not None:
            found.append(changed(proposed, choices))
    shapes = {one.shape for one in found}
    return (*found, *(one for one in known if one.shape not in shapes))
