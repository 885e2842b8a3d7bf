"""A large town: tier after tier, and in each one place after the other.

A town is too large to be wired or placed as a whole, so every place is planned
by itself with the kit it has and what stands idle (``by_place.py``); for tiers A
and B some are also planned together (``together.py``).  Beside that the placement
of the whole says the most that a tier can get.
"""

import itertools
import time
from collections.abc import Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

from planner.decide.allocation import Allocation
from planner.decide.by_place import (
    Looks,
    PlanAgain,
    missing_at,
    place_by_place,
    spare_all,
    values,
)
from planner.decide.instance import Instance
from planner.decide.placed import as_placed, nothing_placed
from planner.decide.serving import Serving
from planner.decide.some_places import some_places
from planner.decide.stage_values import StageValue, at_bound, at_most
from planner.decide.stations import roams, stands_in
from planner.decide.together import parties, together
from planner.errors import SolverError
from planner.scenario import Tier

_FEW = 200
"""Units times batteries up to which a town is one problem."""
_PARTY = 4
"""Places that are planned together at most."""
_PARTY_S = 20.0
_SINGLES_SHARE = {Tier.A: 0.5, Tier.B: 0.4, Tier.C: 0.4, Tier.D: 0.7}
_CLOSE_SHARE = 0.3
_AGAIN_SHARE = 0.2
_TOGETHER_SHARE = {Tier.A: 0.4, Tier.B: 0.5}
_ALL_S = 3.0
"""Less time is not enough to serve all tiers of a place anew."""
TOWN_LATE_S = 6.0
"""For a tier when the time is up."""
_URGENT = {Tier.A, Tier.B}
_BRIEF = Looks(most_s=4.0)
"""Later tiers are many, and there is less time for them."""


def is_town(instance: Instance) -> bool:
    """True for several places with much kit that can be carried between them."""
    places = {unit.place for unit in instance.able if unit.powered}
    return len(places) > 1 and roams(instance) and _size(instance) > _FEW


def _size(instance: Instance) -> int:
    powered = sum(1 for unit in instance.able if unit.powered)
    return powered * len(instance.batteries)


