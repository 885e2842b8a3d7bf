"""Energy rows of the placement model: one pool a place, kinder than any wiring.

Every battery that could serve a place is poured into one pool; panels give
what the sum of the input caps lets in; nothing is spilled.  Every real
wiring satisfies these rows, so the best value under them bounds what any
wiring can do (R7, R9).  What they let through too kindly is found by the
hookup step and comes back as a cut.  The rows are few on purpose: a model
that follows each battery block by block is tighter but was 30 times slower
on scarce cases.
"""

from dataclasses import dataclass, field

import numpy as np

from planner.decide.blocks import Block
from planner.decide.instance import (
    Consumer,
    Instance,
    charges_battery,
    feeds_consumer,
    plugs,
)
from planner.decide.solver import Expr, Model, total, weighted
from planner.physics.profiles import Hourly

_KWH = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Draw:
    """What a consumer may draw: choices of (0/1 variable, hourly watts)."""

    consumer: Consumer
    choices: tuple[tuple[Expr, Hourly], ...]

    def times(self, factor: float) -> "Draw":
        """The same consumer with so many times its load."""
        choices = tuple((var, factor * load_w) for var, load_w in self.choices)
        return Draw(consumer=self.consumer, choices=choices)

    @property
    def on(self) -> Expr:
        """1 when the consumer runs."""
        return total(var for var, _ in self.choices)


