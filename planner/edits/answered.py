"""Reading a list with the answers that somebody gave to its questions."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from planner.intake import Reading, read
from planner.intake.answers import Answer
from planner.intake.apply import with_answer
from planner.intake.cells import RawSheet
from planner.intake.headings import HELP_SHEET
from planner.intake.mapping import ColumnMapping, changed, propose
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
) -> Reading:
    """Read a list as :func:`planner.intake.read` does, with answers put in.

    Every check runs again, so that an answer can raise a new question.  An
    answer whose sheet or row is not there changes nothing.
    """
    if not given:
        return read(name, data, now=now, equipment=equipment)
    book = open_book(name, data)
    if book.refused:
        return read(name, data, now=now, equipment=equipment)
    sheets = tuple(one for one in book.sheets if one.name != HELP_SHEET)
    mappings = _mappings(sheets, given)
    by_shape = {one.shape: one for one in mappings}
    for one in given:
        if one.row is None:
            continue
        mapping = next(
            (
                by_shape[found.shape].by_heading()
                for sheet in sheets
                if sheet.name == one.sheet
                and (found := propose(sheet)) is not None
                and found.shape in by_shape
            ),
            None,
        )
        sheets = with_answer(sheets, one.sheet, one.row, one.answer, mapping)
    return read_sheets(sheets, now=now, equipment=equipment, mappings=mappings)


def _mappings(
    sheets: Sequence[RawSheet], given: Sequence[GivenAnswer]
) -> tuple[ColumnMapping, ...]:
    """Headings as they were confirmed, one mapping a sheet."""
    found = []
    for sheet in sheets:
        choices = {
            typed: field
            for one in given
            if one.sheet == sheet.name
            for typed, field in one.answer.headings
        }
        proposed = propose(sheet) if choices else None
        if proposed is not None:
            found.append(changed(proposed, choices))
    return tuple(found)
