"""Placement and hookup together: place, wire, cut what cannot be wired.

Tier by tier: the placement says the most that the tier could get and the
least load that gives it, the hookup looks for a wiring.  Where there is none
a cut says so and the tier is placed again.  When that goes on too long the
most urgent units are wired as far as the power goes, and the tier makes do
with those: its bound stays, so that the gap is known.
"""

import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial

from planner.decide.allocation import Allocation
from planner.decide.conflict import conflict_cut, with_twins
from planner.decide.cuts import Cut
from planner.decide.fewer import Less, Option, energy_kwh
from planner.decide.hookup import fed_by_modes, tidy, wire, wire_at_last
from planner.decide.instance import Fed, Instance, without_power
from planner.decide.one_site import Wiring
from planner.decide.placed import Placed, as_placed, nothing_placed
from planner.decide.placement import PlacementModel
from planner.decide.power_check import PowerCheck
from planner.decide.salvage import Wired, covers, place_in, used
from planner.decide.stage_values import (
    StageValue,
    at_bound,
    at_most,
    got,
    in_full,
    needs,
    of_stages,
    stage_order,
)
from planner.decide.stages import next_stage, shortest_first
from planner.result import Hookup
from planner.scenario import Tier

Progress = Callable[[str], None]
_TRIES = 40
_FEW_TRIES = 30
GOAL_TRIES = 2
_LESS_TRIES = 5
_FEW_LESS_TRIES = 3
_GROW_ROUNDS = {Tier.A: 8, Tier.B: 8, Tier.C: 3}
GROW_SHARE = 0.75
"""Share of the time after which no tier asks anew for what could not be wired."""
_MAKE_DO_S = 10.0
_LATE_S = 8.0
_GUESS_NODES = 60
"""Where nothing is proven the last bag is not worth the search."""
TRY_SHARE = 0.65
"""Share of the time after which a tier makes do; the rest is for later tiers."""
_URGENT = {Tier.A, Tier.B, Tier.C}


@dataclass(frozen=True, slots=True, kw_only=True)
class SearchEffort:
    """How hard is searched.

    Units are added anew for so many ``rounds`` of a tier, one where it has none.
    Making do may outlast the clock by ``grace_s``.  To ``stay`` is to keep the
    wiring in hand where a tier could be served for less, to be ``neat`` to look
    for fewer moves of plugs at the end, ``near`` to solve placements nearly, and
    ``quick`` to give up early on wirings.  However little time is left a tier has
    ``late_s`` for the units that have power.
    """

    rounds: Mapping[Tier, int] = field(default_factory=lambda: _GROW_ROUNDS)
    grace_s: float = _MAKE_DO_S
    stay: bool = False
    neat: bool = True
    near: bool = False
    quick: bool = False
    late_s: float = _LATE_S


