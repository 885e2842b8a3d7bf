"""What no wiring can carry, told early: plugs as shares instead of whole plugs.

Here every consumer may hang on several feeders at once, each carrying a
share, over the periods of a rota; every real wiring is one such division.
When even that leaves something unfed, the prices of the rows make a cut: a
weight for every way to run a unit, and the room that the feeders give (a
Benders feasibility cut; Benders, Numerische Mathematik 4, 1962).  One such
cut takes away whole families of placements, where a cut on the modes that
failed takes away one.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.decide.blocks import Block
from planner.decide.consumer_ways import AllWays, ConsumerWays
from planner.decide.cuts import EnergyCut, ModeKey, mode_key
from planner.decide.instance import charges_battery, sun_reaches
from planner.decide.linear import LinearProgram

_UNFED_KWH = 1e-5
_LEAST_KWH = 1e-3
_SLACK = 1e-6
_WH = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    """A row of the program whose room some piece of equipment gives."""

    number: int
    owner: str
    room: float


class Shares:
    """One program: who hangs on what, in shares."""

    def __init__(
        self,
        every: AllWays,
        fed: list[tuple[ConsumerWays, int]],
        taken: frozenset[str],
    ) -> None:
        self.every = every
        self.instance = every.instance
        self.taken = taken
        self.fed = [ways.who for ways, _ in fed]
        self.energy = [ways.energy_kwh[way] for ways, way in fed]
        self.lp = LinearProgram()
        self.rows: list[_Row] = []
        n_b, n_s = len(self.instance.batteries), len(self.instance.feeds)
        n_k, n_t = len(every.periods), len(every.steps)
        self.row_dc = np.full((n_b, n_k), -1)
        self.row_ac = np.full((n_b, n_k), -1)
        self.row_watts = np.full((n_b, n_k), -1)
        self.row_charge = np.full((n_b, n_t), -1)
        self.row_source = np.full((n_s, n_k), -1)
        self.row_idle: dict[tuple[str, int, int], int] = {}
        self.plugs_dc: dict[tuple[int, int], list[tuple[int, int]]] = {}
        self.plugs_ac: dict[tuple[int, int], list[tuple[int, int]]] = {}
        self.direct: dict[tuple[int, int], list[tuple[int, int]]] = {}
        self.idle: dict[tuple[int, int], int] = {}
        self.panel: dict[tuple[int, int], int] = {}
        self.charger: dict[tuple[int, int], int] = {}
        self._add_plugs(fed)
        self._add_panels_and_chargers()
        self._add_sockets()
        for b in range(n_b):
            self._add_charge(b)
        self._add_sources()

    def _owned(self, item_id: str) -> bool:
        return item_id not in self.instance.optional or item_id in self.taken

    def _row(self, terms: list[tuple[int, float]], owner: str, room: float) -> int:
        """Add a row whose room is there only with its owner."""
        number = self.lp.row(terms, room if self._owned(owner) else 0.0)
        self.rows.append(_Row(number=number, owner=owner, room=room))
        return number

    # -- columns and rows --------------------------------------------------

    def _add_plugs(self, fed: list[tuple[ConsumerWays, int]]) -> None:
        for c, (ways, way) in enumerate(fed):
            for k in ways.periods:
                mine = self._plugs_of(c, ways, way, k)
                need = max(_LEAST_KWH, float(self.energy[c][self._steps_of(k)].sum()))
                unfed = self.lp.column(need)
                self.lp.row([*((x, -1.0) for x in mine), (unfed, -1.0)], -1.0)

    def _plugs_of(self, c: int, ways: ConsumerWays, way: int, k: int) -> list[int]:
        mine = []
        for b in range(len(self.instance.batteries)):
            if (b, k) in ways.dc and ways.dc[b, k][way]:
                x = self.lp.column()
                self.plugs_dc.setdefault((b, k), []).append((c, x))
                mine.append(x)
            if (b, k) in ways.ac and ways.ac[b, k][way]:
                x = self.lp.column()
                self.plugs_ac.setdefault((b, k), []).append((c, x))
                mine.append(x)
                if (b, k) not in self.idle:
                    self.idle[b, k] = self.lp.column()
                self.row_idle[ways.who.id, b, k] = self.lp.row(
                    [(x, 1.0), (self.idle[b, k], -1.0)], 0.0
                )
        for s in range(len(self.instance.feeds)):
            if (s, k) in ways.direct:
                x = self.lp.column()
                self.direct.setdefault((s, k), []).append((c, x))
                mine.append(x)
        return mine

    def _steps_of(self, k: int) -> list[int]:
        return [t for t, kk in enumerate(self.every.period_of) if kk == k]

    def _add_panels_and_chargers(self) -> None:
        inst = self.instance
        for p, panel in enumerate(inst.panels):
            mine = []
            for b, battery in enumerate(inst.batteries):
                if sun_reaches(panel, battery):
                    self.panel[p, b] = self.lp.column()
                    mine.append((self.panel[p, b], 1.0))
            self._row(mine, panel.id, 1.0)
        for b, battery in enumerate(inst.batteries):
            mine = []
            for s, source in enumerate(inst.feeds):
                if charges_battery(source, battery):
                    self.charger[b, s] = self.lp.column()
                    mine.append((self.charger[b, s], 1.0))
            if mine:
                self._row(mine, battery.id, 1.0)

    def _add_sockets(self) -> None:
        inst = self.instance
        for b, battery in enumerate(inst.batteries):
            for k in range(len(self.every.periods)):
                dc, ac = self.plugs_dc.get((b, k), []), self.plugs_ac.get((b, k), [])
                for mine, rows, sockets in (
                    (dc, self.row_dc, battery.ports_12v),
                    (ac, self.row_ac, battery.outlets_ac),
                ):
                    if mine:
                        terms = [(x, 1.0) for _, x in mine]
                        rows[b, k] = self._row(terms, battery.id, float(sockets))
                if dc or ac:
                    watts = [(x, self.fed[c].running_w / _WH) for c, x in dc + ac]
                    top = inst.limits[b].max_out_w / _WH
                    self.row_watts[b, k] = self._row(watts, battery.id, top)

    def _add_charge(self, b: int) -> None:
        """Charge above the reserve, step by step, never below nothing."""
        limits, owner = self.instance.limits[b], self.instance.batteries[b].id
        least = limits.floor_wh + limits.reserve_wh
        # A battery that starts below its reserve may fill up first.
        base = min(least, limits.start_wh)
        full = (max(limits.full_wh, limits.start_wh) - base) / _WH
        before = -1
        for t, step in enumerate(self.every.steps):
            k = self.every.period_of[t]
            after = self.lp.column()
            terms = [(after, 1.0)]
            if t:
                terms.append((before, -1.0))
            for c, x in self.plugs_dc.get((b, k), []):
                terms.append((x, self.energy[c][t] / limits.dc_efficiency))
            for c, x in self.plugs_ac.get((b, k), []):
                terms.append((x, self.energy[c][t] / limits.ac_efficiency))
            if (b, k) in self.idle:
                # One that comes later or goes back runs the inverter for less.
                hours = min(
                    int(self.fed[c].needed[step.span].sum())
                    for c, _ in self.plugs_ac[b, k]
                )
                terms.append((self.idle[b, k], limits.ac_idle_w * hours / _WH))
            for column in self._income(b, step):
                terms.append((column, -limits.charge_efficiency))
            start = (limits.start_wh - base) / _WH if t == 0 else 0.0
            self.row_charge[b, t] = self._row(terms, owner, start)
            self._row([(after, 1.0)], owner, full)
            before = after

    def _income(self, b: int, step: Block) -> list[int]:
        """Columns of what comes in during a step, caps applied."""
        inst = self.instance
        limits, owner = inst.limits[b], inst.batteries[b].id
        limit = float(limits.charge_limit_w[step.span].sum()) / _WH
        cap = min(limits.solar_limit_w * step.hours / _WH, limit)
        sun = [
            (column, -float(inst.sun_w[p][step.span].sum()) / _WH)
            for (p, bb), column in self.panel.items()
            if bb == b and float(inst.sun_w[p][step.span].sum()) > 0
        ]
        income = []
        if cap > 0 and sun:
            solar = self.lp.column()
            self._row([(solar, 1.0)], owner, cap)
            self.lp.row([(solar, 1.0), *sun], 0.0)
            income.append(solar)
        plugged = [
            (column, -limit)
            for (bb, s), column in self.charger.items()
            if bb == b and bool(inst.feed_on[s][step.span].all())
        ]
        if plugged and limit > 0:
            mains = self.lp.column()
            self.lp.row([(mains, 1.0), *plugged], 0.0)
            income.append(mains)
            self._row([(column, 1.0) for column in income], owner, limit)
        return income

    def _add_sources(self) -> None:
        inst = self.instance
        for s, source in enumerate(inst.feeds):
            chargers = [
                (column, inst.batteries[b].max_charge_w / _WH)
                for (b, t), column in self.charger.items()
                if t == s
            ]
            for k in range(len(self.every.periods)):
                used = [
                    (x, self.fed[c].running_w / _WH)
                    for c, x in self.direct.get((s, k), [])
                ]
                if used or chargers:
                    self.row_source[s, k] = self._row(
                        used + chargers, source.id, source.max_w / _WH
                    )

    # -- the cut -----------------------------------------------------------

    def cut(self) -> EnergyCut | None:
        """Solve, and turn the prices into a cut when something stays unfed."""
        solved = self.lp.prices()
        if solved is None or solved[0] <= _UNFED_KWH:
            return None
        prices = solved[1]
        room = 0.0
        offers: dict[str, float] = {}
        for row in self.rows:
            worth = float(prices[row.number]) * row.room
            if worth <= 0:
                continue
            if row.owner in self.instance.optional:
                offers[row.owner] = offers.get(row.owner, 0.0) + worth
            else:
                room += worth
        for ways in self.every.loads:
            room -= float(self._worth(prices, ways)[0])
        if not np.isfinite(room):
            # Nothing at all can feed a load that comes before the fridges.
            return EnergyCut(weights={}, offers={}, room=-1.0)
        never = max(0.0, room) + sum(offers.values()) + 1.0
        weights: dict[ModeKey, float] = {}
        for u, ways in self.every.units.items():
            worths = self._worth(prices, ways)
            for mode, worth in zip(self.instance.modes[u], worths, strict=True):
                if worth > 0:
                    weights[mode_key(mode)] = min(float(worth), never)
        return EnergyCut(weights=weights, offers=offers, room=room + _SLACK)

    def _worth(
        self, prices: NDArray[np.float64], ways: ConsumerWays
    ) -> NDArray[np.float64]:
        """What feeding a consumer costs at least, one figure a way to run it.

        Infinite where nothing can feed it.
        """

        def price(number: int) -> float:
            return float(prices[number]) if number >= 0 else 0.0

        limits = self.instance.limits
        many = len(ways.energy_kwh)
        watts = ways.who.running_w / _WH
        worth = np.zeros(many)
        for k in ways.periods:
            steps = self._steps_of(k)
            least = np.full(many, np.inf)
            for table, rows, efficiency in (
                (ways.dc, self.row_dc, [x.dc_efficiency for x in limits]),
                (ways.ac, self.row_ac, [x.ac_efficiency for x in limits]),
            ):
                for b in range(len(limits)):
                    if (b, k) not in table:
                        continue
                    charge = np.array([price(self.row_charge[b, t]) for t in steps])
                    cost = ways.energy_kwh[:, steps] @ charge / efficiency[b]
                    cost += watts * price(self.row_watts[b, k])
                    cost += price(rows[b, k])
                    if table is ways.ac:
                        cost += price(self.row_idle.get((ways.who.id, b, k), -1))
                    cost = np.where(table[b, k], cost, np.inf)
                    least = np.minimum(least, cost)
            for s in range(len(self.instance.feeds)):
                if (s, k) in ways.direct:
                    least = np.minimum(least, watts * price(self.row_source[s, k]))
            worth += least
        return worth
