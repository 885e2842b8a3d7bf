"""The sheet on the door of a unit: set point, contents, feed, rules."""

from planner.output.late import late_bags
from planner.output.paper.facts import Facts
from planner.output.paper.goods import (
    Limits,
    held_in,
    keep_words,
    legend,
    limits,
    marks,
    reference,
)
from planner.output.paper.page import PaperSize
from planner.output.paper.pen import Column, Pen
from planner.output.paper.phrases import (
    bags,
    clock,
    degrees,
    feeds,
    keep_range,
    lasts,
    percent,
    sentence,
    set_to,
    tied,
)
from planner.output.words import ice
from planner.physics.profiles import ice_kg_day, room_temp_c
from planner.result import Plan
from planner.scenario import ColdUnit, UnitType

_BIG_PT = 26.0
_SPARE_ROWS = 3
_AT_THE_PLUG = frozenset({"door.wrong.2", "door.wrong.3", "door.rule.4"})
"""Steps that speak of plug and dial, each with another one for units without."""
_HEADING_PT = 30.0


def door_sheet(facts: Facts, unit: ColdUnit, size: PaperSize) -> Pen:
    """Write the door sheet of one unit."""
    pen = Pen(size, door_title(facts, unit), facts.say("page.continued"))
    count = sum(one.count for one in held_in(facts, unit))
    inside = facts.words.count("door.inside", count)
    pen.text(facts.say("door.place", place=facts.place(unit.place), inside=inside))
    for line in set_lines(facts, unit):
        pen.text(line, _BIG_PT, bold=True)
    pen.text(facts.say(f"dial.{dial_key(unit)}"))
    for limit in limits(facts, unit):
        pen.notice(act_words(facts, unit, limit))
    cold, *ask = cold_words(facts, unit) or ("",)
    if cold:
        pen.notice(cold)
    for said in ask:
        pen.text(said, bold=True)
    if any(limit.never_freeze for limit in limits(facts, unit)):
        pen.notice(facts.say("door.never_freeze"))
    pen.heading(facts.say("door.wrong"))
    pen.points(
        [say_for(facts, unit, f"door.wrong.{one}") for one in range(1, 7)],
        numbered=True,
    )
    pen.fields([facts.say("field.wake"), facts.say("field.pharmacist")])
    _power(facts, unit, pen)
    # A rule that stands alone on the next page is not read at the door.
    rules = [say_for(facts, unit, f"door.rule.{one}") for one in range(1, 5)]
    pen.heading(facts.say("door.rules"), keep_pt=pen.height_of(rules) + _HEADING_PT)
    pen.points(rules)
    _contents(facts, unit, pen)
    return pen


def door_title(facts: Facts, unit: ColdUnit) -> str:
    """Title of a door sheet."""
    return facts.say("door.title", unit=facts.name(unit.id))


def set_lines(facts: Facts, unit: ColdUnit) -> tuple[str, ...]:
    """Set point in large type, a line a zone."""
    points = facts.index.uses[unit.id].set_points_c
    # What has no dial cannot be set: it is aimed at by hand.
    key = "door.set" if dial_key(unit) == "set" else "door.aim"
    if len(points) == 1:
        return (facts.say(key, temp=set_to(facts, unit)),)
    return tuple(
        facts.say(f"{key}_zone", zone=zone, temp=degrees(facts, temp_c))
        for zone, temp_c in enumerate(points, start=1)
    )


def act_words(facts: Facts, unit: ColdUnit, limit: Limits) -> str:
    """Say between which temperatures a zone must stay."""
    key = "door.act" if len(unit.zone_shares) == 1 else "door.act_zone"
    return facts.say(
        key,
        zone=limit.zone + 1,
        range=keep_range(facts, limit.low_c, limit.high_c),
    )


def cold_words(facts: Facts, unit: ColdUnit) -> tuple[str, ...]:
    """From when a unit is expected cold, and for whom that is too late."""
    found = facts.index.cooling(unit.id)
    if found is None:
        return ()
    window_h = facts.plan.scenario.conditions.window_h
    key = "door.cold_never" if found.cold_h is None else "door.cold"
    when = clock(facts, window_h if found.cold_h is None else found.cold_h)
    count = sum(one.count for one in late_bags(facts.index, unit.id))
    return (
        facts.say(key, when=when),
        *([facts.say("door.cold_ask", bags=bags(facts, count))] if count else []),
    )


def ice_words(plan: Plan, facts: Facts, unit: ColdUnit) -> str:
    """Ice a chest melts on its worst day; empty for other units."""
    if unit.kind is not UnitType.ICE_CHEST:
        return ""
    use = facts.index.uses[unit.id]
    room_c = room_temp_c(plan.scenario.place(unit.place), plan.scenario.conditions)
    kg_day = ice_kg_day(unit, use.set_points_c, room_c, use.warm_fill)
    return facts.say("door.ice", ice=tied(ice(kg_day, facts.how.units)))


def say_for(facts: Facts, unit: ColdUnit, key: str) -> str:
    """Say a step of a door sheet; where there is no plug, what is done instead."""
    kind = dial_key(unit)
    if kind != "set" and key in _AT_THE_PLUG:
        key = f"{key}.{kind}"
    return facts.say(key)


def dial_key(unit: ColdUnit) -> str:
    """Kind of advice on how to bring a unit to its set point."""
    return {
        UnitType.ICE_CHEST: "ice",
        UnitType.COOL_SHELF: "shelf",
        UnitType.EVAPORATIVE: "wet",
        UnitType.ELSEWHERE: "elsewhere",
    }.get(unit.kind, "set")


def _power(facts: Facts, unit: ColdUnit, pen: Pen) -> None:
    pen.heading(facts.say("door.power"))
    ice = ice_words(facts.plan, facts, unit)
    fill = facts.index.uses[unit.id].warm_fill
    pen.points(
        [
            *feeds(facts, unit),
            *(sentence(one) for one in lasts(facts, unit)),
            *([ice] if ice else []),
            *([facts.say("door.warm_fill", share=percent(fill))] if fill < 1 else []),
        ]
    )


def _contents(facts: Facts, unit: ColdUnit, pen: Pen) -> None:
    held = held_in(facts, unit)
    zones = len(unit.zone_shares) > 1
    total = sum(one.count for one in held)
    pen.heading(facts.words.count("door.inside", total), keep_pt=170)
    pen.text(facts.say("door.inside_note"))
    for said in legend(facts, (one.line for one in held)):
        pen.text(said)
    columns = [
        *([Column(facts.say("head.zone"), 6)] if zones else []),
        Column(facts.say("head.code"), 10, bold=True),
        Column(facts.say("head.row"), 6.5),
        Column(facts.say("head.bags"), 8, bold=True),
        Column(facts.say("head.tier"), 6.5),
        Column(facts.say("head.keep"), 15 if zones else 16),
        Column(facts.say("head.mind"), 15.5 if zones else 16.5, bold=True),
        Column(facts.say("head.out"), 9),
    ]
    rows = [
        (
            *((str(one.zone + 1),) if zones else ()),
            one.line.code,
            reference(facts, one.line),
            str(one.count),
            one.tiers,
            keep_words(facts, one.line),
            marks(facts, one.line),
            "",
        )
        for one in held
    ]
    spare = [("",) * len(columns)] * _SPARE_ROWS
    pen.table(columns, [*rows, *spare], row_pt=22)
