"""From the bytes of one or two files to a scenario and its issues."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from planner.intake.cells import RawSheet, open_book
from planner.intake.cold_units import read_units
from planner.intake.conditions_sheet import read_conditions
from planner.intake.headings import (
    BATTERIES,
    COLD_UNITS,
    CONDITIONS,
    HELP_SHEET,
    INTAKE,
    OTHER_POWER,
    PANELS,
    SHEETS,
    SheetSpec,
)
from planner.intake.intake_sheet import read_intake
from planner.intake.issues import Log
from planner.intake.other_power import read_sources
from planner.intake.places import Places
from planner.intake.power_sheets import read_batteries, read_panels
from planner.intake.table import Table, find_table, open_table
from planner.intake.words import key
from planner.issue import Issue, Severity
from planner.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A scenario, or ``None`` when nothing can be planned; issues say why."""

    scenario: Scenario | None
    issues: tuple[Issue, ...]


def read(
    name: str,
    data: bytes,
    *,
    now: datetime,
    equipment: tuple[str, bytes] | None = None,
) -> Reading:
    """Read a workbook; whatever is in the bytes, this never raises.

    Parameters
    ----------
    name
        File name, for its ending only.
    data
        Bytes of the workbook, or of a text table with the intake list.
    now
        The caller's clock; used only when the sheet gives no start.
    equipment
        Name and bytes of a second workbook with the equipment sheets.

    Returns
    -------
    Reading
        All issues at once, gravest first.
    """
    log = Log()
    scenario = None
    try:
        taken = _take(_sheets(name, data, log), log)
        if equipment is not None:
            _add_equipment(taken, equipment, log)
        scenario = None if log.stopped else _scenario(taken, now, log)
    except Exception as fault:  # a fault of ours must not strand the reader
        log.add("reading-failed", value=type(fault).__name__)
    issues = log.sorted()
    stopped = any(issue.severity is Severity.STOP for issue in issues)
    return Reading(scenario=None if stopped else scenario, issues=issues)


def name_key(scenario: Scenario) -> tuple[tuple[str, str], ...]:
    """Pairs of code and resident, sorted by code: the only way to names."""
    pairs = {(line.code, line.resident) for line in scenario.lines if line.resident}
    return tuple(sorted(pairs))


def _sheets(name: str, data: bytes, log: Log) -> tuple[RawSheet, ...]:
    book = open_book(name, data)
    if book.refused:
        log.add(book.refused, detail=book.detail)
    return tuple(sheet for sheet in book.sheets if sheet.name != HELP_SHEET)


def _take(sheets: Sequence[RawSheet], log: Log) -> dict[str, list[Table]]:
    """Tables by canonical sheet name; the Intake sheet is found or asked for."""
    taken: dict[str, list[Table]] = {}
    rest: list[RawSheet] = []
    for sheet in sheets:
        spec = _spec_of(sheet)
        if spec is None:
            rest.append(sheet)
        elif sheet.rows:
            _open(sheet, spec, taken, log)
    if sheets and INTAKE.name not in taken and not log.stopped:
        rest = _guess_intake(rest, taken, log)
    for sheet in rest:
        if sheet.rows:
            log.add("sheet-not-read", sheet=sheet.name, used=len(sheet.rows))
    return taken


def _spec_of(sheet: RawSheet) -> SheetSpec | None:
    named = key(sheet.name)
    for spec in SHEETS:
        if named in {key(other) for other in (spec.name, *spec.also)}:
            return spec
    return None


def _open(
    sheet: RawSheet, spec: SheetSpec, taken: dict[str, list[Table]], log: Log
) -> None:
    table = open_table(sheet, spec, log)
    if table is None:
        return
    if spec is INTAKE and INTAKE.name in taken:
        names = ", ".join(found.sheet for found in (*taken[INTAKE.name], table))
        log.add("several-intake-sheets", names=names)
        return
    taken.setdefault(spec.name, []).append(table)


def _guess_intake(
    rest: list[RawSheet], taken: dict[str, list[Table]], log: Log
) -> list[RawSheet]:
    """Give the one other sheet with an Item heading is taken, and said so."""
    likely = [sheet for sheet in rest if find_table(sheet, INTAKE) is not None]
    if len(likely) == 1:
        log.add("sheet-taken", sheet=likely[0].name)
        _open(likely[0], INTAKE, taken, log)
        return [sheet for sheet in rest if sheet is not likely[0]]
    if likely:
        names = ", ".join(sheet.name for sheet in likely)
        log.add("several-intake-sheets", names=names)
    else:
        log.add("no-intake-sheet")
    return rest


def _add_equipment(
    taken: dict[str, list[Table]], equipment: tuple[str, bytes], log: Log
) -> None:
    """Sheets of the second workbook; the first one's own sheets win."""
    own = {name: any(table.rows for table in tables) for name, tables in taken.items()}
    for sheet in _sheets(*equipment, log):
        spec = _spec_of(sheet)
        if spec is None or spec is INTAKE or not sheet.rows:
            if sheet.rows and spec is None:
                log.add("sheet-not-read", sheet=sheet.name, used=len(sheet.rows))
            continue
        if own.get(spec.name, False):
            log.add("equipment-twice", sheet=sheet.name)
            continue
        if spec.name in own:
            taken.pop(spec.name, None)
            own.pop(spec.name)
        _open(sheet, spec, taken, log)


def _scenario(taken: Mapping[str, list[Table]], now: datetime, log: Log) -> Scenario:
    order = (INTAKE, COLD_UNITS, BATTERIES, PANELS, OTHER_POWER)
    places = Places(table for spec in order for table in taken.get(spec.name, ()))
    places.say_alike(log)
    settings = taken.get(CONDITIONS.name, [])
    panels = any(table.rows for table in taken.get(PANELS.name, ()))
    site = read_conditions(
        settings[0] if settings else None, places, now, log, panels=panels
    )
    for extra in settings[1:]:
        log.add("sheet-not-read", sheet=extra.sheet, used=len(extra.rows))
    start, latitude = site.conditions.start, site.conditions.latitude
    intake = read_intake(taken[INTAKE.name][0], site, log)
    return Scenario(
        lines=intake.lines,
        places=site.rooms,
        units=read_units(taken.get(COLD_UNITS.name, ()), places, start, log),
        batteries=read_batteries(taken.get(BATTERIES.name, ()), places, start, log),
        panels=read_panels(taken.get(PANELS.name, ()), places, start, latitude, log),
        sources=read_sources(taken.get(OTHER_POWER.name, ()), places, start, log),
        conditions=site.conditions,
        held_rows=intake.held,
        rows_in=intake.rows_in,
    )
