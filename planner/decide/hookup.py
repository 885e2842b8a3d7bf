"""Hookup: a real wiring for the units that are on.

First a wiring that never changes ("plug and leave"); else one that changes
only at the site's swap times, with the fewest swaps.  Sockets, watts, caps,
idle, efficiencies and reserve are all counted hour by hour (R7).
"""

import time
from dataclasses import dataclass

import numpy as np

from planner.decide.blocks import Block, charge_steps, plug_periods
from planner.decide.instance import (
    Consumer,
    Fed,
    Instance,
    Mode,
    charges_battery,
    consumer_of_load,
    consumer_of_unit,
    feeds_consumer,
    plugs,
)
from planner.decide.simulate import thin_hours
from planner.decide.solver import Answer, Expr, Model, Outcome, total, whole
from planner.result import Hookup, Link, PortType
from planner.scenario import Availability, Source, Supply

_MARGIN_WH = 0.05
"""Kept above the reserve so that solver rounding never shows in the replay."""
_WH = 1000.0
FIND_NODES = 1500
_POLISH_NODES = 30
STEPS_H = (6, 6, 6, 6, 3, 3, 1)
"""Sunny hours merged: small kind models, cut finer where they were too kind,
and the exact one last."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wiring:
    """Hookups found, or the fact that there are none.

    ``proven`` is False when the search ended at a limit without an answer.
    """

    hookups: tuple[Hookup, ...] | None
    proven: bool


def fed_by_modes(instance: Instance, modes: tuple[Mode, ...]) -> tuple[Fed, ...]:
    """Loads before the fridges, then the powered units of the modes."""
    hours = instance.hours
    first = [
        Fed(consumer=consumer_of_load(load, hours), load_w=load.load_w)
        for load in instance.loads
    ]
    units = [
        Fed(consumer=consumer_of_unit(instance.units[m.unit], hours), load_w=m.load_w)
        for m in modes
        if instance.units[m.unit].powered
    ]
    return tuple(first + units)


def wire(
    instance: Instance,
    fed: tuple[Fed, ...],
    *,
    ends: float,
    polish: bool = True,
    nodes: int = FIND_NODES,
) -> Wiring:
    """Find a wiring for everything in ``fed`` before the clock says ``ends``.

    The search is bounded by nodes, not seconds, so that the same input gives
    the same wiring on any machine.
    """
    if not fed:
        return Wiring(hookups=(), proven=True)
    answer = Answer.INFEASIBLE
    for swaps in (False, True):
        periods = plug_periods(instance, swaps=swaps)
        if swaps and len(periods) == 1:
            continue
        marks: frozenset[int] = frozenset()
        for sunny_h in STEPS_H:
            wm = _WiringModel(instance, fed, periods, sunny_h=sunny_h, marks=marks)
            answer = wm.solve(ends=ends, polish=polish, nodes=nodes)
            if wm.hookups is not None:
                return Wiring(hookups=wm.hookups, proven=True)
            if answer is not Answer.OPTIMAL:
                break
            marks = wm.marks
    return Wiring(hookups=None, proven=answer is Answer.INFEASIBLE)


class _WiringModel:
    """One wiring model over periods in which no plug moves."""

    def __init__(
        self,
        instance: Instance,
        fed: tuple[Fed, ...],
        periods: tuple[Block, ...],
        *,
        sunny_h: int,
        marks: frozenset[int],
    ) -> None:
        self.instance = instance
        self.fed = fed
        self.periods = periods
        self.steps = charge_steps(instance, periods, sunny_h=sunny_h, marks=marks)
        self.marks = marks
        self.model = Model("hookup")
        self.dc: dict[tuple[int, int, int], Expr] = {}
        self.ac: dict[tuple[int, int, int], Expr] = {}
        self.direct: dict[tuple[int, int, int], Expr] = {}
        self.panel: dict[tuple[int, int], Expr] = {}
        self.charger: dict[tuple[int, int], Expr] = {}
        self.stands: dict[tuple[int, str, int], Expr] = {}
        self.moved: list[Expr] = []
        self.final: list[Expr] = []
        self.nodes = FIND_NODES
        self.hookups: tuple[Hookup, ...] | None = None
        self._add_plugs()
        self._add_panels_and_chargers()
        self._add_places()
        self._add_stays()
        self._add_sockets()
        self._add_charge()
        self._add_sources()
        self._add_moves()

    # -- variables ---------------------------------------------------------

    def _wanted(self, c: int, period: Block) -> bool:
        """True when the consumer is there in the period."""
        who = self.fed[c].consumer
        return period.first < who.back_h and period.end > who.ready_h

    def _add_plugs(self) -> None:
        inst = self.instance
        for c, fed in enumerate(self.fed):
            for k, period in enumerate(self.periods):
                if not self._wanted(c, period):
                    continue
                feeders: list[Expr] = []
                for b, battery in enumerate(inst.batteries):
                    if not _present(battery.availability, period, fed.consumer):
                        continue
                    dc, ac = plugs(fed.consumer, battery)
                    for usable, table in ((dc, self.dc), (ac, self.ac)):
                        if usable:
                            table[c, b, k] = self.model.binary()
                            feeders.append(table[c, b, k])
                for s, source in enumerate(inst.feeds):
                    hours = _hours_needed(period, fed.consumer)
                    on = bool(inst.feed_on[s][hours].all())
                    if on and feeds_consumer(fed.consumer, source):
                        self.direct[c, s, k] = self.model.binary()
                        feeders.append(self.direct[c, s, k])
                self.model.add("R7", total(feeders) == 1)

    def _add_panels_and_chargers(self) -> None:
        """Panels and chargers are plugged once, for the whole window."""
        inst = self.instance
        for p, panel in enumerate(inst.panels):
            mine = []
            for b, battery in enumerate(inst.batteries):
                near = not panel.place or battery.movable
                if near or panel.place == battery.place:
                    self.panel[p, b] = self.model.binary()
                    mine.append(self.panel[p, b])
            self.model.add("R7", total(mine) <= 1)
        for b, battery in enumerate(inst.batteries):
            mine = []
            for s, source in enumerate(inst.feeds):
                if charges_battery(source, battery):
                    self.charger[b, s] = self.model.binary()
                    mine.append(self.charger[b, s])
            if mine:
                self.model.add("R7", total(mine) <= 1)

    def _add_places(self) -> None:
        """A battery that can be carried stands in one place at a time (R7)."""
        inst = self.instance
        names = sorted({p.name for p in inst.scenario.places})
        if len(names) < 2:
            return
        for b, battery in enumerate(inst.batteries):
            if not battery.movable:
                continue
            for k in range(len(self.periods)):
                here = {n: self.model.binary() for n in names}
                self.stands |= {(b, n, k): v for n, v in here.items()}
                self.model.add("R7", total(here.values()) == 1)
        for table in (self.dc, self.ac):
            for (c, b, k), plug in table.items():
                place = self.fed[c].consumer.place
                self._tie(plug, b, place, (k,))
        every = tuple(range(len(self.periods)))
        for (p, b), plug in self.panel.items():
            if inst.panels[p].place:
                self._tie(plug, b, inst.panels[p].place, every)
        for (b, s), plug in self.charger.items():
            self._tie(plug, b, inst.feeds[s].place, every)

    def _add_stays(self) -> None:
        """A battery without a reason to move stays where it was."""
        for b, k in sorted({(b, k) for b, _, k in self.stands}):
            self._stay(b, k)

    def _stay(self, b: int, k: int) -> None:
        inst = self.instance
        reasons = [v for _, v in self._on(self.dc, b, k) + self._on(self.ac, b, k)]
        reasons += [
            v for (p, bb), v in self.panel.items() if bb == b and inst.panels[p].place
        ]
        reasons += [v for (bb, _), v in self.charger.items() if bb == b]
        first = next(iter(inst.charge_at[inst.batteries[b].id]))
        for (bb, name, kk), here in list(self.stands.items()):
            if (bb, kk) == (b, k):
                before = self.stands[b, name, k - 1] if k else int(name == first)
                self.model.add("R7", here + total(reasons) >= before)

    def _tie(self, plug: Expr, b: int, place: str, periods: tuple[int, ...]) -> None:
        for k in periods:
            if (b, place, k) in self.stands:
                self.model.add("R7", plug <= self.stands[b, place, k])

    # -- rules -------------------------------------------------------------

    def _on(
        self, table: dict[tuple[int, int, int], Expr], b: int, k: int
    ) -> list[tuple[int, Expr]]:
        return [(c, table[c, b, k]) for c in range(len(self.fed)) if (c, b, k) in table]

    def _add_sockets(self) -> None:
        """Ports, outlets, watts and start surge of every battery."""
        inst = self.instance
        for b, battery in enumerate(inst.batteries):
            top_w = inst.limits[b].max_out_w
            for k in range(len(self.periods)):
                on_dc, on_ac = self._on(self.dc, b, k), self._on(self.ac, b, k)
                if len(on_dc) > battery.ports_12v:
                    self.model.add(
                        "R7", total(v for _, v in on_dc) <= battery.ports_12v
                    )
                if len(on_ac) > battery.outlets_ac:
                    self.model.add(
                        "R7", total(v for _, v in on_ac) <= battery.outlets_ac
                    )
                watts = [(self.fed[c].consumer.running_w, v) for c, v in on_dc + on_ac]
                if watts:
                    self.model.add("R7", total(w * v for w, v in watts) <= top_w)
                for c, plug in on_ac:
                    who = self.fed[c].consumer
                    start_w = who.surge_w - who.running_w
                    self.model.add(
                        "R7",
                        total(w * v for w, v in watts) + start_w * plug <= 2 * top_w,
                    )

    def _add_charge(self) -> None:
        """Charge at every step's end: above the reserve while feeding."""
        for b in range(len(self.instance.batteries)):
            self._charge_of(b)

    def _charge_of(self, b: int) -> None:
        inst, model = self.instance, self.model
        limits = inst.limits[b]
        terms = inst.batteries[b].availability
        least = limits.floor_wh + limits.reserve_wh + _MARGIN_WH
        bottom = min(limits.start_wh, limits.floor_wh, least) / _WH
        top = max(limits.full_wh, limits.start_wh) / _WH
        charge: Expr = limits.start_wh / _WH
        idle = self._idle(b)
        for step in self.steps:
            k = self._period_of(step)
            on_dc, on_ac = self._on(self.dc, b, k), self._on(self.ac, b, k)
            out = total(
                [self._wh(c, step) / limits.dc_efficiency / _WH * v for c, v in on_dc]
                + [self._wh(c, step) / limits.ac_efficiency / _WH * v for c, v in on_ac]
                + ([limits.ac_idle_w * step.hours / _WH * idle[k]] if on_ac else [])
            )
            income = self._income(b, step)
            after = model.var(bottom, top)
            model.add("R7", after <= charge + limits.charge_efficiency * income - out)
            if limits.start_wh >= least:
                low = after >= least / _WH
                model.add("R7", low)
            else:
                for _, v in on_dc + on_ac:
                    model.add("R7", after >= bottom + (least / _WH - bottom) * v)
            charge = after
        if terms.back_h is None:
            self.final.append(charge)

    def _idle(self, b: int) -> dict[int, Expr]:
        """1 in periods in which some AC outlet of the battery is in use."""
        idle = {}
        for k in range(len(self.periods)):
            on_ac = self._on(self.ac, b, k)
            if on_ac:
                idle[k] = self.model.var(0, 1)
                for _, v in on_ac:
                    self.model.add("R7", idle[k] >= v)
        return idle

    def _income(self, b: int, step: Block) -> Expr:
        """Energy at the battery's input in one step, caps applied [kWh]."""
        inst, model = self.instance, self.model
        limits = inst.limits[b]
        limit = float(limits.charge_limit_w[step.span].sum()) / _WH
        cap = min(limits.solar_limit_w * step.hours / _WH, limit)
        sun = [
            (float(inst.sun_w[p][step.span].sum()) / _WH, v)
            for (p, bb), v in self.panel.items()
            if bb == b
        ]
        income: list[Expr] = []
        if cap > 0 and any(wh > 0 for wh, _ in sun):
            solar = model.var(0, cap)
            model.add("R9", solar <= total(wh * v for wh, v in sun))
            income.append(solar)
        plugged = [
            v
            for (bb, s), v in self.charger.items()
            if bb == b and bool(inst.feed_on[s][step.span].all())
        ]
        if plugged and limit > 0:
            mains = model.var(0, limit)
            model.add("R7", mains <= limit * total(plugged))
            income.append(mains)
            if len(income) > 1:
                model.add("R7", total(income) <= limit)
        if income:
            self._add_charge_at(b, step, total(income), limit)
        return total(income)

    def _add_charge_at(self, b: int, step: Block, income: Expr, limit: float) -> None:
        """Hold income back where the room forbids charging."""
        k = self._period_of(step)
        battery = self.instance.batteries[b]
        for place, limit_w in self.instance.charge_at[battery.id].items():
            less = limit - float(limit_w[step.span].sum()) / _WH
            if less > 0 and (b, place, k) in self.stands:
                here = self.stands[b, place, k]
                self.model.add("R7", income <= limit - less * here)

    def _add_sources(self) -> None:
        """A source carries its consumers at running watts, and its chargers."""
        inst = self.instance
        for s, source in enumerate(inst.feeds):
            chargers = [
                (inst.batteries[b].max_charge_w, v)
                for (b, t), v in self.charger.items()
                if t == s
            ]
            for k in range(len(self.periods)):
                used = [
                    (self.fed[c].consumer.running_w, v)
                    for c, v in self._on(self.direct, s, k)
                ] + chargers
                if used:
                    self.model.add("R7", total(w * v for w, v in used) <= source.max_w)

    def _add_moves(self) -> None:
        """Count a move whenever a plug is in at a period and was not before."""
        for table in (self.dc, self.ac, self.direct):
            for (c, f, k), plug in sorted(table.items()):
                if k == 0:
                    continue
                before = table.get((c, f, k - 1), 0)
                if not self._wanted(c, self.periods[k - 1]):
                    continue
                move = self.model.var(0, 1)
                self.model.add("M", move >= plug - before)
                self.moved.append(move)

    # -- helpers -----------------------------------------------------------

    def _period_of(self, step: Block) -> int:
        return next(k for k, p in enumerate(self.periods) if step.first < p.end)

    def _wh(self, c: int, step: Block) -> float:
        return float(self.fed[c].load_w[step.span].sum())

    # -- solving -----------------------------------------------------------

    def solve(self, *, ends: float, polish: bool, nodes: int) -> Answer:
        """Any wiring first; then fewest moves; then most charge at the end.

        ``hookups`` is set only to wirings that hold hour by hour.
        """
        self.nodes = nodes
        first = self._try(0, ends)
        if not first.found:
            return first.answer
        if not polish or self.hookups is None:
            return Answer.OPTIMAL
        if self.moved:
            moves = total(self.moved)
            fewer = self._try(moves, ends, whole_objective=True)
            if fewer.found:
                self.model.add("M", moves <= round(fewer.objective))
        plugs_in = total([*self.panel.values(), *self.charger.values()])
        self._try(0.001 * plugs_in - total(self.final), ends)
        return Answer.OPTIMAL

    def _try(
        self, objective: Expr, ends: float, *, whole_objective: bool = False
    ) -> Outcome:
        """Solve for an objective and keep the wiring if it holds."""
        outcome = self.model.minimise(
            objective,
            time_limit_s=max(0.1, ends - time.monotonic()),
            whole_objective=whole_objective,
            lean=True,
            node_limit=self.nodes if self.hookups is None else _POLISH_NODES,
        )
        if outcome.found:
            found = self._read()
            thin = thin_hours(self.instance, self.fed, found)
            if not thin:
                self.hookups = found
            # Look closer next time at the hours that were seen too kindly.
            self.marks |= {h + d for h in thin for d in range(-1, 3)}
        return outcome

    def _read(self) -> tuple[Hookup, ...]:
        inst = self.instance
        spans: list[tuple[Link, str, str, PortType, str, int, int]] = []
        for (p, b), v in self.panel.items():
            panel, battery = inst.panels[p], inst.batteries[b]
            if not whole(v):
                continue
            both = _both_there(panel.availability, battery.availability, inst.hours)
            for k, period in enumerate(self.periods):
                # A panel of no place goes along with a battery that is carried.
                spans.append(
                    (
                        Link.PANEL_TO_BATTERY,
                        panel.id,
                        battery.id,
                        PortType.SOLAR,
                        panel.place or self._where(b, k),
                        max(both[0], period.first),
                        min(both[1], period.end),
                    )
                )
        for (b, s), v in self.charger.items():
            source, battery = inst.feeds[s], inst.batteries[b]
            if whole(v):
                span = _both_there(
                    source.availability, battery.availability, inst.hours
                )
                spans.append(
                    (
                        Link.SOURCE_TO_BATTERY,
                        source.id,
                        battery.id,
                        PortType.CHARGER,
                        source.place,
                        *span,
                    )
                )
        for table, link, socket in (
            (self.dc, Link.BATTERY_TO_UNIT, PortType.DC_12V),
            (self.ac, Link.BATTERY_TO_UNIT, PortType.AC),
            (self.direct, Link.SOURCE_TO_UNIT, PortType.AC),
        ):
            for (c, f, k), v in table.items():
                if not whole(v):
                    continue
                who = self.fed[c].consumer
                feeder = (
                    inst.feeds[f].id
                    if link is Link.SOURCE_TO_UNIT
                    else inst.batteries[f].id
                )
                twelve = link is Link.SOURCE_TO_UNIT and _on_12v(inst.feeds[f], who)
                port = PortType.DC_12V if twelve else socket
                period = self.periods[k]
                spans.append(
                    (
                        link,
                        feeder,
                        who.id,
                        port,
                        who.place,
                        max(period.first, who.ready_h),
                        min(period.end, who.back_h),
                    )
                )
        return _number_sockets(_merge(spans))

    def _where(self, b: int, k: int) -> str:
        """Place where a battery stands in a period."""
        battery = self.instance.batteries[b]
        for (bb, name, kk), v in self.stands.items():
            if bb == b and kk == k and whole(v):
                return name
        return next(iter(self.instance.charge_at[battery.id]))