@dataclass(slots=True, kw_only=True)
class Serving:
    """Serves tier after tier, each with a wiring before the next begins.

    ``wired`` is what the last wiring found feeds; a later tier that needs no
    more than that needs no new look.
    """

    instance: Instance
    cuts: list[Cut]
    ends: float
    tell: Progress
    check: PowerCheck
    soft_end: float
    grow_end: float
    tries: int = _TRIES
    effort: SearchEffort = field(default_factory=SearchEffort)
    floor: tuple[StageValue, ...] = ()
    polish: bool = True
    stages: list[StageValue] = field(default_factory=list)
    wired_for: list[tuple[Fed, ...]] = field(default_factory=list)
    placed: Placed | None = None
    wired: tuple[Fed, ...] = ()
    hookups: tuple[Hookup, ...] = ()
    level: bool = True
    loads_fed: bool = True
    failed: tuple[tuple[Fed, ...], Wiring] | None = None

    @property
    def left_s(self) -> float:
        """Seconds until the time is up."""
        return max(0.0, self.ends - time.monotonic())

    @property
    def _place_s(self) -> float:
        """Seconds for a placement in what is wired, which is found also when late."""
        return max(self.left_s, self.effort.late_s)

    def begin(self, placed: Placed, hookups: tuple[Hookup, ...]) -> None:
        """Begin with a placement and the wiring that feeds it."""
        modes = tuple(c.mode for c in placed.choices)
        self.placed, self.hookups = placed, hookups
        self.wired = fed_by_modes(self.instance, modes)

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

    def feed_loads(self) -> None:
        """Loads come before the fridges; without them no unit gets power."""
        fed = fed_by_modes(self.instance, ())
        wiring = wire(self.instance, fed, ends=self.ends, polish=False)
        if wiring.hookups is not None:
            self.wired, self.hookups = fed, wiring.hookups
            return
        self.level = wiring.proven
        self.instance = without_power(self.instance)
        self.loads_fed = False
        # Cuts were made for a wiring with those loads; none is needed now.
        self.cuts = []
        self.check = PowerCheck(self.instance)

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
            if not proven and urgent and time.monotonic() < self.soft_end:
                self._wire_at_last()
            if self._powered(lean):
                self._keep(*self._in_order(stage, lean), stage)
                return True
            if not proven or (self.floor and attempt + 1 == tries):
                break
            modes = tuple(c.mode for c in lean.choices)
            cut = conflict_cut(self.instance, modes, ends=self.ends, few=self.polish)
            self.cuts += with_twins(self.instance, cut)
        return self._make_do(found, tier, surplus=surplus)

    def _goes_as_is(self, most: StageValue) -> bool:
        """Serve a tier from the wiring in hand where that is the most it can get."""
        wired = self.wired, self.hookups
        found = self._placed_in(wired, most.tier, surplus=most.surplus)
        if found is None or got(found[0][0]) < (most.household_bound, most.bound):
            return False
        self._keep(*found[0], most)
        return True

    def _bound(
        self,
        tier: Tier,
        *,
        surplus: bool,
        guesses: Sequence[Cut] = (),
        budgets: dict[str, float] | None = None,
        stationed: bool = False,
        at_most: StageValue | None = None,
        in_order: bool = True,
    ) -> tuple[StageValue, Placed] | None:
        """Most that a tier could get, at the least load that gives it.

        ``at_most`` and ``in_order`` as for ``next_stage``.  With ``guesses``,
        ``budgets`` or ``stationed`` it is no bound, but likelier to have a wiring.
        """
        model = self._model(tier, surplus=surplus, guesses=guesses, stationed=stationed)
        bounds = self.level and not (guesses or budgets or stationed)
        loads = energy_kwh(fed_by_modes(self.instance, ()))
        for place, kwh in sorted((budgets or {}).items()):
            model.add_budget(place, kwh - loads.get(place, 0.0))
        return next_stage(
            model,
            tuple(self.stages),
            tier,
            surplus=surplus,
            after=self._floor_after(),
            # A guess near the plan in force would lead back to it.
            known=None if stationed else self.placed,
            at_most=at_most if bounds else None,
            in_order=in_order,
            near=self.effort.near,
            node_limit=None if bounds else _GUESS_NODES,
            time_limit_s=self.left_s,
        )

    def _in_order(self, stage: StageValue, lean: Placed) -> tuple[StageValue, Placed]:
        """The shortest allowances of equally many bags, where that can be wired."""
        ordered = stage.lateness is not None or self.effort.near
        if ordered or not 0 < stage.met < stage.needed:
            return stage, lean
        found = shortest_first(
            self._model(stage.tier, surplus=stage.surplus),
            tuple(self.stages),
            stage,
            after=self._floor_after(),
            known=lean,
            time_limit_s=self.left_s,
        )
        if not self._powered(found[1]):
            self._wire(found[1])
        return found if self._powered(found[1]) else (stage, lean)

    def _model(
        self,
        tier: Tier,
        *,
        surplus: bool,
        guesses: Sequence[Cut] = (),
        stationed: bool = False,
    ) -> PlacementModel:
        """The placement as far as one tier, with all cuts so far."""
        return PlacementModel(
            self.instance,
            cuts=(*self.cuts, *guesses),
            check=self.check,
            stationed=stationed,
            only=of_stages(tuple(self.stages), self._floor_after()) | {(tier, surplus)},
        )

    def _floor_after(self) -> tuple[StageValue, ...]:
        """What the needs that are still to be served must keep."""
        done = {(s.tier, s.surplus) for s in self.stages}
        return tuple(s for s in needs(self.floor) if (s.tier, s.surplus) not in done)

    def _powered(self, placed: Placed) -> bool:
        """True when the wiring in hand feeds every unit of a placement."""
        modes = tuple(c.mode for c in placed.choices)
        return covers(self.wired, fed_by_modes(self.instance, modes))

    def _wire(self, placed: Placed) -> bool:
        """Wire a placement if that can be done; True when the answer is proven."""
        fed = fed_by_modes(self.instance, tuple(c.mode for c in placed.choices))
        # Of loans many are tried: a wiring that is hard to find is not worth it.
        wiring = wire(
            self.instance, fed, ends=self.ends, polish=False, quick=bool(self.floor)
        )
        if wiring.hookups is not None:
            self.wired, self.hookups = fed, wiring.hookups
        self.failed = None if wiring.hookups is not None else (fed, wiring)
        return wiring.proven

    def _wire_at_last(self) -> None:
        """Try on for what nearly went, rather than go on without proof."""
        if self.failed is None or self.floor:
            return
        fed, wiring = self.failed
        hookups = wire_at_last(self.instance, fed, wiring)
        if hookups is not None:
            self.wired, self.hookups, self.failed = fed, hookups, None

    def _keep(self, stage: StageValue, placed: Placed, most: StageValue) -> None:
        """Hold what a stage got, beside the most that it could have got.

        A bound stands on what the stages before it could have got: after one
        that fell short it is what is needed.
        """
        self.placed = placed
        self.wired_for.append(self.wired)
        known = self.level
        self.stages.append(
            replace(
                stage,
                bound=most.bound if known else stage.needed,
                household_bound=most.household_bound if known else stage.households,
            )
        )
        last = self.stages[-1]
        self.level = self.level and at_bound(last)

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

    def _plan(self, placed: Placed, hookups: tuple[Hookup, ...]) -> Allocation:
        return Allocation(
            instance=self.instance,
            placed=placed,
            hookups=hookups,
            proven=self.level,
            loads_fed=self.loads_fed,
            cuts=tuple(self.cuts),
            check=self.check,
        )

    def _placed_in(self, wired: Wired, tier: Tier, *, surplus: bool) -> Option | None:
        """Serve a tier from what a wiring feeds."""
        found = place_in(
            self.instance,
            wired[0],
            tuple(self.stages),
            tier,
            surplus=surplus,
            after=self._floor_after(),
            known=self.placed,
            limit_s=self._place_s,
            near=self.effort.near,
        )
        return found and (found, wired)
