"""Planning by hand: the most important bag first, the first unit that fits.

What a careful volunteer does with pencil and paper: every panel and charger
gets a battery once, then bags are put where they fit one after the other; a
further unit is switched on only when a battery or a source in its place can
carry it to the end, planned full and warm.  Plugs never move, nothing is
carried to another place, nothing is taken back.
"""

from dataclasses import dataclass, field

import numpy as np

from planner.decide.goods import Good, SlotKey
from planner.decide.instance import (
    Consumer,
    Instance,
    Mode,
    build,
    charges_battery,
    consumer_of_load,
    consumer_of_unit,
    feeds_consumer,
    plugs,
)
from planner.decide.sockets import Span, merge, number_sockets
from planner.physics.profiles import Hourly
from planner.result import Demand, Hookup, Link, Placement, PortType, UnitUse
from planner.scenario import Availability, Line, Scenario, StockClass, Supply
from tests.bench.score import Made

SMALL = 1e-6


def first_fit(scenario: Scenario, demand: tuple[Demand, ...]) -> Made:
    """Plan by hand; keeps every rule, and looks back at nothing."""
    instance = build(scenario, demand)
    hand = _Hand(instance)
    for d in _in_order(scenario, demand, hand):
        hand.put(d)
    return hand.plan()


@dataclass(slots=True)
class _Pack:
    """A battery, what is plugged into it, and its account so far."""

    number: int
    place: str
    income_w: Hourly
    out_w: Hourly
    feeds: np.ndarray
    on_ac: np.ndarray
    plugged: list[tuple[Consumer, PortType]] = field(default_factory=list)


@dataclass(slots=True)
class _Running:
    """A unit that is on."""

    mode: Mode
    left_l: list[float]
    stock: StockClass | None = None


