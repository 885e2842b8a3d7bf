"""The least amount of each thing of a step that still gives the step's gain.

First with the plugs and places of the step's plan held, by arithmetic; then
one step less is planned for, and so on down, each time with all else as
offered.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import ceil
from typing import Any

from planner.decide.allocate import extend
from planner.decide.allocation import Allocation
from planner.decide.borrow_gain import plan_on_top
from planner.decide.borrow_pool import lent
from planner.decide.borrow_step import Step, gains_between, open_needs, vector
from planner.decide.carried import carried
from planner.decide.instance import Instance, build
from planner.decide.least import Seen, least
from planner.decide.on_top_feeders import Memory
from planner.decide.placement import PlacementModel
from planner.decide.power_check import PowerCheck
from planner.decide.stage_values import got
from planner.decide.stages import gain_at
from planner.result import Demand, TierGain
from planner.result_spec import LeastSpec, Quantity, SpecPoint
from planner.scenario import (
    Battery,
    ColdUnit,
    Equipment,
    Panel,
    Scenario,
    UnitType,
)

GRIDS = {
    Quantity.VOLUME_L: 1.0,
    Quantity.CAPACITY_WH: 10.0,
    Quantity.CHARGE: 0.05,
    Quantity.RATED_W: 5.0,
    Quantity.MAX_W: 10.0,
}
"""Steps in which amounts are asked for."""
_FIELDS = {
    Quantity.VOLUME_L: "gross_volume_l",
    Quantity.CAPACITY_WH: "capacity_wh",
    Quantity.CHARGE: "charge_now",
    Quantity.RATED_W: "rated_w",
    Quantity.MAX_W: "max_w",
}
_TRIES = 5
_FEW_TRIES = 1
_SHARES = (0.4, 0.75)
"""Parts of the least amount at which it is seen what less would give."""
_LIMIT_S = 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Effort:
    """How much may be solved for: ``wire`` allows wirings made anew."""

    solve: bool
    wire: bool


def least_specs(
    scenario: Scenario,
    demand: tuple[Demand, ...],
    step: Step,
    effort: Effort,
    *,
    tell: Callable[[], None] = lambda: None,
) -> tuple[LeastSpec, ...]:
    """Least amounts of every thing of a step, in the order of its ids."""
    kit = {e.id: e for e in scenario.equipment}
    found = []
    for item_id in step.item_ids:
        for quantity in quantities(kit[item_id]):
            search = _Search(scenario, demand, step, kit[item_id], quantity)
            found.append(search.run(effort))
            tell()
    return tuple(found)


def quantities(kit: Equipment) -> tuple[Quantity, ...]:
    """What of a thing has a least amount."""
    if isinstance(kit, ColdUnit):
        return () if kit.kind is UnitType.COOL_SHELF else (Quantity.VOLUME_L,)
    if isinstance(kit, Battery):
        return Quantity.CAPACITY_WH, Quantity.CHARGE
    if isinstance(kit, Panel):
        return (Quantity.RATED_W,)
    return (Quantity.MAX_W,)


def with_amount(
    scenario: Scenario, item_id: str, quantity: Quantity, amount: float
) -> Scenario:
    """The scenario with another amount of one thing."""

    def changed(kit: Any) -> Any:
        if kit.id != item_id:
            return kit
        if quantity is Quantity.CAPACITY_WH:
            # What it may be charged and discharged with stays as it is.
            return replace(kit, capacity_wh=amount)
        return replace(kit, **{_FIELDS[quantity]: amount})

    return replace(
        scenario,
        units=tuple(changed(e) for e in scenario.units),
        batteries=tuple(changed(e) for e in scenario.batteries),
        panels=tuple(changed(e) for e in scenario.panels),
        sources=tuple(changed(e) for e in scenario.sources),
    )


class _Search:
    """One quantity of one thing."""

    def __init__(
        self,
        scenario: Scenario,
        demand: tuple[Demand, ...],
        step: Step,
        kit: Equipment,
        quantity: Quantity,
    ) -> None:
        self.scenario, self.demand, self.step = scenario, demand, step
        self.item_id, self.quantity = kit.id, quantity
        self.grid = GRIDS[quantity]
        self.offered = float(getattr(kit, _FIELDS[quantity]))
        self.high = max(1, ceil(self.offered / self.grid - 1e-9))
        self.loans = lent(step.allocation.instance)
        self.wanted = vector(step.allocation.placed.stages)
        old, new = vector(step.before.placed.stages), self.wanted
        first = next(n for n, (a, z) in enumerate(zip(old, new, strict=True)) if z > a)
        needs = [i for i, s in enumerate(step.before.placed.stages) if not s.surplus]
        self.goal = needs[first // 2]
        self.solved = 0
        self.memory: Memory = {}

    def amount(self, steps: int) -> float:
        return min(round(steps * self.grid, 6), self.offered)

    def numbers(self, steps: int) -> Instance:
        scenario = with_amount(
            self.scenario, self.item_id, self.quantity, self.amount(steps)
        )
        return build(scenario, self.demand, loans=self.loans)

    def run(self, effort: Effort) -> LeastSpec:
        high = self._held()
        found, exact = high, high <= 1
        # Charge is said in passing: where solving is dear, as the plugs are.
        solve = effort.solve and (effort.wire or self.quantity is not Quantity.CHARGE)
        if solve and high > 1:
            least_of = least(
                lambda n: self._does(n, effort),
                high=high,
                tries=_TRIES if effort.wire else _FEW_TRIES,
            )
            found, exact = max(1, least_of.steps), least_of.exact
        points = self._points(found) if solve else ()
        return LeastSpec(
            item_id=self.item_id,
            quantity=self.quantity,
            least=self.amount(found),
            offered=self.offered,
            grid=self.grid,
            exact=exact,
            solved=self.solved,
            points=points,
        )

    def _held(self) -> int:
        """Fewest steps with every plug and bag as in the step's plan."""
        low, high = 0, self.high
        while high - low > 1:
            mid = (low + high) // 2
            if carried(self.step.allocation, self.numbers(mid)) is not None:
                high = mid
            else:
                low = mid
        return high

    def _does(self, steps: int, effort: Effort) -> Seen:
        """Whether an amount still gives the whole gain."""
        if steps <= 0:
            return Seen.NO
        instance = self.numbers(steps)
        if carried(self.step.allocation, instance) is not None:
            return Seen.YES
        self.solved += 1
        if self._enough(
            plan_on_top(instance, self.step.before, self.goal, self.memory)
        ):
            return Seen.YES
        if self._cannot(instance):
            return Seen.NO
        if not effort.wire:
            return Seen.UNKNOWN
        self.solved += 1
        before = self.step.before
        made = extend(
            instance,
            before,
            self.goal,
            time_limit_s=_LIMIT_S,
            cuts=[],
            check=PowerCheck(instance),
        )
        if self._enough(made):
            return Seen.YES
        return Seen.NO if made is not None and made.placed.proven else Seen.UNKNOWN

    def _enough(self, made: Allocation | None) -> bool:
        return made is not None and all(
            a >= b for a, b in zip(vector(made.placed.stages), self.wanted, strict=True)
        )

    def _cannot(self, instance: Instance) -> bool:
        """Whether no placement at all reaches the gain, wired or not."""
        self.solved += 1
        model = PlacementModel(instance, check=PowerCheck(instance))
        stages = self.step.before.placed.stages
        most = gain_at(model, stages, self.goal, time_limit_s=_LIMIT_S)
        return most is None or most < got(self.step.allocation.placed.stages[self.goal])

    def _points(self, found: int) -> tuple[SpecPoint, ...]:
        """What less than the least amount gives, and the least itself."""
        points = []
        at = sorted({int(found * share) for share in _SHARES} - {0, found})
        for steps in at:
            self.solved += 1
            made = self._plan(self.numbers(steps))
            points.append(SpecPoint(amount=self.amount(steps), gains=made))
        points.append(SpecPoint(amount=self.amount(found), gains=self.step.gains))
        return tuple(points)

    def _plan(self, instance: Instance) -> tuple[TierGain, ...]:
        before = self.step.before
        for goal in open_needs(before.placed.stages):
            if goal < self.goal:
                continue
            made = plan_on_top(instance, before, goal, self.memory)
            if made is not None:
                return gains_between(before.placed.stages, made.placed.stages)
        return ()
