"""Feeders as numbers: when they are on, and what a carried battery can count on."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
from numpy.typing import NDArray

from planner.physics.profiles import (
    BatteryLimits,
    Hourly,
    battery_limits,
    panel_w,
    room_temp_c,
)
from planner.scenario import Battery, Panel, Scenario, Source, SunCase


def on_hours(source: Source, scenario: Scenario) -> NDArray[np.bool_]:
    """Hours in which a source gives power the whole hour."""
    cond = scenario.conditions
    return np.array(
        [source.on_in_hour(cond.start, h) for h in range(cond.window_h)], dtype=bool
    )


def load_hours(load: Source, scenario: Scenario) -> NDArray[np.bool_]:
    """Hours in which a prior load is needed, for any part of the hour.

    Supply counts in whole hours of its clock window only, a load in every
    hour that it touches: the cautious side of the same window.
    """
    cond = scenario.conditions
    midnight = cond.start.replace(hour=0, minute=0, second=0, microsecond=0)
    first = (cond.start - midnight) / timedelta(hours=1)
    begins = first + np.arange(cond.window_h)
    needed = np.zeros(cond.window_h, dtype=bool)
    ends_h = load.to_hour + (24.0 if load.to_hour < load.from_hour else 0.0)
    for day in range(-1, int(begins.max() // 24) + 2):
        if not load.days or day in load.days:
            needed |= (begins < 24 * day + ends_h - 1e-6) & (
                24 * day + load.from_hour + 1e-6 < begins + 1
            )
    terms = load.availability
    hours = np.arange(cond.window_h)
    needed &= hours >= terms.ready_h
    return needed if terms.back_h is None else needed & (hours < terms.back_h)


def stands_at(battery: Battery, scenario: Scenario) -> tuple[str, ...]:
    """Places where a battery may come to stand, its own first."""
    names = [p.name for p in scenario.places]
    own = battery.place if battery.place in names else names[0]
    if not battery.movable:
        return (own,)
    used = {kit.place for kit in scenario.equipment if kit.place}
    return (own, *(n for n in names if n in used and n != own))


def limits_anywhere(battery: Battery, scenario: Scenario) -> BatteryLimits:
    """Limits that hold wherever the battery stands; charging at its kindest.

    It may be carried into a colder place, where it holds less.  What it can
    take in depends on the place and is held back by ``charge_limit_at``.
    """
    known = list(_limits_by_place(battery, scenario).values())
    return replace(
        known[0],
        floor_wh=max(one.floor_wh for one in known),
        full_wh=min(one.full_wh for one in known),
        start_wh=min(one.start_wh for one in known),
        reserve_wh=max(one.reserve_wh for one in known),
        charge_limit_w=np.max([one.charge_limit_w for one in known], axis=0),
    )


def charge_limit_at(battery: Battery, scenario: Scenario) -> dict[str, Hourly]:
    """Charge limit of each hour [W] by the place where the battery stands."""
    return {
        name: limits.charge_limit_w
        for name, limits in _limits_by_place(battery, scenario).items()
    }


def _limits_by_place(battery: Battery, scenario: Scenario) -> dict[str, BatteryLimits]:
    cond = scenario.conditions
    return {
        name: battery_limits(battery, room_temp_c(scenario.place(name), cond), cond)
        for name in stands_at(battery, scenario)
    }


def sun_anywhere_w(panel: Panel, scenario: Scenario, case: SunCase) -> Hourly:
    """Power of a panel in each hour [W]; one of no place at the worst of all."""
    cond = scenario.conditions
    names = [panel.place] if panel.place else [p.name for p in scenario.places]
    power: Hourly = np.min(
        [
            panel_w(panel, cond, room_temp_c(scenario.place(n), cond), case)
            for n in names
        ],
        axis=0,
    )
    return power
