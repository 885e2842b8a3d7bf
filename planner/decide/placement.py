"""Placement: which bags go in which unit, tier by tier, with a proven bound.

Stages are lexicographic: inside a tier first every household's first bag,
then most bags, then the shortest allowance; each stage fixes the ones
before.  A tier that can be served whole needs one solve.
"""

import math
import time
from collections.abc import Callable
from dataclasses import dataclass, field

from planner.decide.blocks import energy_blocks
from planner.decide.goods import Good, SlotKey
from planner.decide.instance import (
    Instance,
    Mode,
    consumer_of_load,
    consumer_of_unit,
)
from planner.decide.power import Draw, add_power_rows
from planner.decide.solver import Answer, Expr, Model, Outcome, total, whole
from planner.result import ReasonFamily
from planner.scenario import StockClass, Tier

_POLISH_NODES = 200
_PLENTY = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ModeChoice:
    """A mode of a unit, and the only class of stock it may hold."""

    mode: Mode
    stock_class: StockClass | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """Modes that cannot all be wired at once without the ``absent`` offers."""

    modes: tuple[Mode, ...]
    absent: frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class StageValue:
    """What a tier got and the most it could get."""

    tier: Tier
    surplus: bool
    needed: int
    met: int
    bound: int
    households: int
    households_met: int
    household_bound: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A solved placement: counts by good and slot, and the modes chosen."""

    counts: dict[tuple[int, SlotKey], int]
    choices: tuple[ModeChoice, ...]
    stages: tuple[StageValue, ...]
    taken: frozenset[str]
    proven: bool


class PlacementModel:
    """The placement model with every decision variable in a dict."""

    def __init__(
        self,
        instance: Instance,
        *,
        cuts: tuple[Cut, ...] = (),
        budget: int | None = None,
        forced: frozenset[str] = frozenset(),
        relax: frozenset[ReasonFamily] = frozenset(),
    ) -> None:
        self.instance = instance
        self.relax = relax
        self.model = Model("placement")
        self.take: dict[str, Expr] = {}
        self.pick: dict[tuple[int, int], Expr] = {}
        self.choices: list[list[ModeChoice]] = []
        self.bags: dict[tuple[int, SlotKey], Expr] = {}
        self.served: dict[int, Expr] = {}
        self._add_offers(budget, forced)
        self._add_modes()
        self._add_bags()
        self._add_r3_volume()
        self._add_r10_ice()
        self._add_power()
        for conflict in cuts:
            self.add_cut(conflict)

    # -- variables ---------------------------------------------------------

    def _add_offers(self, budget: int | None, forced: frozenset[str]) -> None:
        for item_id in sorted(self.instance.optional):
            self.take[item_id] = self.model.binary()
            if item_id in forced:
                self.model.add("R11", self.take[item_id] >= 1)
        if budget is not None and self.take:
            self.model.add("R11", total(self.take.values()) <= budget)

    def _add_modes(self) -> None:
        """One mode a unit at most; with separate units also one class (R4)."""
        for u, unit in enumerate(self.instance.units):
            found = []
            for mode in self.instance.modes[u]:
                classes = (None,) if self._mixed else self._classes_of(mode)
                found += [ModeChoice(mode=mode, stock_class=c) for c in classes]
            self.choices.append(found)
            for i in range(len(found)):
                self.pick[u, i] = self.model.binary()
            if found:
                self.model.add(
                    "R1",
                    total(self.pick[u, i] for i in range(len(found)))
                    <= self.take.get(unit.id, 1),
                )

    @property
    def _mixed(self) -> bool:
        """True when a unit may hold both classes (R4)."""
        return self.instance.tubs or ReasonFamily.SEGREGATION in self.relax

    def _classes_of(self, mode: Mode) -> tuple[StockClass, ...]:
        used = {
            g.stock_class
            for g in self.instance.goods
            for (u, z, s) in g.slots
            if u == mode.unit and mode.set_points_c[z] == s
        }
        return tuple(c for c in StockClass if c in used)

    def _add_bags(self) -> None:
        """Whole bags of each good in each slot; first bags of households."""
        runnable = {
            (c.mode.unit, z, s)
            for options in self.choices
            for c in options
            for z, s in enumerate(c.mode.set_points_c)
        }
        by_family: dict[int, list[Expr]] = {}
        for g, good in enumerate(self.instance.goods):
            mine = [slot for slot in good.slots if slot in runnable]
            for slot in mine:
                self.bags[g, slot] = self.model.var(0, good.count, whole=True)
            placed = total(self.bags[g, slot] for slot in mine)
            if len(mine) > 1:
                self.model.add("N", placed <= good.count)
            if good.family >= 0:
                by_family.setdefault(good.family, []).append(placed)
        for f, sums in sorted(by_family.items()):
            size = self.instance.families[f].households
            self.served[f] = self.model.var(0, size, whole=True)
            self.model.add("N", self.served[f] <= total(sums))

    # -- rules -------------------------------------------------------------

    def _add_r3_volume(self) -> None:
        """R3 and R8: litres by zone, set point and class; warm fill by unit."""
        by_slot: dict[tuple[SlotKey, StockClass | None], list[Expr]] = {}
        by_unit: dict[int, list[Expr]] = {}
        for (g, slot), var in self.bags.items():
            good = self.instance.goods[g]
            which = None if self._mixed else good.stock_class
            litres = good.volume_l * var
            by_slot.setdefault((slot, which), []).append(litres)
            by_unit.setdefault(slot[0], []).append(litres)
        for ((u, z, s), which), litres in by_slot.items():
            room = total(
                c.mode.usable_l[z] * self.pick[u, i]
                for i, c in enumerate(self.choices[u])
                if c.mode.set_points_c[z] == s and c.stock_class == which
            )
            if ReasonFamily.VOLUME in self.relax:
                # Any amount fits, but only where the unit runs at that setting.
                room = _PLENTY * room
            self.model.add("R3", total(litres) <= room)
        if ReasonFamily.VOLUME in self.relax:
            return
        for u, litres in by_unit.items():
            room = total(
                c.mode.fill * sum(c.mode.usable_l) * self.pick[u, i]
                for i, c in enumerate(self.choices[u])
            )
            self.model.add("R8", total(litres) <= room)

    def _add_r10_ice(self) -> None:
        ice = [
            c.mode.ice_kg * self.pick[u, i]
            for u, options in enumerate(self.choices)
            for i, c in enumerate(options)
            if c.mode.ice_kg > 0
        ]
        if ice and ReasonFamily.ICE not in self.relax:
            self.model.add(
                "R10", total(ice) <= self.instance.scenario.conditions.ice_kg_day
            )

    def _add_power(self) -> None:
        inst = self.instance
        if ReasonFamily.POWER in self.relax:
            return
        draws = [
            Draw(
                consumer=consumer_of_unit(unit, inst.hours),
                choices=tuple(
                    (self.pick[u, i], c.mode.load_w)
                    for i, c in enumerate(self.choices[u])
                ),
            )
            for u, unit in enumerate(inst.units)
            if unit.powered and self.choices[u]
        ]
        draws += [
            Draw(
                consumer=consumer_of_load(load, inst.hours),
                choices=((1, load.load_w),),
            )
            for load in inst.loads
        ]
        add_power_rows(self.model, inst, tuple(draws), energy_blocks(inst), self.take)

    def add_cut(self, conflict: Cut) -> None:
        """Forbid the modes of a conflict, and any that draw no less."""
        terms = [
            self.pick[u, i]
            for mode in conflict.modes
            for u, options in enumerate(self.choices)
            for i, c in enumerate(options)
            if c.mode.unit_id == mode.unit_id and draws_no_less(c.mode, mode)
        ]
        fresh = total(self.take[i] for i in sorted(conflict.absent) if i in self.take)
        self.model.add("R7", total(terms) <= len(conflict.modes) - 1 + fresh)

    # -- solving -----------------------------------------------------------

    def placed(self, goods: list[int]) -> Expr:
        """Bags placed of some goods."""
        wanted = set(goods)
        return total(v for (g, _), v in self.bags.items() if g in wanted)

    def keep(self, stages: tuple[StageValue, ...]) -> None:
        """Hold every tier at what it got."""
        for stage in stages:
            mine = [
                g
                for g, good in enumerate(self.instance.goods)
                if good.tier is stage.tier and good.surplus is stage.surplus
            ]
            self.model.add("T", self.placed(mine) >= stage.met)
            families = sorted({self.instance.goods[g].family for g in mine} - {-1})
            if families:
                homes = total(self.served[f] for f in families)
                self.model.add("T", homes >= stage.households_met)

    def read(self, stages: tuple[StageValue, ...], *, proven: bool) -> Placed:
        """Read the last solution."""
        chosen = tuple(
            self.choices[u][i] for (u, i), v in self.pick.items() if whole(v) == 1
        )
        return Placed(
            counts={k: whole(v) for k, v in self.bags.items() if whole(v) > 0},
            choices=chosen,
            stages=stages,
            taken=frozenset(i for i, v in self.take.items() if whole(v) == 1),
            proven=proven,
        )


def draws_no_less(mode: Mode, other: Mode) -> bool:
    """True when ``mode`` needs at least the energy of ``other`` every hour."""
    return bool((mode.load_w >= other.load_w - 1e-9).all())


@dataclass(slots=True, kw_only=True)
class _Clock:
    """Wall-clock budget of a whole run of stages."""

    limit_s: float
    began: float = field(default_factory=time.monotonic)

    @property
    def left_s(self) -> float:
        return self.limit_s - (time.monotonic() - self.began)


def solve_stages(
    pm: PlacementModel,
    *,
    time_limit_s: float,
    polish: bool = True,
    progress: Callable[[str], None] | None = None,
) -> Placed | None:
    """Run the lexicographic stages; ``None`` when nothing was found.

    An infeasible first stage means that the loads before the fridges cannot
    be fed; the caller decides what to do then.
    """
    clock = _Clock(limit_s=time_limit_s)
    run = _Stages(pm, clock)
    for tier, surplus in stage_order(pm.instance.goods):
        if progress is not None:
            progress(f"tier {tier}{' surplus' if surplus else ''}")
        if not run.tier(tier, surplus=surplus):
            return None
    if not run.stages and not run.any_solution():
        return None
    if polish:
        run.polish()
    return run.last


def stage_order(goods: tuple[Good, ...]) -> list[tuple[Tier, bool]]:
    """Tiers in order, need before surplus."""
    return sorted({(g.tier, g.surplus) for g in goods})


class _Stages:
    """Carries the stages of one model."""

    def __init__(self, pm: PlacementModel, clock: _Clock) -> None:
        self.pm = pm
        self.clock = clock
        self.stages: list[StageValue] = []
        self.proven = True
        self.last: Placed | None = None

    def _minimise(self, objective: Expr, *, whole_objective: bool) -> Outcome:
        outcome = self.pm.model.minimise(
            objective,
            time_limit_s=self.clock.left_s,
            whole_objective=whole_objective,
        )
        if outcome.found:
            self.last = self.pm.read(tuple(self.stages), proven=self.proven)
        self.proven = self.proven and outcome.answer is Answer.OPTIMAL
        return outcome

    def any_solution(self) -> bool:
        """Solve with nothing to place, so that units may still be off."""
        return self._minimise(0, whole_objective=True).found

    def tier(self, tier: Tier, *, surplus: bool) -> bool:
        """Serve one tier as well as the earlier ones allow."""
        pm = self.pm
        mine = [
            g
            for g, good in enumerate(pm.instance.goods)
            if good.tier is tier and good.surplus is surplus
        ]
        needed = sum(pm.instance.goods[g].count for g in mine)
        bags = pm.placed(mine)
        families = sorted({pm.instance.goods[g].family for g in mine} - {-1})
        households = sum(pm.instance.families[f].households for f in families)
        best, bound = self._most(bags, needed)
        if best is None:
            return False
        served, served_bound = (households, households) if best else (0, 0)
        if 0 < best < needed:
            if families:
                homes = total(pm.served[f] for f in families)
                got, served_bound = self._most(homes, households)
                served = got or 0
                pm.model.add("T", homes >= served)
                again, bound = self._most(bags, bound)
                best = again if again is not None else 0
            pm.model.add("T", bags >= best)
            self._shortest_allowance(mine)
        else:
            pm.model.add("T", bags >= best)
        self.stages.append(
            StageValue(
                tier=tier,
                surplus=surplus,
                needed=needed,
                met=best,
                bound=bound,
                households=households,
                households_met=served,
                household_bound=served_bound,
            )
        )
        if self.last is not None:
            self.last = self.pm.read(tuple(self.stages), proven=self.proven)
        return True

    def _most(self, expression: Expr, ceiling: int) -> tuple[int | None, int]:
        """Most of a count, and its proven bound."""
        outcome = self._minimise(-expression, whole_objective=True)
        if outcome.answer is Answer.INFEASIBLE:
            return None, 0
        limit = ceiling
        if math.isfinite(outcome.bound):
            limit = min(ceiling, math.floor(-outcome.bound + 1e-6))
        if outcome.found:
            return round(-outcome.objective), limit
        # Out of time: the last solution still counts for something.
        return (None if self.last is None else self._held(expression)), limit

    def _held(self, expression: Expr) -> int:
        """Value of a count in the last solution found (variables keep it)."""
        return whole(expression)

    def _shortest_allowance(self, mine: list[int]) -> None:
        """Among equal counts prefer the shortest allowance."""
        goods = self.pm.instance.goods
        order = {
            r: i for i, r in enumerate(sorted({goods[g].key.rank_h for g in mine}))
        }
        if len(order) < 2:
            return
        place = {g: order[goods[g].key.rank_h] for g in mine}
        score = total(
            place[g] * v for (g, _), v in self.pm.bags.items() if place.get(g, 0) > 0
        )
        outcome = self._minimise(score, whole_objective=True)
        if outcome.found:
            self.pm.model.add("T", score <= round(outcome.objective))

    def polish(self) -> None:
        """Least energy, then fewest units: the longest time to dark."""
        pm = self.pm
        if pm.take:
            asked = total(pm.take.values())
            outcome = self._minimise(asked, whole_objective=True)
            if not outcome.found:
                return
            pm.model.add("T", asked <= round(outcome.objective))
        cost = total(
            (float(c.mode.load_w.sum()) / 1000.0 + 0.05) * pm.pick[u, i]
            for u, options in enumerate(pm.choices)
            for i, c in enumerate(options)
        )
        outcome = pm.model.minimise(
            cost, time_limit_s=max(0.0, self.clock.left_s), node_limit=_POLISH_NODES
        )
        if outcome.found:
            self.last = pm.read(tuple(self.stages), proven=self.proven)
