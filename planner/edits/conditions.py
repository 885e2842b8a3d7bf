"""The conditions as a form, and the form back into conditions and places."""

from dataclasses import replace
from datetime import datetime

from planner.edits.conditions_faults import form_faults, in_c
from planner.edits.forms import ConditionsForm, RoomForm
from planner.edits.outcome import Edited, typed
from planner.edits.start import move_start
from planner.intake.rooms import RoomReading, day_curve
from planner.intake.settings import SETTINGS
from planner.scenario import (
    CameFrom,
    Conditions,
    Origin,
    Place,
    Scenario,
)

_COOLEST_H, _HOTTEST_H = 5, 15
_SAME = 1e-6
_NAMES = (
    "start", "window_h", "latitude", "longitude", "utc_offset_h", "peak_sun_hours",
    "sky_factor", "sun_case", "poor_share", "reserve_share", "ice_kg_day",
    "segregation", "swap_hours",
)  # fmt: skip


def conditions_form(scenario: Scenario, *, fahrenheit: bool) -> ConditionsForm:
    """Fill the form from a scenario."""
    now = scenario.conditions
    return ConditionsForm(
        start=now.start,
        window_h=now.window_h,
        rooms=tuple(_room_form(place, fahrenheit) for place in scenario.places),
        fahrenheit=fahrenheit,
        sun_from_place=now.peak_sun_hours is None,
        peak_sun_hours=now.peak_sun_hours,
        latitude=now.latitude,
        longitude=now.longitude,
        utc_offset_h=now.utc_offset_h,
        sky_percent=_percent(now.sky_factor),
        sun_case=now.sun_case,
        poor_percent=_percent(now.poor_share),
        reserve_percent=_percent(now.reserve_share),
        ice_kg_day=now.ice_kg_day,
        segregation=now.segregation,
        swap_hours=now.swap_hours,
    )


def apply_conditions(scenario: Scenario, form: ConditionsForm) -> Edited:
    """Put a filled-in form in place of the conditions and room temperatures.

    Only what differs from :func:`conditions_form` of the same scenario is
    taken; a fault in any field keeps everything as it was.
    """
    before = conditions_form(scenario, fahrenheit=form.fahrenheit)
    issues = form_faults(form)
    if issues:
        return Edited(scenario=scenario, applied=False, issues=issues)
    values = _values(before, form, scenario.conditions)
    rooms = {room.name: room for room in form.rooms}
    rooms_before = {room.name: room for room in before.rooms}
    places = tuple(
        _place(place, rooms[place.name], rooms_before[place.name], form.fahrenheit)
        if place.name in rooms
        else place
        for place in scenario.places
    )
    changed_rooms = {
        f"room_temp_c, {old.name}"
        for old, new in zip(scenario.places, places, strict=True)
        if old.temp_c_by_clock_hour != new.temp_c_by_clock_hour
    }
    conditions = _with_origins(values, scenario.conditions, changed_rooms)
    moved, remarks = move_start(scenario, conditions.start)
    return Edited(
        scenario=replace(moved, conditions=conditions, places=places),
        applied=True,
        issues=remarks,
        changes=_changes(scenario, conditions, places),
    )


def conditions_draft(
    scenario: Scenario, form: ConditionsForm
) -> tuple[ConditionsForm, tuple[str, ...]] | None:
    """The form with its changes in words; ``None`` when nothing was typed over.

    Of fields that cannot be used as they are, only the headings are said.
    """
    before = conditions_form(scenario, fahrenheit=form.fahrenheit)
    if form == before:
        return None
    edited = apply_conditions(scenario, form)
    if edited.applied:
        return (form, edited.changes) if edited.changes else None
    return form, tuple(dict.fromkeys(one.column or one.sheet for one in edited.issues))


def in_scale(
    scenario: Scenario, form: ConditionsForm, *, fahrenheit: bool
) -> ConditionsForm:
    """The form with its room temperatures on the other scale.

    What was not typed over is shown as a fresh form would show it.
    """
    if form.fahrenheit == fahrenheit:
        return form
    old = {
        one.name: one
        for one in conditions_form(scenario, fahrenheit=form.fahrenheit).rooms
    }
    fresh = {
        one.name: one for one in conditions_form(scenario, fahrenheit=fahrenheit).rooms
    }

    def turned(room: RoomForm, which: str) -> float | None:
        value: float | None = getattr(room, which)
        if room.name in old and value == getattr(old[room.name], which):
            same: float | None = getattr(fresh[room.name], which)
            return same
        if value is None:
            return None
        return _shown(in_c(value, fahrenheit=form.fahrenheit), fahrenheit)

    rooms = tuple(
        replace(room, coolest=turned(room, "coolest"), hottest=turned(room, "hottest"))
        for room in form.rooms
    )
    return replace(form, rooms=rooms, fahrenheit=fahrenheit)


def _percent(share: float) -> float:
    return round(share * 100, 2)


