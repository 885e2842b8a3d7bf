"""Placement and hookup together: place, wire, cut what cannot be wired.

Tier by tier: the placement says the most that the tier could get and the
least load that gives it, the hookup looks for a wiring.  Where there is none
a cut says so and the tier is placed again.  When that goes on too long the
most urgent units are wired as far as the power goes, and the tier makes do
with those: its bound stays, so that the gap is known.
"""

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial

from planner.decide.allocation import Allocation
from planner.decide.conflict import conflict_cut, with_twins
from planner.decide.cuts import Cut
from planner.decide.fewer import Less, Option
from planner.decide.hookup import fed_by_modes, tidy
from planner.decide.placed import Placed, as_placed, nothing_placed
from planner.decide.plan_so_far import PlanSoFar
from planner.decide.salvage import place_in, used
from planner.decide.stage_values import (
    StageValue,
    at_bound,
    at_most,
    got,
    in_full,
    needs,
    stage_order,
)
from planner.decide.stages import next_stage
from planner.scenario import Tier

Progress = Callable[[str], None]
_TRIES = 40
_FEW_TRIES = 30
_LESS_TRIES = 5
_FEW_LESS_TRIES = 3
_OTHER_WAYS = 2
_OTHER_NODES = 2000
_OTHER_S = 6.0
"""Other units are looked at this often, and for so long, where those that were asked
for have no wiring that was found."""
_URGENT = {Tier.A, Tier.B, Tier.C}


