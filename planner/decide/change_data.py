"""Changes of what is known: a value that nobody gave, were it a kinder one.

Unknown is read in the strictest way.  Where a kinder reading would let a line
in, finding the value out is the smallest change of all.
"""

from collections.abc import Iterator

from planner.decide.change_fits import one_rule_changes, outside_h, spots, wrong_rules
from planner.decide.instance import Instance
from planner.result import Demand, ReasonFamily
from planner.result_reasons import Change, ChangeKind
from planner.scenario import CameFrom, Consequence, Line

_MOST = 3
_HOTTEST_C = 30.0
"""No band is hoped for that reaches higher (estimate)."""


def unknown_changes(instance: Instance, line: Line, d: Demand) -> tuple[Change, ...]:
    """Values to find out, the least hopeful first."""
    found = [*_allowance(instance, line, d), *_band(instance, line, d)]
    found += _room_temp(instance, line, d)
    return tuple(dict.fromkeys(found))


def _allowance(instance: Instance, line: Line, d: Demand) -> list[Change]:
    """Hours out of the cold that would bridge the time a unit is not there (R11).

    An allowance as long as the window needs no cold place at all.
    """
    if line.frozen or line.warm_hours is not None or d.allowance_h is not None:
        return []
    scenario = instance.scenario
    hours: set[int] = set()
    for spot, room_c in spots(instance):
        wrong = wrong_rules(scenario, line, spot, room_c, d.allowance_h)
        if wrong == [ReasonFamily.READY]:
            hours.add(sum(outside_h(scenario, spot.unit)))
    return [
        Change(kind=ChangeKind.ALLOWANCE, line_id=line.id, amount=float(h))
        for h in sorted(hours)
        if h < scenario.conditions.window_h
    ][:_MOST]


def _band(instance: Instance, line: Line, d: Demand) -> list[Change]:
    """Warmer than the cautious band of an item that nobody could tell."""
    if not _band_unknown(line):
        return []
    scenario = instance.scenario
    highs: set[float] = set()
    for spot, room_c in spots(instance):
        held = spot.held
        wrong = wrong_rules(scenario, line, spot, room_c, d.allowance_h)
        warmer = line.keep_to_c < held.high_c <= _HOTTEST_C
        cold_end = not line.frozen and held.low_c >= line.keep_from_c
        if wrong == [ReasonFamily.BAND] and warmer and cold_end:
            highs.add(held.high_c)
    return [
        Change(kind=ChangeKind.BAND, line_id=line.id, high_c=high)
        for high in sorted(highs)
    ][:_MOST]


def _band_unknown(line: Line) -> bool:
    """True when the band is a cautious reading and nobody's value."""
    if line.consequence is Consequence.UNKNOWN:
        return all(
            o.came_from is not CameFrom.SHEET
            for o in line.origins
            if o.field == "keep_to_c"
        )
    return any(
        o.came_from is CameFrom.DEFAULT for o in line.origins if o.field == "keep_to_c"
    )


def _room_temp(instance: Instance, line: Line, d: Demand) -> Iterator[Change]:
    """A room whose temperature nobody gave, were it cooler (R2)."""
    unknown = {
        o.field.removeprefix("room_temp_c, ")
        for o in instance.scenario.conditions.origins
        if o.field.startswith("room_temp_c, ") and o.came_from is CameFrom.DEFAULT
    }
    if not unknown:
        return
    for one in one_rule_changes(instance, line, d, ReasonFamily.REACH):
        if one.kind is ChangeKind.COOLER and one.place in unknown:
            yield Change(kind=ChangeKind.ROOM_TEMP, place=one.place, high_c=one.high_c)