Stands = dict[str, dict[str, Expr]]
"""1 where a battery or panel stands, by its id and the place."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pool:
    """Everything that could feed one place, or all places together.

    ``here`` has what stands there only if the model says so; then it is no bound,
    and what is usual is counted where a bound has to be kind.
    """

    draws: tuple[Draw, ...]
    batteries: tuple[int, ...]
    panels: tuple[int, ...]
    sources: tuple[int, ...]
    here: dict[str, Expr] = field(default_factory=dict)


def add_power_rows(
    model: Model,
    instance: Instance,
    draws: tuple[Draw, ...],
    blocks: tuple[Block, ...],
    take: dict[str, Expr],
) -> None:
    """Add energy, socket and watt rows for every pool (R7)."""
    for pool in _pools(instance, draws):
        rows = _PoolRows(model, instance, pool, take)
        rows.add_energy(blocks)
        rows.add_sockets()


def add_stations(
    model: Model,
    instance: Instance,
    draws: tuple[Draw, ...],
    blocks: tuple[Block, ...],
) -> Stands:
    """Give whatever can be carried one place, and every place rows of its own.

    Tighter than pools, and no bound: what is carried about can do more.
    """
    places = sorted({d.consumer.place for d in draws})
    stands: Stands = {}
    for battery in instance.batteries:
        stands[battery.id] = {
            n: model.binary() for n in instance.charge_at[battery.id] if n in places
        }
    for panel in instance.panels:
        mine = [panel.place] if panel.place else places
        stands[panel.id] = {n: model.binary() for n in mine if n in places}
    for mine_at in stands.values():
        if len(mine_at) > 1:
            model.add("R7", total(mine_at.values()) <= 1)
    for place in places:
        pool = _Pool(
            draws=tuple(d for d in draws if d.consumer.place == place),
            batteries=tuple(
                b for b, x in enumerate(instance.batteries) if place in stands[x.id]
            ),
            panels=tuple(
                p for p, x in enumerate(instance.panels) if place in stands[x.id]
            ),
            sources=tuple(s for s, x in enumerate(instance.feeds) if x.place == place),
            here={i: at[place] for i, at in stands.items() if place in at},
        )
        rows = _PoolRows(model, instance, pool, {})
        rows.add_energy(blocks)
        rows.add_sockets()
    return stands


def _pools(instance: Instance, draws: tuple[Draw, ...]) -> list[_Pool]:
    """One pool a place, and one of all places where there are several."""
    places = sorted({d.consumer.place for d in draws})
    pools = []
    for place in places:
        pools.append(
            _Pool(
                draws=tuple(d for d in draws if d.consumer.place == place),
                batteries=tuple(
                    b
                    for b, battery in enumerate(instance.batteries)
                    if battery.movable or battery.place == place
                ),
                # A battery that is carried may have stood in any panel's sun.
                panels=tuple(range(len(instance.panels))),
                sources=tuple(range(len(instance.feeds))),
            )
        )
    if len(places) > 1:
        pools.append(
            _Pool(
                draws=draws,
                batteries=tuple(range(len(instance.batteries))),
                panels=tuple(range(len(instance.panels))),
                sources=tuple(range(len(instance.feeds))),
            )
        )
    return pools


class _PoolRows:
    """Rows of one pool."""

    def __init__(
        self, model: Model, instance: Instance, pool: _Pool, take: dict[str, Expr]
    ) -> None:
        self.model = model
        self.instance = instance
        self.pool = pool
        self.take = take
        self.kinds = [self._sockets(draw.consumer) for draw in pool.draws]
        suns = [instance.sun_w[p] for p in pool.panels]
        self.all_sun_w: Hourly = sum(suns, np.zeros(instance.hours))

    def _owned(self, item_id: str) -> Expr:
        """1 for equipment that is here, the take variable for an offer."""
        return self.pool.here.get(item_id, self.take.get(item_id, 1))

    def add_energy(self, blocks: tuple[Block, ...]) -> None:
        """Drawn so far <= stored at the start + come in so far, block by block."""
        inst = self.instance
        stored = total(
            max(0.0, _above_reserve(inst, b)) / _KWH * self._owned(inst.batteries[b].id)
            for b in self.pool.batteries
        )
        left: Expr = stored
        efficiency = [self._best_efficiency(draw.consumer) for draw in self.pool.draws]
        caps_w = [
            np.minimum(self.all_sun_w, _solar_cap_w(inst, b))
            for b in self.pool.batteries
        ]
        for block in blocks:
            after = self.model.var(0)
            income = self._sun(block, caps_w) + self._sources(block)
            spent = self._drawn(block, efficiency)
            self.model.add("R7", after <= left + total(income) - spent)
            left = after

    def _drawn(self, block: Block, efficiency: list[float]) -> Expr:
        """Energy out of the cells at the best efficiency open to each unit."""
        found = [
            (float(load_w[block.span].sum()) / best / _KWH, var)
            for draw, best in zip(self.pool.draws, efficiency, strict=True)
            for var, load_w in draw.choices
        ]
        drawn = weighted((kwh, var) for kwh, var in found if kwh > 0)
        return drawn + self._least_idle(block)

    def _best_efficiency(self, consumer: Consumer) -> float:
        inst = self.instance
        best = 0.0
        for b in self.pool.batteries:
            dc, ac = plugs(consumer, inst.batteries[b])
            if dc:
                best = max(best, inst.limits[b].dc_efficiency)
            if ac:
                best = max(best, inst.limits[b].ac_efficiency)
        if any(feeds_consumer(consumer, inst.feeds[s]) for s in self.pool.sources):
            best = max(best, 1.0)
        return best or 1.0

    def _least_idle(self, block: Block) -> Expr:
        """Inverter idle that some AC-only unit cannot avoid, or the usual share."""
        inst = self.instance
        able = [b for b in self.pool.batteries if inst.batteries[b].outlets_ac > 0]
        idles = [inst.limits[b].ac_idle_w for b in able]
        draws = zip(self.pool.draws, self.kinds, strict=True)
        only_ac = [draw for draw, kind in draws if kind == "ac"]
        if not idles or not only_ac or min(idles) <= 0:
            return 0
        if self.pool.here:
            usual_w = float(
                np.mean(
                    [
                        inst.limits[b].ac_idle_w / inst.batteries[b].outlets_ac
                        for b in able
                    ]
                )
            )
            return total(
                usual_w * int(d.consumer.needed[block.span].sum()) / _KWH * d.on
                for d in only_ac
            )
        # One that comes later or goes back runs the inverter for less.
        hours = min(int(d.consumer.needed[block.span].sum()) for d in only_ac)
        running = self.model.var(0, 1)
        for draw in only_ac:
            self.model.add("R7", running >= draw.on)
        return min(idles) * hours / _KWH * running

    def _sun(self, block: Block, caps_w: list[Hourly]) -> list[Expr]:
        """Harvest of the block: within the panels, within the input caps."""
        inst = self.instance
        if not self.pool.batteries or float(self.all_sun_w[block.span].sum()) <= 0:
            return []
        panels = weighted(
            (
                float(inst.sun_w[p][block.span].sum()) / _KWH,
                self._owned(inst.panels[p].id),
            )
            for p in self.pool.panels
        )
        limits = [inst.limits[b] for b in self.pool.batteries]
        caps = [
            (float(cap_w[block.span].sum()) / _KWH, self._owned(inst.batteries[b].id))
            for b, cap_w in zip(self.pool.batteries, caps_w, strict=True)
        ]
        best = max(x.charge_efficiency for x in limits)
        harvest = self.model.var(0)
        self.model.add("R9", harvest <= panels)
        self.model.add("R9", harvest <= weighted(caps))
        if not self.pool.here:
            return [best * harvest]
        stored = self.model.var(0)
        self.model.add("R9", stored <= best * harvest)
        charged = weighted(
            (cap_kwh * x.charge_efficiency, owned)
            for (cap_kwh, owned), x in zip(caps, limits, strict=True)
        )
        self.model.add("R9", stored <= charged)
        return [stored]

    def _sources(self, block: Block) -> list[Expr]:
        """Most that the sources can give in the block."""
        inst = self.instance
        found = []
        for s in self.pool.sources:
            source = inst.feeds[s]
            hours = int(inst.feed_on[s][block.span].sum())
            takers_w = sum(
                inst.batteries[b].max_charge_w
                for b in self.pool.batteries
                if charges_battery(source, inst.batteries[b])
            ) + sum(
                d.consumer.running_w
                for d in self.pool.draws
                if feeds_consumer(d.consumer, source)
            )
            most_w = min(source.max_w, takers_w)
            if hours and most_w > 0:
                found.append(most_w * hours / _KWH * self._owned(source.id))
        return found

    def _sockets(self, consumer: Consumer) -> str:
        """Tell what can feed a consumer: dc, ac, both, source or none."""
        inst = self.instance
        mine = [s for s in self.pool.sources if feeds_consumer(consumer, inst.feeds[s])]
        if self.pool.here:
            # What is off at times leaves a need for a socket.
            on = sum((inst.feed_on[s] for s in mine), np.zeros(inst.hours))
            mine = mine if ((on > 0) >= consumer.needed).all() else []
        if mine:
            return "source"
        kinds = [plugs(consumer, inst.batteries[b]) for b in self.pool.batteries]
        dc, ac = any(k[0] for k in kinds), any(k[1] for k in kinds)
        return {(True, True): "both", (True, False): "dc", (False, True): "ac"}.get(
            (dc, ac), "none"
        )

    def add_sockets(self) -> None:
        """No more plugs than sockets, no more watts than outputs."""
        inst = self.instance
        by_kind: dict[str, list[Expr]] = {"dc": [], "ac": [], "both": [], "none": []}
        watts: list[Expr] = []
        for draw, kind in zip(self.pool.draws, self.kinds, strict=True):
            if kind != "source":
                by_kind[kind].append(draw.on)
                watts.append(draw.consumer.running_w / _KWH * draw.on)
        owned = [
            (inst.batteries[b], self._owned(inst.batteries[b].id))
            for b in self.pool.batteries
        ]
        ports = total(b.ports_12v * o for b, o in owned)
        outlets = total(b.outlets_ac * o for b, o in owned)
        for draw in by_kind["none"]:
            self.model.add("R7", total([draw]) <= 0)
        if by_kind["dc"]:
            self.model.add("R7", total(by_kind["dc"]) <= ports)
        if by_kind["ac"]:
            self.model.add("R7", total(by_kind["ac"]) <= outlets)
        plugged = by_kind["dc"] + by_kind["ac"] + by_kind["both"]
        if plugged:
            self.model.add("R7", total(plugged) <= ports + outlets)
            top = total(b.max_out_w / _KWH * o for b, o in owned)
            self.model.add("R7", total(watts) <= top)


def _above_reserve(instance: Instance, b: int) -> float:
    """Energy above floor and reserve at the start [Wh]."""
    limits = instance.limits[b]
    return limits.start_wh - limits.floor_wh - limits.reserve_wh


def _solar_cap_w(instance: Instance, b: int) -> Hourly:
    """Most a battery's solar input takes in each hour [W]."""
    limits = instance.limits[b]
    return np.minimum(limits.charge_limit_w, limits.solar_limit_w)
