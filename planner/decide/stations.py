"""Where batteries that can be carried stand, when there are several places.

Each is given to one place for the whole window, with the panels that belong
nowhere, so that every place can be wired by itself.  A battery carried about
during the window can do more; this is a way to find wirings, not a bound.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from planner.decide.blocks import Block, energy_blocks
from planner.decide.instance import Fed, Instance, plugs
from planner.decide.solver import Expr, Model, total, whole
from planner.physics.hours import here
from planner.physics.profiles import Hourly
from planner.result import Hookup
from planner.scenario import Supply

_WH = 1000.0
_EFFICIENCY = 0.9
"""Of charging and of feeding, near enough to share kit out by."""
_NODES = 60
_AWAY = 0.02
_LIMIT_S = 20.0
NOTHING: Mapping[str, float] = MappingProxyType({})


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """One place with what stands there, and what is to be fed there."""

    place: str
    instance: Instance
    fed: tuple[Fed, ...]

    @property
    def kit(self) -> frozenset[str]:
        """Batteries and panels that stand there."""
        inst = self.instance
        return frozenset(b.id for b in inst.batteries) | {p.id for p in inst.panels}

    @property
    def use_wh(self) -> float:
        """Energy that is to be fed there."""
        return sum(float(f.load_w.sum()) for f in self.fed)


def share_out(
    instance: Instance,
    fed: tuple[Fed, ...],
    more_wh: Mapping[str, float] = NOTHING,
) -> dict[str, str]:
    """Place of every battery and panel, so that least energy is missing.

    What no place can use is left out.  A place is given ``more_wh`` than what its
    consumers take, where that was found to be too little: inverters run idle,
    and a battery that holds a fridge and a half carries one.
    """
    names = sorted({f.consumer.place for f in fed})
    return _Sharing(instance, fed, names, more_wh).solve()


def sites(
    instance: Instance, fed: tuple[Fed, ...], stands: dict[str, str]
) -> tuple[Site, ...]:
    """Look at every place by itself; ``stands`` says where kit stands."""
    return tuple(
        Site(
            place=name,
            instance=_alone(instance, name, stands),
            fed=tuple(f for f in fed if f.consumer.place == name),
        )
        for name in sorted({f.consumer.place for f in fed})
    )


def stands_in(instance: Instance, hookups: tuple[Hookup, ...]) -> dict[str, str] | None:
    """Place of every battery and panel that a wiring uses.

    ``None`` when something is used in more than one place.
    """
    kit = {b.id for b in instance.batteries} | {p.id for p in instance.panels}
    stands: dict[str, str] = {}
    for h in hookups:
        for item_id in kit & {h.from_id, h.to_id}:
            if stands.setdefault(item_id, h.place) != h.place:
                return None
    return stands


def roams(instance: Instance) -> bool:
    """True when some battery could stand in more than one place."""
    return any(len(places) > 1 for places in instance.charge_at.values())


def among(instance: Instance, names: frozenset[str], kit: frozenset[str]) -> Instance:
    """Some places of a scenario with that of some kit which may stand there.

    In one place alone everything stays put.
    """
    here = with_kit(instance, names, kit & may_stand(instance, names))
    return _fixed(here, *names) if len(names) == 1 else here


def may_stand(instance: Instance, names: frozenset[str]) -> frozenset[str]:
    """Batteries and panels that may stand in one of some places."""
    batteries = instance.batteries
    able = {b.id for b in batteries if names & instance.charge_at[b.id].keys()}
    able |= {p.id for p in instance.panels if not p.place or p.place in names}
    return frozenset(able)


def kit_worth_wh(instance: Instance) -> dict[str, float]:
    """What batteries hold and panels bring, to tell which are worth most."""
    worth = {
        battery.id: limits.full_wh - limits.floor_wh
        for battery, limits in zip(instance.batteries, instance.limits, strict=True)
    }
    sun = zip(instance.panels, instance.sun_w, strict=True)
    return worth | {panel.id: float(sun_w.sum()) for panel, sun_w in sun}


def usable_kwh(instance: Instance) -> dict[str, float]:
    """What batteries hold above their reserve."""
    return {
        battery.id: (x.full_wh - x.floor_wh - x.reserve_wh) / _WH
        for battery, x in zip(instance.batteries, instance.limits, strict=True)
    }


def _alone(instance: Instance, name: str, stands: dict[str, str]) -> Instance:
    """One place of a scenario; what stands there stays there."""
    kit = frozenset(i for i, place in stands.items() if place == name)
    return _fixed(with_kit(instance, frozenset({name}), kit), name)


def with_kit(
    instance: Instance, names: frozenset[str], kit: frozenset[str]
) -> Instance:
    """Some places with some batteries and panels, their own sources and loads."""
    batteries = [b for b, x in enumerate(instance.batteries) if x.id in kit]
    panels = [p for p, x in enumerate(instance.panels) if x.id in kit]
    feeds = [s for s, source in enumerate(instance.feeds) if source.place in names]
    mine = tuple(instance.batteries[b] for b in batteries)
    return replace(
        instance,
        batteries=mine,
        limits=tuple(instance.limits[b] for b in batteries),
        charge_at={
            b.id: {n: w for n, w in instance.charge_at[b.id].items() if n in names}
            for b in mine
        },
        panels=tuple(instance.panels[p] for p in panels),
        sun_w=tuple(instance.sun_w[p] for p in panels),
        feeds=tuple(instance.feeds[s] for s in feeds),
        feed_on=tuple(instance.feed_on[s] for s in feeds),
        loads=tuple(x for x in instance.loads if x.source.place in names),
    )


def _fixed(instance: Instance, name: str) -> Instance:
    """The same with every battery fixed in one place."""
    batteries = instance.batteries
    return replace(
        instance,
        batteries=tuple(replace(b, movable=False, place=name) for b in batteries),
        limits=tuple(
            replace(limits, charge_limit_w=instance.charge_at[b.id][name])
            for b, limits in zip(batteries, instance.limits, strict=True)
        ),
    )


class _Sharing:
    """Batteries and panels shared out so that least energy is missing."""

    def __init__(
        self,
        instance: Instance,
        fed: tuple[Fed, ...],
        names: list[str],
        more_wh: Mapping[str, float],
    ) -> None:
        self.instance = instance
        self.names = names
        self.model = Model("stations")
        self.battery = [
            self._choices(list(instance.charge_at[b.id])) for b in instance.batteries
        ]
        self.panel = [
            self._choices([p.place] if p.place else names) for p in instance.panels
        ]
        terms = [b.availability for b in instance.batteries]
        hours = {0, *(t.ready_h for t in terms), *(t.back_h or 0 for t in terms)}
        self.changes = sorted(h for h in hours if h < instance.hours)
        self.there = [here(t, instance.hours) for t in terms]
        self.usable_kwh = usable_kwh(instance)
        self.missing: list[Expr] = []
        for name in names:
            mine = [f for f in fed if f.consumer.place == name]
            self._add_place(name, mine, more_wh.get(name, 0.0))

    def _choices(self, places: list[str]) -> dict[str, Expr]:
        """One of the places that matter, or none of them."""
        mine = {n: self.model.binary() for n in places if n in self.names}
        if len(mine) > 1:
            self.model.add("R7", total(mine.values()) <= 1)
        return mine

    def _add_place(self, name: str, fed: list[Fed], more_wh: float) -> None:
        """What a place needs, and once more for what hangs on outlets alone."""
        inst = self.instance
        here = [(b, v[name]) for b, v in enumerate(self.battery) if name in v]
        self._add_account(name, fed, here, more_wh)
        outlets = [f for f in fed if f.consumer.supply is Supply.AC]
        if outlets and len(outlets) < len(fed):
            # How much of what was missing was theirs is not known.
            more_wh *= len(outlets) / len(fed)
        if outlets:
            have = [(b, v) for b, v in here if inst.batteries[b].outlets_ac]
            self._add_account(name, outlets, have, more_wh)
        for consumer in {f.consumer.id: f.consumer for f in fed}.values():
            able = [(b, v) for b, v in here if any(plugs(consumer, inst.batteries[b]))]
            for first in self.changes:
                if not consumer.needed[first]:
                    continue
                unable = self.model.var(0)
                there = [v for b, v in able if self.there[b][first]]
                self.model.add("R7", total(there) + unable >= 1)
                self.missing.append(0.1 * unable)

    def _add_account(
        self, name: str, fed: list[Fed], here: list[tuple[int, Expr]], more_wh: float
    ) -> None:
        """Energy of some consumers and the batteries that may feed them."""
        inst, model = self.instance, self.model
        sun = [(p, v[name]) for p, v in enumerate(self.panel) if name in v]
        use: Hourly = sum((f.load_w for f in fed), np.zeros(inst.hours))
        use = use * (1.0 + more_wh / max(1.0, float(use.sum())))
        left: Expr = total(
            max(0.0, x.start_wh - x.floor_wh - x.reserve_wh) / _WH * v
            for b, v in here
            for x in (inst.limits[b],)
        )
        # What comes in beyond what the batteries here hold is lost.
        most: Expr = total(self.usable_kwh[inst.batteries[b].id] * v for b, v in here)
        for block in energy_blocks(inst, 12):
            spent = float(use[block.span].sum()) / _EFFICIENCY / _WH
            lacks = model.var(0)
            after = model.var(0)
            income = self._income(name, block, here, sun)
            model.add("R7", after <= left + income + lacks - spent)
            model.add("R9", after <= most)
            self.missing.append(lacks)
            left = after

    def _income(
        self,
        name: str,
        block: Block,
        here: list[tuple[int, Expr]],
        sun: list[tuple[int, Expr]],
    ) -> Expr:
        """Sun within the inputs of what stands here, and sources of the place."""
        inst = self.instance
        harvest = self.model.var(0)
        self.model.add(
            "R9",
            harvest
            <= total(float(inst.sun_w[p][block.span].sum()) / _WH * v for p, v in sun),
        )
        self.model.add(
            "R9",
            harvest
            <= total(
                float(
                    np.minimum(
                        inst.limits[b].solar_limit_w,
                        inst.charge_at[inst.batteries[b].id][name],
                    )[block.span].sum()
                )
                / _WH
                * v
                for b, v in here
            ),
        )
        mains = sum(
            source.max_w * int(on[block.span].sum()) / _WH
            for source, on in zip(inst.feeds, inst.feed_on, strict=True)
            if source.place == name
        )
        return _EFFICIENCY * (harvest + mains)

    def solve(self) -> dict[str, str]:
        """Places by item; what is not needed elsewhere stays at home."""
        inst = self.instance
        home = [next(iter(inst.charge_at[b.id])) for b in inst.batteries]
        away = total(
            v
            for b, mine in enumerate(self.battery)
            for name, v in mine.items()
            if name != home[b]
        )
        spread = total(
            v for mine in (*self.panel, *self.battery) for v in mine.values()
        )
        outcome = self.model.minimise(
            total(self.missing) + _AWAY * away - 0.001 * spread,
            time_limit_s=_LIMIT_S,
            node_limit=_NODES,
        )
        ids = [b.id for b in inst.batteries] + [p.id for p in inst.panels]
        stands: dict[str, str] = {}
        for item_id, mine in zip(ids, (*self.battery, *self.panel), strict=True):
            taken = [n for n, v in mine.items() if outcome.found and whole(v)]
            if taken or mine:
                stands[item_id] = next(iter(taken or mine))
        return stands
