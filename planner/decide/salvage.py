"""When not everything can be wired: the plan for what can.

Bags are placed in the units that a wiring feeds, each at its load or a lighter
one.  The result is a whole plan, and often the best there is: the unit left
out was not always needed.
"""

from dataclasses import replace

from planner.decide.instance import Fed, Instance
from planner.decide.placed import Placed
from planner.decide.placement import PlacementModel
from planner.decide.stage_values import StageValue, of_stages
from planner.decide.stages import next_stage
from planner.physics.profiles import Hourly
from planner.result import Hookup, Link, ReasonFamily
from planner.scenario import Tier

_TIER_WEIGHT = 12.0
_SURPLUS_SHARE = 0.01
_LIMIT_S = 100.0


Wired = tuple[tuple[Fed, ...], tuple[Hookup, ...]]
"""What is fed, and the wiring that feeds it."""


def worth_by_unit(instance: Instance, placed: Placed) -> dict[int, float]:
    """Bags weighed by tier, unit by unit."""
    value: dict[int, float] = {}
    for (g, (u, _, _)), n in placed.counts.items():
        good = instance.goods[g]
        rank = len(Tier) - list(Tier).index(good.tier)
        weight = _TIER_WEIGHT**rank * (_SURPLUS_SHARE if good.surplus else 1.0)
        value[u] = value.get(u, 0.0) + n * weight
    return value


def place_in(
    instance: Instance,
    running: tuple[Fed, ...],
    before: tuple[StageValue, ...],
    tier: Tier,
    *,
    surplus: bool,
    after: tuple[StageValue, ...] = (),
    known: Placed | None = None,
    limit_s: float = _LIMIT_S,
    near: bool = False,
) -> tuple[StageValue, Placed] | None:
    """Serve a tier from units that have power, at their load or a lighter one.

    ``near`` as for ``next_stage``.
    """
    model = PlacementModel(
        within(instance, running),
        relax=frozenset({ReasonFamily.POWER}),
        only=of_stages(before, after) | {(tier, surplus)},
    )
    return next_stage(
        model,
        before,
        tier,
        surplus=surplus,
        after=after,
        known=known,
        near=near,
        time_limit_s=limit_s,
    )


def within(instance: Instance, wired: tuple[Fed, ...]) -> Instance:
    """The same scenario with powered units only as far as a wiring feeds them."""
    loads = {f.consumer.id: f.load_w for f in wired}
    return replace(
        instance,
        modes=tuple(
            tuple(
                m
                for m in mine
                if not instance.units[m.unit].powered
                or no_more(m.load_w, loads.get(m.unit_id))
            )
            for mine in instance.modes
        ),
    )


def covers(wired: tuple[Fed, ...], fed: tuple[Fed, ...]) -> bool:
    """True when a wiring that feeds ``wired`` feeds ``fed`` too: the same or less."""
    loads = {f.consumer.id: f.load_w for f in wired}
    return all(no_more(f.load_w, loads.get(f.consumer.id)) for f in fed)


def no_more(load_w: Hourly, wired_w: Hourly | None) -> bool:
    """True when a load is fed in every hour by a wiring made for another."""
    return wired_w is not None and bool((load_w <= wired_w + 1e-9).all())


def used(hookups: tuple[Hookup, ...], fed: tuple[Fed, ...]) -> tuple[Hookup, ...]:
    """Hookups without the plugs of units that ended up holding nothing."""
    wanted = {f.consumer.id for f in fed}
    to_unit = {Link.BATTERY_TO_UNIT, Link.SOURCE_TO_UNIT}
    return tuple(h for h in hookups if h.link not in to_unit or h.to_id in wanted)
