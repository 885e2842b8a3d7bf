"""What a rule looks at: the scenario by id, and what the plan claims."""

from collections import defaultdict
from dataclasses import dataclass

from planner.check.words import span
from planner.physics import profiles
from planner.physics.profiles import Hourly
from planner.result import (
    Demand,
    Finding,
    Hookup,
    Link,
    Placement,
    RowAccount,
    Shortfall,
    UnitUse,
    WarmClock,
)
from planner.scenario import (
    Availability,
    Battery,
    ColdUnit,
    Conditions,
    Line,
    Panel,
    Place,
    Scenario,
    Source,
    SourceKind,
    Status,
)

WH_SLACK = 1e-3
"""Watt-hours by which two sums of hours may differ through rounding."""
SMALL = 1e-6
"""Rounding slack of volumes, watts, kilograms and hours."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """The scenario by id, with the room of every place hour by hour.

    ``load_needed`` has the hours in which each priority load is needed.
    """

    scenario: Scenario
    lines: dict[str, Line]
    places: dict[str, Place]
    units: dict[str, ColdUnit]
    batteries: dict[str, Battery]
    panels: dict[str, Panel]
    sources: dict[str, Source]
    rooms: dict[str, Hourly]
    load_needed: dict[str, tuple[bool, ...]]

    @property
    def conditions(self) -> Conditions:
        """Window, sun and site settings."""
        return self.scenario.conditions

    @property
    def window_h(self) -> int:
        """Hours of the window."""
        return self.scenario.conditions.window_h

    def priority_loads(self) -> tuple[Source, ...]:
        """Life-support loads in the pool; they come before any fridge."""
        return tuple(
            source
            for source in self.scenario.sources
            if source.kind is SourceKind.PRIORITY_LOAD
            and source.availability.status is Status.HERE
        )

    def available_hours(self, availability: Availability) -> range:
        """Hours of the window in which equipment on these terms is there."""
        if availability.status is Status.OUT:
            return range(0)
        return hours_there(availability, self.window_h)


@dataclass(frozen=True, slots=True, kw_only=True)
class Claim:
    """What the plan says; every tuple as it is handed out."""

    demands: tuple[Demand, ...] = ()
    units_on: tuple[UnitUse, ...] = ()
    placements: tuple[Placement, ...] = ()
    hookups: tuple[Hookup, ...] = ()
    warm_clocks: tuple[WarmClock, ...] = ()
    shortfalls: tuple[Shortfall, ...] = ()
    accounts: tuple[RowAccount, ...] = ()

    def placed_in(self, unit_id: str) -> list[Placement]:
        """Placements in one unit, all zones."""
        return [put for put in self.placements if put.unit_id == unit_id]

    def plugs_in(self, hour: int) -> list[Hookup]:
        """Hookups that are plugged in during one hour."""
        return [plug for plug in self.hookups if plug.from_h <= hour < plug.to_h]


def lay_ground(scenario: Scenario) -> Ground:
    """Look-ups of a scenario; of repeated ids the last one counts."""
    return Ground(
        scenario=scenario,
        lines={line.id: line for line in scenario.lines},
        places={place.name: place for place in scenario.places},
        units={unit.id: unit for unit in scenario.units},
        batteries={battery.id: battery for battery in scenario.batteries},
        panels={panel.id: panel for panel in scenario.panels},
        sources={source.id: source for source in scenario.sources},
        rooms={
            place.name: profiles.room_temp_c(place, scenario.conditions)
            for place in scenario.places
        },
        load_needed={
            source.id: load_hours(source, scenario.conditions)
            for source in scenario.sources
            if source.kind is SourceKind.PRIORITY_LOAD
        },
    )


def fits_link(ground: Ground, plug: Hookup) -> bool:
    """Tell whether both ends exist and are of the kinds that the link joins."""
    loads = ground.units.keys() | ground.load_needed.keys()
    feeds = ground.sources.keys() - ground.load_needed.keys()
    match plug.link:
        case Link.PANEL_TO_BATTERY:
            return plug.from_id in ground.panels and plug.to_id in ground.batteries
        case Link.SOURCE_TO_BATTERY:
            return plug.from_id in feeds and plug.to_id in ground.batteries
        case Link.BATTERY_TO_UNIT:
            return plug.from_id in ground.batteries and plug.to_id in loads
        case Link.SOURCE_TO_UNIT:
            return plug.from_id in feeds and plug.to_id in loads


def hours_there(availability: Availability, window_h: int) -> range:
    """Hours of the window in which equipment on these terms is there."""
    back = availability.back_h
    ends = window_h if back is None else min(back, window_h)
    return range(min(availability.ready_h, window_h), max(0, ends))


def load_hours(load: Source, conditions: Conditions) -> tuple[bool, ...]:
    """Hours in which a priority load is needed, for any part of the hour.

    Supply counts only in whole hours of its clock window; a load counts in
    every hour that it touches, which is the cautious side of the same window.
    """
    start = conditions.start
    there = hours_there(load.availability, conditions.window_h)
    needed = []
    for hour in range(conditions.window_h):
        begins = conditions.clock(hour)
        day = (begins.date() - start.date()).days
        clock_h = begins.hour + begins.minute / 60 + begins.second / 3600
        # The window of the day before, of the day, and of the next one can
        # each reach into the hour [clock_h, clock_h + 1).
        touches = any(
            _touches(load, clock_h - 24 * shift, day + shift) for shift in (-1, 0, 1)
        )
        needed.append(touches and hour in there)
    return tuple(needed)


def _touches(load: Source, begins_h: float, day: int) -> bool:
    if load.days and day not in load.days:
        return False
    ends = load.to_hour if load.from_hour <= load.to_hour else load.to_hour + 24
    return begins_h < ends - SMALL and load.from_hour + SMALL < begins_h + 1


class HourLog:
    """Gathers hours in which something is wrong, one finding a fault."""

    def __init__(self, conditions: Conditions, rule: str) -> None:
        self._conditions = conditions
        self._rule = rule
        self._hours: dict[tuple[str, str], list[int]] = defaultdict(list)

    def add(self, subject: str, fault: str, hour: int) -> None:
        """Note one hour of a fault."""
        self._hours[subject, fault].append(hour)

    def findings(self, *, fatal: bool = True) -> tuple[Finding, ...]:
        """One finding a fault, in the order in which they were first seen."""
        return tuple(
            Finding(
                rule=self._rule,
                fatal=fatal,
                subject=subject,
                message=f"{fault}, {span(self._conditions, hours)}",
            )
            for (subject, fault), hours in self._hours.items()
        )


def broken(rule: str, subject: str, message: str) -> Finding:
    """Report a broken rule: the plan is refused."""
    return Finding(rule=rule, fatal=True, subject=subject, message=message)


def warning(rule: str, subject: str, message: str) -> Finding:
    """Something to know about a plan that holds."""
    return Finding(rule=rule, fatal=False, subject=subject, message=message)