@dataclass(slots=True, kw_only=True)
class Town(Serving):
    """Serves a town tier after tier; ``again`` plans some of its places."""

    again: PlanAgain

    def serve(self, tier: Tier, *, surplus: bool) -> bool:
        """Serve one tier; False when there is not even an unproven answer."""
        if not (self._apart and self.left_s):
            return self._served(tier, surplus=surplus)
        level, best = self.level, self._now(tier, surplus=surplus)
        with ThreadPoolExecutor(1) as thread:
            # What the tier can get at most is asked beside the first looks.
            bound = (
                thread.submit(self._bound, tier, surplus=surplus)
                if level and not surplus
                else None
            )
            best = self._looked_at(best)
            most = bound.result() if bound is not None else None
        best = _with_bound(
            best, most[0] if most is not None else at_most(best.placed.stages[-1])
        )
        short = not at_bound(best.placed.stages[-1])
        if tier in _TOGETHER_SHARE and not surplus and short:
            best = self._looked(best, Looks(close=True), _CLOSE_SHARE)
            best = self._in_parties(best, self._pairs(best), _AGAIN_SHARE)
        self._take(best)
        self.level = level and at_bound(self.stages[-1])
        return True

    @property
    def _apart(self) -> bool:
        """True when every place has kit of its own and can be planned alone."""
        return self.loads_fed and stands_in(self.instance, self.hookups) is not None

    @property
    def _names(self) -> list[str]:
        """Places with a unit."""
        return sorted({unit.place for unit in self.instance.able})

    def _pairs(self, plan: Allocation) -> list[frozenset[str]]:
        """Two places each, those first where most bags have none."""
        missing = missing_at(plan, last=True)
        pairs = itertools.combinations(self._names, 2)
        short = [(a, b) for a, b in pairs if missing[a] + missing[b]]
        short.sort(key=lambda two: -missing[two[0]] - missing[two[1]])
        return [frozenset(two) for two in short]

    def _served(self, tier: Tier, *, surplus: bool) -> bool:
        """Serve a tier as if the town were one place, or with what it has."""
        if not Serving.serve(self, tier, surplus=surplus):
            now = self._now(tier, surplus=surplus)
            self._take(_with_bound(now, at_most(now.placed.stages[-1])))
            self.level = False
        return True

    def _now(self, tier: Tier, *, surplus: bool) -> Allocation:
        """The plan so far, with what it does for a tier."""
        none = nothing_placed()
        placed = self.placed or replace(none, served=(0,) * len(self.instance.families))
        stage = as_placed(self.instance, placed, tier, surplus=surplus)
        placed = replace(placed, stages=(*self.stages, stage), proven=False)
        return self._plan(placed, self.hookups)

    def _looked(self, plan: Allocation, looks: Looks, share: float) -> Allocation:
        """The plan after some looks, in a share of the time that is left."""
        ends = time.monotonic() + share * self.left_s
        return place_by_place(plan, self.again, looks, ends=ends, tell=self.tell)

    def _looked_at(self, best: Allocation) -> Allocation:
        """The plan after looks for the last stage at each place and at parties."""
        stage = best.placed.stages[-1]
        looks = Looks() if stage.tier in _URGENT else _BRIEF
        share = _SINGLES_SHARE.get(stage.tier, 1.0)
        if stage.surplus or stage.tier not in _TOGETHER_SHARE:
            return self._looked(best, looks, share)
        names = self._names
        if not self.stages:
            # All places at once get by with the least kit, and leave the most.
            best = self._in_parties(
                best, [frozenset(names)], _TOGETHER_SHARE[stage.tier]
            )
            return self._looked(best, looks, share)
        best = self._looked(best, looks, share)
        groups = parties(names, _PARTY)
        return self._in_parties(best, groups, _TOGETHER_SHARE[stage.tier])

    def _in_parties(
        self, best: Allocation, groups: Iterable[frozenset[str]], share: float
    ) -> Allocation:
        """Plan the places of each group together, then by themselves."""
        ends = time.monotonic() + share * self.left_s
        for some in groups:
            if at_bound(best.placed.stages[-1]) or time.monotonic() > ends:
                break
            try:
                best = self._together(best, some, ends)
            except SolverError:
                # A look that fails leaves the plan as it is.
                continue
        return best

    def _together(
        self, best: Allocation, names: frozenset[str], ends: float
    ) -> Allocation:
        """The plan after a look at some places together, and at each of them."""
        if len(names) <= _PARTY < len(self._names):
            self.tell(f"place {', '.join(sorted(names))}")
        mine = some_places(best, names)
        goal = best.placed.stages[-1].tier
        if mine is None or [s.tier for s in mine.plan.placed.stages][-1:] != [goal]:
            return best
        top = None
        for part in together(mine.plan, ends=min(ends, time.monotonic() + _PARTY_S)):
            plan = mine.put_back(part)
            value = values(plan.placed)
            if top is not None and value <= top:
                continue
            if self.stages and value[-1][0] < values(best.placed)[-1][0]:
                # Households that were lost are seldom found again.
                continue
            top = value
            plan = spare_all(plan, names, ends=ends)
            plan = place_by_place(
                plan, self.again, Looks(), ends=ends, tell=self.tell, names=names
            )
            best = max(best, plan, key=lambda one: values(one.placed))
        return best

    def _take(self, plan: Allocation) -> None:
        self.begin(plan.placed, plan.hookups)
        self.stages = list(plan.placed.stages)

    def _finish(self) -> None:
        """Look on at places, with all tiers, while there is time."""
        if not self._apart:
            return
        plan = self._plan(
            replace(self.placed or nothing_placed(), stages=tuple(self.stages)),
            self.hookups,
        )
        if self.left_s > _ALL_S:
            plan = self._looked(plan, Looks(last=False), 1.0)
        self._take(plan)


def _with_bound(plan: Allocation, most: StageValue) -> Allocation:
    """The plan with the most that its last stage could get."""
    *others, last = plan.placed.stages
    last = replace(last, bound=most.bound, household_bound=most.household_bound)
    return replace(plan, placed=replace(plan.placed, stages=(*others, last)))
