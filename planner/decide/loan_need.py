"""What the plan of a step uses of what is borrowed, so that no more is asked for.

Read off the step's own wiring and settings, hour by hour; nothing is solved.
"""

from collections.abc import Callable, Sequence
from math import ceil, floor

import numpy as np

from planner.decide.allocation import Allocation
from planner.decide.assign import placements
from planner.decide.instance import Consumer, consumer_of_load, consumer_of_unit
from planner.decide.placed import ModeChoice
from planner.physics.hours import Hourly
from planner.result import Hookup, Link, PortType
from planner.result_spec import LoanNeed
from planner.scenario import Battery, ColdUnit, Supply

_STEP_W = 5.0
_SURGE_SHARE = 2.0
"""An inverter takes twice its watts for a moment."""


def loan_needs(
    allocations: Sequence[Allocation], item_ids: tuple[str, ...]
) -> tuple[LoanNeed, ...]:
    """One need a unit or battery, in the order of the ids.

    ``allocations`` are those of the step and of all that come after it: what is
    fetched once must do for them too.
    """
    found = []
    for item_id in item_ids:
        some = [_need(one, item_id) for one in allocations]
        known = [one for one in some if one is not None]
        if known:
            found.append(_all_of(known))
    return tuple(found)


def _all_of(some: list[LoanNeed]) -> LoanNeed:
    """The need that does for each of them."""
    points = dict.fromkeys(t for one in some for t in one.set_points_c)
    leads = {one.supply for one in some}
    return LoanNeed(
        item_id=some[0].item_id,
        set_points_c=tuple(points),
        compartments=max(one.compartments for one in some),
        lock=any(one.lock for one in some),
        running_w=max(one.running_w for one in some),
        day_wh=max(one.day_wh for one in some),
        supply=leads.pop() if len(leads) == 1 else Supply.BOTH,
        ports_12v=max(one.ports_12v for one in some),
        port_12v_w=max(one.port_12v_w for one in some),
        outlets_ac=max(one.outlets_ac for one in some),
        outlet_ac_w=max(one.outlet_ac_w for one in some),
        out_w=max(one.out_w for one in some),
        solar_w=max(one.solar_w for one in some),
    )


def _need(allocation: Allocation, item_id: str) -> LoanNeed | None:
    instance = allocation.instance
    for unit in instance.units:
        if unit.id == item_id:
            return _of_unit(allocation, unit)
    for battery in instance.batteries:
        if battery.id == item_id:
            return _of_battery(allocation, battery)
    return None


def _of_unit(allocation: Allocation, unit: ColdUnit) -> LoanNeed | None:
    """Settings in use, whether it must lock, and what it may draw."""
    choices = (c for c in allocation.placed.choices if c.mode.unit_id == unit.id)
    choice = next(choices, None)
    if choice is None:
        return None
    instance = allocation.instance
    inside = [
        one for one in placements(instance, allocation.placed) if one.unit_id == unit.id
    ]
    lines = {line.id: line for line in instance.scenario.lines}
    points = dict.fromkeys(
        choice.mode.set_points_c[zone] for zone in sorted({one.zone for one in inside})
    )
    return LoanNeed(
        item_id=unit.id,
        set_points_c=tuple(points),
        compartments=len(points),
        lock=any(lines[one.line_id].locked for one in inside),
        running_w=unit.running_w if unit.powered else 0.0,
        day_wh=_day_wh(choice, unit, instance.hours) if unit.powered else 0.0,
        supply=_leads(allocation, unit),
    )


def _day_wh(choice: ModeChoice, unit: ColdUnit, hours: int) -> float:
    """Energy of a day in this heat, the first hours' cooling down included.

    Whole watt-hours, rounded down: no more was replayed.
    """
    needed_h = int(consumer_of_unit(unit, hours).needed.sum())
    if not needed_h:
        return 0.0
    return float(floor(float(choice.mode.load_w.sum()) / needed_h * 24 + 1e-6))


def _leads(allocation: Allocation, unit: ColdUnit) -> Supply:
    """The leads that the step plugs in; all that it has when none is."""
    ports = {h.port for h in allocation.hookups if h.to_id == unit.id}
    if ports == {PortType.DC_12V}:
        return Supply.DC
    if ports == {PortType.AC}:
        return Supply.AC
    return unit.supply


def _of_battery(allocation: Allocation, battery: Battery) -> LoanNeed:
    """Sockets in use at once, the watts of each and of all, and the sun let in."""
    instance = allocation.instance
    users = {
        who.id: who
        for who in (
            *(consumer_of_unit(u, instance.hours) for u in instance.units),
            *(consumer_of_load(load) for load in instance.loads),
        )
    }
    plugs = [h for h in allocation.hookups if h.from_id == battery.id]
    dc = [h for h in plugs if h.port is PortType.DC_12V]
    ac = [h for h in plugs if h.port is PortType.AC]

    def at_once(some: list[Hookup], of: Callable[[Consumer], float]) -> Hourly:
        total = np.zeros(instance.hours)
        for plug in some:
            total[plug.from_h : plug.to_h] += of(users[plug.to_id])
        return total

    def most(some: list[Hookup], of: Callable[[Consumer], float]) -> float:
        return max((of(users[plug.to_id]) for plug in some), default=0.0)

    running = at_once([*dc, *ac], _running_w)
    starts = [
        float(at_once(ac, _running_w)[h.from_h : h.to_h].max())
        - users[h.to_id].running_w
        + users[h.to_id].surge_w
        for h in ac
    ]
    ports, outlets = (int(at_once(some, _one).max(initial=0.0)) for some in (dc, ac))
    port_w = _up(most(dc, _running_w), battery.port_12v_max_w)
    outlet_w = _up(most(ac, _outlet_w), battery.max_out_w)
    in_all_w = max(
        float(running.max(initial=0.0)), max(starts, default=0.0) / _SURGE_SHARE
    )
    # No more in all than its sockets are asked for.
    limit_w = min(battery.max_out_w, ports * port_w + outlets * outlet_w)
    return LoanNeed(
        item_id=battery.id,
        ports_12v=ports,
        port_12v_w=port_w,
        outlets_ac=outlets,
        outlet_ac_w=outlet_w,
        out_w=_up(in_all_w, limit_w),
        solar_w=_solar_w(allocation, battery),
    )


def _solar_w(allocation: Allocation, battery: Battery) -> float:
    """Watts of the panels plugged in at once, up to what the battery takes."""
    instance = allocation.instance
    rated = {panel.id: panel.rated_w for panel in instance.panels}
    watts = np.zeros(instance.hours)
    for plug in allocation.hookups:
        if plug.link is Link.PANEL_TO_BATTERY and plug.to_id == battery.id:
            watts[plug.from_h : plug.to_h] += rated[plug.from_id]
    limit_w = battery.solar_input_max_w
    return _up(min(float(watts.max(initial=0.0)), limit_w), limit_w)


def _one(who: Consumer) -> float:
    return 1.0


def _running_w(who: Consumer) -> float:
    return who.running_w


def _outlet_w(who: Consumer) -> float:
    """Watts of an outlet that also starts it."""
    return max(who.running_w, who.surge_w / _SURGE_SHARE)


def _up(power_w: float, rating_w: float) -> float:
    """Watts rounded up, so that what is asked for is enough, but to what is offered.

    Nobody is sent away whose battery has what the plan was made with.
    """
    rounded_w = ceil(power_w / _STEP_W - 1e-9) * _STEP_W
    return rounded_w if rounded_w <= rating_w else max(power_w, rating_w)
