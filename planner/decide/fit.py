"""Which line may go where, and which rule says no.

One function a rule, each a plain predicate on nouns, so that the model, the
explanations and the borrow order all ask the same question.
"""

from dataclasses import dataclass

from planner.physics.profiles import HeldBand
from planner.result import ReasonFamily
from planner.scenario import ColdUnit, Line, Place, Scenario, UnitType

_SLACK_C = 1e-9
NEVER_FREEZE_LOW_C = 2.0
"""Coldest a zone may get with never-freeze items inside (R1)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """One zone of one unit at one set point, with the band it holds."""

    unit: ColdUnit
    zone: int
    set_point_c: float
    held: HeldBand


def fits_r1_band(line: Line, held: HeldBand) -> bool:
    """R1: the held band lies inside the line's own."""
    inside = (
        held.low_c >= line.keep_from_c - _SLACK_C
        and held.high_c <= line.keep_to_c + _SLACK_C
    )
    if not inside or not line.never_freeze:
        return inside
    return held.low_c >= max(NEVER_FREEZE_LOW_C, line.keep_from_c) - _SLACK_C


def fits_r2_chest(line: Line, unit: ColdUnit) -> bool:
    """R2: never-freeze lines only in chests with packs conditioned."""
    return not (
        line.never_freeze and unit.kind is UnitType.ICE_CHEST and not unit.conditioned
    )


def fits_r5_custody(line: Line, unit: ColdUnit) -> bool:
    """R5: controlled lines only in lockable units."""
    return unit.lockable or not line.locked


def fits_r6_access(line: Line, place: Place) -> bool:
    """R6: night need and reach of the resident."""
    if line.night_need and not place.open_at_night:
        return False
    if line.place == place.name or place.reached_from is None:
        return True
    return line.place in place.reached_from


def fits_r11_ready(
    line: Line, unit: ColdUnit, allowance_h: float | None, window_h: int
) -> bool:
    """R11: hours before the loan is ready and after it goes back."""
    terms = unit.availability
    outside_h = min(terms.ready_h, window_h)
    if terms.back_h is not None:
        outside_h += max(0, window_h - terms.back_h)
    return outside_h <= (allowance_h or 0.0) + 1e-9


def fits_r12_refreeze(line: Line, held: HeldBand) -> bool:
    """R12: thawed lines never go back below freezing."""
    return held.high_c >= 0 or not line.thawed


def refusal(
    scenario: Scenario, line: Line, spot: Spot, allowance_h: float | None
) -> ReasonFamily | None:
    """Family of the first rule that keeps the line out of the spot."""
    window_h = scenario.conditions.window_h
    place = scenario.place(spot.unit.place)
    checks = (
        (fits_r1_band(line, spot.held), ReasonFamily.BAND),
        (fits_r2_chest(line, spot.unit), ReasonFamily.BAND),
        (fits_r12_refreeze(line, spot.held), ReasonFamily.BAND),
        (fits_r5_custody(line, spot.unit), ReasonFamily.CUSTODY),
        (fits_r6_access(line, place), ReasonFamily.ACCESS),
        (fits_r11_ready(line, spot.unit, allowance_h, window_h), ReasonFamily.READY),
    )
    return next((family for ok, family in checks if not ok), None)
