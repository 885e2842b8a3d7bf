"""Looks for the next loans: cheap looks first, whole wirings where they pay."""

import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import combinations

from planner.decide.allocate import extend
from planner.decide.allocation import Allocation
from planner.decide.borrow_gain import bundles, could_gain, on_top_gain, plan_on_top
from planner.decide.borrow_pool import effort, figures, lent, ready_h, waits_for
from planner.decide.borrow_step import gives_wh, open_needs, vector
from planner.decide.cuts import Cut
from planner.decide.instance import Instance, build
from planner.decide.on_top_feeders import Memory
from planner.decide.placement import PlacementModel
from planner.decide.power_check import PowerCheck
from planner.decide.stage_values import StageValue, got
from planner.decide.stages import gain_at, settle
from planner.result import Demand
from planner.scenario import Equipment, Scenario

MOST_TOGETHER = 3
SMALL_COLUMNS = 1200
"""Up to this size every step is held against a bound over all sets."""
_LOOKS = 400
_LOOKS_LARGE = 70
_LOOKS_OF_STEP = 40
"""Looks that one step of a large pool may take, so that there are steps after it."""
_LOOKS_AT_SIZE = {1: 100, 2: 40, 3: 24}
"""Sets of a size that are looked at in one step."""
_PLANS = 2
_PLANS_TINY = 20
_TINY_COLUMNS = 250
"""Wiring anew takes little time on a site as small as this."""
_TRIES = 2
_TIES = 3
Progress = Callable[[str, float], None]
Gain = tuple[int, int]


@dataclass(slots=True, kw_only=True)
class _Work:
    """What is left to spend: solves, whole plans made anew."""

    looks: int
    plans: int
    of_step: int = _LOOKS_OF_STEP


