"""Place by place: each planned anew by itself while the others stay as they are.

A town of several places is too large to be planned at once to the last bag,
a single hall is not: with its own units, the kit that stands there and what
stands idle it is as easy as a hall alone (large neighbourhood search; Shaw,
CP 1998).  Then two places at a time, between which kit can be exchanged.
"""

import itertools
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Protocol

from planner.decide.allocation import Allocation
from planner.decide.placement import Placed
from planner.decide.some_places import some_places
from planner.decide.spare import spared
from planner.decide.stages import at_bound, got, of_stages
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
    """How many places are looked at together at most, and for which stages.

    All of them, or the ``last`` one alone, while those before keep what they have.
    A ``close`` look tries on for wirings.  None takes much longer than ``most_s``.
    """

    places: int
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
) -> Allocation:
    """Plan places anew, one or some at a time, until the clock says ``ends``.

    A place is looked at again after it changed.  No tier loses to a later one,
    so what comes out is never worse.
    """
    names = sorted({unit.place for unit in plan.instance.able})
    groups = [
        frozenset(some)
        for n in range(1, looks.places + 1)
        for some in itertools.combinations(names, n)
    ]
    changes: Counter[str] = Counter()
    looked: dict[frozenset[str], int] = {}
    while time.monotonic() < ends:
        missing = _missing(plan, last=looks.last)
        stale = [
            g
            for g in groups
            if any(missing[n] for n in g)
            and looked.get(g, -1) < sum(changes[n] for n in g)
        ]
        if not stale:
            break
        # All single places come first, since they are over soon.
        some = min(
            stale,
            key=lambda g: (len(g), -sum(missing[n] for n in g), sorted(g)),
        )
        tell(f"place {', '.join(sorted(some))}")
        try:
            anew = _planned_anew(
                plan,
                some,
                again,
                looks,
                time_limit_s=min(looks.most_s, ends - time.monotonic()),
            )
        except SolverError:
            # A look that fails leaves the plan as it is.
            anew = None
        if anew is not None:
            changes.update(some)
            plan = anew
        looked[some] = sum(changes[n] for n in some)
    return plan


def spare_all(plan: Allocation, *, ends: float) -> Allocation:
    """The plan with what its places can do without left for others."""
    for name in sorted({h.place for h in plan.hookups}):
        if time.monotonic() > ends:
            break
        mine = some_places(plan, frozenset({name}))
        if mine is not None:
            others = tuple(h for h in plan.hookups if h.place != name)
            plan = replace(plan, hookups=(*others, *spared(mine.plan).hookups))
    return plan


def _missing(plan: Allocation, *, last: bool) -> Counter[str]:
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
    names: frozenset[str],
    again: PlanAgain,
    looks: Looks,
    *,
    time_limit_s: float,
) -> Allocation | None:
    """The plan with some places planned anew; ``None`` without a gain."""
    mine = some_places(plan, names)
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
    if part is None:
        return None
    anew = mine.put_back(part)
    if _values(anew.placed) <= _values(plan.placed):
        return None
    if stands_in(plan.instance, anew.hookups) is None:
        # Kit that is carried about would bind the places together.
        return None
    return mine.put_back(spared(part)) if len(names) == 1 else anew


def _values(placed: Placed) -> list[tuple[int, int]]:
    return [got(stage) for stage in placed.stages]
