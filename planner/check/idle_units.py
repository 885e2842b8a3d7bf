"""A unit that stands idle for want of power: how many hours it could run (R7).

A unit that is on is on for the whole window, so a fridge that what is here could
feed for 65 hours of 72 stays off.  People who have only that fridge should know it.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from planner.check import words
from planner.check.case import Case
from planner.check.ground import Claim, Ground, warning
from planner.check.hours import Run, run_hours
from planner.check.rules_goods import FILLS
from planner.check.rules_power import check_reserve
from planner.check.rules_wiring import SUPPLIES_OF_PORT
from planner.check.stress_site import keeps_rules
from planner.check.stress_wiring import WIRING_RULES
from planner.physics import profiles
from planner.result import (
    SHORTER_PLAN,
    Finding,
    Hookup,
    Link,
    PortType,
    ReasonFamily,
    UnitUse,
)
from planner.scenario import (
    Availability,
    Battery,
    ColdUnit,
    Line,
    Panel,
    Source,
    Status,
    SunCase,
    Tier,
)

LEAST_H = 6
"""Hours below which a unit is not worth the mention."""
_URGENT = (Tier.A, Tier.B, Tier.C)
_MOST_PAIRS = 16
"""Idle units times batteries up to which the question is asked: it is quick then."""
_MOST_ZONES = 2


@dataclass(frozen=True, slots=True)
class _Best:
    """The longest run found so far, for the most urgent line."""

    tier: Tier
    hours: int
    unit: ColdUnit
    battery: Battery


def warn_idle_units(case: Case) -> Iterator[Finding]:
    """An idle unit that could hold an urgent short line for part of the window."""
    best = _longest(case)
    if best is None:
        return
    cond, hours = case.ground.conditions, best.hours
    at, of = words.clock(cond, hours), cond.window_h
    runs = f"{best.unit.name} could run on {best.battery.name} until {at}"
    if any(unit.powered for unit in case.units_used()):
        text = (
            f"Beside this plan {runs}, which is {hours} h of the {of} h: try a plan"
            f" for {hours} hours, and keep asking for power"
        )
    else:
        text = (
            f"With what is here {runs}, which is {hours} h of the {of} h: plan for"
            f" {hours} hours instead, and keep asking for power"
        )
    yield warning("R7", SHORTER_PLAN, text)


def _longest(case: Case) -> _Best | None:
    ground = case.ground
    batteries = [one for one in ground.batteries.values() if _stays(ground, one)]
    on = {use.unit_id for use in case.claim.units_on}
    idle = [
        unit
        for unit in ground.units.values()
        if unit.powered and unit.id not in on and _stays(ground, unit)
    ]
    lines = _short_of_power(case)
    few = 0 < len(idle) * len(batteries) <= _MOST_PAIRS
    if not lines or not few or not case.sun_known or ground.window_h <= LEAST_H:
        return None
    best: _Best | None = None
    for unit in idle:
        held = next(
            (
                (tier, use)
                for tier, line in lines
                if (use := _lightest(ground, unit, line)) is not None
            ),
            None,
        )
        if held is None or (best is not None and held[0] > best.tier):
            continue
        tier, use = held
        for battery in batteries:
            more = best.hours if best is not None and best.tier is tier else LEAST_H - 1
            hours = _hours_on(case, use, unit, battery, more)
            if hours > more:
                best = _Best(tier, hours, unit, battery)
    return best


def _short_of_power(case: Case) -> list[tuple[Tier, Line]]:
    """Lines of tiers A to C that lack power, the most urgent first."""
    found = {
        (one.tier, one.line_id)
        for one in case.claim.shortfalls
        if one.tier in _URGENT and one.reason is ReasonFamily.POWER
    }
    return [(tier, case.ground.lines[line_id]) for tier, line_id in sorted(found)]


def _stays(ground: Ground, thing: ColdUnit | Battery | Panel | Source) -> bool:
    """Tell whether a thing is here from the first hour of the window to the last."""
    terms: Availability = thing.availability
    there = ground.available_hours(terms)
    return terms.status is Status.HERE and there == range(ground.window_h)


def _lightest(ground: Ground, unit: ColdUnit, line: Line) -> UnitUse | None:
    """How a unit holds one bag of a line at the least energy; ``None`` = it cannot."""
    if unit.place not in ground.rooms or len(unit.zone_shares) > _MOST_ZONES:
        return None
    room_c = ground.rooms[unit.place]
    settings = sorted(set(unit.set_points_c))
    ways: list[tuple[float, ...]] = [()]
    for _ in unit.zone_shares:
        ways = [(*way, one) for way in ways for one in settings]
    found: list[tuple[float, tuple[float, ...], float]] = []
    for points in ways:
        litres = profiles.usable_l(unit, points, room_c)
        zones = range(len(points))
        for fill in FILLS:
            use = _use(unit, points, fill)
            holds = fill * sum(litres) >= line.volume_l and any(
                litres[zone] >= line.volume_l and keeps_rules(ground, use, line, zone)
                for zone in zones
            )
            if holds:
                load = profiles.unit_load_w(unit, points, room_c, fill)
                found.append((float(sum(load)), points, fill))
                break
    if not found:
        return None
    _, points, fill = min(found)
    return _use(unit, points, fill)


def _use(unit: ColdUnit, points: tuple[float, ...], fill: float) -> UnitUse:
    return UnitUse(
        unit_id=unit.id,
        set_points_c=points,
        stock_classes=(None,) * len(points),
        warm_fill=fill,
    )


def _hours_on(
    case: Case, use: UnitUse, unit: ColdUnit, battery: Battery, more: int
) -> int:
    """Most hours from the start on one battery, nothing of the plan fed worse.

    0 when they are no more than ``more``, or when the whole window would go: then
    it is for the plan to say.
    """
    ends_h = case.ground.window_h
    if not battery.movable and battery.place != unit.place:
        return 0
    longest = 0
    for plug in _sockets(case, unit, battery):
        claim = _charged(case, plug, use)
        least = max(more, longest) + 1
        if least >= ends_h or not _holds(case, claim, plug, least):
            continue
        if _holds(case, claim, plug, ends_h):
            return 0
        low, high = least, ends_h
        while high - low > 1:
            middle = (low + high) // 2
            if _holds(case, claim, plug, middle):
                low = middle
            else:
                high = middle
        longest = low
    return longest


def _sockets(case: Case, unit: ColdUnit, battery: Battery) -> Iterator[Hookup]:
    """First socket of each kind that fits and is free all the time."""
    taken = {
        (plug.port, plug.port_number)
        for plug in case.claim.hookups
        if plug.from_id == battery.id
    }
    kinds = ((PortType.DC_12V, battery.ports_12v), (PortType.AC, battery.outlets_ac))
    for port, count in kinds:
        free = [n for n in range(1, count + 1) if (port, n) not in taken]
        if free and unit.supply in SUPPLIES_OF_PORT[port]:
            yield Hookup(
                link=Link.BATTERY_TO_UNIT,
                from_id=battery.id,
                to_id=unit.id,
                port=port,
                port_number=free[0],
                place=unit.place,
                from_h=0,
                to_h=case.ground.window_h,
            )


def _charged(case: Case, plug: Hookup, use: UnitUse) -> Claim:
    """The plan, the unit, and every panel that stands idle on the unit's battery."""
    claim, ground = case.claim, case.ground
    claim = replace(claim, units_on=(*claim.units_on, use))
    used = {one.from_id for one in claim.hookups}
    panels = [
        Hookup(
            link=Link.PANEL_TO_BATTERY,
            from_id=panel.id,
            to_id=plug.from_id,
            port=PortType.SOLAR,
            port_number=number,
            place=plug.place,
            from_h=0,
            to_h=ground.window_h,
        )
        for number, panel in enumerate(ground.panels.values(), start=1)
        if panel.id not in used
        and panel.place in ("", plug.place)
        and _stays(ground, panel)
    ]
    return replace(claim, hookups=(*claim.hookups, *panels))


def _holds(case: Case, claim: Claim, plug: Hookup, hours: int) -> bool:
    """True when the unit is fed for so many hours and all else as it was (R7)."""
    plugged = replace(plug, to_h=hours)
    claim = replace(claim, hookups=(*claim.hookups, plugged))
    run = run_hours(case.ground, claim, case.planned.sun_case)
    if not all(run.fed[plug.to_id][:hours]) or _fed_worse(case.planned, run):
        return False
    # The run stands for the planned one as well: its limits are the same.
    runs = {SunCase.NONE: run, run.sun_case: run}
    now = Case(ground=case.ground, claim=claim, runs=runs)
    return not any(rule(now) for rule in (*WIRING_RULES, check_reserve))


def _fed_worse(before: Run, after: Run) -> bool:
    return any(
        was and not is_now
        for thing_id, hours in before.fed.items()
        for was, is_now in zip(hours, after.fed[thing_id], strict=True)
    )
