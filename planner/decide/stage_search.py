"""Lexicographic stages of the placement: tier by tier, each with its bound.

Inside a tier first every household's first bag, then most bags (one solve,
the households weighted so that no number of bags outweighs one), then the
shortest allowance.  Each stage fixes the ones before.
"""

import math
import time
from dataclasses import dataclass, field

from planner.decide.placed import Placed
from planner.decide.placement import PlacementModel
from planner.decide.solver import Answer, Expr, Outcome, total, value
from planner.decide.stage_values import StageValue
from planner.scenario import Tier

_POLISH_NODES = 200
_ORDER_NODES = 60
_LARGE_COLUMNS = 3000
_LARGE_COLUMNS_APART = 1300
"""Fewer where there are several places, which are harder to prove."""
_LARGE_SHARE = 0.25
_LARGE_S = 3.0
_LARGE_OF_LIMIT = 0.03
_HUGE_COLUMNS = 5000
_HUGE_OF_LIMIT = 0.08
_LARGE_CUTS = 1
_LEAN_S = 2.0
_LARGE_GAP = 0.004
"""Share of a tier's bags within which a large model is solved."""


@dataclass(slots=True, kw_only=True)
class _Clock:
    """Wall-clock budget of a whole run of stages."""

    limit_s: float
    began: float = field(default_factory=time.monotonic)

    @property
    def left_s(self) -> float:
        return self.limit_s - (time.monotonic() - self.began)


