"""How sure each field of a line is: read, taken from a source, or asked."""

from collections.abc import Iterable, Mapping
from enum import StrEnum
from functools import cache

from planner.intake.cells import Cell
from planner.intake.columns import match_heading
from planner.intake.headings import INTAKE
from planner.intake.issue_harm import ABOUT
from planner.issue import Issue, Severity
from planner.scenario import CameFrom, Line

FIELDS = tuple(ABOUT)
_ASKS = frozenset({Severity.REVIEW, Severity.ASSUMED})


_OF_CELLS = ("number-", "unit-", "cell-", "formula-", "date-", "yes-no", "choice-",
             "clock-")  # fmt: skip
_PART_OF = {"keep_from": "band", "keep_to": "band", "storage": "band", "cold": "band",
            "frozen": "state", "thawed": "state", "made": "keep_by"}  # fmt: skip


class Certainty(StrEnum):
    """How far a field of a line can be relied on."""

    READ = "as in the list"
    CATALOGUE = "from the catalogue"
    ASSUMED = "assumed"
    ASKED = "asked"


def certainty(
    line: Line, issues: Iterable[Issue], others: Iterable[Line] = ()
) -> Mapping[str, Certainty]:
    """Give the certainty of each field of a line.

    ``others`` are the lines of the same row: a remark on their text is not
    about this one.
    """
    told = {" / ".join(one.item_text.split("\n")) for one in others} - {
        " / ".join(line.item_text.split("\n"))
    }
    here = [
        issue
        for issue in issues
        if issue.severity in _ASKS
        and (issue.sheet, issue.row) == (line.sheet, line.row)
        and (not issue.value or issue.value not in told)
    ]
    codes = {issue.code for issue in here}
    columns = {
        field_of(issue.column) for issue in here if issue.code.startswith(_OF_CELLS)
    }
    origins = {origin.field: origin.came_from for origin in line.origins}
    found: dict[str, Certainty] = {}
    for field in FIELDS:
        if codes & ABOUT[field] or field in columns:
            found[field] = Certainty.ASKED
        elif origins.get(field) is CameFrom.DEFAULT:
            found[field] = Certainty.ASSUMED
        elif origins.get(field) is CameFrom.CATALOGUE:
            found[field] = Certainty.CATALOGUE
        else:
            found[field] = Certainty.READ
    return found


@cache
def field_of(column: str) -> str:
    """Give the field of a line that a heading as typed stands for."""
    found = match_heading(0, Cell(value=column or None), INTAKE)
    name = found.field.key if found else ""
    return _PART_OF.get(name, name)
