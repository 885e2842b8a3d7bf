"""What was read, before any plan: rows, items, remarks and assumed values."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from planner.issue import Issue, Severity
from planner.output.manner import PLAIN, Manner
from planner.output.tables import Cell, frame
from planner.output.tables_records import field_words
from planner.output.words import clean
from planner.scenario import (
    CameFrom,
    Equipment,
    Gate,
    Line,
    Origin,
    Scenario,
)

if TYPE_CHECKING:
    import pandas as pd

_VALUE_COLUMNS = 80
_NAMES = {
    "ua_w_per_k": "heat that leaks in (W per K)",
    "port_12v_max_w": "most that one 12V port gives (W)",
    "dc_efficiency": "share that a 12V port passes on",
    "ac_efficiency": "share that the inverter passes on",
    "charge_efficiency": "share of a charge that is kept",
    "ac_idle_w": "what the inverter takes by itself (W)",
    "swing_c": "swing around the set point (C)",
    "start": "start of the window",
    "window_h": "hours to plan for",
    "utc_offset_h": "hours the clock is ahead of UTC",
    "peak_sun_hours": "peak sun hours a day",
    "sky_factor": "usual day over clear day",
    "poor_share": "cloudy day over usual day",
    "sun_case": "sun the plan counts on",
    "reserve_share": "battery charge kept in reserve",
    "ice_kg_day": "ice a day (kg)",
    "segregation": "how feeds and medicines are kept apart",
    "swap_hours": "hours at which plugs can be moved",
}


def rows_read(scenario: Scenario, how: Manner = PLAIN) -> str:
    """Say that every row of the list is accounted for."""
    items = {(line.sheet, line.row) for line in scenario.lines}
    waiting = scenario.waiting_rows
    empty = [row for row in scenario.held_rows if row.left_out]
    return how.count(
        "tell.read.rows",
        scenario.rows_in,
        items=len(items),
        waiting=len(waiting),
        empty=len(empty),
    )


def pool_read(scenario: Scenario, how: Manner = PLAIN) -> str:
    """Say in one line what was read of people's items and of the equipment."""
    cold = sum(line.quantity for line in scenario.lines if line.gate is Gate.POOL)
    other = sum(line.quantity for line in scenario.lines) - cold
    codes = len({line.code for line in scenario.lines})
    return how.say(
        "tell.read.pool",
        bags=how.count("bags", cold),
        other=other,
        persons=how.count("tell.persons", codes),
        units=how.count("tell.read.units", len(scenario.units)),
        batteries=how.count("tell.read.batteries", len(scenario.batteries)),
        panels=how.count("tell.read.panels", len(scenario.panels)),
        sources=how.count("tell.read.sources", len(scenario.sources)),
    )


def items_read(scenario: Scenario, how: Manner = PLAIN) -> pd.DataFrame:
    """List how each item was read, to be read back; codes, not names."""
    rows: list[tuple[Cell, ...]] = [
        (
            line.row,
            line.code,
            how.told(clean(line.kind_name) or "item not recognised"),
            line.quantity,
            how.volume(line.volume_l),
            how.band(line.keep_from_c, line.keep_to_c),
            "NEVER FREEZE" if line.never_freeze else "",
            allowance_words(line, how),
            line.gate.value,
            "yes, and planned with care" if line.provisional else "",
        )
        for line in scenario.lines
    ]
    headings = (
        "Row", "Code", "Read as", "Bags", "Volume each", "Keep between", "Freezing",
        "May be out of the cold", "Where it belongs", "In review",
    )  # fmt: skip
    return frame(headings, rows)


def allowance_words(line: Line, how: Manner = PLAIN) -> str:
    """Label allowance out of the cold, with its temperature; unknown says so."""
    if line.warm_hours is None:
        return how.told("not known, counts as none")
    whole_days = line.warm_hours >= 48 and line.warm_hours % 24 == 0
    length = (
        how.count("tell.days", int(line.warm_hours // 24))
        if whole_days
        else how.hours(line.warm_hours)
    )
    if line.warm_max_c is None:
        return length
    limit = how.at_most(line.warm_max_c)
    return how.say("tell.read.up_to", length=length, temp=limit)


def issue_rows(
    issues: Iterable[Issue], severity: Severity, how: Manner = PLAIN
) -> pd.DataFrame:
    """Remarks of one weight: where, what and what to do."""
    rows: list[tuple[Cell, ...]] = [
        (
            clean(how.where(one)) or how.told("whole file"),
            clean(one.value, _VALUE_COLUMNS),
            *(clean(text) for text in how.issue(one)),
        )
        for one in issues
        if one.severity is severity
    ]
    return frame(("Where", "What stands there", "What about it", "What to do"), rows)


def assumed_values(things: Iterable[Equipment]) -> pd.DataFrame:
    """List values of equipment that nobody here supplied, with their source.

    The same value of several things is one row.
    """
    found: dict[tuple[Cell, ...], list[str]] = {}
    for thing in things:
        for one in thing.origins:
            if one.came_from is CameFrom.DEFAULT:
                found.setdefault(_origin_row(one), []).append(clean(thing.name))
    rows: list[tuple[Cell, ...]] = [
        (what, value, ", ".join(names), source, trust)
        for (what, value, source, trust), names in found.items()
    ]
    return frame(("What", "Value used", "For", "Source", "Trust"), rows)


def assumed_settings(scenario: Scenario) -> pd.DataFrame:
    """List settings of the conditions that nobody here supplied."""
    rows: list[tuple[Cell, ...]] = [
        _origin_row(one)
        for one in scenario.conditions.origins
        if one.came_from is CameFrom.DEFAULT
    ]
    return frame(("What", "Value used", "Source", "Trust"), rows)


def value_name(field: str) -> str:
    """Name of a field of equipment or conditions as people say it."""
    return _NAMES.get(field) or field_words(field)


def _origin_row(origin: Origin) -> tuple[Cell, ...]:
    return (
        value_name(origin.field),
        clean(origin.value),
        clean(origin.source) or "no source",
        f"not confirmed ({origin.flag.value})"
        if not origin.flag.confirmed
        else origin.flag.value,
    )
