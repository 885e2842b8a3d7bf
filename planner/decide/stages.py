"""What is asked of a placement, tier by tier: the stages before it are held.

``stage_search.py`` finds the answers.
"""

from dataclasses import replace

from planner.decide.placed import Placed
from planner.decide.placement import PlacementModel
from planner.decide.solver import total, value, whole
from planner.decide.stage_search import StageSearch
from planner.decide.stage_values import StageValue, got, needs
from planner.scenario import Tier


def next_stage(
    pm: PlacementModel,
    before: tuple[StageValue, ...],
    tier: Tier,
    *,
    surplus: bool,
    after: tuple[StageValue, ...] = (),
    known: Placed | None = None,
    at_most: StageValue | None = None,
    in_order: bool = True,
    node_limit: int | None = None,
    near: bool = False,
    time_limit_s: float,
) -> tuple[StageValue, Placed] | None:
    """Most that a tier can get with the stages before it held, at least load.

    Stages ``after`` it get no less than they say; ``known`` is a placement
    from which the search may start, ``node_limit`` ends it early.  The bound of
    ``at_most`` is known to hold; ``in_order`` also looks for the shortest
    allowances.  ``None`` when nothing was found in time.
    """
    hold(pm, before)
    hold_all(pm, after)
    if known is not None:
        pm.start_from(known)
    run = StageSearch(pm, time_limit_s=time_limit_s)
    run.stages = list(before)
    run.at_most, run.in_order, run.near = at_most, in_order, near
    if not run.tier(tier, surplus=surplus, node_limit=node_limit):
        return None
    run.lean()
    if run.last is None:
        return None
    return run.stages[-1], run.last


def shortest_first(
    pm: PlacementModel,
    before: tuple[StageValue, ...],
    stage: StageValue,
    *,
    after: tuple[StageValue, ...] = (),
    known: Placed,
    time_limit_s: float,
) -> tuple[StageValue, Placed]:
    """The shortest allowances for as many bags as a stage got, at least load.

    ``known`` is a placement that gives them; it is the answer where none is
    found in time.
    """
    hold(pm, (*before, stage))
    hold_all(pm, after)
    pm.start_from(known)
    run = StageSearch(pm, time_limit_s=time_limit_s)
    run.stages, run.last = list(before), known
    mine = pm.goods_of(stage.tier, surplus=stage.surplus)
    stage = replace(stage, lateness=run.shortest_allowance(mine))
    run.stages.append(stage)
    run.lean()
    return stage, run.last


def gain_at(
    pm: PlacementModel, now: tuple[StageValue, ...], i: int, *, time_limit_s: float
) -> tuple[int, int] | None:
    """Households and bags that stage ``i`` can get while no need loses.

    ``None`` when that is no more than it has; else the gain is held.
    """
    hold(pm, now[:i])
    hold_all(pm, needs(now[i + 1 :]))
    run = StageSearch(pm, time_limit_s=time_limit_s)
    stage = now[i]
    bags = pm.placed(pm.goods_of(stage.tier, surplus=stage.surplus))
    homes = total([]) if stage.surplus else pm.homes(stage.tier)
    outcome = run.minimise(-((stage.needed + 1) * homes) - bags)
    if not outcome.found:
        return None
    more = round(value(homes)), round(value(bags))
    if more <= got(stage):
        return None
    pm.model.add("T", homes >= more[0])
    pm.model.add("T", bags >= more[1])
    return more


def settle(
    pm: PlacementModel, gives_wh: dict[str, float], *, time_limit_s: float
) -> Placed | None:
    """Fewest loans for what is held, and of those the ones that ease it most.

    Least load less the energy that the loans bring: a wiring is likeliest
    where most is left over.
    """
    run = StageSearch(pm, time_limit_s=time_limit_s)
    asked = total(pm.take.values())
    if not run.minimise(asked).found:
        return None
    pm.model.add("T", asked <= whole(asked))
    brought = total(gives_wh.get(i, 0.0) / 1000.0 * v for i, v in pm.take.items())
    run.lean(brought)
    return run.last


def hold_all(pm: PlacementModel, stages: tuple[StageValue, ...]) -> None:
    """No stage gets less than it says, in bags or in households."""
    for stage in stages:
        mine = pm.goods_of(stage.tier, surplus=stage.surplus)
        pm.model.add("T", pm.placed(mine) >= stage.met)
        if stage.households:
            pm.model.add("T", pm.homes(stage.tier) >= stage.households_met)


def hold(pm: PlacementModel, stages: tuple[StageValue, ...]) -> None:
    """Hold every tier at what it got, the urgency of its bags included."""
    for stage in stages:
        hold_all(pm, (stage,))
        if stage.lateness is not None:
            score, _ = pm.lateness(pm.goods_of(stage.tier, surplus=stage.surplus))
            pm.model.add("T", score <= stage.lateness)