def _room_form(place: Place, fahrenheit: bool) -> RoomForm:
    temps_c = place.temp_c_by_clock_hour
    steady = max(temps_c) - min(temps_c) < _SAME
    return RoomForm(
        name=place.name,
        coolest=_shown(min(temps_c), fahrenheit),
        hottest=_shown(max(temps_c), fahrenheit),
        coolest_hour=_COOLEST_H if steady else temps_c.index(min(temps_c)),
        hottest_hour=_HOTTEST_H if steady else temps_c.index(max(temps_c)),
        open_at_night=place.open_at_night,
    )


def _shown(temp_c: float, fahrenheit: bool) -> float:
    return round(temp_c * 9 / 5 + 32 if fahrenheit else temp_c, 1)


def _values(
    before: ConditionsForm, form: ConditionsForm, now: Conditions
) -> Conditions:
    """Conditions with the fields that were changed; origins come later."""
    offset = form.utc_offset_h
    assumed = any(
        one.field == "utc_offset_h" and one.came_from is CameFrom.DEFAULT
        for one in now.origins
    )
    moved = form.longitude is not None and form.longitude != before.longitude
    if moved and form.longitude is not None and offset == before.utc_offset_h:
        offset = (
            float(round(form.longitude / 15)) if assumed or _no_where(now) else offset
        )

    return replace(
        now,
        start=form.start,
        window_h=form.window_h,
        latitude=form.latitude,
        longitude=form.longitude,
        utc_offset_h=offset,
        peak_sun_hours=None if form.sun_from_place else form.peak_sun_hours,
        sun_case=form.sun_case,
        ice_kg_day=form.ice_kg_day,
        segregation=form.segregation,
        swap_hours=tuple(sorted(form.swap_hours)),
        sky_factor=_share(before.sky_percent, form.sky_percent, now.sky_factor),
        poor_share=_share(before.poor_percent, form.poor_percent, now.poor_share),
        reserve_share=_share(
            before.reserve_percent, form.reserve_percent, now.reserve_share
        ),
    )


def _share(before: float, percent: float, kept: float) -> float:
    return kept if percent == before else percent / 100


def _no_where(now: Conditions) -> bool:
    return now.longitude is None


def _place(place: Place, room: RoomForm, before: RoomForm, fahrenheit: bool) -> Place:
    """Place with the room's temperatures; an untouched curve stays whole."""
    if (room.coolest, room.hottest) == (before.coolest, before.hottest):
        return replace(place, open_at_night=room.open_at_night)
    # The middle of the hour, because an hour's value is that of its middle.
    typed_temps = (
        (room.coolest_hour + 0.5, room.coolest),
        (room.hottest_hour + 0.5, room.hottest),
    )
    readings = [
        RoomReading(at_hour=hour, temp_c=in_c(temp, fahrenheit=fahrenheit))
        for hour, temp in typed_temps
        if temp is not None
    ]
    return replace(
        place,
        temp_c_by_clock_hour=day_curve(readings),
        open_at_night=room.open_at_night,
    )


def _heading(name: str) -> str:
    """Give a setting's heading in the workbook."""
    key = {"peak_sun_hours": "sun_hours"}.get(name, name)
    return next(field.heading for field in SETTINGS if field.key == key)


def _changes(
    scenario: Scenario, conditions: Conditions, places: tuple[Place, ...]
) -> tuple[str, ...]:
    """Say each change in words, to be read back."""
    before = scenario.conditions
    words = [
        f"{_heading(name)}: {_words(getattr(before, name))} is now "
        f"{_words(getattr(conditions, name))}"
        for name in _NAMES
        if getattr(before, name) != getattr(conditions, name)
    ]
    for old, new in zip(scenario.places, places, strict=True):
        if old.temp_c_by_clock_hour != new.temp_c_by_clock_hour:
            words.append(f"{old.name}: another room temperature")
        if old.open_at_night != new.open_at_night:
            state = "open" if new.open_at_night else "shut"
            words.append(f"{old.name}: now {state} at night")
    return tuple(words)


def _with_origins(
    values: Conditions, now: Conditions, changed_rooms: set[str]
) -> Conditions:
    """Drop the origin of what was changed and put a typed one in its place."""
    changed = {one for one in _NAMES if getattr(values, one) != getattr(now, one)}
    hand: list[Origin] = [
        typed(name, _words(getattr(values, name))) for name in _NAMES if name in changed
    ]
    hand += [typed(name, "coolest and hottest hour") for name in sorted(changed_rooms)]
    kept = [one for one in now.origins if one.field not in changed | changed_rooms]
    return replace(values, origins=(*kept, *hand))


def _words(value: object) -> str:
    if isinstance(value, datetime):
        return f"{value:%Y-%m-%d %H:%M}"
    if isinstance(value, float):
        return f"{round(value, 4):g}"
    if isinstance(value, tuple):
        return "; ".join(f"{hour:02d}:00" for hour in value) or "none"
    return "not known" if value is None else str(value)
