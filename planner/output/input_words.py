"""Equipment and settings in words: one line each, on both scales."""

from collections.abc import Iterable

from planner.output.words import (
    clean,
    day_clock,
    energy,
    number,
    power,
    temperature,
    volume,
)
from planner.scenario import (
    Battery,
    CameFrom,
    ColdUnit,
    Equipment,
    Panel,
    Scenario,
    SourceKind,
)


def kit_in_words(scenario: Scenario, things: Iterable[Equipment]) -> tuple[str, ...]:
    """Say each piece of equipment in one line, on both scales and both units."""
    return tuple(
        f"{clean(one.name)}: {_terms(scenario, one)}; {_thing_words(one)}"
        for one in things
    )


def _thing_words(one: Equipment) -> str:
    if isinstance(one, ColdUnit):
        points = " or ".join(temperature(point) for point in one.set_points_c)
        room = volume(one.gross_volume_l * one.usable_share)
        return f"{one.kind.value}, room for {room}, can be set to {points}"
    if isinstance(one, Battery):
        percent = number(one.charge_now * 100, 0)
        return f"{energy(one.capacity_wh)} {one.chemistry.value}, {percent} % charged"
    if isinstance(one, Panel):
        return f"{power(one.rated_w)}, {one.controller.value} controller"
    verb = "needs" if one.kind is SourceKind.PRIORITY_LOAD else "gives"
    clocks = f"{clock_words(one.from_hour)} to {clock_words(one.to_hour)}"
    return f"{one.kind.value}, {verb} {power(one.max_w)}, {clocks}"


def _terms(scenario: Scenario, one: Equipment) -> str:
    terms, clock = one.availability, scenario.conditions.clock
    start = scenario.conditions.start
    words = terms.status.value
    if terms.lender:
        words += f" from {clean(terms.lender)}"
    if terms.ready_h:
        words += f", ready {day_clock(clock(terms.ready_h), start)}"
    if terms.back_h is not None:
        words += f", back by {day_clock(clock(terms.back_h), start)}"
    return words + (f", at {clean(one.place)}" if one.place else "")


def setting_source(scenario: Scenario, field: str) -> tuple[str, bool]:
    """Say where the value of a setting came from, and whether it is assumed."""
    for one in scenario.conditions.origins:
        if one.field == field and one.came_from is CameFrom.DEFAULT:
            source = clean(one.source) or "no source"
            words = (
                f"ASSUMED, not told: {clean(one.value)} ({source}; {one.flag.value})"
            )
            return words, True
        if one.field == field and one.came_from is CameFrom.EDITED:
            return "Typed in on this page.", False
    if getattr(scenario.conditions, field, field) is None:
        return "Not given.", False
    return "As the workbook says.", False


def room_words(scenario: Scenario, name: str) -> str:
    """Coolest and hottest of a place's day on both scales, with clock times."""
    temps_c = scenario.place(name).temp_c_by_clock_hour
    low_c, high_c = min(temps_c), max(temps_c)
    if low_c == high_c:
        return f"{temperature(low_c)} all day"
    low, high = (clock_words(temps_c.index(one)) for one in (low_c, high_c))
    return f"{temperature(low_c)} at {low}, up to {temperature(high_c)} at {high}"


def clock_words(hour: float) -> str:
    """Clock hour as ``06:30``; the end of the day is ``24:00``."""
    minutes = round(hour * 60)
    return f"{minutes // 60:02d}:{minutes % 60:02d}"
