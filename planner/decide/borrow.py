"""Borrow first: the next best loan, found by solving again with it.

At each step the fewest loans are taken that improve the most important
tier any three loans could improve; the set stays nested, so the list is an
order.  Gains always come from solving again, never from duals.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass

from planner.decide.allocate import Allocation, CutPool, allocate
from planner.decide.ask import asked_spec, refused
from planner.decide.instance import Instance, build
from planner.decide.placement import PlacementModel, StageValue
from planner.decide.stages import solve_stages
from planner.decide.tiers import tier_values
from planner.result import Demand, TierGain
from planner.scenario import Scenario, Status, Tier

_MOST_TOGETHER = 3
_MOST_STEPS = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step of the order, before the check room adds the hours gained."""

    item_ids: tuple[str, ...]
    allocation: Allocation
    gains: tuple[TierGain, ...]
    ask_for: tuple[str, ...]
    refuse: tuple[str, ...]


def offers(scenario: Scenario) -> frozenset[str]:
    """Ids of everything that can be borrowed."""
    return frozenset(
        e.id for e in scenario.equipment if e.availability.status is Status.OFFERED
    )


def borrow_order(
    scenario: Scenario,
    demand: tuple[Demand, ...],
    base: Allocation,
    *,
    time_limit_s: float,
    progress: Callable[[str, float], None] | None = None,
) -> tuple[Step, ...]:
    """Nested order of loans; stops when no three loans improve any tier."""
    ends = time.monotonic() + time_limit_s
    on_offer = offers(scenario)
    if not on_offer or not base.placed.stages or _all_met(base.placed.stages):
        return ()
    search = _Search(
        instance=build(scenario, demand, optional=on_offer),
        pool=CutPool(cuts=list(base.cuts), sound=base.proven),
        ends=ends,
    )
    chosen: frozenset[str] = frozenset()
    now = base
    steps: list[Step] = []
    while len(steps) < _MOST_STEPS and time.monotonic() < ends:
        if progress is not None:
            progress(f"loan {len(steps) + 1}", len(steps) / _MOST_STEPS)
        best = search.next_loans(chosen, now.placed.stages)
        if best is None:
            break
        new = tuple(sorted(best.placed.taken - chosen))
        steps.append(
            Step(
                item_ids=new,
                allocation=best,
                gains=_gains(now.placed.stages, best.placed.stages),
                ask_for=asked_spec(scenario, new),
                refuse=refused(scenario, new),
            )
        )
        chosen, now = best.placed.taken, best
        if _all_met(now.placed.stages):
            break
    return tuple(steps)


@dataclass(slots=True, kw_only=True)
class _Search:
    """Looks for the next loans; cuts found once serve every later look."""

    instance: Instance
    pool: CutPool
    ends: float

    def next_loans(
        self, chosen: frozenset[str], now: tuple[StageValue, ...]
    ) -> Allocation | None:
        """Fewest loans with the most important gain, wired; else ``None``.

        Sizes are compared by their bounds first; only the best of them is
        wired.  When its wiring falls short of its bound the sizes are
        compared again with the cuts learnt.
        """
        left = len(self.instance.optional - chosen)
        sizes = range(1, min(_MOST_TOGETHER, left) + 1)
        while time.monotonic() < self.ends:
            size, value = self._best_size(chosen, now, sizes)
            if size is None:
                return None
            known = len(self.pool.cuts)
            found = allocate(
                self.instance,
                time_limit_s=self.ends - time.monotonic(),
                pool=self.pool,
                budget=len(chosen) + size,
                forced=chosen,
            )
            if found is None:
                return None
            same = tier_values(found.placed.stages) == value
            if same and found.placed.taken - chosen:
                return found
            if len(self.pool.cuts) == known:
                # Nothing was learnt, so another look would find the same.
                gains = _first_gain(found.placed.stages, now) is not None
                fresh = found.placed.taken - chosen
                return found if gains and fresh else None
        return None

    def _best_size(
        self, chosen: frozenset[str], now: tuple[StageValue, ...], sizes: range
    ) -> tuple[int | None, tuple[int, ...]]:
        best: int | None = None
        top = now
        for size in sizes:
            model = PlacementModel(
                self.instance,
                cuts=tuple(self.pool.cuts),
                budget=len(chosen) + size,
                forced=chosen,
            )
            placed = solve_stages(
                model,
                time_limit_s=self.ends - time.monotonic(),
                values_only=True,
            )
            if placed is not None and _better(placed.stages, top, now):
                best, top = size, placed.stages
        return best, tier_values(top)


def _first_gain(new: tuple[StageValue, ...], old: tuple[StageValue, ...]) -> int | None:
    """Position of the first number that differs, when it is a gain."""
    pairs = zip(tier_values(new), tier_values(old), strict=True)
    for i, (a, b) in enumerate(pairs):
        if a != b:
            return i if a > b else None
    return None


def _better(
    new: tuple[StageValue, ...],
    floor: tuple[StageValue, ...],
    now: tuple[StageValue, ...],
) -> bool:
    """True when more loans reach a more important tier than fewer did."""
    gain = _first_gain(new, now)
    if gain is None:
        return False
    before = _first_gain(floor, now)
    return before is None or gain // 2 < before // 2


def _all_met(stages: tuple[StageValue, ...]) -> bool:
    return all(s.met >= s.needed for s in stages if not s.surplus)


def _gains(
    old: tuple[StageValue, ...], new: tuple[StageValue, ...]
) -> tuple[TierGain, ...]:
    """Bags and households gained by tier, need and surplus together.

    May be negative in a later tier: an earlier one always comes first.
    """
    found = []
    for tier in Tier:
        bags = sum(s.met for s in new if s.tier is tier) - sum(
            s.met for s in old if s.tier is tier
        )
        homes = sum(s.households_met for s in new if s.tier is tier) - sum(
            s.households_met for s in old if s.tier is tier
        )
        if bags or homes:
            found.append(TierGain(tier=tier, bags=bags, households=homes))
    return tuple(found)
