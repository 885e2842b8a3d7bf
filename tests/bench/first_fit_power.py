"""Plugs of a plan that is made by hand: into the first feeder that carries it."""

from dataclasses import dataclass, field

import numpy as np

from planner.decide.blocks import Block, plug_periods
from planner.decide.instance import (
    Instance,
    Load,
    charges_battery,
    feeds_consumer,
    plugs,
)
from planner.decide.sockets import Span, merge, number_sockets
from planner.physics.profiles import Hourly
from planner.result import Hookup, Link, PortType
from planner.scenario import Supply
from tests.bench.spans import both_here, there
from tests.bench.who import Who, who_of_load

SMALL = 1e-6


@dataclass(slots=True)
class _Pack:
    """A battery, what is plugged into it, and its account so far."""

    number: int
    place: str
    income_w: Hourly
    out_w: Hourly
    feeds: np.ndarray
    on_ac: np.ndarray
    plugged: list[tuple[Who, PortType, Block]] = field(default_factory=list)


class Feeders:
    """Batteries and sources, and what has been plugged into them so far."""

    def __init__(self, instance: Instance) -> None:
        self.instance = instance
        self.direct: dict[int, list[tuple[Who, Block]]] = {
            s: [] for s in range(len(instance.feeds))
        }
        self.chargers: list[tuple[int, int]] = []
        self.leads: list[tuple[int, int]] = []
        self.packs = self._packs()

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
        # Life support runs on AC: batteries with outlets get the first charger.
        order = sorted(
            range(len(places)), key=lambda b: -bool(inst.batteries[b].outlets_ac)
        )
        for b in order if inst.loads else range(len(places)):
            battery = inst.batteries[b]
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
        return sorted(packs, key=lambda pack: pack.number)

    def feed_load(self, load: Load) -> bool:
        """Plug in a load before the fridges, at swap times into another feeder."""
        who = who_of_load(load.source, self.instance.hours)
        if self.feed(who, load.load_w, Block(0, self.instance.hours)):
            return True
        return all(
            self.feed(who, _within(load.load_w, period), period)
            for period in plug_periods(self.instance, swaps=True)
            if load.load_w[period.span].any()
        )

    def feed(self, who: Who, load_w: Hourly, span: Block) -> bool:
        """Plug something in, into the first feeder that carries it."""
        hours = np.arange(span.first, span.end)
        for s, source in enumerate(self.instance.feeds):
            if not feeds_consumer(who, source):
                continue
            used_w = sum(c.running_w for c, _ in self.direct[s]) + sum(
                self.instance.batteries[b].max_charge_w
                for b, ss in self.chargers
                if ss == s
            )
            fits = used_w + who.running_w <= source.max_w + SMALL
            if fits and self.instance.feed_on[s][hours].all():
                self.direct[s].append((who, span))
                return True
        return any(
            self._plug(pack, who, port, load_w, span)
            for pack in self.packs
            for port in (PortType.DC_12V, PortType.AC)
        )

    def _plug(
        self,
        pack: _Pack,
        who: Who,
        port: PortType,
        load_w: Hourly,
        span: Block,
    ) -> bool:
        inst, b = self.instance, pack.number
        hours = np.arange(span.first, span.end)
        battery, limits = inst.batteries[b], inst.limits[b]
        on_ac = port is PortType.AC
        usable = plugs(who, battery)[on_ac]
        if not usable or pack.place != who.place:
            return False
        if not there(battery.availability, hours) or not self._sockets(pack, who, port):
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
        pack.plugged.append((who, port, span))
        return True

    def _sockets(self, pack: _Pack, who: Who, port: PortType) -> bool:
        """Ports, outlets, watts, and the start surge on the outlets."""
        battery = self.instance.batteries[pack.number]
        plugged = [*((c, p) for c, p, _ in pack.plugged), (who, port)]
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

    def hookups(self) -> tuple[Hookup, ...]:
        """Plugs as they are handed out."""
        inst = self.instance
        spans: list[Span] = []
        for p, b in self.leads:
            panel, battery, place = (
                inst.panels[p],
                inst.batteries[b],
                self.packs[b].place,
            )
            hours = both_here(panel.availability, battery.availability, 0, inst.hours)
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
            hours = both_here(source.availability, battery.availability, 0, inst.hours)
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
                _span(Link.BATTERY_TO_UNIT, battery.id, who, port, span)
                for who, port, span in pack.plugged
            ]
        for s, on_it in self.direct.items():
            source = inst.feeds[s]
            for who, span in on_it:
                dc = Supply.DC in (source.supply, who.supply)
                port = PortType.DC_12V if dc else PortType.AC
                spans.append(_span(Link.SOURCE_TO_UNIT, source.id, who, port, span))
        return number_sockets(merge(spans))


def _within(load_w: Hourly, span: Block) -> Hourly:
    """Load in the hours of a span, none outside."""
    inside = np.zeros(load_w.size)
    inside[span.span] = load_w[span.span]
    return inside


def _span(link: Link, feeder: str, who: Who, port: PortType, span: Block) -> Span:
    return (link, feeder, who.id, port, who.place, span.first, span.end)
