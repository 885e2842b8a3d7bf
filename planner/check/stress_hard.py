"""The plan as it stands in hotter rooms, and with doors that are often opened."""

from dataclasses import replace

from planner.check.case import Case, sun_known
from planner.check.ground import Claim, Ground, lay_ground
from planner.check.hours import Run, dark_from, run_hours
from planner.check.rules_goods import (
    check_r1_band,
    check_r2_reach,
    check_r3_volume,
    check_r10_ice,
)
from planner.physics import profiles
from planner.result import UnitUse
from planner.result_stress import HardCase, Hardship, HardUnit
from planner.scenario import Availability, Scenario, SunCase

ROOM_RISE_K = {Hardship.ROOM_3: 3.0, Hardship.ROOM_6: 6.0}
"""Kelvin by which every hour of every place is warmer."""
GOODS_RULES = (check_r1_band, check_r2_reach, check_r3_volume, check_r10_ice)
"""Rules that a hotter room can break while nothing is moved."""


def hard_cases(ground: Ground, claim: Claim) -> tuple[HardCase, ...]:
    """Replay a claim, with nothing changed by hand, under every hardship.

    Under each sun case there is; a site of unknown sun only without any.
    """
    cases = tuple(SunCase) if sun_known(ground, claim) else (SunCase.NONE,)
    return tuple(_hard_case(ground, claim, one, cases) for one in Hardship)


def harder(scenario: Scenario, hardship: Hardship) -> Scenario:
    """Give the scenario with hotter rooms, or with heavier use of doors.

    Doors: the energy of units with a thermostat as measured at the upper end
    for 8 openings an hour; ice chests and boxes without one are left alone.
    """
    if hardship in ROOM_RISE_K:
        rise_k = ROOM_RISE_K[hardship]
        places = tuple(
            replace(
                place,
                temp_c_by_clock_hour=tuple(
                    temp_c + rise_k for temp_c in place.temp_c_by_clock_hour
                ),
            )
            for place in scenario.places
        )
        return replace(scenario, places=places)
    units = tuple(profiles.opened_often(unit) for unit in scenario.units)
    return replace(scenario, units=units)


def _hard_case(
    ground: Ground, claim: Claim, hardship: Hardship, cases: tuple[SunCase, ...]
) -> HardCase:
    hard = lay_ground(harder(ground.scenario, hardship))
    runs = {case: run_hours(hard, claim, case) for case in cases}
    judged = Case(ground=hard, claim=claim, runs=runs)
    return HardCase(
        hardship=hardship,
        units=tuple(
            _hard_unit(hard, use, runs[case])
            for use in claim.units_on
            for case in cases
        ),
        faults=tuple(
            dict.fromkeys(one for rule in GOODS_RULES for one in rule(judged))
        ),
    )


def _hard_unit(ground: Ground, use: UnitUse, run: Run) -> HardUnit:
    return HardUnit(
        unit_id=use.unit_id,
        sun_case=run.sun_case,
        dark_from_h=dark_from(ground, run, use.unit_id),
        too_warm_from_h=_too_warm_from_h(ground, use),
    )


def _too_warm_from_h(ground: Ground, use: UnitUse) -> int | None:
    """First hour here in which the room is beyond what the unit can hold."""
    unit = ground.units[use.unit_id]
    room_c = ground.rooms[unit.place]
    if profiles.reach(unit, use.set_points_c, room_c).ok:
        return None
    always = replace(unit, availability=Availability())
    return next(
        (
            hour
            for hour in ground.available_hours(unit.availability)
            if not profiles.reach(always, use.set_points_c, room_c[hour : hour + 1]).ok
        ),
        None,
    )
