"""Blank boxes for temperatures and batteries, with the times to look."""

from planner.output.paper.door import dial_key
from planner.output.paper.facts import Facts
from planner.output.paper.goods import Limits, limits
from planner.output.paper.page import PaperSize
from planner.output.paper.pen import Column, Pen
from planner.output.paper.phrases import clock, keep_range, set_to
from planner.result import Link
from planner.scenario import ColdUnit, UnitType

# Common practice, no source: three looks after loading, then as often as the
# feed can fail unseen.
_AFTER_LOADING_H = (1, 2, 3)
_ON_BATTERY_H = 4
_STEADY_H = 8
_SPARE_ROWS = 2
# Rows are as high as the page allows between these two.
_LOW_ROW_PT, _HIGH_ROW_PT = 22.7, 28.0
_HEAD_PT = 60.0


def log_sheet(facts: Facts, unit: ColdUnit, size: PaperSize) -> Pen:
    """Write the temperature and battery log of one unit, zone by zone."""
    pen = Pen(size, log_title(facts, unit), facts.say("page.continued"))
    # What has no dial cannot be set: it is aimed at by hand.
    key = "log.set" if dial_key(unit) == "set" else "log.aim"
    pen.text(facts.say("log.how", set=facts.say(key, temp=set_to(facts, unit))))
    pen.text(facts.say("log.act"), bold=True)
    iced = unit.kind is UnitType.ICE_CHEST
    shown = limits(facts, unit)
    cold = cold_words(facts, unit)
    looks = [(clock(facts, hour), *("",) * 7) for hour in visits(facts, unit)]
    for at, limit in enumerate(shown):
        if at:
            pen.new_page()
        pen.notice(limit_words(facts, unit, limit))
        if cold:
            pen.text(cold, bold=True)
        room_pt = pen.room_pt - _HEAD_PT
        spare = int(room_pt / _LOW_ROW_PT) - len(looks)
        rows = looks + [("",) * 8] * max(0, min(_SPARE_ROWS, spare))
        pen.table(
            [
                Column(facts.say("head.clock"), 13, bold=True),
                Column(facts.say("head.now"), 8),
                Column(facts.say("head.low"), 8),
                Column(facts.say("head.high"), 8),
                Column(facts.say("head.reset"), 9),
                Column(facts.say("head.ice" if iced else "head.battery"), 11),
                Column(facts.say("head.note"), 19),
                Column(facts.say("head.who"), 9),
            ],
            rows,
            row_pt=max(_LOW_ROW_PT, min(_HIGH_ROW_PT, room_pt / len(rows))),
        )  # fmt: skip
    return pen


def log_title(facts: Facts, unit: ColdUnit) -> str:
    """Title of a log."""
    return facts.say("log.title", unit=facts.name(unit.id))


def cold_words(facts: Facts, unit: ColdUnit) -> str:
    """From when a unit is expected cold; empty where it is from the start."""
    found = facts.index.cooling(unit.id)
    if found is None:
        return ""
    if found.cold_h is None:
        end = clock(facts, facts.plan.scenario.conditions.window_h)
        return facts.say("log.cold_never", when=end)
    return facts.say("log.cold", when=clock(facts, found.cold_h))


def limit_words(facts: Facts, unit: ColdUnit, limit: Limits) -> str:
    """Say at which temperatures to act."""
    key = "log.limit" if len(unit.zone_shares) == 1 else "log.limit_zone"
    return facts.say(
        key, zone=limit.zone + 1, range=keep_range(facts, limit.low_c, limit.high_c)
    )


def visits(facts: Facts, unit: ColdUnit) -> tuple[int, ...]:
    """Hours of the window at which somebody looks at a unit."""
    window_h = facts.plan.scenario.conditions.window_h
    step = step_h(facts, unit)
    ready_h = unit.availability.ready_h
    hours = {ready_h + one for one in _AFTER_LOADING_H}
    start = facts.plan.scenario.conditions.start.hour
    hours |= {
        one for one in range(ready_h + step, window_h + 1) if (start + one) % step == 0
    }
    hours.add(window_h)
    return tuple(sorted(one for one in hours if one <= window_h))


def step_h(facts: Facts, unit: ColdUnit) -> int:
    """Hours from one look to the next."""
    plugs = [one for one in facts.plan.hookups if one.to_id == unit.id]
    battery = any(one.link is Link.BATTERY_TO_UNIT for one in plugs)
    ice = unit.kind in {UnitType.ICE_CHEST, UnitType.EVAPORATIVE}
    return _ON_BATTERY_H if battery or ice else _STEADY_H
