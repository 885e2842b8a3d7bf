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
from planner.decide.placement import Placed, PlacementModel, StageValue
from planner.decide.shares import PowerCheck
from planner.decide.stages import first_gain, got
from planner.result import Demand, TierGain
from planner.scenario import Scenario, Status, Tier

_MOST_TOGETHER = 3
_MOST_STEPS = 8
_MOST_PLANS = 8
_MOST_TRIES = 2
_TRIES = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class BorrowOrder:
    """Steps in order; ``complete`` is False when the search was cut short."""

    steps: tuple["Step", ...]
    complete: bool


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
) -> BorrowOrder:
    """Nested order of loans; stops when no three loans serve any need better."""
    ends = time.monotonic() + time_limit_s
    on_offer = offers(scenario)
    if not on_offer or not base.placed.stages or _all_met(base.placed.stages):
        return BorrowOrder(steps=(), complete=True)
    instance = build(scenario, demand, optional=on_offer)
    search = _Search(
        instance=instance,
        demand=demand,
        check=PowerCheck(instance),
        pool=CutPool(cuts=list(base.cuts)),
        ends=ends,
    )
    chosen: frozenset[str] = frozenset()
    now = base
    steps: list[Step] = []
    while len(steps) < _MOST_STEPS:
        if progress is not None:
            progress(f"loan {len(steps) + 1}", len(steps) / _MOST_STEPS)
        found = search.next_loans(chosen, now.placed.stages)
        if found is None:
            break
        taken, best = found.taken, found.allocation
        new = tuple(sorted(taken - chosen))
        steps.append(
            Step(
                item_ids=new,
                allocation=best,
                gains=_gains(now.placed.stages, best.placed.stages),
                ask_for=asked_spec(scenario, new),
                refuse=refused(scenario, new),
            )
        )
        chosen, now = taken, best
        if _all_met(now.placed.stages):
            break
    done = search.complete and (len(steps) < _MOST_STEPS or _all_met(now.placed.stages))
    return BorrowOrder(steps=tuple(steps), complete=done)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Found:
    """Loans with the plan they make, and the place of the need they serve."""

    goal: int
    taken: frozenset[str]
    allocation: Allocation

    @property
    def got(self) -> tuple[int, int]:
        """What the need gets with these loans."""
        return got(self.allocation.placed.stages[self.goal])


@dataclass(slots=True, kw_only=True)
class _Search:
    """Looks for the next loans, best bound first.

    A bound says which need loans could serve better and which loans those
    are; a whole plan with them says what they do serve.  Work is counted in
    plans, not in seconds, so that the same input gives the same list on any
    machine; ``complete`` turns False when they, or the time, run out.
    """

    instance: Instance
    demand: tuple[Demand, ...]
    check: PowerCheck
    pool: CutPool
    ends: float
    plans_left: int = _MOST_PLANS
    complete: bool = True

    def next_loans(
        self, chosen: frozenset[str], now: tuple[StageValue, ...]
    ) -> _Found | None:
        """Fewest loans with the most important gain; ``None`` when there are none."""
        tried: list[frozenset[str]] = []
        best: _Found | None = None
        while (taken := self._candidate(chosen, now, tried, best)) is not None:
            out = self.plans_left <= 0 or time.monotonic() >= self.ends
            if out or len(tried) >= _MOST_TRIES:
                self.complete = self.complete and best is not None and not out
                break
            tried.append(taken)
            plan = self._plan_with(taken)
            if plan is None:
                self.complete = False
                continue
            goal = gains_at(plan.placed.stages, now)
            if goal is not None:
                found = _Found(goal=goal, taken=taken, allocation=plan)
                best = found if best is None else min(best, found, key=_rank)
        return best

    def _candidate(
        self,
        chosen: frozenset[str],
        now: tuple[StageValue, ...],
        tried: list[frozenset[str]],
        best: _Found | None,
    ) -> frozenset[str] | None:
        """Loans not tried whose bound beats the best found; ``None`` if none."""
        most = min(_MOST_TOGETHER, len(self.instance.optional - chosen))
        reach = self._gain(chosen, now, most, tried)
        if reach is None or (best is not None and reach[0] > best.goal):
            return None
        goal = reach[0]
        upto = now[: goal + 1]
        size = next(
            (n for n in range(1, most) if self._gain(chosen, upto, n, tried)), most
        )
        if best is not None and best.goal == goal:
            taken = len(best.taken - chosen)
            if size > taken:
                return None
        found = self._gain(chosen, now, size, tried, finish=True)
        if found is None or found[0] != goal:
            return None
        equal = best is not None and (goal, size) == (
            best.goal,
            len(best.taken - chosen),
        )
        if best is not None and equal and got(found[1].stages[goal]) <= best.got:
            return None
        return found[1].taken

    def _gain(
        self,
        chosen: frozenset[str],
        now: tuple[StageValue, ...],
        size: int,
        tried: list[frozenset[str]],
        *,
        finish: bool = False,
    ) -> tuple[int, Placed] | None:
        """First need that at most this many more loans could serve better."""
        model = PlacementModel(
            self.instance,
            cuts=tuple(self.pool.cuts),
            budget=len(chosen) + size,
            forced=chosen,
            beyond=tuple(tried),
            check=self.check,
        )
        left_s = self.ends - time.monotonic()
        return first_gain(model, now, time_limit_s=left_s, finish=finish)

    def _plan_with(self, taken: frozenset[str]) -> Allocation | None:
        """The plan as it would be made with these loans, cuts learnt used."""
        self.plans_left -= 1
        instance = build(self.instance.scenario, self.demand, loans=taken)
        check = PowerCheck(instance)
        check.cuts = list(self.check.cuts)
        return allocate(
            instance,
            time_limit_s=self.ends - time.monotonic(),
            pool=self.pool,
            check=check,
            tries=_TRIES,
            polish=False,
        )


def _rank(found: _Found) -> tuple[int, int, tuple[int, ...], tuple[str, ...]]:
    """Most important need first, then fewest loans, then most served."""
    served = tuple(
        -n for s in found.allocation.placed.stages for n in (s.households_met, s.met)
    )
    return found.goal, len(found.taken), served, tuple(sorted(found.taken))


def gains_at(new: tuple[StageValue, ...], old: tuple[StageValue, ...]) -> int | None:
    """Place of the first need served better; ``None`` when none is."""
    for i, (a, b) in enumerate(zip(new, old, strict=True)):
        if not a.surplus and got(a) != got(b):
            return i if got(a) > got(b) else None
    return None


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
