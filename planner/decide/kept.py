"""What a plan gives to everybody, in the numbers of an instance."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import IntEnum

from planner.decide.allocation import Allocation
from planner.decide.instance import Fed, Instance
from planner.decide.least import Seen
from planner.decide.placement import PlacementModel
from planner.decide.solver import total
from planner.decide.stage_values import StageValue, stage_order
from planner.result import Demand, Hookup, Placement, UnitUse

BagKey = tuple[str, bool]
"""A line, and whether the bags are surplus."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """A plan as it stands: what is to be kept, and what feeds it."""

    instance: Instance
    fed: tuple[Fed, ...]
    hookups: tuple[Hookup, ...]
    placements: tuple[Placement, ...]
    uses: tuple[UnitUse, ...]
    loads_fed: bool


class Depth(IntEnum):
    """Ways to look, the quickest first."""

    BESIDE = 0
    MOVED = 1
    WIRED_ANEW = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """An answer, and the plan when it is yes."""

    seen: Seen
    allocation: Allocation | None = None
    dealt: tuple[Placement, ...] = ()
    demand: tuple[Demand, ...] = ()


def kept_by(placements: tuple[Placement, ...]) -> dict[BagKey, int]:
    """Bags placed, by line and need or surplus."""
    kept: dict[BagKey, int] = {}
    for p in placements:
        kept[p.line_id, p.surplus] = kept.get((p.line_id, p.surplus), 0) + p.count
    return kept


def stages_of(
    instance: Instance, placements: tuple[Placement, ...]
) -> tuple[StageValue, ...]:
    """What each tier gets; what it needs stands for a bound, which nobody proved."""
    got = kept_by(placements)
    found = []
    for tier, surplus in stage_order(instance.goods):
        mine = [
            part
            for good in instance.goods
            if good.tier is tier and good.surplus is surplus
            for part in good.parts
        ]
        given = [part for part in mine if got.get((part.line_id, surplus), 0)]
        needed = sum(part.count for part in mine)
        homes = 0 if surplus else len({part.household for part in mine})
        found.append(
            StageValue(
                tier=tier,
                surplus=surplus,
                needed=needed,
                met=sum(got[part.line_id, surplus] for part in given),
                bound=needed,
                households=homes,
                households_met=(
                    0 if surplus else len({part.household for part in given})
                ),
                household_bound=homes,
                lateness=None,
            )
        )
    return tuple(found)


def bags_of_goods(
    instance: Instance, wanted: Mapping[BagKey, int]
) -> dict[int, int] | None:
    """Bags wanted of each good; ``None`` where a line has fewer, or none."""
    left = {key: n for key, n in wanted.items() if n}
    found: dict[int, int] = {}
    for g, good in enumerate(instance.goods):
        for part in good.parts:
            n = left.pop((part.line_id, good.surplus), 0)
            if n > part.count:
                return None
            if n:
                found[g] = found.get(g, 0) + n
    return None if left else found


def hold_goods(pm: PlacementModel, exactly: Mapping[int, int]) -> None:
    """Each good gets so many bags; one that is not named gets none."""
    for g, mine in sorted(pm.bags_of.items()):
        if mine or g in exactly:
            pm.model.add("T", total(mine) == exactly.get(g, 0))