class _Hand:
    """State of a plan that is made by hand."""

    def __init__(self, instance: Instance) -> None:
        self.instance = instance
        self.lines: dict[str, Line] = {x.id: x for x in instance.scenario.lines}
        self.good_of: dict[tuple[str, bool], Good] = {
            (part.line_id, good.surplus): good
            for good in instance.goods
            for part in good.parts
        }
        self.direct: dict[int, list[Consumer]] = {
            s: [] for s in range(len(instance.feeds))
        }
        self.chargers: list[tuple[int, int]] = []
        self.leads: list[tuple[int, int]] = []
        self.packs = self._packs()
        self.running: dict[int, _Running] = {}
        self.refused: set[tuple[int, tuple[float, ...]]] = set()
        self.ice_kg = 0.0
        self.puts: dict[tuple[str, int, int, bool], Placement] = {}
        self.carried = all(
            self._feed(consumer_of_load(load, instance.hours), load.load_w)
            for load in instance.loads
        )

    # -- power -----------------------------------------------------------------

    def _packs(self) -> list[_Pack]:
        """Panels and chargers go to the battery with most room for them."""
        inst, hours = self.instance, self.instance.hours
        sun_w = np.zeros((len(inst.batteries), hours))
        places = [next(iter(inst.charge_at[b.id])) for b in inst.batteries]
        for p, panel in enumerate(inst.panels):
            near = [
                b
                for b in range(len(places))
                if not panel.place or panel.place == places[b]
            ]
            if near:
                caps = [inst.limits[b].solar_limit_w - sun_w[b].max() for b in near]
                b = near[int(np.argmax(caps))]
                sun_w[b] += inst.sun_w[p]
                self.leads.append((p, b))
        packs = []
        for b, battery in enumerate(inst.batteries):
            limit_w = inst.charge_at[battery.id][places[b]]
            solar_w = np.minimum(inst.limits[b].solar_limit_w, limit_w)
            income_w = np.minimum(sun_w[b], solar_w)
            for s, source in enumerate(inst.feeds):
                used_w = sum(
                    inst.batteries[bb].max_charge_w
                    for bb, ss in self.chargers
                    if ss == s
                )
                if (
                    source.place == places[b]
                    and charges_battery(source, battery)
                    and used_w + battery.max_charge_w <= source.max_w + SMALL
                ):
                    income_w = np.where(inst.feed_on[s], limit_w, income_w)
                    self.chargers.append((b, s))
                    break
            packs.append(
                _Pack(
                    number=b,
                    place=places[b],
                    income_w=income_w,
                    out_w=np.zeros(hours),
                    feeds=np.zeros(hours, dtype=bool),
                    on_ac=np.zeros(hours, dtype=bool),
                )
            )
        return packs

    def _feed(self, who: Consumer, load_w: Hourly) -> bool:
        """Plug something in for good, into the first feeder that carries it."""
        hours = np.arange(who.ready_h, who.back_h)
        for s, source in enumerate(self.instance.feeds):
            if not feeds_consumer(who, source):
                continue
            used_w = sum(c.running_w for c in self.direct[s]) + sum(
                self.instance.batteries[b].max_charge_w
                for b, ss in self.chargers
                if ss == s
            )
            fits = used_w + who.running_w <= source.max_w + SMALL
            if fits and self.instance.feed_on[s][hours].all():
                self.direct[s].append(who)
                return True
        return any(
            self._plug(pack, who, port, load_w, hours)
            for pack in self.packs
            for port in (PortType.DC_12V, PortType.AC)
        )

    def _plug(
        self,
        pack: _Pack,
        who: Consumer,
        port: PortType,
        load_w: Hourly,
        hours: np.ndarray,
    ) -> bool:
        inst, b = self.instance, pack.number
        battery, limits = inst.batteries[b], inst.limits[b]
        on_ac = port is PortType.AC
        usable = plugs(who, battery)[on_ac]
        if not usable or pack.place != who.place:
            return False
        if not _there(battery.availability, hours) or not self._sockets(
            pack, who, port
        ):
            return False
        efficiency = limits.ac_efficiency if on_ac else limits.dc_efficiency
        out_w = pack.out_w + load_w / efficiency
        feeds, ac_hours = pack.feeds.copy(), pack.on_ac.copy()
        feeds[hours] = True
        ac_hours[hours] |= on_ac
        drawn_w = out_w + np.where(ac_hours, limits.ac_idle_w, 0.0)
        if not self._lasts(b, pack.income_w, drawn_w, feeds):
            return False
        pack.out_w, pack.feeds, pack.on_ac = out_w, feeds, ac_hours
        pack.plugged.append((who, port))
        return True

    def _sockets(self, pack: _Pack, who: Consumer, port: PortType) -> bool:
        """Ports, outlets, watts, and the start surge on the outlets."""
        battery = self.instance.batteries[pack.number]
        plugged = [*pack.plugged, (who, port)]
        ac = [c for c, p in plugged if p is PortType.AC]
        if len(ac) > battery.outlets_ac or len(plugged) - len(ac) > battery.ports_12v:
            return False
        if sum(c.running_w for c, _ in plugged) > battery.max_out_w + SMALL:
            return False
        ac_w = sum(c.running_w for c in ac)
        return all(
            ac_w - c.running_w + c.surge_w <= 2 * battery.max_out_w + SMALL for c in ac
        )

    def _lasts(
        self, b: int, income_w: Hourly, drawn_w: Hourly, feeds: np.ndarray
    ) -> bool:
        """Hour by hour to the end, above floor and reserve while feeding."""
        limits = self.instance.limits[b]
        charge, least = limits.start_wh, limits.floor_wh + limits.reserve_wh
        for h in range(self.instance.hours):
            charge += limits.charge_efficiency * float(income_w[h]) - float(drawn_w[h])
            charge = min(limits.full_wh, charge)
            if feeds[h] and charge < least - SMALL:
                return False
        return True

    # -- bags ------------------------------------------------------------------

    def put(self, d: Demand) -> None:
        """Put one bag into the first unit that fits, or switch one on."""
        good = self.good_of[d.line_id, d.surplus]
        line = self.lines[d.line_id]
        for slot in good.slots:
            if slot[0] in self.running and self._takes(slot, line):
                self._place(d, slot)
                return
        for slot in good.slots:
            if slot[0] not in self.running and self._switch_on(slot, line):
                self._place(d, slot)
                return

    def _takes(self, slot: SlotKey, line: Line) -> bool:
        unit, zone, set_c = slot
        on = self.running[unit]
        same = self.instance.tubs or on.stock in (None, line.stock_class)
        return (
            same
            and on.mode.set_points_c[zone] == set_c
            and line.volume_l <= on.left_l[zone] + SMALL
        )

    def _switch_on(self, slot: SlotKey, line: Line) -> bool:
        """Switch a unit on, planned full; other zones at the mildest setting."""
        u, zone, set_c = slot
        inst = self.instance
        ways = [
            m
            for m in inst.modes[u]
            if m.fill == 1.0
            and m.set_points_c[zone] == set_c
            and line.volume_l <= m.usable_l[zone] + SMALL
        ]
        if not ways:
            return False
        mode = max(ways, key=lambda m: m.set_points_c)
        way = (u, mode.set_points_c)
        if way in self.refused or not self._runs(u, mode):
            self.refused.add(way)
            return False
        self.ice_kg += mode.ice_kg
        self.running[u] = _Running(mode=mode, left_l=list(mode.usable_l))
        return True

    def _runs(self, u: int, mode: Mode) -> bool:
        inst = self.instance
        if self.ice_kg + mode.ice_kg > inst.scenario.conditions.ice_kg_day + SMALL:
            return False
        if not inst.units[u].powered:
            return True
        who = consumer_of_unit(inst.units[u], inst.hours)
        return self.carried and self._feed(who, mode.load_w)

    def _place(self, d: Demand, slot: SlotKey) -> None:
        u, zone, _ = slot
        on, line = self.running[u], self.lines[d.line_id]
        on.stock = None if self.instance.tubs else line.stock_class
        on.left_l[zone] -= line.volume_l
        key = (d.line_id, u, zone, d.surplus)
        before = self.puts[key].count if key in self.puts else 0
        self.puts[key] = Placement(
            line_id=d.line_id,
            unit_id=self.instance.units[u].id,
            zone=zone,
            count=before + 1,
            tier=d.tier,
            surplus=d.surplus,
        )

    # -- the plan --------------------------------------------------------------

    def plan(self) -> Made:
        """Everything as it is handed out."""
        uses = tuple(
            UnitUse(
                unit_id=on.mode.unit_id,
                set_points_c=on.mode.set_points_c,
                stock_classes=(on.stock,) * len(on.mode.set_points_c),
                warm_fill=1.0,
            )
            for _, on in sorted(self.running.items())
        )
        return Made(
            placements=tuple(self.puts.values()),
            units_on=uses,
            hookups=self._hookups(),
        )

    def _hookups(self) -> tuple[Hookup, ...]:
        inst = self.instance
        spans: list[Span] = []
        for p, b in self.leads:
            panel, battery, place = (
                inst.panels[p],
                inst.batteries[b],
                self.packs[b].place,
            )
            hours = _both(panel.availability, battery.availability, inst.hours)
            spans.append(
                (
                    Link.PANEL_TO_BATTERY,
                    panel.id,
                    battery.id,
                    PortType.SOLAR,
                    place,
                    *hours,
                )
            )
        for b, s in self.chargers:
            source, battery = inst.feeds[s], inst.batteries[b]
            hours = _both(source.availability, battery.availability, inst.hours)
            spans.append(
                (
                    Link.SOURCE_TO_BATTERY,
                    source.id,
                    battery.id,
                    PortType.CHARGER,
                    source.place,
                    *hours,
                )
            )
        for pack in self.packs:
            battery = inst.batteries[pack.number]
            spans += [
                _span(Link.BATTERY_TO_UNIT, battery.id, who, port)
                for who, port in pack.plugged
            ]
        for s, on_it in self.direct.items():
            source = inst.feeds[s]
            for who in on_it:
                dc = Supply.DC in (source.supply, who.supply)
                port = PortType.DC_12V if dc else PortType.AC
                spans.append(_span(Link.SOURCE_TO_UNIT, source.id, who, port))
        return number_sockets(merge(spans))