Span = tuple[Link, str, str, PortType, str, int, int]


def _merge(spans: list[Span]) -> list[Span]:
    """Join spans of one plug that follow each other; drop those of no hours."""
    merged: list[Span] = []
    there = [s for s in spans if s[5] < s[6]]
    for span in sorted(there, key=lambda s: (s[0], s[1], s[2], s[3], s[5])):
        if merged and merged[-1][:5] == span[:5] and merged[-1][6] == span[5]:
            merged[-1] = (*merged[-1][:6], span[6])
        else:
            merged.append(span)
    return merged


def _number_sockets(spans: list[Span]) -> tuple[Hookup, ...]:
    """Give every plug the lowest socket number free for its whole span."""
    busy: dict[tuple[str, PortType], list[tuple[int, int, int]]] = {}
    found = []
    for link, feeder, taker, port, place, first, end in sorted(
        spans, key=lambda s: (s[5], s[0], s[1], s[2])
    ):
        owner = (
            taker if link in {Link.PANEL_TO_BATTERY, Link.SOURCE_TO_BATTERY} else feeder
        )
        used = busy.setdefault((owner, port), [])
        number = 1
        while any(n == number and a < end and first < z for n, a, z in used):
            number += 1
        used.append((number, first, end))
        found.append(
            Hookup(
                link=link,
                from_id=feeder,
                to_id=taker,
                port=port,
                port_number=number,
                place=place,
                from_h=first,
                to_h=end,
            )
        )
    return tuple(found)


def _on_12v(source: Source, consumer: Consumer) -> bool:
    """True when a consumer hangs on a 12 V socket of the source, not on AC."""
    return source.supply is Supply.DC or (
        source.supply is Supply.BOTH and consumer.supply is Supply.DC
    )


def _hours_needed(period: Block, consumer: Consumer) -> np.ndarray:
    first = max(period.first, consumer.ready_h)
    end = min(period.end, consumer.back_h)
    return np.arange(first, end)


def _present(terms: Availability, period: Block, consumer: Consumer) -> bool:
    """True when a lent battery is there whenever the consumer needs it (R11)."""
    hours = _hours_needed(period, consumer)
    return len(hours) == 0 or bool(
        hours[0] >= terms.ready_h and (terms.back_h is None or hours[-1] < terms.back_h)
    )


def _both_there(one: Availability, two: Availability, hours: int) -> tuple[int, int]:
    """Hours in which two lent things are both here."""
    backs = [t.back_h for t in (one, two) if t.back_h is not None]
    first = max(one.ready_h, two.ready_h)
    return first, max(first, min([hours, *backs]))
