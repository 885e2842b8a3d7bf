"""Place by place: each planned anew by itself while the others stay as they are.

A town of several places is too large to be planned at once to the last bag,
a single hall is not: with its own units, the kit that stands there and what
stands idle it is as easy as a hall alone (large neighbourhood search; Shaw,
CP 1998).
"""

import time
from collections import Counter
from collections.abc import Callable, Collection
from dataclasses import dataclass, replace
from typing import Protocol

from planner.decide.allocation import Allocation
from planner.decide.placed import Placed
from planner.decide.some_places import some_places
from planner.decide.spare import spared
from planner.decide.stage_values import at_bound, got, of_stages
from planner.decide.stations import stands_in
from planner.errors import SolverError


class PlanAgain(Protocol):
    """Plans anew what a plan is for, beginning with that plan."""

    def __call__(
        self, now: Allocation, *, time_limit_s: float, first: int, close: bool
    ) -> Allocation | None:
        """Plan from the ``first`` stage on; ``close`` tries on for wirings."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Looks:
    """For which stages a place is looked at, and how.

    All of them, or the ``last`` one alone, while those before keep what they have.
    A ``close`` look tries on for wirings.  None takes much longer than ``most_s``.
    """

    last: bool = True
    close: bool = False
    most_s: float = 12.0


def place_by_place(
    plan: Allocation,
    again: PlanAgain,
    looks: Looks,
    *,
    ends: float,
    tell: Callable[[str], None],
    names: Collection[str] = (),
) -> Allocation:
    """Plan places anew one by one, all or some, until the clock says ``ends``.

    A place is looked at again when another one left kit.  No tier loses to a
    later one, so what comes out is never worse.
    """
    able = {unit.place for unit in plan.instance.able}
    names = able.intersection(names or able)
    left = 0
    looked: dict[str, int] = {}
    while time.monotonic() < ends:
        missing = missing_at(plan, last=looks.last)
        stale = [n for n in names if missing[n] and looked.get(n, -1) < left]
        if not stale:
            break
        name = min(stale, key=lambda n: (looked.get(n, -1), -missing[n], n))
        tell(f"place {name}")
        left_s = min(looks.most_s, ends - time.monotonic())
        try:
            anew = _planned_anew(plan, name, again, looks, time_limit_s=left_s)
        except SolverError:
            # A look that fails leaves the plan as it is.
            anew = None
        if anew is not None:
            left += bool(_in_use(plan) - _in_use(anew))
            plan = anew
        looked[name] = left
    return plan


def _in_use(plan: Allocation) -> set[str]:
    return set(stands_in(plan.instance, plan.hookups) or ())


def spare_all(plan: Allocation, names: Collection[str], *, ends: float) -> Allocation:
    """The plan with what some places can do without left for others."""
    for name in sorted({h.place for h in plan.hookups}.intersection(names)):
        if time.monotonic() > ends:
            break
        mine = some_places(plan, frozenset({name}))
        if mine is not None:
            others = tuple(h for h in plan.hookups if h.place != name)
            plan = replace(plan, hookups=(*others, *spared(mine.plan).hookups))
    return plan


def missing_at(plan: Allocation, *, last: bool) -> Counter[str]:
    """Bags without a place, by the places they could go to.

    Of all stages that did not get all they could, or of the ``last`` one.
    """
    inst, stages = plan.instance, plan.placed.stages
    short = [s for s in (stages[-1:] if last else stages) if not at_bound(s)]
    found: Counter[str] = Counter()
    if not short:
        return found
    goals = of_stages(tuple(short))
    left = Counter(
        {
            g: good.count
            for g, good in enumerate(inst.goods)
            if (good.tier, good.surplus) in goals
        }
    )
    for (g, _), n in plan.placed.counts.items():
        if g in left:
            left[g] -= n
    for g, n in left.items():
        places = {inst.units[u].place for u, _, _ in inst.goods[g].slots}
        found.update(dict.fromkeys(places, n))
    return found


def _planned_anew(
    plan: Allocation,
    name: str,
    again: PlanAgain,
    looks: Looks,
    *,
    time_limit_s: float,
) -> Allocation | None:
    """The plan with a place planned anew; ``None`` without a gain."""
    mine = some_places(plan, frozenset({name}))
    if mine is None:
        return None
    first = 0
    if looks.last:
        goal, here = plan.placed.stages[-1], mine.plan.placed.stages
        same = [(s.tier, s.surplus) == (goal.tier, goal.surplus) for s in here]
        if not any(same):
            return None
        first = same.index(True)
    part = again(mine.plan, time_limit_s=time_limit_s, first=first, close=looks.close)
    if part is None or values(mine.put_back(part).placed) <= values(plan.placed):
        return None
    return mine.put_back(spared(part))


def values(placed: Placed) -> list[tuple[int, int]]:
    """What every stage gets, to tell better from worse."""
    return [got(stage) for stage in placed.stages]
