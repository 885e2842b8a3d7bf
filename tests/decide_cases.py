"""Helpers of the decide tests: plain loads, plans, and values to compare."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from random import Random
from typing import Any
from unittest.mock import patch

import numpy as np

from planner.decide import feeders
from planner.decide import instance as instances
from planner.decide.borrow_generic import is_generic
from planner.decide.instance import Instance, Mode, build
from planner.decide.triage import demands
from planner.physics import profiles
from planner.physics.hours import here
from planner.pipeline import make_plan
from planner.result import Hookup, Link, Plan
from planner.scenario import ColdUnit, Panel, Scenario, SunCase
from tests import builders as b

Watts = float | Callable[[float], float]
"""Steady watts of a unit, or a function of its warm fill."""


GENERIC_W = 20.0
"""Draw of the fridges that a plan asks for by itself."""


def _watts_of(unit: ColdUnit, loads_w: dict[str, Watts]) -> Watts:
    if is_generic(unit.id):
        return GENERIC_W
    return loads_w[unit.id] if unit.powered else 0.0


@contextmanager
def plain_world(
    loads_w: dict[str, Watts], sun_w: dict[str, list[float]] | None = None
) -> Iterator[None]:
    """Replace loads and harvest by given numbers, so that sums are by hand.

    A unit draws its watts in every hour in which it is there; ``sun_w`` is
    the mean day, the poor day has half of it.
    """
    share = {SunCase.NONE: 0.0, SunCase.POOR: 0.5, SunCase.MEAN: 1.0}

    def load(unit: ColdUnit, _points: Any, room_c: Any, fill: float) -> Any:
        watts = _watts_of(unit, loads_w)
        steady = watts(fill) if callable(watts) else watts
        return np.where(here(unit.availability, room_c.size), steady, 0.0)

    def sun(panel: Panel, conditions: Any, _outdoor: Any, day: SunCase) -> Any:
        there = here(panel.availability, conditions.window_h)
        if is_generic(panel.id):
            return np.zeros(conditions.window_h)
        return np.where(there, share[day] * np.array((sun_w or {})[panel.id]), 0.0)

    with ExitStack() as stack:
        for owner in (instances, profiles):
            stack.enter_context(patch.object(owner, "unit_load_w", load))
        for owner in (feeders, profiles):
            stack.enter_context(patch.object(owner, "panel_w", sun))
        yield


def instance(scene: Scenario | None = None, **fields: Any) -> Instance:
    """Numbers of a scenario; the default one with some fields replaced."""
    scene = scene or b.scenario(**fields)
    return build(scene, demands(scene))


def some_modes(inst: Instance, draw: Random) -> tuple[Mode, ...]:
    """One way to run each of a few powered units."""
    units = [u for u, m in enumerate(inst.modes) if m and inst.units[u].powered]
    picked = [u for u in units if draw.random() < 0.7]
    return tuple(draw.choice(inst.modes[u]) for u in picked)


def planned(**fields: Any) -> Plan:
    """Plan of the default scenario with some fields replaced, no loans."""
    return make_plan(b.scenario(**fields), borrow=False)


def met(plan: Plan) -> list[tuple[str, int]]:
    """Bags met in each tier that has any, need and surplus together."""
    return [(t.tier.value, t.met + t.surplus_met) for t in plan.tiers]


def bags(plan: Plan) -> int:
    """Bags in the cold, all tiers."""
    return sum(put.count for put in plan.placements)


def feeds(hookups: tuple[Hookup, ...]) -> list[tuple[str, str, int, int]]:
    """Feeder, taker and hours of each plug of a unit or load."""
    kinds = (Link.BATTERY_TO_UNIT, Link.SOURCE_TO_UNIT)
    return sorted(
        (plug.from_id, plug.to_id, plug.from_h, plug.to_h)
        for plug in hookups
        if plug.link in kinds
    )


def tier_vector(plan: Plan) -> tuple[int, ...]:
    """Values of a plan in the order of importance, all five tiers.

    A tier: households with a first bag, bags of need; then its surplus.
    """
    by_tier = {t.tier.value: t for t in plan.tiers}
    found: list[int] = []
    for name in "ABCDE":
        tier = by_tier.get(name)
        if tier is None:
            found += [0, 0, 0]
        else:
            found += [tier.households_met, tier.met, tier.surplus_met]
    return tuple(found)
