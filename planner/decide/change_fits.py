"""Changes that let a line into a unit which one rule keeps it out of.

Each takes away the one thing that keeps it out of that unit at that setting;
where two rules say no, no single change helps.
"""

import math
from collections.abc import Iterator
from dataclasses import replace

from planner.decide.fit import (
    NEVER_FREEZE_LOW_C,
    Spot,
    fits_r1_band,
    fits_r2_chest,
    fits_r5_custody,
    fits_r6_access,
    fits_r11_ready,
    fits_r12_refreeze,
)
from planner.decide.instance import Instance
from planner.physics.profiles import Hourly, held_band, reach, room_temp_c
from planner.result import Demand, ReasonFamily
from planner.result_reasons import Change, ChangeKind
from planner.scenario import ColdUnit, Line, Place, Scenario, UnitType

ROOM_STEP_C = 0.5
_COOLEST_C = 15.0
"""No room is asked to be cooler than this (estimate)."""
_HAS_DIAL = {UnitType.COMPRESSOR, UnitType.HOUSEHOLD}

FAMILY_OF = {
    ChangeKind.NIGHT: ReasonFamily.ACCESS,
    ChangeKind.REACH: ReasonFamily.ACCESS,
    ChangeKind.MOVE_UNIT: ReasonFamily.ACCESS,
    ChangeKind.MOVE_PERSON: ReasonFamily.ACCESS,
    ChangeKind.LOCK: ReasonFamily.CUSTODY,
    ChangeKind.SOONER: ReasonFamily.READY,
    ChangeKind.LONGER: ReasonFamily.READY,
    ChangeKind.CONDITIONED: ReasonFamily.BAND,
    ChangeKind.SETTING: ReasonFamily.BAND,
    ChangeKind.COOLER: ReasonFamily.REACH,
}
"""Family of the rule that a change takes out of the way."""


def spots(instance: Instance) -> Iterator[tuple[Spot, Hourly]]:
    """Every unit at every setting, with the room it stands in."""
    scenario = instance.scenario
    for unit in instance.units:
        room_c = room_temp_c(scenario.place(unit.place), scenario.conditions)
        for set_c in sorted(set(unit.set_points_c)):
            yield _spot(unit, set_c, room_c), room_c


def one_rule_changes(
    instance: Instance, line: Line, d: Demand, family: ReasonFamily
) -> tuple[Change, ...]:
    """Changes of one rule for one unit, those of the family first."""
    found: list[Change] = []
    for spot, room_c in spots(instance):
        wrong = wrong_rules(instance.scenario, line, spot, room_c, d.allowance_h)
        if len(wrong) == 1:
            found += _mends(instance.scenario, line, spot, d, wrong[0])
    order = list(ChangeKind)
    return tuple(
        sorted(
            dict.fromkeys(found),
            key=lambda c: (
                FAMILY_OF[c.kind] is not family,
                order.index(c.kind),
                c.amount,
                -(c.high_c or 0.0),
                c.item_id,
            ),
        )
    )


def wrong_rules(
    scenario: Scenario,
    line: Line,
    spot: Spot,
    room_c: Hourly,
    allowance_h: float | None,
) -> list[ReasonFamily]:
    """Families of all rules that keep a line out of a spot."""
    unit, place = spot.unit, scenario.place(spot.unit.place)
    window_h = scenario.conditions.window_h
    band = (
        fits_r1_band(line, spot.held)
        and fits_r2_chest(line, unit)
        and fits_r12_refreeze(line, spot.held)
    )
    holds = reach(unit, (spot.set_point_c,) * len(unit.zone_shares), room_c).ok
    checks = (
        (band, ReasonFamily.BAND),
        (holds, ReasonFamily.REACH),
        (fits_r5_custody(line, unit), ReasonFamily.CUSTODY),
        (fits_r6_access(line, place), ReasonFamily.ACCESS),
        (fits_r11_ready(line, unit, allowance_h, window_h), ReasonFamily.READY),
    )
    return [family for ok, family in checks if not ok]


def _spot(unit: ColdUnit, set_c: float, room_c: Hourly) -> Spot:
    held = held_band(unit, set_c, room_c)
    return Spot(unit=unit, zone=0, set_point_c=set_c, held=held)


