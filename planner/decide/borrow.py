"""Borrow first: the next best loan, found by solving again with it.

At each step the fewest loans are taken that serve the most important need
any three loans could serve better; the set stays nested, so the list is an
order.  Gains always come from solving again, never from duals.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass, field

from planner.decide.allocate import Allocation, extend
from planner.decide.ask import asked_spec, refused
from planner.decide.instance import Instance, build
from planner.decide.placement import Cut, PlacementModel, StageValue
from planner.decide.shares import PowerCheck
from planner.decide.stages import gain_at, in_full, needs, settle
from planner.result import Demand, TierGain
from planner.scenario import Equipment, Scenario, Status, Tier

_MOST_TOGETHER = 3
_MOST_PLANS = 4
_MOST_TRIES = 2


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


def lent(instance: Instance) -> frozenset[str]:
    """Ids of the offers that an instance has as if they were here."""
    there: tuple[Equipment, ...] = (
        *instance.units,
        *instance.batteries,
        *instance.panels,
        *instance.feeds,
        *(load.source for load in instance.loads),
    )
    return frozenset(e.id for e in there if e.availability.status is Status.OFFERED)


def gives_wh(instance: Instance) -> dict[str, float]:
    """Energy that each piece of power equipment can bring in the window [Wh]."""
    found = {}
    for battery, limits in zip(instance.batteries, instance.limits, strict=True):
        found[battery.id] = limits.start_wh - limits.floor_wh - limits.reserve_wh
    for panel, sun_w in zip(instance.panels, instance.sun_w, strict=True):
        found[panel.id] = float(sun_w.sum())
    for source, on in zip(instance.feeds, instance.feed_on, strict=True):
        found[source.id] = source.max_w * float(on.sum())
    return found


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
    if not on_offer or not open_needs(base.placed.stages):
        return BorrowOrder(steps=(), complete=True)
    instance = build(scenario, demand, optional=on_offer)
    search = _Search(
        instance=instance,
        gives_wh=gives_wh(instance),
        demand=demand,
        check=PowerCheck(instance),
        cuts=list(base.cuts),
        ends=ends,
    )
    chosen: frozenset[str] = frozenset()
    now = base
    steps: list[Step] = []
    while True:
        if progress is not None:
            progress(f"loan {len(steps) + 1}", len(steps) / _MOST_PLANS)
        best = search.next_loans(chosen, now)
        if best is None:
            break
        taken = lent(best.instance)
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
    return BorrowOrder(steps=tuple(steps), complete=search.complete)


@dataclass(slots=True, kw_only=True)
class _Search:
    """Looks for the next loans, best bound first.

    A bound says which need loans could serve better, and which loans those
    are; a plan with them says what they do serve.  Work is counted in plans,
    not in seconds, so that the same input gives the same list on any machine;
    ``complete`` turns False when they, or the time, run out.
    """

    instance: Instance
    demand: tuple[Demand, ...]
    check: PowerCheck
    cuts: list[Cut]
    ends: float
    gives_wh: dict[str, float]
    plans_left: int = _MOST_PLANS
    complete: bool = True
    least: dict[int, int] = field(default_factory=dict)
    """Fewest loans that might serve each need better, in the present step."""

    def next_loans(self, chosen: frozenset[str], now: Allocation) -> Allocation | None:
        """Fewest loans with the most important gain; ``None`` when there are none."""
        tried: list[frozenset[str]] = []
        self.least = {}
        while (found := self._candidate(chosen, now, tried)) is not None:
            out = self.plans_left <= 0 or time.monotonic() >= self.ends
            if out or len(tried) >= _MOST_TRIES:
                self.complete = False
                return None
            goal, taken = found
            tried.append(taken)
            self.plans_left -= 1
            plan = self._plan_with(taken, now, goal)
            if plan is not None:
                return plan
        return None

    @property
    def left_s(self) -> float:
        return max(0.0, self.ends - time.monotonic())

    def _candidate(
        self, chosen: frozenset[str], now: Allocation, tried: list[frozenset[str]]
    ) -> tuple[int, frozenset[str]] | None:
        """The most important need that loans not tried could serve, and which."""
        stages = now.placed.stages
        most = min(_MOST_TOGETHER, len(self.instance.optional - chosen))
        for goal in open_needs(stages):
            if goal not in self.least:
                # All of them together first, to see whether any number helps.
                helps = most == 1 or self._reaches(chosen, stages, goal, most, tried)
                self.least[goal] = 1 if helps else most + 1
            # What was tried is left out from then on, so sizes only grow.
            for size in range(self.least[goal], most + 1):
                model = self._reaches(chosen, stages, goal, size, tried)
                if model is not None:
                    placed = settle(model, self.gives_wh, time_limit_s=self.left_s)
                    return None if placed is None else (goal, placed.taken)
                self.least[goal] = size + 1
        return None

    def _reaches(
        self,
        chosen: frozenset[str],
        stages: tuple[StageValue, ...],
        goal: int,
        size: int,
        tried: list[frozenset[str]],
    ) -> PlacementModel | None:
        """The model in which at most this many more loans serve a need better."""
        model = PlacementModel(
            self.instance,
            cuts=tuple(self.cuts),
            budget=len(chosen) + size,
            forced=chosen,
            beyond=tuple(tried),
            check=self.check,
        )
        more = gain_at(model, stages, goal, time_limit_s=self.left_s)
        return None if more is None else model

    def _plan_with(
        self, taken: frozenset[str], now: Allocation, goal: int
    ) -> Allocation | None:
        """The plan as it would be with these loans; ``None`` without the gain."""
        instance = build(self.instance.scenario, self.demand, loans=taken)
        check = PowerCheck(instance)
        check.cuts = list(self.check.cuts)
        return extend(
            instance,
            now,
            goal,
            time_limit_s=self.left_s,
            cuts=self.cuts,
            check=check,
        )


def open_needs(stages: tuple[StageValue, ...]) -> list[int]:
    """Places of the needs not served in full; surplus is no reason to borrow."""
    return [i for i, s in enumerate(stages) if not s.surplus and not in_full(s)]


def _gains(
    old: tuple[StageValue, ...], new: tuple[StageValue, ...]
) -> tuple[TierGain, ...]:
    """Bags and households of the need gained by tier."""
    old, new = needs(old), needs(new)
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
