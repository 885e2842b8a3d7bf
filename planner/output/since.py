"""What has changed since a plan was made, in words: lists, equipment, conditions."""

from collections.abc import Iterable, Iterator, Mapping
from datetime import timedelta

from planner.edits.start import move_start
from planner.intake.diff import compare
from planner.output.manner import PLAIN, Manner
from planner.output.words import number, safe_text
from planner.result import Plan
from planner.scenario import Battery, Conditions, Equipment, Line, Scenario, Status

_MOST_CODES = 8
_SMALL = 1e-6


def since_lines(plan: Plan, scenario: Scenario, how: Manner = PLAIN) -> tuple[str, ...]:
    """Say in a line each what is otherwise than when the plan was made.

    Charge stands beside what the plan counted on at that time, where the
    window now begins later than the plan did.
    """
    before = plan.scenario
    # Loans and days that keep their clock times are not changed by a later start.
    moved, _ = move_start(before, scenario.conditions.start)
    readings = _readings(plan, scenario, how)
    return (
        *_list_lines(before, scenario, how),
        *_kit_lines(moved, scenario, readings, how),
        *readings.values(),
        *_condition_lines(before.conditions, scenario.conditions, how),
        *_place_lines(before, scenario, how),
    )


def _readings(plan: Plan, scenario: Scenario, how: Manner) -> dict[str, str]:
    """Charge of each battery that is here beside what the plan counted on."""
    passed = scenario.conditions.start - plan.scenario.conditions.start
    hours = int(passed / timedelta(hours=1))
    planned = plan.scenario.conditions.sun_case
    traces = {
        trace.battery_id: trace
        for replay in plan.replays
        if replay.sun_case is planned
        for trace in replay.batteries
    }
    said = {}
    for one in scenario.batteries:
        trace = traces.get(one.id)
        if trace is None or one.availability.status is not Status.HERE:
            continue
        if not 0 < hours <= len(trace.charge_wh) or not trace.full_wh:
            continue
        said[one.id] = how.say(
            "tell.since.reading",
            battery=safe_text(one.name),
            now=_percent(one.charge_now),
            planned=_percent(trace.charge_wh[hours - 1] / trace.full_wh),
        )
    return said


def _list_lines(before: Scenario, now: Scenario, how: Manner) -> Iterator[str]:
    if before.lines == now.lines:
        return
    found = compare(before, now)
    for key, lines in (
        ("new", found.new),
        ("changed", [one.after for one in (*found.changed, *found.renamed)]),
        ("gone", found.gone),
    ):
        if lines:
            yield how.count(f"tell.since.{key}", len(lines), codes=_codes(lines, how))


def _codes(lines: Iterable[Line], how: Manner) -> str:
    codes = list(dict.fromkeys(line.code for line in lines))
    shown = [safe_text(one) for one in codes[:_MOST_CODES]]
    if len(codes) > _MOST_CODES:
        more = len(codes) - _MOST_CODES
        shown.append(how.count("tell.since.more", more))
    return how.listed(shown)


def _kit_lines(
    before: Scenario, now: Scenario, readings: Mapping[str, str], how: Manner
) -> Iterator[str]:
    old = {one.id: one for one in before.equipment}
    today = {one.id: one for one in now.equipment}
    for one in now.equipment:
        if one.id not in old:
            if one.availability.status is Status.HERE:
                yield how.say("tell.since.kit_new", name=safe_text(one.name))
        elif one != old[one.id]:
            yield from _one_kit(old[one.id], one, readings, how)
    for one in before.equipment:
        if one.id not in today and one.availability.status is Status.HERE:
            yield how.say("tell.since.kit_gone", name=safe_text(one.name))


def _one_kit(
    old: Equipment, new: Equipment, readings: Mapping[str, str], how: Manner
) -> Iterator[str]:
    name = safe_text(new.name)
    if old.availability.status is not new.availability.status:
        state = new.availability.status.name.lower()
        yield how.say(f"tell.since.kit_{state}", name=name)
        return
    if (
        isinstance(old, Battery)
        and isinstance(new, Battery)
        and abs(old.charge_now - new.charge_now) > _SMALL
    ):
        if new.id in readings:
            return
        yield how.say(
            "tell.since.charge",
            name=name,
            before=_percent(old.charge_now),
            now=_percent(new.charge_now),
        )
        return
    if _bare(old) != _bare(new):
        yield how.say("tell.since.kit_changed", name=name)


def _bare(one: Equipment) -> tuple[object, ...]:
    """What counts of a thing: not where its values came from, nor its row."""
    passed_over = {"origins", "row", "sheet"}
    found = [
        getattr(one, name)
        for name in one.__dataclass_fields__
        if name not in passed_over
    ]
    return (type(one).__name__, *found)


def _condition_lines(old: Conditions, new: Conditions, how: Manner) -> Iterator[str]:
    if old.start != new.start:
        yield how.say(
            "tell.since.start",
            before=how.day_clock(old.start),
            now=how.day_clock(new.start),
        )
    if old.window_h != new.window_h:
        yield how.say(
            "tell.since.window",
            before=how.hours(old.window_h),
            now=how.hours(new.window_h),
        )
    rest = [
        name
        for name in old.__dataclass_fields__
        if name not in {"start", "window_h", "origins"}
    ]
    if any(getattr(old, name) != getattr(new, name) for name in rest):
        yield how.say("tell.since.conditions")


def _place_lines(before: Scenario, now: Scenario, how: Manner) -> Iterator[str]:
    if before.places != now.places:
        yield how.say("tell.since.places")


def _percent(share: float) -> str:
    return f"{number(share * 100, 0)} %"