@dataclass(slots=True, kw_only=True)
class Serving(PlanSoFar):
    """Serves tier after tier, each with a wiring before the next begins.

    After ``soft_end`` on the clock a tier makes do, after ``grow_end`` it asks no
    more for what could not be wired.
    """

    tell: Progress
    soft_end: float
    grow_end: float
    tries: int = _TRIES
    polish: bool = True

    def run(self) -> Allocation | None:
        """Serve every tier; ``None`` when time ran out before the first."""
        self.feed_loads()
        return self.run_on(0)

    def run_on(self, first: int) -> Allocation | None:
        """Serve the tiers from one on, and wire what is on in the end."""
        order = stage_order(self.instance.goods)
        left = order[first:]
        if self.floor:
            # No loan is asked for surplus: it gets what room is left in the end.
            left = sorted(left, key=lambda one: one[1])
            left += [one for one in order[:first] if one[1]]
        for tier, surplus in left:
            self.tell(f"tier {tier}{' surplus' if surplus else ''}")
            if self._full_already(tier, surplus=surplus):
                continue
            if not self.serve(tier, surplus=surplus):
                return None
        if not (self.level or self.floor):
            self._finish()
        if self.placed is None:
            self.placed = nothing_placed()
        self.stages.sort(key=lambda s: order.index((s.tier, s.surplus)))
        modes = tuple(c.mode for c in self.placed.choices)
        fed = fed_by_modes(self.instance, modes)
        self.tell("hookup")
        plugs = self.hookups
        if self.polish and self.effort.neat:
            # That it can be wired is known; a wiring with fewer moves is wanted.
            plugs = tidy(self.instance, fed, plugs, ends=self.ends)
        placed = replace(self.placed, stages=tuple(self.stages), proven=self.level)
        return self._plan(placed, used(plugs, fed))

    def _finish(self) -> None:
        """Serve the tiers from the first short one on from the last wiring.

        It was made for a later tier and may feed more than theirs did.
        """
        in_full = [at_bound(s) for s in self.stages]
        first = in_full.index(False) if False in in_full else None
        if first is None or self.wired is self.wired_for[first]:
            return
        before, short = self.stages[:first], self.stages[first:]
        again: list[StageValue] = []
        placed = self.placed
        for old in short:
            found = place_in(
                self.instance,
                self.wired,
                (*before, *again),
                old.tier,
                surplus=old.surplus,
                known=self.placed,
                limit_s=self._place_s,
                near=self.effort.near,
            )
            if found is None:
                return
            stage, placed = found
            again.append(
                replace(stage, bound=old.bound, household_bound=old.household_bound)
            )
            if [got(s) for s in again] < [got(s) for s in short[: len(again)]]:
                return
        self.stages, self.placed = [*before, *again], placed

    def _full_already(self, tier: Tier, *, surplus: bool) -> bool:
        """Take over a need that was served in full and has been kept so far."""
        same = [s for s in needs(self.floor) if s.tier is tier and in_full(s)]
        if surplus or not same:
            return False
        self.stages += same
        return True

    def serve(self, tier: Tier, *, surplus: bool) -> bool:
        """Serve one tier; False when there is not even an unproven answer."""
        if surplus and (self.floor or not self.level):
            # No loan is asked for surplus; nor is it worth a search without proof.
            return self._make_do(None, tier, surplus=surplus)
        urgent = tier in _URGENT and not surplus
        if not urgent and not self.left_s:
            return self._make_do(None, tier, surplus=surplus)
        tries = self.tries if urgent else min(_FEW_TRIES, self.tries)
        found: tuple[StageValue, Placed] | None = None
        self.failed = None
        most: StageValue | None = None
        # Once a tier fell short of its bound no later bound can be proven.
        for attempt in range(tries if self.level else 1):
            if attempt and time.monotonic() > self.soft_end:
                break
            # Which of equal bags go in is asked again where there is a wiring.
            found = self._bound(
                tier, surplus=surplus, at_most=most, in_order=not attempt
            )
            if found is None:
                break
            stage, lean = found
            most = stage
            if self.effort.stay and not attempt and self._goes_as_is(stage):
                return True
            proven = self._powered(lean) or (self.level and self._wire(lean))
            if not proven:
                stage, lean = self._tried_on(found, urgent=urgent)
            if self._powered(lean):
                self._keep(*self._in_order(stage, lean), most)
                return True
            if not proven or (self.floor and attempt + 1 == tries):
                break
            modes = tuple(c.mode for c in lean.choices)
            cut = conflict_cut(self.instance, modes, ends=self.ends, few=self.polish)
            self.cuts += with_twins(self.instance, cut)
        return self._make_do(found, tier, surplus=surplus)

    def _tried_on(
        self, asked: tuple[StageValue, Placed], *, urgent: bool
    ) -> tuple[StageValue, Placed]:
        """What can be wired after all, rather than go on without proof; else the same.

        Other units may give as much as those that no wiring was found for.
        """
        most, lean = asked
        if urgent and time.monotonic() < self.soft_end:
            self._wire_at_last()
        if self._powered(lean) or most.surplus or self.floor or not self.level:
            return asked
        failed = self.failed
        others = self._other_ways(most, lean)
        while self._time_for_others(urgent=urgent):
            found = next(others, None)
            if found is None:
                break
            self._wire(found[1], quick=not urgent)
            if self._powered(found[1]):
                return found
        self.failed = failed
        return asked

    def _time_for_others(self, *, urgent: bool) -> bool:
        """True while a look at other units leaves time to make do."""
        late = urgent and time.monotonic() > self.soft_end
        return not late and self.left_s > 2 * _OTHER_S

    def _other_ways(
        self, most: StageValue, lean: Placed
    ) -> Iterator[tuple[StageValue, Placed]]:
        """Placements that give as much with units that were not all tried."""
        tried: list[Cut] = []
        for _ in range(_OTHER_WAYS):
            modes = tuple(c.mode for c in lean.choices)
            powered = tuple(m for m in modes if self.instance.units[m.unit].powered)
            tried.append(Cut(modes=powered, absent=frozenset()))
            found = next_stage(
                self._model(most.tier, surplus=most.surplus, guesses=tried),
                tuple(self.stages),
                most.tier,
                surplus=most.surplus,
                known=self.placed,
                at_most=most,
                in_order=False,
                near=self.effort.near,
                node_limit=_OTHER_NODES,
                time_limit_s=min(_OTHER_S, self.left_s),
            )
            if found is None or got(found[0]) < got(most):
                return
            yield found
            lean = found[1]

    def _goes_as_is(self, most: StageValue) -> bool:
        """Serve a tier from the wiring in hand where that is the most it can get."""
        wired = self.wired, self.hookups
        found = self._placed_in(wired, most.tier, surplus=most.surplus)
        if found is None or got(found[0][0]) < (most.household_bound, most.bound):
            return False
        self._keep(*found[0], most)
        return True

    def _make_do(
        self,
        most: tuple[StageValue, Placed] | None,
        tier: Tier,
        *,
        surplus: bool,
    ) -> bool:
        """The most urgent units are wired as far as power goes; go on with those.

        ``most`` is what the tier could get at most.
        """
        best = self._placed_in((self.wired, self.hookups), tier, surplus=surplus)
        if most is not None and not surplus and not self.floor:
            best = self._less(most, best)
        if best is None and self.placed is not None and not self.floor:
            # Time is up: what the plan so far does for the tier must do.
            stage = as_placed(self.instance, self.placed, tier, surplus=surplus)
            best = (stage, self.placed), (self.wired, self.hookups)
        if best is None:
            return False
        (stage, placed), (self.wired, self.hookups) = best
        self._keep(stage, placed, most[0] if most is not None else at_most(stage))
        return True

    def _less(
        self, most: tuple[StageValue, Placed], best: Option | None
    ) -> Option | None:
        """A part of what a tier could get at most."""
        tier = most[0].tier
        urgent = tier in _URGENT
        less = Less(
            instance=self.instance,
            wired=(self.wired, self.hookups),
            failed=self.failed,
            ask=partial(self._bound, tier, surplus=False),
            place=partial(self._placed_in, tier=tier, surplus=False),
            ends=max(self.ends, time.monotonic() + self.effort.grace_s),
            tries=_LESS_TRIES if urgent else _FEW_LESS_TRIES,
            rounds=self.effort.rounds.get(tier, 1),
            rounds_end=self.grow_end,
            quick=self.effort.quick,
        )
        return less.serve(most, best)
