"""The best plan of a tiny scenario by trying everything, without any solver.

Shares with the planner only the nouns, the hourly profiles and the demands.
Every way to place the bags is tried, then every wiring, best placement
first: feeders may change at swap times and when a source goes on or off,
panels and chargers are plugged once.  Energy is simulated hour by hour.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from planner.physics.profiles import (
    battery_limits,
    held_band,
    ice_kg_day,
    panel_w,
    reach,
    room_temp_c,
    start_surge_w,
    unit_load_w,
    usable_l,
)
from planner.result import Demand
from planner.scenario import (
    Battery,
    ColdUnit,
    Line,
    Scenario,
    Segregation,
    SourceKind,
    Status,
    Supply,
    UnitType,
)

FILLS = (0.25, 0.5, 0.75, 1.0)
SMALL = 1e-6

Vector = tuple[int, ...]
Setting = tuple[float, ...] | None
"""Set points of a unit, one a zone; ``None`` when it is off."""
Running = tuple[tuple[str, tuple[float, ...], float], ...]
"""Units that are on: id, set points, warm fill."""


@dataclass(frozen=True, slots=True)
class Best:
    """Best value found, and how the units run for it."""

    vector: Vector
    running: Running


def best_plan(
    scenario: Scenario, demand: tuple[Demand, ...], *, margin_wh: float = 0.0
) -> Best:
    """Try everything; of equal values the first found is returned.

    ``margin_wh`` is kept in every battery on top of floor and reserve.
    """
    wirings = _Wirings(scenario, margin_wh)
    carried = not wirings.loads or wirings.any_wiring(())
    found = sorted(
        _placements(scenario, demand).items(), key=lambda one: one[1], reverse=True
    )
    powered = {u.id for u in scenario.units if u.powered}
    for running, vector in found:
        fed = tuple(one for one in running if one[0] in powered)
        if not fed or (carried and wirings.any_wiring(fed)):
            return Best(counts_of(vector), running)
    raise AssertionError("even nothing at all was refused")


# -- placement -------------------------------------------------------------


def _placements(
    scenario: Scenario, demand: tuple[Demand, ...]
) -> dict[Running, Vector]:
    """Best value for each way to run the units, power aside."""
    units = [u for u in scenario.units if u.availability.status is Status.HERE]
    lines = {line.id: line for line in scenario.lines}
    best: dict[Running, Vector] = {(): (0,) * 30}
    for settings in itertools.product(*(_settings(scenario, u) for u in units)):
        on = [(u, s) for u, s in zip(units, settings, strict=True) if s is not None]
        bins = [(u, z, s) for u, s in on for z in range(len(s))]
        for counts in _spread(scenario, demand, lines, bins):
            running = _running(scenario, demand, lines, on, bins, counts)
            if running is None:
                continue
            vector = _value(demand, lines, counts)
            if vector > best.get(running, ()):
                best[running] = vector
    return best


def _settings(scenario: Scenario, unit: ColdUnit) -> list[Setting]:
    room_c = room_temp_c(scenario.place(unit.place), scenario.conditions)
    zones = len(unit.zone_shares)
    every = itertools.product(unit.set_points_c, repeat=zones)
    return [None, *(s for s in every if reach(unit, s, room_c).ok)]


def _may(
    scenario: Scenario, line: Line, d: Demand, unit: ColdUnit, set_c: float
) -> bool:
    """Rules that look at one line and one zone: R1, R2, R5, R6, R11, R12."""
    place = scenario.place(unit.place)
    room_c = room_temp_c(place, scenario.conditions)
    held = held_band(unit, set_c, room_c)
    low_c = max(line.keep_from_c, 2.0) if line.never_freeze else line.keep_from_c
    terms, hours = unit.availability, scenario.conditions.window_h
    back = hours if terms.back_h is None else min(terms.back_h, hours)
    waits_h = hours - max(0, back - terms.ready_h)
    raw = unit.kind is UnitType.ICE_CHEST and not unit.conditioned
    own = line.place == place.name
    return (
        held.low_c >= low_c - 1e-9
        and held.high_c <= line.keep_to_c + 1e-9
        and not (line.never_freeze and raw)
        and not (line.thawed and held.high_c < 0)
        and (unit.lockable or not line.locked)
        and (place.open_at_night or not line.night_need)
        and (own or place.reached_from is None or line.place in place.reached_from)
        and waits_h <= (d.allowance_h or 0.0)
    )


def _spread(
    scenario: Scenario,
    demand: tuple[Demand, ...],
    lines: dict[str, Line],
    bins: list[tuple[ColdUnit, int, tuple[float, ...]]],
) -> Iterator[tuple[tuple[int, ...], ...]]:
    """Every way to put bags of each demand into the zones."""
    ways = []
    for d in demand:
        open_to = [_may(scenario, lines[d.line_id], d, u, s[z]) for u, z, s in bins]
        tops = [d.count if ok else 0 for ok in open_to]
        every = itertools.product(*(range(top + 1) for top in tops))
        ways.append([way for way in every if sum(way) <= d.count])
    return itertools.product(*ways)


def _running(
    scenario: Scenario,
    demand: tuple[Demand, ...],
    lines: dict[str, Line],
    on: list[tuple[ColdUnit, tuple[float, ...]]],
    bins: list[tuple[ColdUnit, int, tuple[float, ...]]],
    counts: tuple[tuple[int, ...], ...],
) -> Running | None:
    """How the units must run for these bags; ``None`` when a rule is broken."""
    tubs = scenario.conditions.segregation is Segregation.TUBS
    found = []
    ice_kg = 0.0
    for unit, points in on:
        mine = [i for i, (u, _, _) in enumerate(bins) if u.id == unit.id]
        zones_l = _zones_l(scenario, unit, points, tubs)
        put_l = [
            sum(
                lines[d.line_id].volume_l * way[i]
                for d, way in zip(demand, counts, strict=True)
            )
            for i in mine
        ]
        classes = {
            lines[d.line_id].stock_class
            for d, way in zip(demand, counts, strict=True)
            if any(way[i] for i in mine)
        }
        if not classes or (len(classes) > 1 and not tubs):
            return None
        if any(put > room + SMALL for put, room in zip(put_l, zones_l, strict=True)):
            return None
        room_l = sum(zones_l)
        fill = next(f for f in FILLS if sum(put_l) <= f * room_l + SMALL)
        room_c = room_temp_c(scenario.place(unit.place), scenario.conditions)
        ice_kg += ice_kg_day(unit, points, room_c, fill)
        found.append((unit.id, points, fill))
    if ice_kg > scenario.conditions.ice_kg_day + SMALL:
        return None
    return tuple(found)


def _zones_l(
    scenario: Scenario, unit: ColdUnit, points: tuple[float, ...], tubs: bool
) -> list[float]:
    room_c = room_temp_c(scenario.place(unit.place), scenario.conditions)
    share = 0.9 if tubs else 1.0
    return [share * one for one in usable_l(unit, points, room_c)]


def _value(
    demand: tuple[Demand, ...],
    lines: dict[str, Line],
    counts: tuple[tuple[int, ...], ...],
) -> Vector:
    """Value of a placement, A to E, need before surplus.

    Households with a first bag, bags, and less the sum of the ranks of the
    allowances left: of equal counts the most urgent bags come first.
    """
    found: list[int] = []
    for tier in "ABCDE":
        for surplus in (False, True):
            mine = [
                (d, sum(way))
                for d, way in zip(demand, counts, strict=True)
                if d.tier.value == tier and d.surplus is surplus
            ]
            homes = {lines[d.line_id].household for d, n in mine if n and not surplus}
            urgency = sorted({_left_h(d) for d, _ in mine})
            late = sum(n * urgency.index(_left_h(d)) for d, n in mine)
            found += [len(homes), sum(n for _, n in mine), -late]
    return tuple(found)


def _left_h(d: Demand) -> float:
    return -1.0 if d.allowance_h is None else d.allowance_h


def counts_of(value: Vector) -> Vector:
    """Households, need and surplus met in each tier: what a plan tells."""
    tiers = [value[at : at + 6] for at in range(0, 30, 6)]
    return tuple(n for t in tiers for n in (t[0], t[1], t[4]))


# -- wiring ----------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Taker:
    """A unit that is on, or a prior load, as its plug sees it."""

    id: str
    place: str
    supply: Supply
    running_w: float
    surge_w: float
    load_w: tuple[float, ...]
    ready_h: int
    back_h: int


Plug = tuple[str, str]
"""Feeder id and "dc", "ac" or "source"."""


@dataclass(slots=True)
class _Wirings:
    """Tries wirings of a scenario; what a battery does is worked out once."""

    scenario: Scenario
    margin_wh: float
    known: dict[object, bool] = field(default_factory=dict)
    batteries: list[Battery] = field(init=False)
    loads: list[_Taker] = field(init=False)

    def __post_init__(self) -> None:
        here = Status.HERE
        scene = self.scenario
        self.batteries = [b for b in scene.batteries if b.availability.status is here]
        self.loads = [
            _Taker(
                id=s.id,
                place=s.place,
                supply=s.supply,
                running_w=s.max_w,
                surge_w=s.max_w,
                load_w=(s.max_w,) * self.hours,
                ready_h=0,
                back_h=self.hours,
            )
            for s in scene.sources
            if s.kind is SourceKind.PRIORITY_LOAD
        ]

    @property
    def hours(self) -> int:
        return self.scenario.conditions.window_h

    @property
    def sources(self) -> dict[str, tuple[bool, ...]]:
        """Hours of each source in which it is on."""
        start = self.scenario.conditions.start
        return {
            s.id: tuple(s.on_in_hour(start, h) for h in range(self.hours))
            for s in self.scenario.sources
            if s.kind is not SourceKind.PRIORITY_LOAD
        }

    def periods(self) -> list[range]:
        """Hours between moments at which plugs may move."""
        cond = self.scenario.conditions
        edges = {0, self.hours}
        edges |= {
            h
            for h in range(1, self.hours)
            if (cond.start.hour + h) % 24 in cond.swap_hours
        }
        for on in self.sources.values():
            edges |= {h for h in range(1, self.hours) if on[h] != on[h - 1]}
        return [range(a, z) for a, z in itertools.pairwise(sorted(edges))]

    def any_wiring(self, running: Running) -> bool:
        """Tell whether some wiring feeds all loads and these units."""
        takers = [*self.loads, *(self._taker(one) for one in running)]
        if not takers:
            return True
        periods = self.periods()
        choices = [self._joint(takers, hours) for hours in periods]
        return any(
            self._holds(takers, periods, joint) for joint in itertools.product(*choices)
        )

    def _taker(self, one: tuple[str, tuple[float, ...], float]) -> _Taker:
        unit = next(u for u in self.scenario.units if u.id == one[0])
        room_c = room_temp_c(self.scenario.place(unit.place), self.scenario.conditions)
        back = unit.availability.back_h
        return _Taker(
            id=unit.id,
            place=unit.place,
            supply=unit.supply,
            running_w=unit.running_w,
            surge_w=start_surge_w(unit),
            load_w=tuple(unit_load_w(unit, one[1], room_c, one[2])),
            ready_h=unit.availability.ready_h,
            back_h=self.hours if back is None else min(back, self.hours),
        )

    # One entry a taker: the plug it is on, or None while it is not there.
    def _joint(
        self, takers: list[_Taker], hours: range
    ) -> list[tuple[Plug | None, ...]]:
        each = [self._plugs(taker, hours) for taker in takers]
        return [
            joint
            for joint in itertools.product(*each)
            if self._sockets_hold(takers, joint)
        ]

    def _plugs(self, taker: _Taker, hours: range) -> list[Plug | None]:
        needed = [h for h in hours if taker.ready_h <= h < taker.back_h]
        if not needed:
            return [None]
        found: list[Plug | None] = []
        for b in self.batteries:
            terms = b.availability
            back = self.hours if terms.back_h is None else terms.back_h
            there = all(terms.ready_h <= h < back for h in needed)
            if not there or not (b.movable or b.place == taker.place):
                continue
            on_dc = taker.supply in (Supply.DC, Supply.BOTH)
            if on_dc and taker.running_w <= b.port_12v_max_w + SMALL:
                found.append((b.id, "dc"))
            if taker.supply in (Supply.AC, Supply.BOTH):
                found.append((b.id, "ac"))
        for s in self.scenario.sources:
            if s.kind is SourceKind.PRIORITY_LOAD or s.place != taker.place:
                continue
            suits = s.supply is taker.supply or Supply.BOTH in (s.supply, taker.supply)
            if suits and all(self.sources[s.id][h] for h in needed):
                found.append((s.id, "source"))
        return found

    def _sockets_hold(
        self, takers: list[_Taker], joint: tuple[Plug | None, ...]
    ) -> bool:
        for b in self.batteries:
            mine = [
                (taker, plug[1])
                for taker, plug in zip(takers, joint, strict=True)
                if plug is not None and plug[0] == b.id
            ]
            if len({taker.place for taker, _ in mine}) > 1:
                return False
            dc = [taker for taker, port in mine if port == "dc"]
            ac = [taker for taker, port in mine if port == "ac"]
            if len(dc) > b.ports_12v or len(ac) > b.outlets_ac:
                return False
            if sum(t.running_w for t, _ in mine) > b.max_out_w + SMALL:
                return False
            ac_w = sum(t.running_w for t in ac)
            surge = [ac_w - t.running_w + t.surge_w for t in ac]
            if surge and max(surge) > 2 * b.max_out_w + SMALL:
                return False
        return True

    def _holds(
        self,
        takers: list[_Taker],
        periods: list[range],
        joint: tuple[tuple[Plug | None, ...], ...],
    ) -> bool:
        """Try every choice of panels and chargers for these plugs."""
        fixed = [self._stands(b, takers, joint) for b in self.batteries]
        chargers = [
            [None, *(s.id for s in self.scenario.sources if self._charges(s, b))]
            for b in self.batteries
        ]
        panels = [
            p for p in self.scenario.panels if p.availability.status is Status.HERE
        ]
        leads = [range(-1, len(self.batteries)) for _ in panels]
        for plugged in itertools.product(*chargers):
            if not self._sources_hold(takers, joint, plugged):
                continue
            for lead in itertools.product(*leads):
                if all(
                    self._lasts(
                        i,
                        b,
                        takers,
                        periods,
                        joint,
                        fixed[i],
                        plugged[i],
                        tuple(
                            p.id for p, to in zip(panels, lead, strict=True) if to == i
                        ),
                    )
                    for i, b in enumerate(self.batteries)
                ):
                    return True
        return False

    def _charges(self, source: object, b: Battery) -> bool:
        return (
            source.kind is not SourceKind.PRIORITY_LOAD
            and (b.movable or source.place == b.place)
            and b.max_charge_w <= source.max_w + SMALL
        )

    def _sources_hold(
        self,
        takers: list[_Taker],
        joint: tuple[tuple[Plug | None, ...], ...],
        plugged: tuple[str | None, ...],
    ) -> bool:
        for s in self.scenario.sources:
            chargers_w = sum(
                b.max_charge_w
                for b, at in zip(self.batteries, plugged, strict=True)
                if at == s.id
            )
            for plugs in joint:
                direct_w = sum(
                    t.running_w
                    for t, plug in zip(takers, plugs, strict=True)
                    if plug == (s.id, "source")
                )
                if direct_w + chargers_w > s.max_w + SMALL:
                    return False
        return True

    def _stands(
        self,
        b: Battery,
        takers: list[_Taker],
        joint: tuple[tuple[Plug | None, ...], ...],
    ) -> tuple[str | None, ...]:
        """Place of a battery in each period by what it feeds."""
        found = []
        for plugs in joint:
            places = {
                taker.place
                for taker, plug in zip(takers, plugs, strict=True)
                if plug is not None and plug[0] == b.id
            }
            found.append(places.pop() if places else None)
        return tuple(found)

    def _lasts(
        self,
        i: int,
        b: Battery,
        takers: list[_Taker],
        periods: list[range],
        joint: tuple[tuple[Plug | None, ...], ...],
        stands: tuple[str | None, ...],
        charger: str | None,
        panel_ids: tuple[str, ...],
    ) -> bool:
        mine = tuple(
            tuple(
                (taker, plug[1])
                for taker, plug in zip(takers, plugs, strict=True)
                if plug is not None and plug[0] == b.id
            )
            for plugs in joint
        )
        key = (i, mine, charger, panel_ids)
        if key not in self.known:
            self.known[key] = self._simulate(
                b, periods, mine, stands, charger, panel_ids
            )
        return self.known[key]

    def _simulate(
        self,
        b: Battery,
        periods: list[range],
        mine: tuple[tuple[tuple[_Taker, str], ...], ...],
        stands: tuple[str | None, ...],
        charger: str | None,
        panel_ids: tuple[str, ...],
    ) -> bool:
        scene, cond = self.scenario, self.scenario.conditions
        panels = [p for p in scene.panels if p.id in panel_ids]
        tied = {p.place for p in panels if p.place}
        tied |= {s.place for s in scene.sources if s.id == charger}
        own = b.place or scene.places[0].name
        if not b.movable:
            tied.add(own)
        if len(tied | {place for place in stands if place and tied}) > 1:
            return False
        start_at = next(iter(tied), own)
        limits = battery_limits(b, room_temp_c(scene.place(start_at), cond), cond)
        sun_w = np.zeros(self.hours)
        for p in panels:
            room_c = room_temp_c(scene.place(p.place or start_at), cond)
            sun_w += panel_w(p, cond, room_c, cond.sun_case)
        charge = limits.start_wh
        least = limits.floor_wh + limits.reserve_wh + self.margin_wh
        for hours, plugs in zip(periods, mine, strict=True):
            for h in hours:
                cap_w = float(limits.charge_limit_w[h])
                in_w = min(float(sun_w[h]), limits.solar_limit_w, cap_w)
                if charger is not None and self.sources[charger][h]:
                    in_w = cap_w
                charge += b.charge_efficiency * in_w - _out_wh(b, plugs, h)
                charge = min(limits.full_wh, charge)
                if plugs and charge < least - SMALL:
                    return False
        return True


def _out_wh(b: Battery, plugs: tuple[tuple[_Taker, str], ...], hour: int) -> float:
    """Energy that leaves the cells in an hour."""
    out_wh = b.ac_idle_w if any(port == "ac" for _, port in plugs) else 0.0
    for taker, port in plugs:
        share = b.dc_efficiency if port == "dc" else b.ac_efficiency
        out_wh += taker.load_w[hour] / share
    return out_wh
