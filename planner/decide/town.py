"""A large town: tier after tier, and in each one place after the other.

A town is too large to be wired or placed as a whole, so every place is planned
by itself with the kit it has and what stands idle (``by_place.py``).  Beside
that the placement of the whole says the most that a tier can get.
"""

import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

from planner.decide.allocation import Allocation
from planner.decide.by_place import Looks, PlanAgain, place_by_place, spare_all
from planner.decide.grow import SHARED_ANEW
from planner.decide.instance import Instance
from planner.decide.placement import Placed, StageValue, nothing_placed
from planner.decide.serving import Serving, at_most
from planner.decide.stages import as_placed, at_bound, got
from planner.decide.stations import roams, stands_in
from planner.scenario import Tier

_FEW = 200
"""Units times batteries up to which a town is one problem."""
_WHOLE = 2000
"""Units times batteries up to which a tier is also wired as a whole."""
_SINGLES_SHARE = {Tier.A: 0.5, Tier.B: 0.4, Tier.C: 0.4, Tier.D: 0.7}
_CLOSE_SHARE = 0.3
_PAIRS_SHARE = 0.2
_ALL_S = 3.0
"""Less time is not enough to serve all tiers of a place anew."""
TOWN_LATE_S = 6.0
"""For a tier when the time is up."""
_URGENT = {Tier.A, Tier.B}
_BRIEF = Looks(places=1, most_s=4.0)
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
        level, before = self.level, self._now(tier, surplus=surplus)
        asked = (level and not surplus) or tier in _URGENT
        with ThreadPoolExecutor(1) as thread:
            # What the tier can get at most is asked beside the first look.
            bound = thread.submit(self._bound, tier, surplus=surplus) if asked else None
            looks = Looks(places=1) if tier in _URGENT else _BRIEF
            best = self._looked(before, looks, _SINGLES_SHARE.get(tier, 1.0))
            most = bound.result() if bound is not None else None
        stage = best.placed.stages[-1]
        # After a tier that fell short it is a wish, no bound.
        known = most[0] if most is not None and level else at_most(stage)
        best = _with_bound(best, known)
        if most is not None and tier in _URGENT and not surplus:
            best = self._as_a_whole(best, _with_bound(before, known), most)
        self._take(best)
        self.level = level and at_bound(self.stages[-1])
        return True

    @property
    def _apart(self) -> bool:
        """True when every place has kit of its own and can be planned alone."""
        return self.loads_fed and stands_in(self.instance, self.hookups) is not None

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

    def _as_a_whole(
        self, best: Allocation, before: Allocation, most: tuple[StageValue, Placed]
    ) -> Allocation:
        """Where a tier falls short: wire what all places need together."""
        if at_bound(best.placed.stages[-1]):
            return best
        few = len(self.instance.batteries) <= SHARED_ANEW
        for anew in (False, True) if few else (False,):
            if at_bound(best.placed.stages[-1]) or time.monotonic() > self.soft_end:
                return best
            grown = self._grown(before, most, anew=anew)
            if grown is not None:
                share = _SINGLES_SHARE[most[0].tier]
                grown = self._looked(grown, Looks(places=1), share)
                best = _better(best, grown)
            best = self._looked(best, Looks(places=1, close=True), _CLOSE_SHARE)
        return self._looked(best, Looks(places=2), _PAIRS_SHARE)

    def _grown(
        self, before: Allocation, most: tuple[StageValue, Placed], *, anew: bool
    ) -> Allocation | None:
        """The most a tier can get wired as far as it goes, all places at once."""
        stage, lean = most
        self._take(before)
        self.stages.pop()
        if _size(self.instance) <= _WHOLE and not anew:
            self._wire(lean)
        if self._powered(lean):
            placed, hookups = lean, self.hookups
        else:
            less = self._less(most, None, anew=anew)
            if less is None:
                return None
            (stage, placed), (_, hookups) = less
        placed = replace(placed, stages=(*before.placed.stages[:-1], stage))
        plan = replace(before, placed=placed, hookups=hookups)
        if stands_in(self.instance, hookups) is None:
            # What is carried from place to place cannot be looked at by place.
            return None
        known = before.placed.stages[-1]
        return spare_all(_with_bound(plan, known), ends=self.ends)

    def _take(self, plan: Allocation) -> None:
        self.begin(plan.placed, plan.hookups)
        self.stages = list(plan.placed.stages)

    def _finish(self) -> None:
        """Look on at one place and at two, with all tiers, while there is time."""
        if not self._apart:
            return
        plan = self._plan(
            replace(self.placed or nothing_placed(), stages=tuple(self.stages)),
            self.hookups,
        )
        if self.left_s > _ALL_S:
            plan = self._looked(plan, Looks(places=2, last=False), 1.0)
        self._take(plan)


def _better(one: Allocation, two: Allocation) -> Allocation:
    """The plan whose last stage gets more, the first of equals."""
    return max(one, two, key=lambda plan: got(plan.placed.stages[-1]))


def _with_bound(plan: Allocation, most: StageValue) -> Allocation:
    """The plan with the most that its last stage could get."""
    *others, last = plan.placed.stages
    last = replace(last, bound=most.bound, household_bound=most.household_bound)
    return replace(plan, placed=replace(plan.placed, stages=(*others, last)))
