"""A plan as the what-if checks look at it: what fits where, who comes when."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from planner.check.case import Case
from planner.check.ground import Claim, Ground
from planner.check.rules_goods import (
    TUB_SHARE,
    check_r1_band,
    check_r2_reach,
    check_r5_custody,
    check_r6_access,
    check_r12_refreeze,
)
from planner.physics import profiles
from planner.result import Placement, UnitUse
from planner.result_stress import Stranded
from planner.scenario import Line, Segregation, StockClass, Tier

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
class Room:
    """What is left in a unit: litres by zone, litres that may go in warm (R8).

    ``classes`` are those of what stands in it, ``there`` the hours it is here.
    """

    zone_l: tuple[float, ...]
    warm_l: float
    classes: tuple[StockClass, ...]
    there: range


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """A claim on its ground, with what is asked of it again and again."""

    ground: Ground
    claim: Claim
    uses: Mapping[str, UnitUse]
    placed: Mapping[str, tuple[Placement, ...]]
    rooms: Mapping[str, Room]
    allowed_h: Mapping[tuple[str, Tier, bool], float]
    fits: Callable[[Line, str, int], bool]


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
            known[like] = keeps_rules(ground, uses[unit_id], line, zone)
        return known[like]

    placed = _by_unit(claim)
    return Site(
        ground=ground,
        claim=claim,
        uses=uses,
        placed=placed,
        rooms={one: _room(ground, use, placed[one]) for one, use in uses.items()},
        allowed_h={
            (d.line_id, d.tier, d.surplus): d.allowance_h or 0.0 for d in claim.demands
        },
        fits=fits,
    )


def with_placements(site: Site, claim: Claim) -> Site:
    """Give the site with another claim, in which bags stand elsewhere."""
    placed = _by_unit(claim)
    rooms = {
        use.unit_id: _room(site.ground, use, placed[use.unit_id])
        for use in claim.units_on
    }
    return replace(site, claim=claim, placed=placed, rooms=rooms)


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


def _by_unit(claim: Claim) -> dict[str, tuple[Placement, ...]]:
    found: dict[str, list[Placement]] = {use.unit_id: [] for use in claim.units_on}
    for put in claim.placements:
        found.setdefault(put.unit_id, []).append(put)
    return {unit_id: tuple(puts) for unit_id, puts in found.items()}


def _room(ground: Ground, use: UnitUse, placed: tuple[Placement, ...]) -> Room:
    unit = ground.units[use.unit_id]
    usable = profiles.usable_l(unit, use.set_points_c, ground.rooms[unit.place])
    tubs = ground.conditions.segregation is Segregation.TUBS
    zone_l = [TUB_SHARE * litres if tubs else litres for litres in usable]
    warm_l = use.warm_fill * sum(usable)
    for put in placed:
        litres = put.count * ground.lines[put.line_id].volume_l
        zone_l[put.zone] -= litres
        warm_l -= litres
    classes = (ground.lines[put.line_id].stock_class for put in placed)
    return Room(
        zone_l=tuple(zone_l),
        warm_l=warm_l,
        classes=tuple(dict.fromkeys(classes)),
        there=ground.available_hours(unit.availability),
    )


def keeps_rules(ground: Ground, use: UnitUse, line: Line, zone: int) -> bool:
    """Tell whether one bag of a line may stand in a zone, whatever else is there."""
    bag = Placement(
        line_id=line.id, unit_id=use.unit_id, zone=zone, count=1,
        tier=Tier.A, surplus=False,
    )  # fmt: skip
    alone = Case(
        ground=ground, claim=Claim(units_on=(use,), placements=(bag,)), runs={}
    )
    return not any(rule(alone) for rule in ONE_BAG_RULES)
