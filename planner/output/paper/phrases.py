"""Times, degrees, plugs and endings said in the language of the paper."""

import re
from collections.abc import Iterable, Sequence
from datetime import datetime

from planner.output.index import SUN_CASES
from planner.output.manner import TOKENS
from planner.output.paper.facts import Facts
from planner.output.paper.page import TIE
from planner.output.runs import runs_at, runs_words
from planner.output.words import (
    at_most,
    band,
    day_clock,
    hour_clock,
    number,
    temperature,
)
from planner.result import Hookup, Link, PortType, UnitEndurance
from planner.scenario import ColdUnit, SunCase, UnitType

_WORD = re.compile(r"[A-Za-z]+")


def moment(facts: Facts, when: datetime) -> str:
    """Clock time with its day, and its date where a day could be mistaken."""
    return _dated(facts, day_clock(when, facts.index.start, facts.how.clock))


def dated(facts: Facts, when: datetime) -> str:
    """Clock time with its day and date."""
    return _dated(facts, day_clock(when, clock=facts.how.clock))


def clock(facts: Facts, hour: float) -> str:
    """Clock time of an hour of the window."""
    return moment(facts, facts.plan.scenario.conditions.clock(hour))


def until(facts: Facts, hour: int) -> str:
    """Clock time of an hour; the end of the window is named as such."""
    shown = clock(facts, hour)
    if hour >= facts.plan.scenario.conditions.window_h:
        return facts.say("time.end", when=shown)
    return shown


def plugged(facts: Facts, plug: Hookup) -> str:
    """From when until when a plug is in, and when there is power at it."""
    window_h = facts.plan.scenario.conditions.window_h
    whole = plug.from_h == 0 and plug.to_h >= window_h
    span = facts.say(
        "time.span", begins=clock(facts, plug.from_h), ends=until(facts, plug.to_h)
    )
    runs = at_work(facts, plug)
    if not runs:
        return facts.say("time.whole") if whole else span
    return runs if whole else f"{span}; {runs}"


def at_work(facts: Facts, plug: Hookup) -> str:
    """Hours of a day with power while the lead stays in; empty where it is all day."""
    runs = runs_at(facts.plan.scenario, plug)
    if runs is None:
        return ""
    return runs_words(runs, facts.say, lambda hour: _hour(facts, hour))


def allowance(facts: Facts, when: datetime | None) -> str:
    """End of an allowance; unknown is read as none."""
    if when is None:
        return facts.say("time.unknown")
    if when <= facts.index.start:
        return facts.say("time.over")
    return moment(facts, when)


def window(facts: Facts) -> str:
    """Window of the plan with its dates."""
    conditions = facts.plan.scenario.conditions
    return facts.say(
        "time.window",
        begins=dated(facts, conditions.start),
        ends=clock(facts, conditions.window_h),
    )


def degrees(facts: Facts, temp_c: float) -> str:
    """One temperature on both scales."""
    return _minus(facts, temperature(temp_c, facts.how.units))


def keep_range(facts: Facts, low_c: float, high_c: float) -> str:
    """Temperature range on both scales."""
    shown = band(low_c, high_c, facts.how.units)
    shown = shown.replace(" to ", f" {facts.say('unit.to')} ")
    return _minus(facts, shown)


def not_above(facts: Facts, temp_c: float) -> str:
    """Upper limit on both scales."""
    return _minus(facts, at_most(temp_c, facts.how.units))


def set_to(facts: Facts, unit: ColdUnit) -> str:
    """Set points of a unit that is on, zone by zone."""
    return set_points(facts, facts.index.uses[unit.id].set_points_c)


def set_points(facts: Facts, points_c: Sequence[float]) -> str:
    """Set points on both scales, zone by zone where there are several."""
    if len(points_c) == 1:
        return degrees(facts, points_c[0])
    return "; ".join(
        facts.say("unit.zone_at", zone=zone, temp=degrees(facts, temp_c))
        for zone, temp_c in enumerate(points_c, start=1)
    )


def sun(facts: Facts, case: SunCase) -> str:
    """Name of a sun case."""
    return facts.say(f"sun.{case.name.lower()}")


def socket(facts: Facts, plug: Hookup) -> str:
    """Name of the socket of a plug, with its number where there are several."""
    shown = facts.say(f"port.{plug.port.name.lower()}")
    if (
        plug.port in {PortType.DC_12V, PortType.AC}
        and plug.link is Link.BATTERY_TO_UNIT
    ):
        return tied(f"{shown} {plug.port_number}")
    return tied(shown) if plug.port is PortType.DC_12V else shown


