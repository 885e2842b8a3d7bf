"""The wiring model: every plug, socket, watt and watt-hour as rows (R7, R9).

``hookup.py`` solves it; ``plugged.py`` reads a solution back as hookups.
"""

from collections import Counter

from planner.decide.alone import Sockets, hours_needed, wanted
from planner.decide.blocks import Block, charge_steps
from planner.decide.covers import Covers, no_lighter
from planner.decide.instance import Fed, Instance, charges_battery, sun_reaches
from planner.decide.solver import Expr, Model, total

_MARGIN_WH = 0.05
"""Kept above the reserve so that solver rounding never shows in the replay."""
_WH = 1000.0


class WiringModel:
    """One wiring model over periods in which no plug moves."""

    def __init__(
        self,
        instance: Instance,
        fed: tuple[Fed, ...],
        periods: tuple[Block, ...],
        *,
        sunny_h: int,
        marks: frozenset[int] = frozenset(),
    ) -> None:
        self.instance = instance
        self.sockets = Sockets(instance)
        self.fed = fed
        self.periods = periods
        self.steps = charge_steps(instance, periods, sunny_h=sunny_h, marks=marks)
        self.model = Model("hookup")
        self.dc: dict[tuple[int, int, int], Expr] = {}
        self.ac: dict[tuple[int, int, int], Expr] = {}
        self.direct: dict[tuple[int, int, int], Expr] = {}
        self.panel: dict[tuple[int, int], Expr] = {}
        self.charger: dict[tuple[int, int], Expr] = {}
        self.stands: dict[tuple[int, str, int], Expr] = {}
        self.moved: list[Expr] = []
        self.final: list[Expr] = []
        self._add_plugs()
        self._add_panels_and_chargers()
        self._add_places()
        self._add_stays()
        self._add_sockets()
        self._add_covers()
        self._add_charge()
        self._add_sources()
        self._add_moves()

    # -- variables ---------------------------------------------------------

    def _add_plugs(self) -> None:
        for c, fed in enumerate(self.fed):
            for k, period in enumerate(self.periods):
                if wanted(fed.consumer, period):
                    feeders = self._feeders(c, k)
                    self.model.add("R7", total(feeders) == 1)

    def _feeders(self, c: int, k: int) -> list[Expr]:
        """Every plug that may carry a consumer through a period."""
        inst, period = self.instance, self.periods[k]
        who, ways = self.fed[c].consumer, self.fed[c].load_w[None, :]
        feeders: list[Expr] = []
        dc, ac = self.sockets.of_batteries(who, ways, period)
        for b in range(len(inst.batteries)):
            for usable, table in ((dc[b, 0], self.dc), (ac[b, 0], self.ac)):
                if usable:
                    table[c, b, k] = self.model.binary()
                    feeders.append(table[c, b, k])
        for s in range(len(inst.feeds)):
            if self.sockets.of_source(who, s, period):
                self.direct[c, s, k] = self.model.binary()
                feeders.append(self.direct[c, s, k])
        return feeders

    def _add_panels_and_chargers(self) -> None:
        """Panels and chargers are plugged once, for the whole window."""
        inst = self.instance
        for p, panel in enumerate(inst.panels):
            mine = []
            for b, battery in enumerate(inst.batteries):
                if sun_reaches(panel, battery):
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
        reasons = [
            v
            for _, v in self.on_battery(self.dc, b, k) + self.on_battery(self.ac, b, k)
        ]
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

    def on_battery(
        self, table: dict[tuple[int, int, int], Expr], b: int, k: int
    ) -> list[tuple[int, Expr]]:
        """Consumers that may hang on a battery in a period, with their plugs."""
        return [(c, table[c, b, k]) for c in range(len(self.fed)) if (c, b, k) in table]

    def _add_sockets(self) -> None:
        """Ports, outlets, watts and start surge of every battery."""
        inst = self.instance
        for b, battery in enumerate(inst.batteries):
            top_w = inst.limits[b].max_out_w
            for k in range(len(self.periods)):
                on_dc, on_ac = (
                    self.on_battery(self.dc, b, k),
                    self.on_battery(self.ac, b, k),
                )
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
                running = total(self.fed[c].consumer.running_w * v for c, v in on_ac)
                for c, plug in on_ac:
                    who = self.fed[c].consumer
                    start_w = who.surge_w - who.running_w
                    # What runs is within the output anyway.
                    if start_w > top_w:
                        self.model.add("R7", running + start_w * plug <= 2 * top_w)

    def _add_covers(self) -> None:
        """No more plugs through a night than a full battery can carry."""
        covers = Covers(self.sockets, self.periods)
        for b, limits in enumerate(self.instance.limits):
            tasks = [
                (k, self.fed[c].load_w / efficiency, v)
                for table, efficiency in (
                    (self.dc, limits.dc_efficiency),
                    (self.ac, limits.ac_efficiency),
                )
                for (c, bb, k), v in table.items()
                if bb == b
            ]
            draws = {draw.tobytes(): draw for _, draw, _ in tasks}
            for light in draws.values():
                for first, last, most in covers.spans(b, light):
                    mine = [
                        v
                        for k, draw, v in tasks
                        if first <= k <= last
                        and no_lighter(draw, light, self.periods[k])
                    ]
                    if len(mine) > most:
                        self.model.add("R7", total(mine) <= most)

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
        idle = _Idle(self, b)
        for step in self.steps:
            k = self._period_of(step)
            on_dc, on_ac = (
                self.on_battery(self.dc, b, k),
                self.on_battery(self.ac, b, k),
            )
            out = total(
                [self._wh(c, step) / limits.dc_efficiency / _WH * v for c, v in on_dc]
                + [self._wh(c, step) / limits.ac_efficiency / _WH * v for c, v in on_ac]
                + [limits.ac_idle_w * h / _WH * v for h, v in idle.at(k, step)]
            )
            income = self._income(b, step)
            after = model.var(bottom, top)
            model.add("R7", after <= charge + limits.charge_efficiency * income - out)
            if limits.start_wh >= least:
                low = after >= least / _WH
                model.add("R7", low)
            else:
                for c, v in on_dc + on_ac:
                    if not wanted(self.fed[c].consumer, step):
                        continue
                    model.add("R7", after >= bottom + (least / _WH - bottom) * v)
            charge = after
        if terms.back_h is None:
            self.final.append(charge)

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
                    for c, v in self.on_battery(self.direct, s, k)
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
                if not wanted(self.fed[c].consumer, self.periods[k - 1]):
                    continue
                move = self.model.var(0, 1)
                self.model.add("M", move >= plug - before)
                self.moved.append(move)

    # -- helpers -----------------------------------------------------------

    def charge_spent(self) -> Expr:
        """Least for the most charge left [kWh]; a plug that gives nothing counts."""
        plugs_in = total([*self.panel.values(), *self.charger.values()])
        return 0.001 * plugs_in - total(self.final)

    def _period_of(self, step: Block) -> int:
        return next(k for k, p in enumerate(self.periods) if step.first < p.end)

    def _wh(self, c: int, step: Block) -> float:
        return float(self.fed[c].load_w[step.span].sum())


