"""A plan as the what-if checks look at it: what fits where, who comes when."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from planner.check.case import Case
from planner.check.ground import Claim, Ground
from planner.check.rules_goods import (
    check_r1_band,
    check_r2_reach,
    check_r5_custody,
    check_r6_access,
    check_r12_refreeze,
)
from planner.result import Placement, UnitUse
from planner.result_stress import Stranded
from planner.scenario import Line, Tier

ONE_BAG_RULES = (
    check_r1_band,
    check_r2_reach,
    check_r5_custody,
    check_r6_access,
    check_r12_refreeze,
)
"""Rules that a single bag in a zone keeps or breaks, whatever else is there."""

LOOKED_AT = (8, 20)
"""Clock hours of a visit when the site names none (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """A claim on its ground, with what is asked of it again and again."""

    ground: Ground
    claim: Claim
    uses: Mapping[str, UnitUse]
    allowed_h: Mapping[tuple[str, Tier, bool], float]
    fits: Callable[[Line, str, int], bool]

    def rank(self, put: Placement) -> Tier:
        """Tier in which a placement counts, stock beyond the need lower."""
        return stranded(put, put.count, None).rank


def lay_site(ground: Ground, claim: Claim) -> Site:
    """Make the look-ups; what fits where is asked of the audit, once each."""
    uses = {use.unit_id: use for use in claim.units_on}
    known: dict[tuple[object, ...], bool] = {}

    def fits(line: Line, unit_id: str, zone: int) -> bool:
        like = (
            line.keep_from_c, line.keep_to_c, line.never_freeze, line.thawed,
            line.locked, line.night_need, line.place, unit_id, zone,
        )  # fmt: skip
        if like not in known:
            known[like] = _keeps_rules(ground, uses[unit_id], line, zone)
        return known[like]

    return Site(
        ground=ground,
        claim=claim,
        uses=uses,
        allowed_h={
            (d.line_id, d.tier, d.surplus): d.allowance_h or 0.0 for d in claim.demands
        },
        fits=fits,
    )


def visits(ground: Ground) -> tuple[int, ...]:
    """Hours of the window in which somebody comes by; the first is one."""
    hours = ground.conditions.swap_hours or LOOKED_AT
    return tuple(
        hour
        for hour in range(ground.window_h)
        if hour == 0 or ground.conditions.clock(hour).hour in hours
    )


def stranded(put: Placement, count: int, until_h: float | None) -> Stranded:
    """Bags of a placement that have no cold place any more."""
    return Stranded(
        line_id=put.line_id,
        unit_id=put.unit_id,
        count=count,
        tier=put.tier,
        surplus=put.surplus,
        until_h=until_h,
    )


def _keeps_rules(ground: Ground, use: UnitUse, line: Line, zone: int) -> bool:
    bag = Placement(
        line_id=line.id, unit_id=use.unit_id, zone=zone, count=1,
        tier=Tier.A, surplus=False,
    )  # fmt: skip
    alone = Case(
        ground=ground, claim=Claim(units_on=(use,), placements=(bag,)), runs={}
    )
    return not any(rule(alone) for rule in ONE_BAG_RULES)
