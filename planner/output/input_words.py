"""Equipment and settings in words: one line each, on both scales."""

from collections.abc import Iterable

from planner.output.manner import PLAIN, Manner
from planner.output.words import clean, energy, hour_clock, number, power
from planner.scenario import (
    Battery,
    CameFrom,
    ColdUnit,
    Equipment,
    Panel,
    Scenario,
    SourceKind,
)


def kit_in_words(
    scenario: Scenario, things: Iterable[Equipment], how: Manner = PLAIN
) -> tuple[str, ...]:
    """Say each piece of equipment in one line, on both scales and both units."""
    return tuple(
        how.say(
            "tell.kit.line",
            name=clean(one.name),
            terms=_terms(scenario, one, how),
            thing=_thing_words(one, how),
        )
        for one in things
    )


def _thing_words(one: Equipment, how: Manner) -> str:
    if isinstance(one, ColdUnit):
        points = how.say("tell.kit.or").join(
            how.temperature(point) for point in one.set_points_c
        )
        return how.say(
            "tell.kit.unit",
            kind=how.told(one.kind.value),
            volume=how.volume(one.gross_volume_l * one.usable_share),
            points=points,
        )
    if isinstance(one, Battery):
        return how.say(
            "tell.kit.battery",
            energy=energy(one.capacity_wh),
            chemistry=how.told(one.chemistry.value),
            percent=number(one.charge_now * 100, 0),
        )
    if isinstance(one, Panel):
        return how.say(
            "tell.kit.panel",
            power=power(one.rated_w),
            controller=how.told(one.controller.value),
        )
    needs = one.kind is SourceKind.PRIORITY_LOAD
    return how.say(
        "tell.kit.needs" if needs else "tell.kit.gives",
        kind=how.told(one.kind.value),
        power=power(one.max_w),
        begins=how.hour_clock(one.from_hour),
        ends=how.hour_clock(one.to_hour),
    )


def _terms(scenario: Scenario, one: Equipment, how: Manner) -> str:
    terms, clock = one.availability, scenario.conditions.clock
    start = scenario.conditions.start
    words = how.told(terms.status.value)
    if terms.lender:
        words = how.say("tell.kit.from", status=words, lender=clean(terms.lender))
    if terms.ready_h:
        ready = how.day_clock(clock(terms.ready_h), start)
        words = how.say("tell.kit.ready", terms=words, clock=ready)
    if terms.back_h is not None:
        back = how.day_clock(clock(terms.back_h), start)
        words = how.say("tell.kit.back", terms=words, clock=back)
    if one.place:
        words = how.say("tell.kit.at", terms=words, place=clean(one.place))
    return words


def setting_source(
    scenario: Scenario, field: str, how: Manner = PLAIN
) -> tuple[str, bool]:
    """Say where the value of a setting came from, and whether it is assumed."""
    for one in scenario.conditions.origins:
        if one.field == field and one.came_from is CameFrom.DEFAULT:
            words = how.say(
                "tell.setting.assumed",
                value=how.told(clean(one.value)),
                source=how.told(clean(one.source) or "no source"),
                trust=how.told(one.flag.value),
            )
            return words, True
        if one.field == field and one.came_from is CameFrom.EDITED:
            return how.told("Typed in on this page."), False
    if getattr(scenario.conditions, field, field) is None:
        return how.told("Not given."), False
    return how.told("As the workbook says."), False


def room_words(scenario: Scenario, name: str, how: Manner = PLAIN) -> str:
    """Coolest and hottest of a place's day on both scales, with clock times."""
    temps_c = scenario.place(name).temp_c_by_clock_hour
    low_c, high_c = min(temps_c), max(temps_c)
    if low_c == high_c:
        return how.say("tell.room.all_day", temp=how.temperature(low_c))
    low, high = (how.hour_clock(temps_c.index(one)) for one in (low_c, high_c))
    return how.say(
        "tell.room.swing",
        low=how.temperature(low_c),
        low_at=low,
        high=how.temperature(high_c),
        high_at=high,
    )


def clock_words(hour: float) -> str:
    """Clock hour as ``06:30``; the end of the day is ``24:00``."""
    return hour_clock(hour)
