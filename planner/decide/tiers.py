"""What each tier needed and got, with its proven ceiling."""

from planner.decide.allocation import Allocation
from planner.decide.explain import Unplaced
from planner.decide.stage_values import StageValue
from planner.result import Demand, Placement, TierResult
from planner.scenario import Tier


def tier_results(
    allocation: Allocation,
    demand: tuple[Demand, ...],
    placements: tuple[Placement, ...],
    rest: Unplaced,
) -> tuple[TierResult, ...]:
    """One row a tier, in order; tiers without any bag are left out."""
    need = {s.tier: s for s in allocation.placed.stages if not s.surplus}
    found = []
    for tier in Tier:
        mine = [d for d in demand if d.tier is tier]
        if not mine:
            continue
        stage = need.get(tier) or _empty(tier)
        surplus = sum(d.count for d in mine if d.surplus)
        needs = {d.line_id for d in mine if not d.surplus}
        warm = sum(c.count for c in rest.warm_clocks if c.line_id in needs)
        short = sum(
            s.count for s in rest.shortfalls if s.tier is tier and not s.surplus
        )
        met = sum(p.count for p in placements if p.tier is tier and not p.surplus)
        found.append(
            TierResult(
                tier=tier,
                households=stage.households,
                households_met=stage.households_met,
                household_bound=stage.household_bound,
                needed=sum(d.count for d in mine if not d.surplus),
                met=met,
                bound=stage.bound,
                warm=min(warm, max(0, stage.needed - met - short)),
                short=short,
                surplus=surplus,
                surplus_met=sum(
                    p.count for p in placements if p.tier is tier and p.surplus
                ),
            )
        )
    return tuple(found)


def _empty(tier: Tier) -> StageValue:
    return StageValue(
        tier=tier,
        surplus=False,
        needed=0,
        met=0,
        bound=0,
        households=0,
        households_met=0,
        household_bound=0,
        lateness=None,
    )


def tier_values(stages: tuple[StageValue, ...]) -> tuple[int, ...]:
    """Numbers to compare two plans by, most important first."""
    return tuple(n for s in stages for n in (s.households_met, s.met))