def feeds(facts: Facts, unit: ColdUnit) -> tuple[str, ...]:
    """What feeds a unit and until when, in order of time."""
    if unit.kind is UnitType.ELSEWHERE:
        return (facts.say("feed.elsewhere"),)
    plugs = sorted(
        (one for one in facts.plan.hookups if one.to_id == unit.id),
        key=lambda one: (one.from_h, one.from_id, one.port_number),
    )
    if not plugs:
        return (
            facts.say("feed.nothing" if unit.powered else f"feed.none.{_kind(unit)}"),
        )
    return tuple(
        facts.say(
            "feed.from" if one.from_h == 0 else "feed.later",
            name=facts.name(one.from_id),
            socket=socket(facts, one),
            begins=clock(facts, one.from_h),
            ends=until(facts, one.to_h),
        )
        for one in plugs
    )


def dark_at(facts: Facts, unit: ColdUnit, case: SunCase) -> int | None:
    """First hour a unit is not fed in one sun case; ``None`` if it is fed."""
    found = facts.index.endurance.get((unit.id, case))
    return None if found is None else found.dark_from_h


def lasts(
    facts: Facts, unit: ColdUnit, cases: Sequence[SunCase] = SUN_CASES
) -> tuple[str, ...]:
    """How long a unit holds in each sun case; nothing when it needs no power."""
    if unit.kind is UnitType.ICE_CHEST:
        return (facts.say("holds.ice"),)
    if not unit.powered:
        return ()
    index = facts.index
    return _lasts(
        facts, [(case, index.endurance.get((unit.id, case))) for case in cases]
    )


def load_lasts(
    facts: Facts, load_id: str, cases: Sequence[SunCase] = SUN_CASES
) -> tuple[str, ...]:
    """How long a life-support load is fed in each sun case."""
    known = facts.index.life_support
    return _lasts(facts, [(case, known.get((load_id, case))) for case in cases])


def _lasts(
    facts: Facts, fates: Sequence[tuple[SunCase, UnitEndurance | None]]
) -> tuple[str, ...]:
    said = []
    for case, found in fates:
        if found is None:
            continue
        key = "holds.to" if found.dark_from_h is None else "holds.dark"
        hour = found.dark_from_h
        end_h = facts.plan.scenario.conditions.window_h
        said.append(
            (case, facts.say(key, when=clock(facts, end_h if hour is None else hour)))
        )
    different = dict.fromkeys(words for _, words in said)
    if len(different) == 1 and len(said) > 1:
        return (facts.say("holds.any_sun", holds=said[0][1]),)
    planned = facts.plan.scenario.conditions.sun_case
    return tuple(
        facts.say(
            "holds.planned" if case is planned else "holds.case",
            sun=sun(facts, case),
            holds=holds,
        )
        for case, holds in said
    )


def bags(facts: Facts, count: int) -> str:
    """Count of bags with its noun."""
    return tied(facts.words.count("bags", count))


def code_counts(counts: Iterable[tuple[str, int]]) -> str:
    """Codes with their bags, each code once."""
    bags_of: dict[str, int] = {}
    for code, count in counts:
        bags_of[code] = bags_of.get(code, 0) + count
    return ", ".join(tied(f"{code} x{count}") for code, count in bags_of.items())


def percent(share: float) -> str:
    """Share as a percentage."""
    return tied(f"{number(share * 100, 0)} %")


def tied(text: str) -> str:
    """Text that no line break tears apart, but at a slash and before a bracket."""
    text = text.replace(" ", TIE)
    return text.replace(f"{TIE}/{TIE}", " / ").replace(f"{TIE}(", " (")


def untied(text: str) -> str:
    """Text with plain spaces, for files that are read by other programs."""
    return text.replace(TIE, " ")


def sentence(text: str) -> str:
    """Words as a sentence: a capital in front and a full stop behind."""
    return f"{text[:1].upper()}{text[1:]}."


def _kind(unit: ColdUnit) -> str:
    return "ice" if unit.kind is UnitType.ICE_CHEST else "other"


def _minus(facts: Facts, text: str) -> str:
    return tied(text.replace("minus", facts.say("unit.minus")))


def _hour(facts: Facts, hour: float) -> str:
    return _dated(facts, hour_clock(hour, facts.how.clock))


def _dated(facts: Facts, text: str) -> str:
    said = _WORD.sub(
        lambda found: facts.say(TOKENS[found[0]]) if found[0] in TOKENS else found[0],
        text,
    )
    return said.replace(" ", TIE)