class StageSearch:
    """Carries the stages of one model; its clock runs from the beginning."""

    def __init__(self, pm: PlacementModel, *, time_limit_s: float) -> None:
        self.pm = pm
        self.clock = _Clock(limit_s=time_limit_s)
        self.stages: list[StageValue] = []
        self.proven = True
        self.last: Placed | None = None
        self.at_most: StageValue | None = None
        self.in_order = True
        self.near = False

    @property
    def large(self) -> bool:
        """True when the model is not worth solving to the last bag."""
        apart = len({unit.place for unit in self.pm.instance.able}) > 1
        most = _LARGE_COLUMNS_APART if apart else _LARGE_COLUMNS
        return self.near or self.pm.model.size[0] > most

    @property
    def huge(self) -> bool:
        """True when even one energy cut takes longer than it is worth."""
        return self.pm.model.size[0] > _HUGE_COLUMNS

    @property
    def _large_s(self) -> float:
        """Seconds for one solve of a large model."""
        clock = self.clock
        share = _HUGE_OF_LIMIT if self.huge else _LARGE_OF_LIMIT
        most = max(_LARGE_S, share * clock.limit_s)
        return min(most, _LARGE_SHARE * clock.left_s)

    def minimise(
        self,
        objective: Expr,
        *,
        node_limit: int | None = None,
        slack: float = 0.0,
        wide: bool = False,
        enough: float | None = None,
    ) -> Outcome:
        """Solve, cutting off placements that no wiring can carry.

        No solve of a large model may use up the time of the others; it ends
        within ``slack`` of the bound, and leaves nothing out only when ``wide``.
        ``enough`` is a bound that is known to hold.
        """
        cuts = 0
        while True:
            outcome = self._solved(
                objective, node_limit, slack, wide=wide, enough=enough
            )
            if not outcome.found:
                break
            placed = self.pm.read(tuple(self.stages), proven=self.proven)
            # Without all of its cuts a large model still gives a bound.
            last = self.huge or (self.large and cuts >= _LARGE_CUTS)
            if last or not self.pm.cut_off(placed):
                self.last = placed
                break
            cuts += 1
        self.proven = self.proven and outcome.answer is Answer.OPTIMAL
        return outcome

    def _solved(
        self,
        objective: Expr,
        node_limit: int | None,
        slack: float,
        *,
        wide: bool,
        enough: float | None,
    ) -> Outcome:
        model = self.pm.model
        if self.large and not wide:
            return model.minimise_near(
                objective,
                self.pm.pick.values(),
                time_limit_s=self._large_s,
                slack=slack,
            )
        return model.minimise(
            objective,
            time_limit_s=self._large_s if self.large else self.clock.left_s,
            whole_objective=True,
            slack=slack if self.large else 0.0,
            node_limit=node_limit,
            enough=enough,
        )

    def _keep_last(self) -> None:
        self.last = self.pm.read(tuple(self.stages), proven=self.proven)

    def tier(self, tier: Tier, *, surplus: bool, node_limit: int | None = None) -> bool:
        """Serve one tier as well as the earlier ones allow."""
        pm = self.pm
        mine = pm.goods_of(tier, surplus=surplus)
        needed = sum(pm.instance.goods[g].count for g in mine)
        households = 0
        bags, homes = pm.placed(mine), total([])
        if not surplus:
            homes = pm.homes(tier)
            households = sum(
                f.households for f in pm.instance.families if f.tier is tier
            )
        slack = _LARGE_GAP * needed
        if self.large and households:
            found = self._in_two(homes, bags, households, needed, slack)
        else:
            found = self._in_one(homes, bags, households, needed, node_limit)
        if found is None:
            return False
        served, served_bound, met, bound = found
        if households:
            pm.model.add("T", homes >= served)
        pm.model.add("T", bags >= met)
        lateness = None
        if self.in_order and 0 < met < needed:
            # Which bags of this tier go in decides what is left for the next.
            lateness = self.shortest_allowance(mine)
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

    def _in_one(
        self,
        homes: Expr,
        bags: Expr,
        households: int,
        needed: int,
        node_limit: int | None,
    ) -> tuple[int, int, int, int] | None:
        """Most households, then most bags, in one solve.

        Returns households, their bound, bags, their bound.
        """
        weight = needed + 1
        most = self.at_most
        enough = None
        if most is not None:
            enough = -float(weight * most.household_bound + most.bound)
        outcome = self.minimise(
            -(weight * homes) - bags, node_limit=node_limit, enough=enough
        )
        if outcome.answer is Answer.INFEASIBLE or self.last is None:
            return None
        # Out of time without a solution: the last one found still counts.
        met, served = round(value(bags)), round(value(homes))
        bound, served_bound = _split(
            -outcome.bound, weight, households=households, needed=needed, served=served
        )
        if outcome.answer is Answer.OPTIMAL:
            bound, served_bound = met, served
        return served, served_bound, met, bound

    def _in_two(
        self, homes: Expr, bags: Expr, households: int, needed: int, slack: float
    ) -> tuple[int, int, int, int] | None:
        """Most households, then most bags, one after the other: easier when large.

        The bags are solved to within ``slack``.
        """
        first = self.minimise(-homes)
        if first.answer is Answer.INFEASIBLE or self.last is None:
            return None
        served = round(value(homes))
        served_bound, bound = households, needed
        if math.isfinite(first.bound):
            served_bound = min(households, math.floor(-first.bound + 1e-6))
        if served < served_bound and self.minimise(-homes, wide=True).found:
            # What was left out may be what the last households need.
            served = max(served, round(value(homes)))
        self.pm.model.add("T", homes >= served)
        second = self.minimise(-bags, slack=slack)
        met = round(value(bags))
        if served == served_bound and math.isfinite(second.bound):
            bound = min(needed, math.floor(-second.bound + 1e-6))
        return round(value(homes)), served_bound, met, bound

    def shortest_allowance(self, mine: list[int]) -> int | None:
        """Among equal counts prefer the shortest allowance."""
        score, matters = self.pm.lateness(mine)
        if not matters or self.large:
            return None
        proven = self.proven
        outcome = self.minimise(score, node_limit=_ORDER_NODES)
        # Which of equal bags go in is no part of what a tier got.
        self.proven = proven
        if not outcome.found:
            return None
        least = round(outcome.objective)
        self.pm.model.add("T", score <= least)
        return least

    def lean(self, brought: Expr = 0) -> None:
        """Least energy, fewest units on and least ice for what is held.

        Energy ``brought`` by loans [kWh] counts against what is drawn.
        """
        pm = self.pm
        off: list[Expr] = []
        if self.huge and self.last is not None:
            on = {c.mode.unit for c in self.last.choices}
            off = [v for (u, _), v in pm.pick.items() if u not in on]
        outcome = pm.model.minimise(
            pm.load_cost() - brought,
            without=off,
            time_limit_s=max(
                0.0,
                min(_LEAN_S, self.clock.left_s) if self.large else self.clock.left_s,
            ),
            node_limit=_POLISH_NODES,
        )
        if outcome.found:
            placed = pm.read(tuple(self.stages), proven=self.proven)
            if self.huge or not pm.cut_off(placed):
                self.last = placed


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
