"""What the stages of a plan got: a stage is one tier, its need or its surplus."""

from dataclasses import dataclass, replace

from planner.decide.goods import Good
from planner.scenario import Tier


@dataclass(frozen=True, slots=True, kw_only=True)
class StageValue:
    """What a tier got and the most it could get.

    ``lateness`` is the sum of allowance ranks, ``None`` where it was not
    made least because every bag was placed.
    """

    tier: Tier
    surplus: bool
    needed: int
    met: int
    bound: int
    households: int
    households_met: int
    household_bound: int
    lateness: int | None


def got(stage: StageValue) -> tuple[int, int]:
    """What a stage got, most important first."""
    return stage.households_met, stage.met


def in_full(stage: StageValue) -> bool:
    """True when every bag and household of the stage is served."""
    return stage.met >= stage.needed and stage.households_met >= stage.households


def at_bound(stage: StageValue) -> bool:
    """True when the stage got the most that it could get."""
    return got(stage) == (stage.household_bound, stage.bound)


def at_most(stage: StageValue) -> StageValue:
    """A stage of which no bound is known but what is needed."""
    return replace(stage, bound=stage.needed, household_bound=stage.households)


def needs(stages: tuple[StageValue, ...]) -> tuple[StageValue, ...]:
    """The stages that are not surplus."""
    return tuple(s for s in stages if not s.surplus)


def of_stages(*stages: tuple[StageValue, ...]) -> frozenset[tuple[Tier, bool]]:
    """Tier and kind of stock of some stages."""
    return frozenset((s.tier, s.surplus) for some in stages for s in some)


def stage_order(goods: tuple[Good, ...]) -> list[tuple[Tier, bool]]:
    """Tiers in order, need before surplus."""
    return sorted({(g.tier, g.surplus) for g in goods})
