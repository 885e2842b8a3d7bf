"""Charge read from the batteries' own displays, with the clock time of reading."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime

from planner.edits.forms import ReadingsForm
from planner.edits.outcome import Edited, fault, typed
from planner.edits.start import move_start
from planner.issue import Issue
from planner.scenario import Battery, Scenario, Status

_SHEET, _CHARGE, _CLOCK = "Batteries", "Charge now (%)", "Read at"
_START = "start"


def read_out(scenario: Scenario) -> tuple[Battery, ...]:
    """Batteries whose display can be read: those that are here."""
    return tuple(
        one for one in scenario.batteries if one.availability.status is Status.HERE
    )


def readings_draft(
    scenario: Scenario, form: ReadingsForm
) -> tuple[ReadingsForm, tuple[str, ...]] | None:
    """The readings with themselves in words; ``None`` while nothing was read."""
    names = {one.id: one.name for one in scenario.batteries}
    words = tuple(
        f"{names[one]}: {percent:g} %, read {form.at:%H:%M}"
        for one, percent in form.percents
        if percent is not None and one in names
    )
    return (form, words) if words else None


def measure(
    scenario: Scenario, percents: Mapping[str, float | None], at: datetime
) -> Edited:
    """Put in charge that was read at a clock time, by the id of the battery.

    The window begins at the full hour before the reading, so that no load of
    that hour is forgotten; loans and days keep their own clock times.  When
    it moves, every battery that is here has to be read: a charge from before
    would be counted as if it were one of now.
    """
    start = at.replace(minute=0, second=0, microsecond=0)
    before = scenario.conditions.start
    issues = [*_clock_faults(start, before), *_charge_faults(scenario, percents)]
    if start != before:
        issues += [
            _fault(one.name, "", "Its charge was not read.",
                   "Type what its display shows now, or set it out of order among "
                   "what we have.")
            for one in read_out(scenario)
            if percents.get(one.id) is None
        ]  # fmt: skip
    if issues:
        return Edited(scenario=scenario, applied=False, issues=tuple(issues))
    moved, remarks = move_start(scenario, start)
    conditions = scenario.conditions
    changes = []
    if start != before:
        origins = tuple(one for one in conditions.origins if one.field != _START)
        told = typed(_START, f"{start:%Y-%m-%d %H:%M}")
        conditions = replace(conditions, start=start, origins=(*origins, told))
        changes.append(f"Start: {before:%Y-%m-%d %H:%M} is now {start:%Y-%m-%d %H:%M}")
    batteries = []
    for one in moved.batteries:
        percent = percents.get(one.id)
        batteries.append(one if percent is None else _read(one, percent, at))
        if percent is not None:
            old = f"{one.charge_now * 100:g} %"
            changes.append(f"{one.name}: {old} is now {percent:g} %, read {at:%H:%M}")
    return Edited(
        scenario=replace(moved, conditions=conditions, batteries=tuple(batteries)),
        applied=True,
        issues=remarks,
        changes=tuple(changes),
    )


def _read(battery: Battery, percent: float, at: datetime) -> Battery:
    told = typed("charge_now", f"{percent:g} %, read {at:%Y-%m-%d %H:%M}")
    origins = tuple(one for one in battery.origins if one.field != "charge_now")
    return replace(battery, charge_now=percent / 100, origins=(*origins, told))


def _clock_faults(start: datetime, before: datetime) -> list[Issue]:
    if start >= before:
        return []
    return [
        fault(
            "Conditions", _CLOCK, f"{start:%Y-%m-%d %H:%M}",
            f"That is before the plan's own start, {before:%Y-%m-%d %H:%M}.",
            "Type the clock time at which the displays were read.",
        )
    ]  # fmt: skip


def _charge_faults(
    scenario: Scenario, percents: Mapping[str, float | None]
) -> list[Issue]:
    names = {one.id: one.name for one in scenario.batteries}
    return [
        _fault(names.get(battery_id, battery_id), f"{percent:g}",
               "A charge is 0 to 100 %.", "Type what the display shows.")
        for battery_id, percent in percents.items()
        if percent is not None and not 0 <= percent <= 100
    ]  # fmt: skip


def _fault(name: str, value: str, message: str, remedy: str) -> Issue:
    return fault(f"{_SHEET}, {name}", _CHARGE, value, message, remedy)
