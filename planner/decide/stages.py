"""Lexicographic stages of the placement: tier by tier, each with its bound.

Inside a tier first every household's first bag, then most bags (one solve,
the households weighted so that no number of bags outweighs one), then the
shortest allowance.  Each stage fixes the ones before.
"""

import math
import time
from collections.abc import Callable
from dataclasses import dataclass, field

from planner.decide.goods import Good
from planner.decide.placement import Placed, PlacementModel, StageValue
from planner.decide.solver import Answer, Expr, Outcome, total, value, whole
from planner.scenario import Tier

_POLISH_NODES = 200


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
    values_only: bool = False,
    progress: Callable[[str], None] | None = None,
) -> Placed | None:
    """Run the stages; ``None`` when nothing was found.

    An infeasible first stage means that the loads before the fridges cannot
    be fed; the caller decides what to do then.  ``values_only`` leaves out
    what does not change the tier values.
    """
    run = _Stages(pm, _Clock(limit_s=time_limit_s))
    for tier, surplus in stage_order(pm.instance.goods):
        if progress is not None:
            progress(f"tier {tier}{' surplus' if surplus else ''}")
        if not run.tier(tier, surplus=surplus):
            return None
    if not run.stages and not run.any_solution():
        return None
    if not values_only:
        run.polish()
    return run.last


def same_again(
    pm: PlacementModel, before: Placed, *, time_limit_s: float
) -> Placed | None:
    """A placement as good as ``before`` under the model's newer cuts.

    Cuts only take away, so a placement with the same tier values is still
    best; finding one takes a single solve instead of every stage again.
    """
    run = _Stages(pm, _Clock(limit_s=time_limit_s))
    hold(pm, before.stages)
    run.stages = list(before.stages)
    run.proven = before.proven
    run.polish()
    return run.last


def hold(pm: PlacementModel, stages: tuple[StageValue, ...]) -> None:
    """Hold every tier at what it got."""
    for stage in stages:
        mine = pm.goods_of(stage.tier, surplus=stage.surplus)
        pm.model.add("T", pm.placed(mine) >= stage.met)
        if stage.households:
            pm.model.add("T", pm.homes(mine) >= stage.households_met)
        if stage.lateness is not None:
            score, _ = pm.lateness(mine)
            pm.model.add("T", score <= stage.lateness)


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

    def _minimise(self, objective: Expr) -> Outcome:
        outcome = self.pm.model.minimise(
            objective, time_limit_s=self.clock.left_s, whole_objective=True
        )
        if outcome.found:
            self._keep_last()
        self.proven = self.proven and outcome.answer is Answer.OPTIMAL
        return outcome

    def _keep_last(self) -> None:
        self.last = self.pm.read(tuple(self.stages), proven=self.proven)

    def any_solution(self) -> bool:
        """Solve with nothing to place, so that units may still be off."""
        return self._minimise(0).found

    def tier(self, tier: Tier, *, surplus: bool) -> bool:
        """Serve one tier as well as the earlier ones allow."""
        pm = self.pm
        mine = pm.goods_of(tier, surplus=surplus)
        needed = sum(pm.instance.goods[g].count for g in mine)
        families = {pm.instance.goods[g].family for g in mine} - {-1}
        households = sum(pm.instance.families[f].households for f in families)
        bags, homes = pm.placed(mine), pm.homes(mine)
        weight = needed + 1
        outcome = self._minimise(-(weight * homes) - bags)
        if outcome.answer is Answer.INFEASIBLE or self.last is None:
            return False
        # Out of time without a solution: the last one found still counts.
        met, served = round(value(bags)), round(value(homes))
        bound, served_bound = _split(
            -outcome.bound, weight, households=households, needed=needed, served=served
        )
        if outcome.answer is Answer.OPTIMAL:
            bound, served_bound = met, served
        if households:
            pm.model.add("T", homes >= served)
        pm.model.add("T", bags >= met)
        lateness = None
        if 0 < met < needed:
            # Which bags of this tier go in decides what is left for the next.
            lateness = self._shortest_allowance(mine)
        self.stages.append(
            StageValue(
                tier=tier,
                surplus=surplus,
                needed=needed,
                met=met,
                bound=bound,
                households=households,
                households_met=served,
                household_bound=served_bound,
                lateness=lateness,
            )
        )
        self._keep_last()
        return True

    def _shortest_allowance(self, mine: list[int]) -> int | None:
        """Among equal counts prefer the shortest allowance."""
        score, matters = self.pm.lateness(mine)
        if not matters:
            return None
        outcome = self._minimise(score)
        if not outcome.found:
            return None
        least = round(outcome.objective)
        self.pm.model.add("T", score <= least)
        return least

    def polish(self) -> None:
        """Fewest loans, then least energy, fewest units on and least ice."""
        pm = self.pm
        if pm.take:
            asked = total(pm.take.values())
            if not self._minimise(asked).found:
                return
            pm.model.add("T", asked <= whole(asked))
        cost = total(
            (float(c.mode.load_w.sum()) / 1000.0 + 0.05 + 0.001 * c.mode.ice_kg)
            * pm.pick[u, i]
            for u, options in enumerate(pm.choices)
            for i, c in enumerate(options)
        )
        outcome = pm.model.minimise(
            cost, time_limit_s=max(0.0, self.clock.left_s), node_limit=_POLISH_NODES
        )
        if outcome.found:
            self._keep_last()


def _split(
    best: float, weight: int, *, households: int, needed: int, served: int
) -> tuple[int, int]:
    """Bag and household bounds from the bound of their weighted sum."""
    if not math.isfinite(best):
        return needed, households
    whole_best = math.floor(best + 1e-6)
    if not households:
        return min(needed, whole_best), 0
    homes = min(households, whole_best // weight)
    # Fewer households may leave room for any number of bags.
    return (
        min(needed, whole_best - weight * homes) if homes == served else needed
    ), homes
