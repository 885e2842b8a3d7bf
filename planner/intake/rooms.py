"""Places of the site: room temperature over the clock, night, reach."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from planner.catalogue import default, text_default
from planner.intake.places import EVERYWHERE, Places
from planner.intake.reading import flag, from_default, number_as
from planner.intake.setting_rows import Setting, Settings
from planner.intake.words import key
from planner.scenario import Place


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomReading:
    """A temperature [C] at a clock hour; ``None`` holds all day."""

    at_hour: float | None
    temp_c: float


def day_curve(readings: Sequence[RoomReading]) -> tuple[float, ...]:
    """24 clock-hour temperatures [C], straight lines between readings.

    Hour 0 is 00:00-01:00 and takes the value at 00:30.  The day is a ring:
    between the last and the first reading the line runs over midnight.  A
    reading without an hour holds all day when no other is given, else it
    is left to the hourly ones.

    >>> day_curve([RoomReading(at_hour=None, temp_c=30.0)])[7]
    30.0
    """
    points = sorted(
        (reading.at_hour % 24, reading.temp_c)
        for reading in readings
        if reading.at_hour is not None
    )
    if not points:
        return (max(reading.temp_c for reading in readings),) * 24
    ring = [
        (points[-1][0] - 24, points[-1][1]),
        *points,
        (points[0][0] + 24, points[0][1]),
    ]
    return tuple(_at(ring, hour + 0.5) for hour in range(24))


def _at(ring: Sequence[tuple[float, float]], hour: float) -> float:
    for (left, low), (right, high) in pairwise(ring):
        if left <= hour <= right:
            share = 0.0 if right == left else (hour - left) / (right - left)
            return low + share * (high - low)
    return ring[-1][1]


def make_place(name: str, settings: Settings, places: Places) -> Place:
    """Resolve one place from its settings and those for all places."""
    return Place(
        name=name,
        temp_c_by_clock_hour=_temps(name, settings),
        open_at_night=_night(name, settings),
        reached_from=_reached(name, settings, places),
    )


def _for(name: str, rows: Sequence[Setting]) -> list[Setting]:
    """Rows of a place; rows for all places only when it has none."""
    own = [setting for setting in rows if setting.place == name]
    return own or [setting for setting in rows if setting.place is None]


def _temps(name: str, settings: Settings) -> tuple[float, ...]:
    fact = default("conditions.room_temp_c")
    readings = []
    for setting in _for(name, settings.found.get("room_temp", [])):
        value = number_as(setting.row, setting.field, "value", setting.unit,
                          f"{fact.value:g} C is assumed")  # fmt: skip
        if value is not None:
            readings.append(RoomReading(at_hour=setting.at_hour, temp_c=value))
    if readings:
        return day_curve(readings)
    what = f"Room temperature of {name}"
    settings.log.add(
        "default-used", sheet="Conditions", what=what, used=f"{fact.value:g} C"
    )
    settings.origins.append(from_default(f"room_temp_c, {name}", fact))
    return (fact.value,) * 24


def _night(name: str, settings: Settings) -> bool:
    usual = text_default("place.open_at_night").text == "yes"
    for setting in _for(name, settings.found.get("night", [])):
        value = flag(setting.row, "value", "no is assumed")
        return False if value is None else value
    return usual


def _reached(name: str, settings: Settings, places: Places) -> tuple[str, ...] | None:
    """Places whose people can fetch here; the place itself always can."""
    for setting in _for(name, settings.found.get("reached", [])):
        text = setting.row.text("value")
        if key(text) in EVERYWHERE | {"everyone", "everybody"}:
            return None
        listed = places.listed(setting.row, text)
        return tuple(dict.fromkeys((name, *listed)))
    return None
