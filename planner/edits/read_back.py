"""Typed rows through the readers of the workbook."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from planner.edits.kit_cells import KitSheet
from planner.intake.cells import Cell, RawRow, RawSheet
from planner.intake.cold_units import read_units
from planner.intake.headings import BATTERIES, COLD_UNITS, PANELS
from planner.intake.issues import Log
from planner.intake.other_power import read_sources
from planner.intake.places import Places
from planner.intake.power_sheets import read_batteries, read_panels
from planner.intake.table import Table, find_table
from planner.issue import Issue, Severity
from planner.scenario import Equipment, Scenario

# In a workbook these cells get a cautious value and the plan goes on; on
# screen somebody sits there who can type the right one.
_NOT_USABLE = frozenset(
    {
        "number-not-usable", "number-out-of-range", "number-two-ways",
        "unit-not-known", "choice-not-known", "yes-no-unclear", "clock-not-usable",
        "date-not-usable", "date-two-ways", "zones-not-usable",
        "set-points-not-usable", "days-not-usable", "cell-error", "back-before-ready",
    }
)  # fmt: skip

# What the workbook's reader goes on with; on screen nothing is gone on with.
_SO_IT_IS = re.compile(
    r"; (?:[^;']+; )*[^;']*(?:is assumed|is left out|out of the plan|as an offer)\.$"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadBack:
    """Things by the number of the typed row, and what was said of the rows."""

    kits: Mapping[int, Equipment]
    issues: tuple[Issue, ...]


def read_back(
    scenario: Scenario, sheet: KitSheet, rows: Sequence[Mapping[str, str]]
) -> ReadBack:
    """Read typed rows, numbered from 1, as if they stood in a workbook."""
    table = _table(sheet, rows)
    if table is None:
        return ReadBack(kits={}, issues=())
    log = Log()
    places = _places(scenario)
    start = scenario.conditions.start
    kits: Sequence[Equipment]
    if sheet.spec is COLD_UNITS:
        kits = read_units([table], places, start, log)
    elif sheet.spec is BATTERIES:
        kits = read_batteries([table], places, start, log)
    elif sheet.spec is PANELS:
        latitude = scenario.conditions.latitude
        kits = read_panels([table], places, start, latitude, log)
    else:
        kits = read_sources([table], places, start, log)
    return ReadBack(
        kits={kit.row: kit for kit in kits},
        issues=tuple(_graver(one) for one in log.sorted()),
    )


def _graver(issue: Issue) -> Issue:
    grave = issue.severity in {Severity.STOP, Severity.REVIEW}
    if not grave and issue.code not in _NOT_USABLE:
        return issue
    message = _SO_IT_IS.sub(".", issue.message)
    return replace(issue, severity=Severity.REVIEW, message=message)


def _table(sheet: KitSheet, rows: Sequence[Mapping[str, str]]) -> Table | None:
    headings = [sheet.spec.field(cell.column).heading for cell in sheet.cells]
    raw = [RawRow(number=0, cells=tuple(Cell(value=text) for text in headings))]
    for number, row in enumerate(rows, start=1):
        cells = tuple(Cell(value=row[cell.column] or None) for cell in sheet.cells)
        raw.append(RawRow(number=number, cells=cells))
    return find_table(RawSheet(name=sheet.spec.name, rows=tuple(raw)), sheet.spec)


def _places(scenario: Scenario) -> Places:
    """Places of the scenario, in their order."""
    raw = [RawRow(number=0, cells=(Cell(value="Unit"), Cell(value="Place")))]
    raw += [
        RawRow(number=number, cells=(Cell(value="x"), Cell(value=place.name)))
        for number, place in enumerate(scenario.places, start=1)
    ]
    table = find_table(RawSheet(name=COLD_UNITS.name, rows=tuple(raw)), COLD_UNITS)
    return Places([table] if table is not None else [])