def _in_order(
    scenario: Scenario, demand: tuple[Demand, ...], hand: _Hand
) -> list[Demand]:
    """One entry a bag: tier by tier, every household's first bag first."""
    homes = {line.id: line.household for line in scenario.lines}
    stages: dict[tuple[str, bool], list[Demand]] = {}
    for d in demand:
        stages.setdefault((d.tier.value, d.surplus), []).append(d)
    found: list[Demand] = []
    for _, mine in sorted(stages.items()):
        mine = sorted(mine, key=lambda d: (d.allowance_h or 0.0, d.line_id))
        firsts: list[Demand] = []
        rest: list[Demand] = []
        seen: set[str] = set()
        for d in mine:
            bags = d.count
            fits = bool(hand.good_of[d.line_id, d.surplus].slots)
            if not d.surplus and fits and homes[d.line_id] not in seen:
                seen.add(homes[d.line_id])
                firsts.append(d)
                bags -= 1
            rest += [d] * bags
        found += firsts + rest
    return found


def _span(link: Link, feeder: str, who: Consumer, port: PortType) -> Span:
    return (link, feeder, who.id, port, who.place, who.ready_h, who.back_h)


def _there(terms: Availability, hours: np.ndarray) -> bool:
    return bool(
        hours.size
        and hours[0] >= terms.ready_h
        and (terms.back_h is None or hours[-1] < terms.back_h)
    )


def _both(one: Availability, two: Availability, hours: int) -> tuple[int, int]:
    backs = [t.back_h for t in (one, two) if t.back_h is not None]
    first = max(one.ready_h, two.ready_h)
    return first, max(first, min([hours, *backs]))
