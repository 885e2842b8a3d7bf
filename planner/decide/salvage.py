"""When not everything can be wired: the plan for what can.

The units of a placement are wired as far as the power goes, those with the
most urgent bags first, each at its load or a lighter one.  The bags are then
placed again in the units that have power.  The result is a whole plan, and
often the best there is: the unit left out was not always needed.
"""

import time
from dataclasses import replace

from planner.decide.blocks import Block, rota_levels
from planner.decide.hookup import STEPS_H, fed_by_modes
from planner.decide.instance import Fed, Instance
from planner.decide.placement import Placed, PlacementModel, StageValue
from planner.decide.plugged import read_hookups
from planner.decide.simulate import around, thin_hours
from planner.decide.solver import total
from planner.decide.stages import next_stage
from planner.decide.wiring import WiringModel
from planner.physics.profiles import Hourly
from planner.result import Hookup, Link, ReasonFamily
from planner.scenario import Tier

_NODES = 30
_TIER_WEIGHT = 12.0
_SURPLUS_SHARE = 0.01
_KEPT = 10.0
_WIDE_MOST = 2000
_ROOM = 1e-4
_PLACE_LIMIT_S = 10.0


Wired = tuple[tuple[Fed, ...], tuple[Hookup, ...]]
"""What is fed, and the wiring that feeds it."""


def salvage(
    instance: Instance, placed: Placed, before: tuple[Fed, ...], *, ends: float
) -> list[Wired]:
    """Wirings that feed as much of a placement as can be fed.

    What was fed ``before`` stays fed where that can be.
    """
    found = []
    for periods in rota_levels(instance)[:2]:
        modes = sum(len(m) for m in instance.modes)
        few = modes * len(instance.batteries) <= _WIDE_MOST
        fed, worth = _ways(instance, placed, before, wide=few and len(periods) == 1)
        wired = _most(instance, fed, worth, periods, ends=ends)
        if wired is not None:
            found.append(wired)
    return found


def _loads_of(instance: Instance, fed: tuple[Fed, ...]) -> tuple[Fed, ...]:
    """What comes before the fridges."""
    units = {u.id for u in instance.units}
    return tuple(f for f in fed if f.consumer.id not in units)


def _ways(
    instance: Instance, placed: Placed, before: tuple[Fed, ...], *, wide: bool
) -> tuple[tuple[Fed, ...], tuple[float, ...]]:
    """Ways to run the powered units, with what each is worth.

    Units of the placement count by their bags, the others a little by their
    room; what was fed before counts most, at its load or more.  Not ``wide``
    leaves out the others and what holds more than it has to: a rota has many
    plugs to choose already.
    """
    value, litres = _worth_by_unit(instance, placed)
    most = max(value.values(), default=1.0)
    points = {c.mode.unit: c.mode.set_points_c for c in placed.choices}
    fills = {c.mode.unit: c.mode.fill for c in placed.choices}
    kept = {f.consumer.id: f for f in before}
    fed = list(_loads_of(instance, before))
    worth = [0.0] * len(fed)
    alone = replace(instance, loads=())
    for u, unit in enumerate(instance.units):
        if not unit.powered:
            continue
        for mode in instance.modes[u]:
            held = kept.get(unit.id)
            if held is not None:
                if not no_more(held.load_w, mode.load_w):
                    continue
            elif u in points and mode.set_points_c != points[u]:
                continue
            if not wide and (u not in points or mode.fill > fills[u]):
                continue
            room_l = mode.fill * sum(mode.usable_l)
            share = min(1.0, room_l / litres[u]) if u in litres else 0.0
            fed += fed_by_modes(alone, (mode,))
            worth.append(
                (_KEPT if held is not None else 0.0)
                + share * value.get(u, 0.0) / most
                + _ROOM * room_l
            )
    return tuple(fed), tuple(worth)


def _worth_by_unit(
    instance: Instance, placed: Placed
) -> tuple[dict[int, float], dict[int, float]]:
    """Bags weighed by tier, and their litres, unit by unit."""
    value: dict[int, float] = {}
    litres: dict[int, float] = {}
    for (g, (u, _, _)), n in placed.counts.items():
        good = instance.goods[g]
        rank = len(Tier) - list(Tier).index(good.tier)
        weight = _TIER_WEIGHT**rank * (_SURPLUS_SHARE if good.surplus else 1.0)
        value[u] = value.get(u, 0.0) + n * weight
        litres[u] = litres.get(u, 0.0) + n * good.volume_l
    return value, litres


def _most(
    instance: Instance,
    fed: tuple[Fed, ...],
    worth: tuple[float, ...],
    periods: tuple[Block, ...],
    *,
    ends: float,
) -> Wired | None:
    """The wiring that is worth most among those soon found."""
    marks: frozenset[int] = frozenset()
    for sunny_h in STEPS_H:
        wm = WiringModel(
            instance, fed, periods, sunny_h=sunny_h, marks=marks, spare=True
        )
        outcome = wm.model.minimise(
            -total(w * on for w, on in zip(worth, wm.on, strict=True)),
            time_limit_s=max(0.0, ends - time.monotonic()),
            node_limit=_NODES,
        )
        if not outcome.found:
            return None
        hookups = read_hookups(wm)
        thin = thin_hours(instance, wm.running(), hookups)
        if not thin:
            return wm.running(), hookups
        marks |= around(thin)
    return None


def place_in(
    instance: Instance,
    running: tuple[Fed, ...],
    before: tuple[StageValue, ...],
    tier: Tier,
    *,
    surplus: bool,
    after: tuple[StageValue, ...] = (),
) -> tuple[StageValue, Placed] | None:
    """Serve a tier from units that have power, at their load or a lighter one."""
    model = PlacementModel(
        within(instance, running), relax=frozenset({ReasonFamily.POWER})
    )
    return next_stage(
        model,
        before,
        tier,
        surplus=surplus,
        after=after,
        time_limit_s=_PLACE_LIMIT_S,
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