def _mends(
    scenario: Scenario, line: Line, spot: Spot, d: Demand, wrong: ReasonFamily
) -> Iterator[Change]:
    unit = spot.unit
    match wrong:
        case ReasonFamily.CUSTODY:
            yield Change(kind=ChangeKind.LOCK, item_id=unit.id, place=unit.place)
        case ReasonFamily.ACCESS:
            yield from _access(scenario, line, unit)
        case ReasonFamily.READY:
            yield from _in_time(scenario, unit, d)
        case ReasonFamily.REACH:
            yield from _cooler(scenario, spot)
        case ReasonFamily.BAND:
            yield from _held(scenario, line, spot)
        case _:
            return


def _access(scenario: Scenario, line: Line, unit: ColdUnit) -> Iterator[Change]:
    place = scenario.place(unit.place)
    shut = line.night_need and not place.open_at_night
    known = place.reached_from
    barred = line.place != place.name and known is not None and line.place not in known
    if shut and not barred:
        yield Change(kind=ChangeKind.NIGHT, place=place.name)
    if barred and not shut:
        yield Change(kind=ChangeKind.REACH, place=line.place, to_place=place.name)
    if barred and not shut:
        yield Change(
            kind=ChangeKind.MOVE_PERSON,
            line_id=line.id,
            place=line.place,
            to_place=place.name,
        )
    own = scenario.place(line.place)
    if own.name != place.name and (own.open_at_night or not line.night_need):
        yield Change(
            kind=ChangeKind.MOVE_UNIT,
            item_id=unit.id,
            place=unit.place,
            to_place=own.name,
        )


def outside_h(scenario: Scenario, unit: ColdUnit) -> tuple[int, int]:
    """Hours of the window before a unit is there and after it goes back (R11)."""
    window_h, terms = scenario.conditions.window_h, unit.availability
    late = min(terms.ready_h, window_h)
    early = 0 if terms.back_h is None else max(0, window_h - terms.back_h)
    return late, early


def _in_time(scenario: Scenario, unit: ColdUnit, d: Demand) -> Iterator[Change]:
    """Whole hours sooner, or longer, until what is outside is allowed."""
    late, early = outside_h(scenario, unit)
    short = math.ceil(late + early - (d.allowance_h or 0.0) - 1e-9)
    for kind, most in ((ChangeKind.SOONER, late), (ChangeKind.LONGER, early)):
        if 0 < short <= most:
            yield Change(
                kind=kind, item_id=unit.id, place=unit.place, amount=float(short)
            )


def _cooler(scenario: Scenario, spot: Spot) -> Iterator[Change]:
    """The hottest that the room may get, in steps, for the setting to hold."""
    unit, place = spot.unit, scenario.place(spot.unit.place)
    hottest = max(place.temp_c_by_clock_hour)
    points = (spot.set_point_c,) * len(unit.zone_shares)
    top = math.floor(hottest / ROOM_STEP_C) * ROOM_STEP_C
    while top >= _COOLEST_C:
        room_c = room_temp_c(_capped(place, top), scenario.conditions)
        if reach(unit, points, room_c).ok:
            if top < hottest:
                yield Change(kind=ChangeKind.COOLER, place=place.name, high_c=top)
            return
        top -= ROOM_STEP_C


def _capped(place: Place, top_c: float) -> Place:
    temps = tuple(min(c, top_c) for c in place.temp_c_by_clock_hour)
    return replace(place, temp_c_by_clock_hour=temps)


def _held(scenario: Scenario, line: Line, spot: Spot) -> Iterator[Change]:
    """Packs conditioned in a chest; another setting between those known."""
    unit = spot.unit
    room_c = room_temp_c(scenario.place(unit.place), scenario.conditions)
    if unit.kind is UnitType.ICE_CHEST and not unit.conditioned:
        with_packs = replace(unit, conditioned=True)
        if fits_r1_band(line, _spot(with_packs, spot.set_point_c, room_c).held):
            yield Change(kind=ChangeKind.CONDITIONED, item_id=unit.id, place=unit.place)
    if unit.kind not in _HAS_DIAL:
        return
    coldest, mildest = min(unit.set_points_c), max(unit.set_points_c)
    set_c = math.ceil(coldest / ROOM_STEP_C) * ROOM_STEP_C
    while set_c <= mildest:
        if fits_r1_band(line, _spot(unit, set_c, room_c).held):
            yield Change(
                kind=ChangeKind.SETTING,
                item_id=unit.id,
                place=unit.place,
                set_point_c=set_c,
            )
            return
        set_c += ROOM_STEP_C


def room_band(line: Line) -> tuple[float, float] | None:
    """Band that a cold room must hold for the line (R1); ``None`` if there is none."""
    low = line.keep_from_c
    if line.never_freeze:
        low = max(NEVER_FREEZE_LOW_C, low)
    return (low, line.keep_to_c) if low <= line.keep_to_c else None
