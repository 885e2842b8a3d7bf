"""Plugs, sockets, watts and watt-hours of the monolith (R7, R9).

Plugs may move at the site's swap times and when a source goes on or off;
panels and chargers are plugged once.  Hours in which nothing comes in are
taken together up to the next plug change: charge only falls there, so its
end is its lowest point and nothing is lost.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from planner.decide.blocks import Block, charge_steps, plug_periods
from planner.decide.instance import (
    Instance,
    Mode,
    charges_battery,
    feeds_consumer,
    plugs,
)
from planner.physics.profiles import Hourly
from planner.result import PortType
from tests.bench.rows import Rows, Terms
from tests.bench.spans import there
from tests.bench.who import Who, who_of_load, who_of_unit

MILLI = 1000
"""Thousandths of a watt or a watt-hour."""
UNIT = float(MILLI)
"""Solvers in floats see watts and watt-hours; in kilowatt-hours CBC now and
then called a plan best that was a bag short."""
MARGIN_WH = 0.05
"""Kept above the reserve, as the planner does against rounding."""

Socket = tuple[int, int, PortType, int]
"""Taker, battery, port, period."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Taker:
    """Something to be fed: ways to draw, each with the picks that choose it.

    A load before the fridges has one way and no picks: it is always on.
    """

    who: Who
    ways: tuple[tuple[Hourly, Terms], ...]
    always: bool