class _Idle:
    """Hours in which some AC outlet of a battery is in use.

    Consumers that come or go within a period make the inverter run only while
    they are there.
    """

    def __init__(self, wm: WiringModel, b: int) -> None:
        self.wm = wm
        self.on = [dict(wm.on_battery(wm.ac, b, k)) for k in range(len(wm.periods))]
        self.known: dict[tuple[int, tuple[int, ...]], Expr] = {}

    def at(self, k: int, step: Block) -> list[tuple[int, Expr]]:
        """Hours of a step, by the variable that says whether any outlet is in use."""
        hours: Counter[tuple[int, ...]] = Counter()
        spans = {c: self._span(c, k) for c in self.on[k]}
        for hour in range(step.first, step.end):
            hours[tuple(c for c, (a, z) in spans.items() if a <= hour < z)] += 1
        return [(n, self._any(k, some)) for some, n in hours.items() if some]

    def _span(self, c: int, k: int) -> tuple[int, int]:
        hours = hours_needed(self.wm.periods[k], self.wm.fed[c].consumer)
        return int(hours[0]), int(hours[-1]) + 1

    def _any(self, k: int, some: tuple[int, ...]) -> Expr:
        """1 when one of these consumers is plugged in through the period."""
        if (k, some) not in self.known:
            running = self.wm.model.var(0, 1)
            for c in some:
                self.wm.model.add("R7", running >= self.on[k][c])
            self.known[k, some] = running
        return self.known[k, some]
