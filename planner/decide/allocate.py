"""A whole plan: every tier placed and wired, in one search or place by place."""

import time

from planner.decide.allocation import Allocation
from planner.decide.cuts import Cut
from planner.decide.hookup import fed_by_modes
from planner.decide.instance import Instance
from planner.decide.power_check import PowerCheck
from planner.decide.search_effort import GOAL_TRIES, GROW_SHARE, TRY_SHARE, SearchEffort
from planner.decide.serving import Progress, Serving
from planner.decide.stage_values import got, needs
from planner.decide.town import TOWN_LATE_S, Town, is_town

_LATE_LOOK_S = 2.0


def allocate(
    instance: Instance,
    *,
    time_limit_s: float,
    progress: Progress | None = None,
) -> Allocation | None:
    """Best placement that can be wired; ``None`` when time ran out first.

    A town of several places is planned place by place where it is large.
    """
    now = time.monotonic()
    ends = now + time_limit_s
    tell = progress or (lambda _what: None)
    if is_town(instance):
        return Town(
            instance=instance,
            cuts=[],
            ends=ends,
            soft_end=now + TRY_SHARE * time_limit_s,
            grow_end=now,
            tell=tell,
            check=PowerCheck(instance),
            effort=SearchEffort(rounds={}, near=True, late_s=TOWN_LATE_S),
            again=plan_again,
        ).run()
    return Serving(
        instance=instance,
        cuts=[],
        ends=ends,
        soft_end=now + TRY_SHARE * time_limit_s,
        grow_end=now + GROW_SHARE * time_limit_s,
        tell=tell,
        check=PowerCheck(instance),
    ).run()


def plan_again(
    now: Allocation, *, time_limit_s: float, first: int, close: bool
) -> Allocation | None:
    """Plan quickly from the ``first`` stage on, beginning with a plan's wiring.

    Stages before it keep what they have.  ``close`` looks try on for wirings.
    """
    begins = time.monotonic()
    search = Serving(
        instance=now.instance,
        cuts=[],
        ends=begins + time_limit_s,
        soft_end=begins + TRY_SHARE * time_limit_s,
        grow_end=begins,
        tell=lambda _what: None,
        check=now.check,
        effort=SearchEffort(
            rounds={},
            grace_s=0.0,
            stay=True,
            neat=False,
            near=True,
            quick=not close,
            late_s=_LATE_LOOK_S,
        ),
        level=False,
    )
    search.begin(now.placed, now.hookups)
    search.stages = list(now.placed.stages[:first])
    search.wired_for = [search.wired] * first
    return search.run_on(first)


def extend(
    instance: Instance,
    now: Allocation,
    goal: int,
    *,
    time_limit_s: float,
    cuts: list[Cut],
    check: PowerCheck,
) -> Allocation | None:
    """The plan ``now`` on a site with more equipment; ``None`` without a gain.

    Stages before the ``goal`` keep what they have; it must get more, else the
    search ends there; no need after it loses, and each is served as well as
    that leaves room.  ``cuts`` grows by what is learnt.
    """
    ends = time.monotonic() + time_limit_s
    search = Serving(
        instance=instance,
        cuts=cuts,
        ends=ends,
        soft_end=ends,
        grow_end=ends,
        tell=lambda _what: None,
        check=check,
        tries=GOAL_TRIES,
        floor=now.placed.stages,
        polish=False,
    )
    if not now.loads_fed:
        search.feed_loads()
    else:
        modes = tuple(c.mode for c in now.placed.choices)
        search.wired = fed_by_modes(now.instance, modes)
        search.hookups = now.hookups
    stages = now.placed.stages
    search.stages = list(needs(stages[:goal]))
    wanted = stages[goal]
    if not search.serve(wanted.tier, surplus=wanted.surplus):
        return None
    if got(search.stages[-1]) <= got(wanted):
        return None
    return search.run_on(goal + 1)
