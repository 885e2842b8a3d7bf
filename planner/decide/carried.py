"""Whether a plan still holds when some equipment is other than it was planned."""

import math
from dataclasses import replace

from planner.decide.allocation import Allocation
from planner.decide.assign import placements
from planner.decide.blocks import plug_periods
from planner.decide.hookup import fed_by_modes
from planner.decide.instance import Instance, Mode
from planner.decide.on_top_feeders import TO_USER, InForce
from planner.decide.placed import ModeChoice
from planner.decide.salvage import no_more
from planner.scenario import Equipment

_SLACK_L = 1e-9


def carried(plan: Allocation, instance: Instance) -> tuple[ModeChoice, ...] | None:
    """The modes in which every bag and plug of a plan stays; ``None`` if not.

    The same units, set points and plugs; only the warm fill planned for may be
    another, at no more load than the plugs were made for.
    """
    if not plan.loads_fed or not _bags_fit(plan, instance):
        return None
    litres = _litres(plan)
    number = {u.id: n for n, u in enumerate(instance.units)}
    chosen: list[ModeChoice] = []
    for choice in plan.placed.choices:
        old = choice.mode
        u = number.get(old.unit_id)
        if u is None:
            return None
        mine = [
            m
            for m in instance.modes[u]
            if m.set_points_c == old.set_points_c
            and _holds(m, litres.get(old.unit_id, {}))
            and (not instance.units[u].powered or no_more(m.load_w, old.load_w))
        ]
        if not mine:
            return None
        chosen.append(replace(choice, mode=min(mine, key=lambda m: m.fill)))
    fed = fed_by_modes(instance, tuple(c.mode for c in chosen))
    periods = plug_periods(instance, swaps=False)
    force = InForce(instance, fed, plan.hookups, periods)
    if not _all_there(plan, force):
        return None
    feeders = (*force.batteries, *force.sources)
    holds = all(force.carries(f, (), (), force.fed) for f in feeders)
    return tuple(chosen) if holds and _ice(instance, chosen) else None


def _bags_fit(plan: Allocation, instance: Instance) -> bool:
    """Every bag may still go where it is."""
    number = {u.id: n for n, u in enumerate(instance.units)}
    good_of = {
        (part.line_id, good.surplus): good
        for good in instance.goods
        for part in good.parts
    }
    points = {c.mode.unit_id: c.mode.set_points_c for c in plan.placed.choices}
    for put in placements(plan.instance, plan.placed):
        good = good_of.get((put.line_id, put.surplus))
        if good is None or put.unit_id not in number:
            return False
        slot = (number[put.unit_id], put.zone, points[put.unit_id][put.zone])
        if slot not in good.slots:
            return False
    return True


def _litres(plan: Allocation) -> dict[str, dict[int, float]]:
    """Packed litres by unit and zone."""
    found: dict[str, dict[int, float]] = {}
    for (g, (u, zone, _)), n in plan.placed.counts.items():
        zones = found.setdefault(plan.instance.units[u].id, {})
        zones[zone] = zones.get(zone, 0.0) + n * plan.instance.goods[g].volume_l
    return found


def _holds(mode: Mode, litres: dict[int, float]) -> bool:
    fits = all(v <= mode.usable_l[z] + _SLACK_L for z, v in litres.items())
    warm_l = mode.fill * sum(mode.usable_l)
    return fits and math.fsum(litres.values()) <= warm_l + _SLACK_L


def _all_there(plan: Allocation, force: InForce) -> bool:
    """Every feeder and panel of the wiring is here while it is plugged in."""
    inst = force.instance
    kit: tuple[Equipment, ...] = (*inst.batteries, *inst.panels, *inst.feeds)
    terms = {e.id: e.availability for e in kit}
    for h in plan.hookups:
        ends = [h.from_id] if h.link in TO_USER else [h.from_id, h.to_id]
        for one in ends:
            if one not in terms or h.from_h < terms[one].ready_h:
                return False
            back_h = terms[one].back_h
            if back_h is not None and h.to_h > back_h:
                return False
    return True


def _ice(instance: Instance, chosen: list[ModeChoice]) -> bool:
    supply = instance.scenario.conditions.ice_kg_day
    return math.fsum(c.mode.ice_kg for c in chosen) <= supply + _SLACK_L