class BorrowSearch:
    """Looks for the next loans.

    Work is counted in solves, not in seconds, so that the same input gives the
    same list on any machine; ``complete`` turns False when they, or the time,
    run out.
    """

    def __init__(
        self,
        scenario: Scenario,
        demand: tuple[Demand, ...],
        base: Allocation,
        pool: frozenset[str],
        *,
        ends: float,
    ) -> None:
        self.scenario, self.demand, self.ends = scenario, demand, ends
        kit = [e for e in scenario.equipment if e.id in pool]
        self.kit: dict[str, Equipment] = {
            e.id: e for e in sorted(kit, key=lambda e: (figures(e), e.name, e.id))
        }
        self.waits = waits_for(tuple(self.kit.values()))
        self.all = build(
            scenario,
            demand,
            loans=lent(base.instance),
            optional=frozenset(self.kit) - lent(base.instance),
        )
        self.check = PowerCheck(self.all)
        self.cuts: list[Cut] = list(base.cuts)
        size = PlacementModel(self.all).model.size[0]
        self.small = size <= SMALL_COLUMNS
        self.tiny = size <= _TINY_COLUMNS
        self.work = _Work(
            looks=_LOOKS if self.small else _LOOKS_LARGE,
            plans=_PLANS_TINY if self.tiny else _PLANS,
        )
        self.complete = True
        self.solved = 0
        self.step = 0
        self.tell: Progress = lambda _what, _share: None
        self.hopes: dict[tuple[frozenset[str], int], Gain | None] = {}
        self.least: dict[int, int] = {}
        self.bundles: dict[int, list[frozenset[str]]] = {}
        self.memory: Memory = {}

    # -- what is left ------------------------------------------------------------

    @property
    def left_s(self) -> float:
        """Seconds left."""
        return max(0.0, self.ends - time.monotonic())

    def begin(self, step: int) -> None:
        """Begin a step: what was learnt of the last one no longer holds."""
        self.step = step
        self.hopes, self.least, self.bundles = {}, {}, {}
        self.memory = {}
        self.work.of_step = _LOOKS_OF_STEP

    def _look(self) -> bool:
        """Spend one solve; False when there is none left."""
        spent = not self.small and self.work.of_step <= 0
        if spent or self.work.looks <= 0 or self.left_s <= 0:
            self.complete = False
            return False
        self.work.looks -= 1
        self.work.of_step -= 1
        self.solved += 1
        self._tell()
        return True

    def _tell(self) -> None:
        whole = _LOOKS if self.small else _LOOKS_LARGE
        self.tell(f"loan {self.step + 1}", min(0.99, 1 - self.work.looks / whole))

    def with_loans(self, ids: frozenset[str]) -> Instance:
        """The numbers of the site with some offers here."""
        return build(self.scenario, self.demand, loans=ids)

    # -- a step ------------------------------------------------------------------

    def next_step(self, now: Allocation) -> Allocation | None:
        """Fewest loans with the most important gain; ``None`` when there are none."""
        stages = now.placed.stages
        chosen = lent(now.instance)
        left = frozenset(self.kit) - chosen
        for goal in open_needs(stages):
            if not left or self._hope(chosen | left, stages, goal) is None:
                continue
            for size in range(1, min(MOST_TOGETHER, len(left)) + 1):
                best = self._best_of(size, now, goal)
                if best is not None:
                    return best
            # Nothing bounds what sets of a large pool could give.
            self.complete = self.complete and self.small
        return None

    def _best_of(self, size: int, now: Allocation, goal: int) -> Allocation | None:
        """The best set of a size: on top of the plan, then wired anew."""
        stages = now.placed.stages
        bound = self._bound(size, now, goal) if self.small else None
        if self.small and bound is None:
            return None
        looked = self._looked_at(size, now, goal, bound)
        best = self._best_plan(looked, now, goal)
        if not self.small or bound is None:
            return best
        value = got(stages[goal]) if best is None else got(best.placed.stages[goal])
        return self._anew(size, now, goal, value) or best if bound > value else best

    def _looked_at(
        self, size: int, now: Allocation, goal: int, bound: Gain | None
    ) -> dict[frozenset[str], Gain]:
        """What each set of a size gives to a need, plugs in force kept."""
        chosen = lent(now.instance)
        found: dict[frozenset[str], Gain] = {}
        looks = 0
        if not now.loads_fed:
            return found
        for ids in self._sets(size, now, goal):
            if self._hope(chosen | ids, now.placed.stages, goal) is None:
                continue
            if looks >= _LOOKS_AT_SIZE[size] and not self.tiny:
                self.complete = False
                break
            if not self._look():
                break
            looks += 1
            instance = self.with_loans(chosen | ids)
            gain = on_top_gain(instance, now, goal, self.memory)
            if gain is not None:
                found[ids] = gain
            # More of those that reach the bound would only be more ties.
            most = sum(1 for one in found.values() if one == bound)
            if size > 1 and most >= _TIES:
                break
        return found

    def _sets(self, size: int, now: Allocation, goal: int) -> Iterable[frozenset[str]]:
        """Sets of offers; what waits for another comes only with it.

        In a large pool more than one at a time are looked at only where they
        take turns to run a unit.
        """
        chosen = lent(now.instance)
        left = [i for i in self.kit if i not in chosen]
        if self.small or size == 1:
            some = (frozenset(ids) for ids in combinations(left, size))
            return sorted(
                (i for i in some if self._in_turn(i, chosen)), key=self._terms
            )
        if goal not in self.bundles:
            everything = self.with_loans(chosen | frozenset(left))
            self.bundles[goal] = bundles(everything, now, goal, MOST_TOGETHER)
        return [ids for ids in self.bundles[goal] if len(ids) == size]

    def _in_turn(self, ids: frozenset[str], chosen: frozenset[str]) -> bool:
        return all(self.waits[i] <= chosen | ids for i in ids)

    def _best_plan(
        self, looked: dict[frozenset[str], Gain], now: Allocation, goal: int
    ) -> Allocation | None:
        """The whole plan of the best set: later needs, then terms, break ties."""
        if not looked:
            return None
        top = max(looked.values())
        ties = sorted((i for i, gain in looked.items() if gain == top), key=self._terms)
        plans: list[tuple[tuple[int, ...], int, Allocation]] = []
        for rank, ids in enumerate(ties[: _TIES if self.small else 1]):
            self._tell()
            plan = plan_on_top(
                self.with_loans(lent(now.instance) | ids),
                now,
                goal,
                self.memory,
            )
            self.solved += 1
            if plan is not None:
                plans.append((vector(plan.placed.stages), -rank, plan))
        return max(plans, key=lambda one: one[:2])[2] if plans else None

    def _terms(self, ids: frozenset[str]) -> tuple[object, ...]:
        """Ready earlier, then less effort, then by figures and name."""
        kit = tuple(e for i, e in self.kit.items() if i in ids)
        return (
            ready_h(kit),
            effort(kit),
            tuple(figures(e) for e in kit),
            tuple(e.name for e in kit),
        )

    # -- what could be gained ------------------------------------------------------

    def _hope(
        self, ids: frozenset[str], stages: tuple[StageValue, ...], goal: int
    ) -> Gain | None:
        """Most a need could get were power no matter; it hangs on the units only."""
        units = frozenset(u.id for u in self.all.units) & ids
        if (units, goal) not in self.hopes:
            self.solved += 1
            self._tell()
            self.hopes[units, goal] = could_gain(self.with_loans(units), stages, goal)
        return self.hopes[units, goal]

    def reaches(
        self, size: int, now: Allocation, goal: int, tried: list[frozenset[str]]
    ) -> tuple[PlacementModel, Gain] | None:
        """The model in which at most this many loans serve a need better."""
        chosen = lent(now.instance) & self.all.optional
        model = PlacementModel(
            self.all,
            cuts=tuple(self.cuts),
            budget=len(chosen) + size,
            forced=chosen,
            beyond=tuple(tried),
            check=self.check,
        )
        self.solved += 1
        gain = gain_at(model, now.placed.stages, goal, time_limit_s=self.left_s)
        return None if gain is None else (model, gain)

    def _bound(self, size: int, now: Allocation, goal: int) -> Gain | None:
        """Most that any set of a size could give; no wiring is made for it."""
        most = min(MOST_TOGETHER, len(self.kit))
        if goal not in self.least:
            helps = self.reaches(most, now, goal, [])
            self.least[goal] = 1 if helps else most + 1
        if size < self.least[goal]:
            return None
        found = self.reaches(size, now, goal, [])
        if found is None:
            self.least[goal] = size + 1
            return None
        return found[1]

    def _anew(
        self, size: int, now: Allocation, goal: int, value: Gain
    ) -> Allocation | None:
        """A set that gives more once the site is wired anew."""
        tried: list[frozenset[str]] = []
        gives = gives_wh(self.all)
        in_hand = value > got(now.placed.stages[goal])
        tries = _TRIES if self.tiny else int(not in_hand)
        if not tries or self.work.plans <= 0:
            # The bound says more than what is in hand, and it is left at that.
            self.complete = False
            return None
        while (found := self.reaches(size, now, goal, tried)) is not None:
            model, bound = found
            if bound <= value:
                return None
            if len(tried) >= tries or self.work.plans <= 0 or self.left_s <= 0:
                self.complete = False
                return None
            placed = settle(model, gives, time_limit_s=self.left_s)
            if placed is None:
                return None
            tried.append(placed.taken)
            self.work.plans -= 1
            plan = self._extended(placed.taken | lent(now.instance), now, goal)
            if plan is not None and got(plan.placed.stages[goal]) > value:
                return plan
        return None

    def _extended(
        self, taken: frozenset[str], now: Allocation, goal: int
    ) -> Allocation | None:
        """The plan as it would be with these loans; ``None`` without the gain."""
        instance = self.with_loans(taken)
        check = PowerCheck(instance)
        check.cuts = list(self.check.cuts)
        self.solved += 1
        return extend(
            instance,
            now,
            goal,
            time_limit_s=self.left_s,
            cuts=self.cuts,
            check=check,
        )
