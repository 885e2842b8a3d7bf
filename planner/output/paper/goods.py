"""What stands in a unit, bag by bag, as the sheets show it."""

from collections.abc import Iterable
from dataclasses import dataclass

from planner.output.paper.facts import Facts
from planner.output.paper.phrases import keep_range
from planner.result import Placement
from planner.scenario import ColdUnit, Line

_COLDEST_FLUID_C = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """Bags of one line in one zone of a unit; ``tiers`` as letters."""

    zone: int
    line: Line
    count: int
    tiers: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Temperatures a zone must stay between, from what stands in it."""

    zone: int
    low_c: float
    high_c: float
    never_freeze: bool


def held_in(facts: Facts, unit: ColdUnit) -> tuple[Held, ...]:
    """What stands in a unit, by zone, code and row of the list."""
    found: dict[tuple[int, str], list[Placement]] = {}
    for placed in facts.plan.placements:
        if placed.unit_id == unit.id:
            found.setdefault((placed.zone, placed.line_id), []).append(placed)
    held = [
        Held(
            zone=zone,
            line=facts.index.lines[line_id],
            count=sum(one.count for one in parts),
            tiers=", ".join(sorted({one.tier.value for one in parts})),
        )
        for (zone, line_id), parts in found.items()
    ]
    return tuple(
        sorted(
            held, key=lambda one: (one.zone, one.line.code, one.line.row, one.line.id)
        )
    )


def limits(facts: Facts, unit: ColdUnit) -> tuple[Limits, ...]:
    """Temperatures at which somebody has to act, one a zone in use.

    Where the items' own ranges do not overlap the unit's set point stands
    alone; no plan that was checked has such a zone.
    """
    found = []
    held = held_in(facts, unit)
    for zone in sorted({one.zone for one in held}):
        lines = [one.line for one in held if one.zone == zone]
        found.append(
            Limits(
                zone=zone,
                low_c=max(coldest_c(one) for one in lines),
                high_c=min(one.keep_to_c for one in lines),
                never_freeze=any(one.never_freeze for one in lines),
            )
        )
    return tuple(found)


def units_on(facts: Facts) -> tuple[ColdUnit, ...]:
    """Units that are on, by name."""
    used = [one for one in facts.plan.scenario.units if one.id in facts.index.uses]
    return tuple(sorted(used, key=lambda one: (facts.name(one.id), one.id)))


def marks(facts: Facts, line: Line) -> str:
    """Words that stand beside a bag: never freeze, night, use first."""
    found = [
        *([facts.say("mark.never_freeze")] if line.never_freeze else []),
        *([facts.say("mark.night")] if line.night_need else []),
        *([facts.say("mark.thawed")] if line.thawed else []),
    ]
    return ", ".join(found)


def legend(facts: Facts, lines: Iterable[Line]) -> tuple[str, ...]:
    """What a mark means that does not say it itself, where one of the lines has it."""
    if any(one.night_need for one in lines):
        return (facts.say("mark.night_means"),)
    return ()


def keep_words(facts: Facts, line: Line) -> str:
    """Range a line is kept in."""
    return keep_range(facts, coldest_c(line), line.keep_to_c)


def coldest_c(line: Line) -> float:
    """Lower limit of a line; one that must never freeze stays at 2 C and above.

    The same limit as the plan's (rule R1), so that a label and a door never
    say less than the plan was made for.
    """
    if not line.never_freeze:
        return line.keep_from_c
    return max(line.keep_from_c, min(_COLDEST_FLUID_C, line.keep_to_c))


def reference(facts: Facts, line: Line) -> str:
    """Row of the list that a bag belongs to; the sheet too if there are several."""
    sheets = {one.sheet for one in facts.plan.scenario.lines}
    if len(sheets) < 2:
        return str(line.row)
    return f"{facts.free(line.sheet, 12)} {line.row}"