class PowerRows:
    """Adds the rows of power to a monolith, and reads the plugs back."""

    def __init__(
        self,
        rows: Rows,
        instance: Instance,
        picks: dict[int, list[tuple[Mode, Terms]]],
    ) -> None:
        self.rows, self.instance = rows, instance
        self.periods = plug_periods(instance, swaps=True)
        self.steps = charge_steps(instance, self.periods, sunny_h=1)
        self.takers = tuple(_takers(instance, picks))
        self.plug: dict[Socket, int] = {}
        self.by_socket: dict[tuple[int, int, PortType], list[tuple[int, int]]] = {}
        self.share: dict[tuple[Socket, int], int] = {}
        self.direct: dict[tuple[int, int, int], int] = {}
        self.panel: dict[tuple[int, int], int] = {}
        self.charger: dict[tuple[int, int], int] = {}
        self.stands: dict[tuple[int, str, int], int] = {}
        self._add_leads()
        for t in range(len(self.takers)):
            for k in range(len(self.periods)):
                self._add_feed(t, k)
        self._add_standing()
        self._add_sockets()
        self._add_sources()
        for b in range(len(instance.batteries)):
            self._add_charge(b)

    # -- plugs -----------------------------------------------------------------

    def _add_leads(self) -> None:
        """Each panel on one battery, each battery on one charger."""
        inst = self.instance
        for p, panel in enumerate(inst.panels):
            for b, battery in enumerate(inst.batteries):
                if not panel.place or battery.movable or panel.place == battery.place:
                    self.panel[p, b] = self.rows.binary()
            mine = [(1, v) for (pp, _), v in self.panel.items() if pp == p]
            self.rows.add(mine, top=1)
        for b, battery in enumerate(inst.batteries):
            for s, source in enumerate(inst.feeds):
                if charges_battery(source, battery):
                    self.charger[b, s] = self.rows.binary()
            mine = [(1, v) for (bb, _), v in self.charger.items() if bb == b]
            self.rows.add(mine, top=1)

    def _add_feed(self, t: int, k: int) -> None:
        """One feeder for whatever is on, in each period in which it needs one."""
        taker, inst = self.takers[t], self.instance
        hours = _hours(taker, self.periods[k])
        if not hours.size:
            return
        feeders: Terms = []
        sockets: list[Socket] = []
        for b, battery in enumerate(inst.batteries):
            if not there(battery.availability, hours):
                continue
            fits = plugs(taker.who, battery)
            for port, usable in zip((PortType.DC_12V, PortType.AC), fits, strict=True):
                if usable:
                    plug = self.rows.binary()
                    self.plug[t, b, port, k] = plug
                    self.by_socket.setdefault((b, k, port), []).append((t, plug))
                    feeders.append((1, plug))
                    sockets.append((t, b, port, k))
        for s, source in enumerate(inst.feeds):
            on = bool(inst.feed_on[s][hours].all())
            if on and feeds_consumer(taker.who, source):
                self.direct[t, s, k] = self.rows.binary()
                feeders.append((1, self.direct[t, s, k]))
        if taker.always:
            self.rows.add(feeders, low=1, top=1)
            self.share |= {(key, 0): self.plug[key] for key in sockets}
            return
        picks = [term for _, picks in taker.ways for term in picks]
        self.rows.add([*feeders, *((-c, v) for c, v in picks)], low=0, top=0)
        self._add_shares(taker, sockets)

    def _add_shares(self, taker: Taker, sockets: list[Socket]) -> None:
        """Products of plug and way to draw: 1 where both are 1."""
        for key in sockets:
            for w in range(len(taker.ways)):
                self.share[key, w] = self.rows.var(0, 1, whole=False)
            mine = [(1, self.share[key, w]) for w in range(len(taker.ways))]
            self.rows.add([*mine, (-1, self.plug[key])], low=0, top=0)
        for w, (_, picks) in enumerate(taker.ways):
            mine = [(1, self.share[key, w]) for key in sockets]
            if mine:
                self.rows.add([*mine, *((-c, v) for c, v in picks)], top=0)

    def _add_standing(self) -> None:
        """A battery that can be carried stands in one place at a time."""
        inst = self.instance
        names = sorted(p.name for p in inst.scenario.places)
        if len(names) < 2:
            return
        every = range(len(self.periods))
        for b, battery in enumerate(inst.batteries):
            for k in every if battery.movable else ():
                for name in names:
                    self.stands[b, name, k] = self.rows.binary()
                self.rows.add(((1, self.stands[b, n, k]) for n in names), low=1, top=1)
        for (t, b, _, k), plug in self.plug.items():
            self._tie(plug, b, self.takers[t].who.place, k)
        for k in every:
            for (p, b), lead in self.panel.items():
                self._tie(lead, b, inst.panels[p].place, k)
            for (b, s), lead in self.charger.items():
                self._tie(lead, b, inst.feeds[s].place, k)

    def _tie(self, plug: int, b: int, place: str, k: int) -> None:
        if (b, place, k) in self.stands:
            self.rows.add([(1, plug), (-1, self.stands[b, place, k])], top=0)

    # -- sockets and watts -----------------------------------------------------

    def _on(self, b: int, k: int, port: PortType) -> list[tuple[int, int]]:
        """Takers and plugs of one kind of socket of a battery."""
        return self.by_socket.get((b, k, port), [])

    def _add_sockets(self) -> None:
        """Ports, outlets, watts, and the start surge on the outlets."""
        inst = self.instance
        for b, battery in enumerate(inst.batteries):
            top = _milli(inst.limits[b].max_out_w)
            for k in range(len(self.periods)):
                on_dc = self._on(b, k, PortType.DC_12V)
                on_ac = self._on(b, k, PortType.AC)
                self.rows.add(((1, v) for _, v in on_dc), top=battery.ports_12v)
                self.rows.add(((1, v) for _, v in on_ac), top=battery.outlets_ac)
                self.rows.add(self._watts(on_dc + on_ac), top=top, scale=UNIT)
                for t, plug in on_ac:
                    who = self.takers[t].who
                    start = _milli(who.surge_w - who.running_w)
                    self.rows.add(
                        [*self._watts(on_ac), (start, plug)], top=2 * top, scale=UNIT
                    )

    def _watts(self, plugged: list[tuple[int, int]]) -> Terms:
        return [(_milli(self.takers[t].who.running_w), v) for t, v in plugged]

    def _add_sources(self) -> None:
        """A source carries what hangs on it, and its chargers in full."""
        inst = self.instance
        for s, source in enumerate(inst.feeds):
            chargers = [
                (_milli(inst.batteries[b].max_charge_w), v)
                for (b, ss), v in self.charger.items()
                if ss == s
            ]
            for k in range(len(self.periods)):
                plugged = [
                    (t, v)
                    for (t, ss, kk), v in self.direct.items()
                    if (ss, kk) == (s, k)
                ]
                used = [*self._watts(plugged), *chargers]
                self.rows.add(used, top=_milli(source.max_w), scale=UNIT)

    # -- energy ----------------------------------------------------------------

    def _add_charge(self, b: int) -> None:
        """Charge at every step's end: above the reserve while feeding."""
        limits = self.instance.limits[b]
        least = math.ceil(
            MILLI * (limits.floor_wh + limits.reserve_wh + MARGIN_WH) - 1e-6
        )
        start = math.floor(MILLI * limits.start_wh + 1e-6)
        full = math.floor(MILLI * limits.full_wh + 1e-6)
        idle = {k: self._idle(b, k) for k in range(len(self.periods))}
        before: Terms = []
        for step in self.steps:
            k = next(i for i, p in enumerate(self.periods) if step.first < p.end)
            after = self.rows.var(min(0, start), max(full, start), whole=False)
            out = [*self._out(b, step, k), *idle[k](step.hours)]
            income = [(-1, v) for v in self._income(b, step)]
            flow = [(1, after), *out, *income, *before]
            self.rows.add(flow, top=0 if before else start, scale=UNIT)
            plugged = [
                v
                for port in (PortType.DC_12V, PortType.AC)
                for _, v in self._on(b, k, port)
            ]
            if start >= least:
                self.rows.add([(1, after)], low=least, scale=UNIT)
            else:
                for v in plugged:
                    self.rows.add([(1, after), (-least, v)], low=0, scale=UNIT)
            before = [(-1, after)]

    def _out(self, b: int, step: Block, k: int) -> Terms:
        """Energy that leaves the cells, rounded up."""
        limits = self.instance.limits[b]
        found: Terms = []
        for port, efficiency in (
            (PortType.DC_12V, limits.dc_efficiency),
            (PortType.AC, limits.ac_efficiency),
        ):
            for t, _ in self._on(b, k, port):
                for w, (load_w, _) in enumerate(self.takers[t].ways):
                    wh = float(load_w[step.span].sum()) / efficiency
                    if wh > 0:
                        share = self.share[(t, b, port, k), w]
                        found.append((math.ceil(MILLI * wh - 1e-6), share))
        return found

    def _idle(self, b: int, k: int):
        """Watt-hours of the inverter in a period, by hours of it."""
        on_ac = self._on(b, k, PortType.AC)
        idle_w = self.instance.limits[b].ac_idle_w
        if not on_ac or idle_w <= 0:
            return lambda _hours: []
        running = self.rows.var(0, 1, whole=False)
        for _, plug in on_ac:
            self.rows.add([(1, running), (-1, plug)], low=0)
        return lambda hours: [(_milli(idle_w * hours), running)]

    def _income(self, b: int, step: Block) -> list[int]:
        """Energy that gets into the cells in a step, caps and losses applied."""
        inst, limits = self.instance, self.instance.limits[b]
        kept = limits.charge_efficiency * MILLI
        by_place = list(inst.charge_at[inst.batteries[b].id].values())
        # Where the room forbids charging in some place, charge in none.
        limit_w = np.min(by_place, axis=0)[step.span]
        limit = math.floor(kept * float(limit_w.sum()) + 1e-6)
        cap_w = np.minimum(limit_w, limits.solar_limit_w)
        cap = math.floor(kept * float(cap_w.sum()) + 1e-6)
        sun = [
            (-math.floor(kept * float(inst.sun_w[p][step.span].sum()) + 1e-6), v)
            for (p, bb), v in self.panel.items()
            if bb == b
        ]
        income = []
        if cap > 0 and any(c for c, _ in sun):
            solar = self.rows.var(0, cap, whole=False)
            self.rows.add([(1, solar), *sun], top=0, scale=UNIT)
            income.append(solar)
        chargers = [
            (-limit, v)
            for (bb, s), v in self.charger.items()
            if bb == b and bool(inst.feed_on[s][step.span].all())
        ]
        if limit > 0 and chargers:
            mains = self.rows.var(0, limit, whole=False)
            self.rows.add([(1, mains), *chargers], top=0, scale=UNIT)
            income.append(mains)
        if len(income) > 1:
            self.rows.add(((1, v) for v in income), top=limit, scale=UNIT)
        return income


def _takers(
    instance: Instance, picks: dict[int, list[tuple[Mode, Terms]]]
) -> Iterator[Taker]:
    for load in instance.loads:
        yield Taker(
            who=who_of_load(load.source, instance.hours),
            ways=((load.load_w, []),),
            always=True,
        )
    for u, ways in picks.items():
        if ways:
            yield Taker(
                who=who_of_unit(instance.units[u], instance.hours),
                ways=tuple((mode.load_w, terms) for mode, terms in ways),
                always=False,
            )


def _hours(taker: Taker, period: Block) -> np.ndarray:
    """Hours of a period in which a taker must be on a feeder.

    A load before the fridges stays plugged in through any period in which
    it is needed at all.
    """
    who = taker.who
    if taker.always:
        needed = bool((taker.ways[0][0][period.span] > 0).any())
        return np.arange(period.first, period.end if needed else period.first)
    return np.arange(max(period.first, who.ready_h), min(period.end, who.back_h))


def _milli(watts: float) -> int:
    return round(MILLI * watts)
