"""A placement in numbers: bags by good and slot, and the modes that hold them."""

from dataclasses import dataclass

from planner.decide.goods import SlotKey
from planner.decide.instance import Instance, Mode
from planner.decide.stage_values import StageValue
from planner.scenario import StockClass, Tier


@dataclass(frozen=True, slots=True, kw_only=True)
class ModeChoice:
    """A mode of a unit, and the only class of stock it may hold."""

    mode: Mode
    stock_class: StockClass | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A solved placement: counts by good and slot, and the modes chosen.

    ``served`` has the households served of each family, where it was solved.
    """

    counts: dict[tuple[int, SlotKey], int]
    choices: tuple[ModeChoice, ...]
    stages: tuple[StageValue, ...]
    taken: frozenset[str]
    proven: bool
    served: tuple[int, ...] = ()


def nothing_placed() -> Placed:
    """A placement without any bag."""
    return Placed(counts={}, choices=(), stages=(), taken=frozenset(), proven=True)


def as_placed(
    instance: Instance, placed: Placed, tier: Tier, *, surplus: bool
) -> StageValue:
    """What a tier has in a placement; the bound is what it needs."""
    goods = enumerate(instance.goods)
    mine = {i: g for i, g in goods if (g.tier, g.surplus) == (tier, surplus)}
    families = [
        (family.households, served)
        for family, served in zip(instance.families, placed.served, strict=True)
        if family.tier is tier and not surplus
    ]
    needed = sum(g.count for g in mine.values())
    households = sum(n for n, _ in families)
    return StageValue(
        tier=tier,
        surplus=surplus,
        needed=needed,
        met=sum(n for (g, _), n in placed.counts.items() if g in mine),
        bound=needed,
        households=households,
        households_met=sum(served for _, served in families),
        household_bound=households,
        lateness=None,
    )
