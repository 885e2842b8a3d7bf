"""Rules for what stands where: bands, litres, stock classes, access, ice.

One function a rule.  Each looks only at the nouns and at the hourly
profiles, never at how the plan was found.
"""

from collections.abc import Iterator

from planner.check import words
from planner.check.case import Case
from planner.check.ground import SMALL, broken
from planner.physics import profiles
from planner.physics.profiles import HeldBand
from planner.result import Finding, Placement
from planner.scenario import ColdUnit, Line, Segregation, UnitType

BAND_SLACK_C = 1e-9
NEVER_FREEZE_C = 2.0
"""Coldest a zone with never-freeze goods may get."""
TUB_SHARE = 0.9
"""Litres left when lidded tubs keep classes apart (estimate)."""
FILLS = (0.25, 0.5, 0.75, 1.0)
"""Warm fills for which a pull-down may be planned."""
NO_THERMOSTAT = (UnitType.ICE_CHEST, UnitType.COOL_SHELF, UnitType.EVAPORATIVE)
"""Kinds whose temperature is not set by a dial."""


def check_r1_band(case: Case) -> tuple[Finding, ...]:
    """R1: what a zone holds lies inside the band of every line in it."""
    found = []
    for put, line, unit in _puts(case):
        held = _held(case, put)
        where = f"{unit.name} holds {_band(held)}"
        low_c = line.keep_from_c
        if line.never_freeze:
            low_c = max(low_c, NEVER_FREEZE_C)
        if held.low_c < low_c - BAND_SLACK_C:
            text = f"{where}, too cold for {line.code}: not below {words.temp(low_c)}"
            found.append(broken("R1", line.id, text))
        if held.high_c > line.keep_to_c + BAND_SLACK_C:
            limit = words.temp(line.keep_to_c)
            text = f"{where}, too warm for {line.code}: not above {limit}"
            found.append(broken("R1", line.id, text))
    return tuple(found)


def check_r2_reach(case: Case) -> tuple[Finding, ...]:
    """R2: every unit that is on can hold its set points in its room."""
    found = []
    for use, unit in zip(case.claim.units_on, case.units_used(), strict=True):
        room_c = case.ground.rooms[unit.place]
        reach = profiles.reach(unit, use.set_points_c, room_c)
        if not reach.ok:
            text = f"{unit.name} cannot hold its set points: {reach.reason}"
            found.append(broken("R2", unit.id, text))
        for set_c in use.set_points_c if unit.kind not in NO_THERMOSTAT else ():
            if all(abs(set_c - can_c) > BAND_SLACK_C for can_c in unit.set_points_c):
                text = f"{unit.name} has no setting of {words.temp(set_c)}"
                found.append(broken("R2", unit.id, text))
    for _, line, unit in _puts(case):
        raw_chest = unit.kind is UnitType.ICE_CHEST and not unit.conditioned
        if line.never_freeze and raw_chest:
            text = f"{unit.name} has no conditioned packs: {line.code} may freeze"
            found.append(broken("R2", line.id, text))
    return tuple(found)


def check_r3_volume(case: Case) -> tuple[Finding, ...]:
    """R3: packed litres in each zone are no more than it takes."""
    found = []
    for use, unit in zip(case.claim.units_on, case.units_used(), strict=True):
        for zone, room_l in enumerate(_usable_l(case, unit, use.set_points_c)):
            placed_l = case.placed_l(unit.id, zone)
            if placed_l > room_l + SMALL:
                zone_of = f"zone {zone + 1} of " if len(unit.zone_shares) > 1 else ""
                text = (
                    f"{words.volume(placed_l)} in {zone_of}{unit.name},"
                    f" which takes {words.volume(room_l)}"
                )
                found.append(broken("R3", unit.id, text))
    return tuple(found)


def check_r4_segregation(case: Case) -> tuple[Finding, ...]:
    """R4: feeds and medicines are kept apart as the site chose."""
    found = []
    separate = case.ground.conditions.segregation is Segregation.UNITS
    for use, unit in zip(case.claim.units_on, case.units_used(), strict=True):
        classes: dict[int, list[str]] = {}
        for put in case.claim.placed_in(unit.id):
            stock = case.ground.lines[put.line_id].stock_class
            seen = classes.setdefault(put.zone, [])
            if stock.value not in seen:
                seen.append(stock.value)
            declared = use.stock_classes[put.zone]
            if declared is not None and declared is not stock:
                text = (
                    f"{stock.value} in a zone of {unit.name} kept for {declared.value}"
                )
                found.append(broken("R4", unit.id, text))
        kinds = sorted({kind for seen in classes.values() for kind in seen})
        if separate and len(kinds) > 1:
            text = f"{unit.name} holds {' and '.join(kinds)}; the site keeps them apart"
            found.append(broken("R4", unit.id, text))
    return tuple(dict.fromkeys(found))


