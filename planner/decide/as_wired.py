"""The plan in force as a starting point: its wiring, as far as it still holds."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from planner.decide.allocation import Allocation
from planner.decide.hookup import fed_by_modes
from planner.decide.instance import Fed, Instance, Mode
from planner.decide.salvage import place_in, used
from planner.decide.simulate import thin_hours
from planner.decide.stage_values import StageValue, got, stage_order
from planner.result import Hookup, Link, UnitUse
from planner.result_replan import InForce

_FEEDS = {Link.BATTERY_TO_UNIT, Link.SOURCE_TO_UNIT}


def modes_now(instance: Instance, units_on: Sequence[UnitUse]) -> dict[str, Mode]:
    """Modes of today's scenario in which the units of the plan in force run."""
    found: dict[str, Mode] = {}
    uses = {use.unit_id: use for use in units_on}
    for mine in instance.modes:
        for mode in mine:
            use = uses.get(mode.unit_id)
            same = use is not None and mode.set_points_c == use.set_points_c
            if same and use is not None and mode.fill <= use.warm_fill + 1e-9:
                found[mode.unit_id] = mode
    return found


def as_wired(fresh: Allocation, in_force: InForce) -> Allocation | None:
    """Tiers served from what the wiring in force still feeds, if no tier is worse.

    For plans that are not proven best: the plan in force may know better than
    the search.  Bounds stay those of ``fresh`` as far as they stand.
    """
    instance = fresh.instance
    if not fresh.loads_fed:
        return None
    modes = tuple(modes_now(instance, in_force.units_on).values())
    wiring = _still_holds(instance, fed_by_modes(instance, modes), in_force.hookups)
    if wiring is None:
        return None
    fed, hookups = wiring
    stages: list[StageValue] = []
    placed = None
    for tier, surplus in stage_order(instance.goods):
        found = place_in(instance, fed, tuple(stages), tier, surplus=surplus)
        if found is None:
            return None
        stage, placed = found
        stages.append(stage)
        if _values(stages) < _values(fresh.placed.stages[: len(stages)]):
            return None
    if placed is None:
        return None
    stages = _bounded(stages, fresh.placed.stages)
    runs = fed_by_modes(instance, tuple(c.mode for c in placed.choices))
    return replace(
        fresh,
        placed=replace(placed, stages=tuple(stages), proven=False),
        hookups=used(hookups, runs),
        proven=all(got(s) == (s.household_bound, s.bound) for s in stages),
    )


def _values(stages: Sequence[StageValue]) -> list[tuple[int, int]]:
    return [got(stage) for stage in stages]


def _bounded(
    stages: Sequence[StageValue], fresh: Sequence[StageValue]
) -> list[StageValue]:
    """Bounds of the fresh plan; after a tier with another value none stands."""
    found = []
    stands = True
    for mine, theirs in zip(stages, fresh, strict=True):
        bound, homes = theirs.bound, theirs.household_bound
        if not stands:
            bound, homes = mine.needed, mine.households
        found.append(replace(mine, bound=bound, household_bound=homes))
        stands = stands and got(mine) == got(theirs)
    return found


def _still_holds(
    instance: Instance, fed: tuple[Fed, ...], hookups: tuple[Hookup, ...]
) -> tuple[tuple[Fed, ...], tuple[Hookup, ...]] | None:
    """What the plugs of the plan in force feed to the end; units that fail go.

    ``None`` when a load before the fridges is among them.
    """
    known = {
        *(b.id for b in instance.batteries),
        *(p.id for p in instance.panels),
        *(s.id for s in instance.feeds),
    }
    plugs = tuple(
        h
        for h in hookups
        if h.from_id in known and (h.link in _FEEDS or h.to_id in known)
    )
    units = {unit.id for unit in instance.units}
    fed = tuple(f for f in fed if _covered(f, plugs, instance.hours))
    while True:
        plugs = used(plugs, fed)
        weak = _fed_too_thin(instance, fed, plugs)
        droppable = [f for f in fed if f.consumer.id in weak & units]
        if not droppable:
            break
        # The hungriest of them goes first.
        worst = max(droppable, key=lambda f: (float(f.load_w.sum()), f.consumer.id))
        fed = tuple(f for f in fed if f is not worst)
    loads = {load.source.id for load in instance.loads}
    if weak or not loads <= {f.consumer.id for f in fed}:
        return None
    return fed, plugs


def _covered(fed: Fed, plugs: tuple[Hookup, ...], hours: int) -> bool:
    """True when it is plugged in exactly once in every hour that it needs."""
    count = np.zeros(hours, dtype=int)
    for plug in plugs:
        if plug.link in _FEEDS and plug.to_id == fed.consumer.id:
            count[plug.from_h : plug.to_h] += 1
    return bool((count[fed.consumer.needed] == 1).all())


def _fed_too_thin(
    instance: Instance, fed: tuple[Fed, ...], plugs: tuple[Hookup, ...]
) -> set[str]:
    """Consumers on batteries that end below their reserve."""
    weak: set[str] = set()
    for battery, limits in zip(instance.batteries, instance.limits, strict=True):
        alone = replace(instance, batteries=(battery,), limits=(limits,))
        if thin_hours(alone, fed, plugs):
            weak |= {p.to_id for p in plugs if p.from_id == battery.id}
    return weak
