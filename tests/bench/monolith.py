"""One model for everything: which bag, which unit, which plug, which hour.

What the numbers are (which bag fits where, loads, limits, sun) comes from
the planner's own instance; the model is written here a second time, without
pools, cuts or rolled periods, as one would write it down from the rules.
Tiers are served one after the other, each stage holding the ones before.
"""

import math
import time
from dataclasses import dataclass

from planner.decide.goods import SlotKey
from planner.decide.instance import Instance, Mode
from planner.decide.placed import ModeChoice, Placed
from planner.decide.stage_values import stage_order
from planner.result import Hookup
from planner.scenario import StockClass, Tier
from tests.bench.backends import Backend, Found
from tests.bench.monolith_plugs import hookups as hookups_of
from tests.bench.monolith_power import PowerRows
from tests.bench.rows import Rows, Terms

MICRO = 1_000_000
"""Millionths of a litre or a kilogram."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StageFound:
    """What one tier got, and the most the solver left open.

    Where the solver gave no bound it is all that is needed.
    """

    tier: Tier
    surplus: bool
    households_met: int
    household_bound: float
    met: int
    bound: float
    proven: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """Answer of a monolith; ``placed`` is ``None`` when there was none."""

    placed: Placed | None
    hookups: tuple[Hookup, ...]
    stages: tuple[StageFound, ...]
    never: bool
    columns: int
    rows: int

    @property
    def proven(self) -> bool:
        """True when every stage was."""
        return self.placed is not None and all(s.proven for s in self.stages)


class Monolith:
    """Variables and rows of placement, wiring and hours together."""

    def __init__(self, instance: Instance) -> None:
        self.instance = instance
        self.rows = Rows()
        self.picks: list[list[tuple[ModeChoice, int]]] = []
        self.bags: dict[tuple[int, SlotKey], int] = {}
        self.served: dict[int, int] = {}
        self._add_modes()
        self._add_bags()
        self._add_litres()
        self._add_ice()
        self.power = PowerRows(self.rows, instance, self._picks_by_load())

    def _add_modes(self) -> None:
        """R1, R2, R4: one way to run a unit, and one class of stock in it."""
        for u in range(len(self.instance.units)):
            mine = []
            for mode in self.instance.modes[u]:
                classes = (None,) if self.instance.tubs else self._classes_of(mode)
                for stock in classes:
                    choice = ModeChoice(mode=mode, stock_class=stock)
                    mine.append((choice, self.rows.binary()))
            self.picks.append(mine)
            if mine:
                self.rows.add(((1, v) for _, v in mine), top=1)

    def _classes_of(self, mode: Mode) -> tuple[StockClass, ...]:
        used = {
            good.stock_class
            for good in self.instance.goods
            for u, z, s in good.slots
            if u == mode.unit and mode.set_points_c[z] == s
        }
        return tuple(c for c in StockClass if c in used)

    def _add_bags(self) -> None:
        """Whole bags of each good in each slot; first bags of households."""
        inst = self.instance
        runnable = {
            (u, z, s)
            for u, mine in enumerate(self.picks)
            for choice, _ in mine
            for z, s in enumerate(choice.mode.set_points_c)
        }
        placed: list[Terms] = []
        for g, good in enumerate(inst.goods):
            placed.append([])
            for slot in good.slots:
                if slot in runnable:
                    self.bags[g, slot] = self.rows.var(0, good.count)
                    placed[g].append((1, self.bags[g, slot]))
            self.rows.add(placed[g], top=good.count)
        given: dict[int, Terms] = {}
        for f, family in enumerate(inst.families):
            self.served[f] = self.rows.var(0, family.households)
            shares = {g: self.rows.var(0, family.households) for g in family.goods}
            for g, share in shares.items():
                given.setdefault(g, []).append((1, share))
            self.rows.add(
                [(1, self.served[f]), *((-1, v) for v in shares.values())], top=0
            )
        for g, first in sorted(given.items()):
            self.rows.add([*first, *((-c, v) for c, v in placed[g])], top=0)

    def _add_litres(self) -> None:
        """R3 in each zone at its setting, R8 in the whole unit."""
        inst = self.instance
        in_slot: dict[tuple[SlotKey, StockClass | None], Terms] = {}
        in_unit: dict[int, Terms] = {}
        for (g, slot), var in self.bags.items():
            good = inst.goods[g]
            term = (round(good.volume_l * MICRO), var)
            which = None if inst.tubs else good.stock_class
            in_slot.setdefault((slot, which), []).append(term)
            in_unit.setdefault(slot[0], []).append(term)
        for ((u, z, s), which), litres in in_slot.items():
            room = [
                (-math.floor(c.mode.usable_l[z] * MICRO + 1e-3), v)
                for c, v in self.picks[u]
                if c.mode.set_points_c[z] == s and c.stock_class == which
            ]
            self.rows.add([*litres, *room], top=0, scale=MICRO)
        for u, litres in in_unit.items():
            room = [
                (-math.floor(c.mode.fill * sum(c.mode.usable_l) * MICRO + 1e-3), v)
                for c, v in self.picks[u]
            ]
            self.rows.add([*litres, *room], top=0, scale=MICRO)

    def _add_ice(self) -> None:
        """R10: ice of all chests on their worst day."""
        supply_kg = self.instance.scenario.conditions.ice_kg_day
        ice = [
            (math.ceil(c.mode.ice_kg * MICRO - 1e-3), v)
            for mine in self.picks
            for c, v in mine
            if c.mode.ice_kg > 0
        ]
        if ice:
            self.rows.add(ice, top=math.floor(supply_kg * MICRO), scale=MICRO)

    def _picks_by_load(self) -> dict[int, list[tuple[Mode, Terms]]]:
        """Powered units: each way to draw power, and the picks that choose it."""
        found: dict[int, list[tuple[Mode, Terms]]] = {}
        for u, mine in enumerate(self.picks):
            if not self.instance.units[u].powered:
                continue
            found[u] = [
                (mode, [(1, v) for c, v in mine if c.mode is mode])
                for mode in self.instance.modes[u]
            ]
        return found

    # -- what a solution is worth --------------------------------------------

    def goods_of(self, tier: Tier, *, surplus: bool) -> list[int]:
        """Numbers of the goods of one stage."""
        return [
            g
            for g, good in enumerate(self.instance.goods)
            if good.tier is tier and good.surplus is surplus
        ]

    def bags_of(self, goods: list[int]) -> Terms:
        """Bags placed of some goods."""
        wanted = set(goods)
        return [(1, v) for (g, _), v in self.bags.items() if g in wanted]

    def homes_of(self, goods: list[int]) -> Terms:
        """Households with a first bag among some goods."""
        return [(1, self.served[f]) for f in self.families_of(goods)]

    def families_of(self, goods: list[int]) -> list[int]:
        """Families of households whose need is among some goods."""
        wanted = set(goods)
        return [
            f
            for f, family in enumerate(self.instance.families)
            if wanted.intersection(family.goods)
        ]

    def lateness_of(self, goods: list[int]) -> Terms:
        """Ranks of the allowances of the bags placed; lower is more urgent."""
        hours = {g: self.instance.goods[g].key.rank_h for g in goods}
        order = {h: i for i, h in enumerate(sorted(set(hours.values())))}
        return [
            (order[hours[g]], v)
            for (g, _), v in self.bags.items()
            if g in hours and order[hours[g]] > 0
        ]

    def placed(self, values: list[int]) -> Placed:
        """Counts and modes of a solution; units that hold nothing are off."""
        counts = {k: values[v] for k, v in self.bags.items() if values[v] > 0}
        loaded = {u for _, (u, _, _) in counts}
        return Placed(
            counts=counts,
            choices=tuple(
                choice
                for u, mine in enumerate(self.picks)
                for choice, v in mine
                if values[v] and u in loaded
            ),
            stages=(),
            taken=frozenset(),
            proven=False,
        )


def solve(instance: Instance, backend: Backend, limit_s: float) -> Solved:
    """Solve tier by tier, every stage for at most half of the time left."""
    ends = time.monotonic() + limit_s
    mono = Monolith(instance)
    size = len(mono.rows.lows), len(mono.rows.rows)
    run = _Run(mono, backend, ends)
    for tier, surplus in stage_order(instance.goods):
        if run.never:
            break
        run.tier(tier, surplus=surplus)
    if run.values is None:
        placed, hookups = None, ()
    else:
        placed = mono.placed(run.values)
        on = frozenset(c.mode.unit_id for c in placed.choices)
        hookups = hookups_of(mono.power, run.values, on)
    return Solved(
        placed=placed,
        hookups=hookups,
        stages=tuple(run.stages),
        never=run.never,
        columns=size[0],
        rows=size[1],
    )


class _Run:
    """Carries the best values from stage to stage."""

    def __init__(self, mono: Monolith, backend: Backend, ends: float) -> None:
        self.mono, self.backend, self.ends = mono, backend, ends
        self.values: list[int] | None = None
        self.stages: list[StageFound] = []
        self.never = False

    def _maximise(self, goal: Terms) -> Found:
        left_s = self.ends - time.monotonic()
        if left_s < 0.2:
            return Found(values=None, bound=math.inf, proven=False)
        found = self.backend.maximise(self.mono.rows, goal, left_s / 2, self.values)
        self.never = self.never or (found.never and self.values is None)
        if found.values is not None:
            better = self.values is None or self._worth(
                goal, found.values
            ) >= self._worth(goal, self.values)
            self.values = found.values if better else self.values
        return found

    def _worth(self, goal: Terms, values: list[int]) -> int:
        return self.mono.rows.value(goal, values)

    def tier(self, tier: Tier, *, surplus: bool) -> None:
        """Serve one tier as well as the earlier ones allow."""
        mono = self.mono
        goods = mono.goods_of(tier, surplus=surplus)
        needed = sum(mono.instance.goods[g].count for g in goods)
        families = mono.instance.families
        households = sum(families[f].households for f in mono.families_of(goods))
        bags, homes = mono.bags_of(goods), mono.homes_of(goods)
        weight = needed + 1
        found = self._maximise([*((weight, v) for _, v in homes), *bags])
        if self.values is None:
            return
        met, served = self._worth(bags, self.values), self._worth(homes, self.values)
        proven = found.proven
        if found.proven:
            bound, served_bound = float(met), float(served)
        else:
            bound, served_bound = _split(found.bound, weight, needed, households)
            bound = bound if served_bound == served else float(needed)
        mono.rows.add(homes, low=served)
        mono.rows.add(bags, low=met)
        if 0 < met < needed:
            late = mono.lateness_of(goods)
            if late:
                proven = self._maximise([(-c, v) for c, v in late]).proven and proven
                mono.rows.add(late, top=self._worth(late, self.values))
        self.stages.append(
            StageFound(
                tier=tier,
                surplus=surplus,
                households_met=served,
                household_bound=served_bound,
                met=met,
                bound=bound,
                proven=proven,
            )
        )


def _split(
    best: float, weight: int, needed: int, households: int
) -> tuple[float, float]:
    """Bounds of bags and households from the bound of their weighted sum."""
    if math.isinf(best):
        return float(needed), float(households)
    whole = math.floor(best + 1e-6)
    homes = min(households, whole // weight)
    return float(min(needed, whole - weight * homes)), float(homes)
