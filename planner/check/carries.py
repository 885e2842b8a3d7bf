"""The move list walked through once more, bag by bag."""

from collections import Counter, defaultdict

from planner.check.ground import SMALL, Ground, broken, lay_ground
from planner.check.rules_goods import TUB_SHARE
from planner.physics import profiles
from planner.result import Finding, Placement, UnitUse
from planner.result_moves import DESK, Carry
from planner.result_replan import Standing
from planner.scenario import Scenario, Segregation

Spot = tuple[str, int]


def check_carries(
    scenario: Scenario,
    standing: tuple[Standing, ...],
    carries: tuple[Carry, ...],
    placements: tuple[Placement, ...],
    units_on: tuple[UnitUse, ...],
) -> tuple[Finding, ...]:
    """Carry every bag as told and see whether the plan comes out.

    Fatal when a bag is taken from where none stands, when a zone is filled
    over its litres or with two classes of stock on the way, or when the end
    is not the plan.
    """
    ground = lay_ground(scenario)
    room_l = _room_l(ground, units_on)
    inside: dict[Spot, Counter[str]] = defaultdict(Counter)
    for one in standing:
        inside[one.unit_id, one.zone][one.line_id] += one.count
    found: list[Finding] = []
    for carry in carries:
        start = carry.from_unit_id, carry.from_zone
        end = carry.to_unit_id, carry.to_zone
        faults = []
        if start[0] != DESK:
            inside[start][carry.line_id] -= carry.count
            if inside[start][carry.line_id] < 0:
                faults.append(("", "more bags are taken out than stand there"))
        if end[0] != DESK:
            inside[end][carry.line_id] += carry.count
            faults += _faults(ground, inside, end, room_l.get(end, -1.0))
        found += [
            broken(rule, carry.line_id, f"move {carry.order}: {text}")
            for rule, text in faults
        ]
    if _bags(inside) != _wanted(placements):
        found.append(broken("", "moves", "the moves do not end in the plan"))
    return tuple(found)


def _faults(
    ground: Ground, inside: dict[Spot, Counter[str]], end: Spot, room_l: float
) -> list[tuple[str, str]]:
    """Rules that the spot breaks with what stands there now."""
    faults = []
    held = {line: n for line, n in inside[end].items() if line in ground.lines}
    litres = sum(n * ground.lines[line].volume_l for line, n in held.items())
    if litres > room_l + 10 * SMALL:
        faults.append(("R3", "the zone has no room for it yet"))
    if ground.conditions.segregation is Segregation.UNITS:
        classes = {
            ground.lines[line].stock_class
            for (unit, _), some in inside.items()
            if unit == end[0]
            for line, n in some.items()
            if n > 0 and line in ground.lines
        }
        if len(classes) > 1:
            faults.append(("R4", "feeds and medicines would stand together"))
    return faults


def _bags(inside: dict[Spot, Counter[str]]) -> Counter[tuple[Spot, str]]:
    return Counter(
        {
            (spot, line): n
            for spot, held in inside.items()
            for line, n in held.items()
            if n
        }
    )


def _wanted(placements: tuple[Placement, ...]) -> Counter[tuple[Spot, str]]:
    wanted: Counter[tuple[Spot, str]] = Counter()
    for put in placements:
        wanted[(put.unit_id, put.zone), put.line_id] += put.count
    return wanted


def _room_l(ground: Ground, units_on: tuple[UnitUse, ...]) -> dict[Spot, float]:
    tubs = ground.conditions.segregation is Segregation.TUBS
    return {
        (use.unit_id, zone): litres * (TUB_SHARE if tubs else 1.0)
        for use in units_on
        for zone, litres in enumerate(
            profiles.usable_l(
                ground.units[use.unit_id],
                use.set_points_c,
                ground.rooms[ground.units[use.unit_id].place],
            )
        )
    }
