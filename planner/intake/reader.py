"""From the bytes of one or two files to a scenario and its issues."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

from planner.intake.aliases import read_aliases
from planner.intake.cells import RawSheet
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
)
from planner.intake.intake_sheet import read_intake
from planner.intake.issues import Log
from planner.intake.mapping import ColumnMapping, mapping_for
from planner.intake.open_file import open_book
from planner.intake.other_power import read_sources
from planner.intake.places import Places
from planner.intake.power_sheets import read_batteries, read_panels
from planner.intake.sheets import Taken, open_into, spec_of, take_sheets
from planner.intake.site_words import NO_WORDS, using
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
    mappings: Sequence[ColumnMapping] = (),
    aliases: tuple[str, bytes] | None = None,
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
    mappings
        Headings that somebody confirmed, by file shape.
    aliases
        Name and bytes of the site's own word list.

    Returns
    -------
    Reading
        All issues at once, gravest first.
    """
    log = Log()
    return _read(
        lambda: _sheets(name, data, log), log, now, equipment, mappings, aliases
    )


def read_pasted(
    text: str,
    *,
    now: datetime,
    equipment: tuple[str, bytes] | None = None,
    aliases: tuple[str, bytes] | None = None,
) -> Reading:
    """Read a list pasted as text: a table, or one item a line."""
    return read("pasted.txt", text.encode("utf-8", "replace"), now=now,
                equipment=equipment, aliases=aliases)  # fmt: skip


def read_sheets(
    sheets: Sequence[RawSheet],
    *,
    now: datetime,
    equipment: tuple[str, bytes] | None = None,
    mappings: Sequence[ColumnMapping] = (),
    aliases: tuple[str, bytes] | None = None,
) -> Reading:
    """Read raw sheets again, as after an answer from the review queue."""
    return _read(lambda: tuple(sheets), Log(), now, equipment, mappings, aliases)


def _read(
    opened: Callable[[], tuple[RawSheet, ...]],
    log: Log,
    now: datetime,
    equipment: tuple[str, bytes] | None,
    mappings: Sequence[ColumnMapping],
    aliases: tuple[str, bytes] | None,
) -> Reading:
    scenario = None
    try:
        words = read_aliases(*aliases, log) if aliases is not None else NO_WORDS
        with using(words):
            taken = take_sheets(
                opened(), log, lambda sheet: mapping_for(sheet, mappings)
            )
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


def _add_equipment(taken: Taken, equipment: tuple[str, bytes], log: Log) -> None:
    """Sheets of the second workbook; the first one's own sheets win."""
    own = {name: any(table.rows for table in tables) for name, tables in taken.items()}
    for sheet in _sheets(*equipment, log):
        spec = spec_of(sheet)
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
        open_into(taken, sheet, spec, log, _no_mapping)


def _no_mapping(_: RawSheet) -> None:
    """Equipment sheets have no remembered headings."""


def _scenario(taken: Taken, now: datetime, log: Log) -> Scenario:
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
    intake = read_intake(taken[INTAKE.name], site, log)
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
