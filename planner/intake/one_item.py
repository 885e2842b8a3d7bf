"""One more item, typed at the door: read by the same rules as a row of the list."""

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass, replace

from planner.errors import UsageError
from planner.intake.aliases import SHEET as WORD_LIST
from planner.intake.headings import INTAKE
from planner.intake.reader import read_pasted
from planner.issue import Issue, Severity
from planner.scenario import Line, Scenario

_NEW = "new:"
_NONE = Issue(
    code="one-item-none",
    severity=Severity.STOP,
    sheet=INTAKE.name,
    row=None,
    column="Item",
    value="",
    message="There is no item that can be read.",
    remedy="Write the generic name and form, as on the label.",
)
_SEVERAL = replace(
    _NONE,
    code="one-item-several",
    message="This names several items.",
    remedy="Ask for one after the other.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemReading:
    """The item as a line, or ``None`` when it is not one item; issues say why."""

    line: Line | None
    issues: tuple[Issue, ...]


def read_item(
    fields: Mapping[str, str],
    scenario: Scenario,
    aliases: tuple[str, bytes] | None = None,
) -> ItemReading:
    """Read one item from texts by the keys of the Intake sheet's columns.

    Blanks are filled from the catalogue as for a row of the list.  The
    person's name is not asked; the line has an id that no list has.
    ``aliases`` is the site's own word list; what is wrong in it is told
    with the whole list, not here.

    Raises
    ------
    UsageError
        A key that no column has.
    """
    known = {field.key for field in INTAKE.fields}
    unknown = sorted(set(fields) - known)
    if unknown:
        msg = f"the Intake sheet has no column {', '.join(unknown)}"
        raise UsageError(msg)
    wanted = {key: text for key, text in fields.items() if text.strip()}
    place = wanted.pop("place", "").strip()
    table = io.StringIO()
    # All in quotes: a semicolon in the text is no column.
    writer = csv.writer(table, quoting=csv.QUOTE_ALL)
    writer.writerow([INTAKE.field(key).heading for key in wanted])
    writer.writerow([" ".join(text.split()) for text in wanted.values()])
    reading = read_pasted(
        table.getvalue(), now=scenario.conditions.start, aliases=aliases
    )
    # Only the row itself is of interest: there is no equipment beside it.
    issues = tuple(
        one for one in reading.issues if one.row is not None and one.sheet != WORD_LIST
    )
    lines = reading.scenario.lines if reading.scenario is not None else ()
    if len(lines) != 1:
        told = _SEVERAL if len(lines) > 1 else _NONE
        return ItemReading(line=None, issues=(*issues, told))
    line = replace(
        lines[0],
        id=f"{_NEW}{lines[0].id}",
        household=f"{_NEW}{lines[0].household}",
        place=place or scenario.places[0].name,
    )
    return ItemReading(line=line, issues=issues)
