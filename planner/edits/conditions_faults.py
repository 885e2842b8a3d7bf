"""What is wrong in a filled-in form of the conditions: all of it at once."""

from planner.edits.forms import ConditionsForm
from planner.edits.outcome import fault
from planner.intake.conditions_sheet import MAX_WINDOW_H
from planner.intake.units import f_to_c
from planner.issue import Issue

SHEET = "Conditions"
_ROOM_LOW_C, _ROOM_HIGH_C = -10.0, 55.0


def form_faults(form: ConditionsForm) -> tuple[Issue, ...]:
    """List every field that cannot be used."""
    return (*_time_faults(form), *_sun_faults(form), *_room_faults(form))


def in_c(value: float, *, fahrenheit: bool) -> float:
    """Degrees Celsius of a typed temperature."""
    return f_to_c(value) if fahrenheit else value


def _time_faults(form: ConditionsForm) -> list[Issue]:
    if 1 <= form.window_h <= MAX_WINDOW_H:
        return []
    return [
        fault(SHEET, "Hours to plan for", str(form.window_h),
              "The window cannot be planned.",
              f"Give a whole number of hours from 1 to {MAX_WINDOW_H}.")
    ]  # fmt: skip


def _sun_faults(form: ConditionsForm) -> list[Issue]:
    if form.sun_from_place and (form.latitude is None or form.longitude is None):
        return [
            fault(SHEET, "Where the sun is worked out from", "",
                  "The sun cannot be worked out without both latitude and longitude.",
                  "Fill in both, or choose peak sun hours.")
        ]  # fmt: skip
    if not form.sun_from_place and form.peak_sun_hours is None:
        return [
            fault(SHEET, "Peak sun hours", "",
                  "Peak sun hours are blank, which is not the same as no sun.",
                  "Fill them in; 0 means that there is no sun at all.")
        ]  # fmt: skip
    return []


def _room_faults(form: ConditionsForm) -> list[Issue]:
    found = []
    for room in form.rooms:
        column = f"Room temperature of {room.name}"
        if room.coolest is None or room.hottest is None:
            found.append(
                fault(SHEET, column, "", "The room has no temperature.",
                      "Fill in the coolest and the hottest of the day.")
            )  # fmt: skip
            continue
        low_c, high_c = (
            in_c(room.coolest, fahrenheit=form.fahrenheit),
            in_c(room.hottest, fahrenheit=form.fahrenheit),
        )
        shown = f"{room.coolest:g} to {room.hottest:g}"
        if low_c > high_c:
            found.append(
                fault(SHEET, column, shown, "The coolest is above the hottest.",
                      "Change the two over.")
            )  # fmt: skip
        elif low_c < _ROOM_LOW_C or high_c > _ROOM_HIGH_C:
            found.append(
                fault(SHEET, column, shown, "This is no likely room temperature.",
                      "Check whether it is in C or in F.")
            )  # fmt: skip
    return found
