"""Who comes first: label allowance left today, and the tier it leads to.

Critical is not the same as cold-urgent.  For every line the allowance left
at today's room temperature is worked out first; the tier follows from it,
the consequence of a miss and the window, in one sentence a line.
"""

import math
from dataclasses import dataclass
from datetime import datetime, timedelta

from planner.physics.profiles import Hourly, room_temp_c
from planner.result import Demand
from planner.scenario import (
    Conditions,
    Consequence,
    Gate,
    Line,
    Scenario,
    Tier,
)

_SURPLUS_TIER = {
    Tier.A: Tier.D,
    Tier.B: Tier.D,
    Tier.C: Tier.D,
    Tier.D: Tier.E,
    Tier.E: Tier.E,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowance:
    """Label allowance left at room temperature.

    ``hours`` is ``None`` when no allowance is known (read as none);
    ``until`` is the matching clock time; ``why`` says what set it.
    """

    hours: float | None
    until: datetime | None
    why: str


def allowance_left(line: Line, room_c: Hourly, conditions: Conditions) -> Allowance:
    """Hours the line may still stay at room temperature.

    The clock kinds of the label all spend the hours since ``out_since``;
    they differ in what happens after a return to the cold, which the plan
    never counts on.  The allowance ends at the first hour hotter than the
    label's maximum and never runs past the keep-by date.
    """
    if line.frozen:
        return Allowance(hours=None, until=None, why="must stay frozen")
    if line.warm_hours is None:
        return Allowance(hours=None, until=None, why="no allowance known")
    left_h = float(line.warm_hours)
    why = "label allowance"
    if line.out_since is not None:
        spent_h = (conditions.start - line.out_since).total_seconds() / 3600
        left_h -= max(0.0, spent_h)
        why = "label allowance less the hours already out"
    if line.warm_max_c is not None:
        hot = [h for h, temp in enumerate(room_c) if temp > line.warm_max_c + 1e-9]
        if hot and hot[0] < left_h:
            left_h = float(hot[0])
            why = "the room gets hotter than the label's maximum"
    if line.keep_by is not None:
        dated_h = (line.keep_by - conditions.start).total_seconds() / 3600
        if dated_h < left_h:
            left_h, why = dated_h, "the date on the pack"
    left_h = max(0.0, left_h)
    return Allowance(
        hours=left_h, until=conditions.start + timedelta(hours=left_h), why=why
    )


def tier_of(line: Line, allowance: Allowance, window_h: int) -> tuple[Tier, str]:
    """Tier of a line and the one sentence that explains it."""
    if line.tier_given is not None:
        return line.tier_given, "tier given on the sheet"
    outlasts = allowance.hours is not None and allowance.hours >= window_h
    left = (
        "no allowance known"
        if allowance.hours is None
        else f"{allowance.hours:.0f} h allowance left ({allowance.why})"
    )
    match line.consequence:
        case Consequence.LIFE if not outlasts:
            return Tier.A, f"life-critical and {left}, shorter than the window"
        case Consequence.LIFE:
            return Tier.C, f"life-critical, {left}, outlasts the window"
        case Consequence.ONLY_FEED:
            return Tier.B, f"an infant's or tube-fed person's only feed, {left}"
        case Consequence.HARD_TO_REPLACE:
            return Tier.D, f"hard to replace, {left}"
        case Consequence.UNKNOWN:
            return Tier.D, f"not known what it is: provisional place, {left}"
        case Consequence.PET:
            return Tier.E, f"for a pet, {left}"
        case _:
            return Tier.E, f"replaceable or comfort, {left}"


def needed_bags(line: Line, window_h: int) -> int:
    """Bags that the window uses; all of them when the use is not known."""
    if line.daily_use is None:
        return line.quantity
    return min(line.quantity, math.ceil(line.daily_use * window_h / 24 - 1e-9))


def demands(scenario: Scenario) -> tuple[Demand, ...]:
    """Demands of every line of the pool, in line order.

    Lines outside the pool (with the person, cool shelf, food) have none.
    """
    cond = scenario.conditions
    rooms = {p.name: room_temp_c(p, cond) for p in scenario.places}
    found: list[Demand] = []
    for line in scenario.lines:
        if line.gate is not Gate.POOL or line.quantity <= 0:
            continue
        left = allowance_left(line, rooms[line.place], cond)
        tier, why = tier_of(line, left, cond.window_h)
        need = needed_bags(line, cond.window_h)
        parts = [
            (tier, need, False, why),
            (
                _SURPLUS_TIER[tier],
                line.quantity - need,
                True,
                f"stock beyond the window's need (need is tier {tier})",
            ),
        ]
        found += [
            Demand(
                line_id=line.id,
                tier=part_tier,
                count=count,
                surplus=surplus,
                allowance_h=left.hours,
                safe_until=left.until,
                why=part_why,
            )
            for part_tier, count, surplus, part_why in parts
            if count > 0
        ]
    return tuple(found)


def outlasts_window(demand: Demand, window_h: int) -> bool:
    """True when bags not placed cold may wait on a written clock instead."""
    return demand.allowance_h is not None and demand.allowance_h >= window_h
