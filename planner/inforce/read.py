"""Reads the plan in force from a ``plan.json``, in the words of today's scenario."""

import math
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from planner.inforce.match import OldLine, match_lines
from planner.inforce.plugs import (
    Ends,
    read_cooling,
    read_load_factor,
    read_plugs,
    read_replays,
    read_units,
    window_end,
)
from planner.inforce.values import MAX_COUNT, Entry, Notes, clock, entries, parse
from planner.intake import as_today
from planner.result_replan import InForce, ReadInForce, Standing
from planner.scenario import Scenario

_MAX_ROW = 10_000_000


def read_in_force(data: bytes, scenario: Scenario) -> ReadInForce:
    """Read a saved plan; whatever is in the bytes, this never raises.

    Rows are found by code, kind and what they hold, so that rows may have
    moved on the sheet.  What cannot be used becomes an issue.
    """
    notes = Notes()
    document = parse(data, notes)
    document = as_today(document, scenario)
    window = document.get("window")
    window = window if isinstance(window, dict) else {}
    start = clock(window.get("start"))
    if not notes.stopped and start is None:
        notes.add("plan-not-readable", "window.start", why="its start is not readable")
    if notes.stopped or start is None:
        return ReadInForce(in_force=None, issues=tuple(notes.issues))
    elapsed = scenario.conditions.start - start
    if elapsed < timedelta(0):
        notes.add("plan-starts-later", "window.start", window.get("start"))
    elapsed_h = max(0, math.floor(elapsed / timedelta(hours=1)))
    units_on = read_units(document, scenario, notes)
    ends = Ends.of(scenario)
    return ReadInForce(
        in_force=InForce(
            start=start,
            elapsed_h=elapsed_h,
            standing=_standing(document, scenario, notes),
            units_on=units_on,
            hookups=read_plugs(document, ends, elapsed_h, notes),
            replays=read_replays(document, scenario, notes),
            load_factor=read_load_factor(document, notes),
            cooling=read_cooling(document, scenario),
            ends_at=window_end(start, window.get("hours")),
        ),
        issues=tuple(notes.issues),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Names:
    """What a placement's ids stand for."""

    lines: dict[str, OldLine]
    today: dict[str, str]
    units: dict[str, str]


def _standing(
    document: dict[str, Any], scenario: Scenario, notes: Notes
) -> tuple[Standing, ...]:
    lines = _lines(document, notes)
    names = _Names(
        lines=lines,
        today=dict(match_lines(lines.values(), scenario.lines)),
        units=_units(document, scenario, notes),
    )
    left = {one.id: one.quantity for one in lines.values()}
    found: dict[tuple[str, str, str, int], int] = {}
    gone: set[str] = set()
    for entry in entries(document, "placements", notes):
        line_id, unit = entry.needed("line"), entry.needed("unit")
        zone, count = entry.whole("zone", 1, 99), entry.whole("count", 1, MAX_COUNT)
        if not entry.ok:
            continue
        if line_id not in names.lines:
            notes.add("plan-line-unknown", f"{entry.where}.line", line_id)
            continue
        if unit not in names.units:
            why = "the file does not list this unit"
            notes.add("plan-value-wrong", f"{entry.where}.unit", unit, why=why)
            continue
        old = names.lines[line_id]
        if count > left[line_id]:
            notes.add("plan-too-many-bags", f"{entry.where}.count", count)
            count = left[line_id]
        left[line_id] -= count
        if line_id not in names.today and line_id not in gone:
            gone.add(line_id)
            words = {"who": old.code, "row": str(old.row)}
            notes.add("plan-line-gone", entry.where, **words)
        now = names.today.get(line_id, f"gone:{line_id}")
        key = (now, old.code, names.units[unit], zone - 1)
        if count:
            found[key] = found.get(key, 0) + count
    return tuple(
        Standing(line_id=line, code=code, unit_id=unit, zone=zone, count=n)
        for (line, code, unit, zone), n in sorted(found.items())
    )


def _lines(document: dict[str, Any], notes: Notes) -> dict[str, OldLine]:
    found: dict[str, OldLine] = {}
    for entry in entries(document, "lines", notes):
        line = _line(entry)
        if not entry.ok:
            continue
        if line.id in found:
            notes.add("plan-line-twice", entry.where, line.id)
            continue
        found[line.id] = line
    return found


def _line(entry: Entry) -> OldLine:
    return OldLine(
        id=entry.needed("id"),
        sheet=entry.text("sheet"),
        row=entry.whole("row", 0, _MAX_ROW),
        code=entry.needed("code"),
        kind=entry.text("kind"),
        quantity=entry.whole("quantity", 0, MAX_COUNT),
        volume_l=round(entry.number("volume_l"), 3),
        band_c=tuple(round(one, 2) for one in entry.numbers("band_c")),
    )


def _units(
    document: dict[str, Any], scenario: Scenario, notes: Notes
) -> dict[str, str]:
    """Units of the file: their id of today, or their name when they are gone."""
    today = {unit.id for unit in scenario.units}
    used = {
        one.get("unit")
        for one in document.get("placements") or []
        if isinstance(one, dict) and isinstance(one.get("unit"), str)
    } if isinstance(document.get("placements"), list) else set()  # fmt: skip
    found: dict[str, str] = {}
    for entry in entries(document, "units", notes):
        unit_id, name = entry.needed("unit"), entry.text("name")
        if not entry.ok:
            continue
        found[unit_id] = unit_id
        if unit_id not in today:
            found[unit_id] = name or unit_id
            if unit_id in used:
                notes.add("plan-unit-gone", entry.where, name or unit_id)
    return found