def check_r5_custody(case: Case) -> tuple[Finding, ...]:
    """R5: controlled lines stand only in units that lock."""
    return tuple(
        broken("R5", line.id, f"{line.code} must be locked; {unit.name} does not lock")
        for _, line, unit in _puts(case)
        if line.locked and not unit.lockable
    )


def check_r6_access(case: Case) -> tuple[Finding, ...]:
    """R6: night need finds an open door; residents can reach their bags."""
    found = []
    for _, line, unit in _puts(case):
        place = case.ground.places[unit.place]
        if line.night_need and not place.open_at_night:
            text = f"{line.code} is needed at night; {place.name} is closed then"
            found.append(broken("R6", line.id, text))
        reached = place.reached_from
        own = line.place == place.name
        if not own and reached is not None and line.place not in reached:
            text = f"{line.code} stays at {line.place} and cannot reach {place.name}"
            found.append(broken("R6", line.id, text))
    return tuple(found)


def check_r8_warm_load(case: Case) -> tuple[Finding, ...]:
    """R8: no more goes in warm than the pull-down was planned for."""
    found = []
    for use, unit in zip(case.claim.units_on, case.units_used(), strict=True):
        if all(abs(use.warm_fill - fill) > SMALL for fill in FILLS):
            text = f"{unit.name} is planned for a warm fill of {use.warm_fill:g}"
            found.append(broken("R8", unit.id, text))
        room_c = case.ground.rooms[unit.place]
        planned_l = use.warm_fill * sum(
            profiles.usable_l(unit, use.set_points_c, room_c)
        )
        placed_l = case.placed_l(unit.id)
        if placed_l > planned_l + SMALL:
            text = (
                f"{words.volume(placed_l)} goes into {unit.name}, cooling down"
                f" is planned for {words.volume(planned_l)}"
            )
            found.append(broken("R8", unit.id, text))
    return tuple(found)


def check_r10_ice(case: Case) -> tuple[Finding, ...]:
    """R10: ice that the chests melt in a day is no more than the supply."""
    needed_kg = sum(chest_ice_kg(case).values())
    supply_kg = case.ground.conditions.ice_kg_day
    if needed_kg <= supply_kg + SMALL:
        return ()
    text = f"chests melt {needed_kg:.1f} kg of ice a day, {supply_kg:.1f} kg can be had"
    return (broken("R10", "ice", text),)


def check_r12_refreeze(case: Case) -> tuple[Finding, ...]:
    """R12: what has thawed never goes back below freezing."""
    return tuple(
        broken("R12", line.id, f"{line.code} has thawed; {unit.name} would refreeze it")
        for put, line, unit in _puts(case)
        if line.thawed and _held(case, put).high_c < 0
    )


def chest_ice_kg(case: Case) -> dict[str, float]:
    """Kilograms of ice a day of each ice chest that is on."""
    return {
        unit.id: profiles.ice_kg_day(
            unit, use.set_points_c, case.ground.rooms[unit.place], use.warm_fill
        )
        for use, unit in zip(case.claim.units_on, case.units_used(), strict=True)
        if unit.kind is UnitType.ICE_CHEST
    }


def _puts(case: Case) -> Iterator[tuple[Placement, Line, ColdUnit]]:
    for put in case.claim.placements:
        yield put, case.ground.lines[put.line_id], case.ground.units[put.unit_id]


def _held(case: Case, put: Placement) -> HeldBand:
    use = next(use for use in case.claim.units_on if use.unit_id == put.unit_id)
    unit = case.ground.units[put.unit_id]
    room_c = case.ground.rooms[unit.place]
    return profiles.held_band(unit, use.set_points_c[put.zone], room_c)


def _usable_l(
    case: Case, unit: ColdUnit, set_points_c: tuple[float, ...]
) -> list[float]:
    tubs = case.ground.conditions.segregation is Segregation.TUBS
    share = TUB_SHARE if tubs else 1.0
    room_c = case.ground.rooms[unit.place]
    return [share * each for each in profiles.usable_l(unit, set_points_c, room_c)]


def _band(held: HeldBand) -> str:
    return f"{words.temp(held.low_c)} to {words.temp(held.high_c)}"
