"""The Conditions sheet: the window, the places, the sun, the ice."""

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import TypeVar

from planner.catalogue import default, member_default, number_list, text_default
from planner.intake import values
from planner.intake.cells import Cell
from planner.intake.headings import Field
from planner.intake.issues import Log
from planner.intake.places import EVERYWHERE, Places
from planner.intake.reading import flag, from_default, number_as, say_wrong, skip
from planner.intake.rooms import Reading as RoomReading
from planner.intake.rooms import day_curve
from planner.intake.settings import setting_names
from planner.intake.table import Row, Table, without_dittos
from planner.intake.units import factor, temp_unit
from planner.intake.words import key
from planner.scenario import (
    CameFrom,
    Conditions,
    Flag,
    Origin,
    Place,
    Segregation,
    SunCase,
)

T = TypeVar("T")
MAX_WINDOW_H = 240
_AT = re.compile(r"\bat\s+(\d{1,2}(?::\d{2})?\s*(?:am|pm)?)\b", re.I)
_BRACKET = re.compile(r"[(\[]([^()\[\]]*)[)\]]")
_SUN = {"none": SunCase.NONE, "no sun": SunCase.NONE, "poor": SunCase.POOR,
        "mean": SunCase.MEAN, "average": SunCase.MEAN, "0": SunCase.NONE}  # fmt: skip
_APART = {
    "separate units": Segregation.UNITS, "units": Segregation.UNITS,
    "separate unit": Segregation.UNITS, "separate fridges": Segregation.UNITS,
    "separate tubs": Segregation.TUBS, "tubs": Segregation.TUBS,
    "lidded tubs": Segregation.TUBS, "separate lidded tubs": Segregation.TUBS,
}  # fmt: skip
_PER_PLACE = frozenset({"room_temp", "night", "reached"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """Conditions, places, and the word that salts the codes."""

    conditions: Conditions
    places: Places
    rooms: tuple[Place, ...]
    code_word: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """One row: which setting, for which place, at which clock hour."""

    row: Row
    field: Field
    unit: str
    place: str | None = None
    at_hour: float | None = None


@dataclass(slots=True)
class Settings:
    """All rows by setting, and the origins of what was left open."""

    log: Log
    found: dict[str, list[Setting]] = field(default_factory=dict)
    origins: list[Origin] = field(default_factory=list)

    def one(self, name: str) -> Setting | None:
        """Give the row of a setting that stands once."""
        rows = self.found.get(name, [])
        return rows[0] if rows else None

    def number(self, name: str, otherwise: str = "") -> float | None:
        """Give a setting's number; ``None`` when blank or wrong."""
        setting = self.one(name)
        if setting is None:
            return None
        return number_as(setting.row, setting.field, "value", setting.unit, otherwise)

    def number_or_default(self, name: str, noun: str) -> float:
        """Give a setting's number, else the default, on record."""
        fact = default(f"conditions.{noun}")
        value = self.number(name, f"{fact.value:g} is assumed")
        if value is not None:
            return value
        self.origins.append(from_default(noun, fact))
        return fact.value

    def word_or_default(self, name: str, names: Mapping[str, T], value: T) -> T:
        """Give a setting's word, else the default ``value``, on record."""
        setting = self.one(name)
        if setting is not None and not skip(setting.row, "value"):
            text = key(setting.row.text("value"))
            if text in names:
                return names[text]
            listed = ", ".join(setting.field.choices)
            setting.row.say("choice-not-known", "value", choices=listed,
                            used=f"{value} is assumed")  # fmt: skip
        fact = text_default(f"conditions.{name}")
        self.origins.append(
            Origin(
                field=name,
                came_from=CameFrom.DEFAULT,
                value=str(value),
                source=fact.source,
                jurisdiction=fact.jurisdiction,
                flag=fact.flag,
            )
        )
        return value


def read_conditions(
    table: Table | None, places: Places, now: datetime, log: Log, *, panels: bool
) -> Site:
    """Conditions and places; without a sheet all defaults, on record.

    ``panels`` is False when no panel was listed: then the sun is not asked
    about.
    """
    settings = Settings(log)
    if table is not None:
        _collect(table, places, settings)
    start = _start(settings, now)
    latitude, longitude = _where(settings)
    sun_hours = settings.number("sun_hours")
    if sun_hours is None and latitude is None:
        fact = default("conditions.peak_sun_hours")
        sun_hours = fact.value
        settings.origins.append(from_default("peak_sun_hours", fact))
        if panels:
            log.add("sun-unknown", sheet="Conditions", used=f"{fact.value:g}")
    rooms = tuple(_place(name, settings, places) for name in places.names)
    conditions = Conditions(
        start=start,
        window_h=_window(settings),
        latitude=latitude,
        longitude=longitude,
        utc_offset_h=_utc_offset(settings, longitude),
        peak_sun_hours=sun_hours,
        sky_factor=settings.number_or_default("sky_factor", "sky_factor"),
        poor_share=settings.number_or_default("poor_share", "poor_share"),
        sun_case=settings.word_or_default(
            "sun_case", _SUN, member_default("conditions.sun_case", SunCase)
        ),
        reserve_share=settings.number_or_default("reserve_share", "reserve_share"),
        ice_kg_day=settings.number_or_default("ice_kg_day", "ice_kg_day"),
        segregation=settings.word_or_default(
            "segregation", _APART, member_default("conditions.segregation", Segregation)
        ),
        swap_hours=_swap_hours(settings),
        origins=tuple(settings.origins),
    )
    word = settings.one("code_word")
    code_word = word.row.text("value") if word else ""
    return Site(conditions=conditions, places=places, rooms=rooms, code_word=code_word)


def _collect(table: Table, places: Places, settings: Settings) -> None:
    seen: dict[tuple[str, str | None, float | None], int] = {}
    for raw in without_dittos(table, settings.log):
        row = Row(table, raw, settings.log)
        setting = _setting(row, places)
        if setting is None:
            continue
        what = (setting.field.key, setting.place, setting.at_hour)
        if what in seen:
            row.say("setting-twice", "setting", other=seen[what])
            continue
        seen[what] = raw.number
        settings.found.setdefault(setting.field.key, []).append(setting)


def _setting(row: Row, places: Places) -> Setting | None:
    typed = row.text("setting")
    if not typed or (not row.text("value") and not row.cell("value").lost_formula):
        return None
    at = _AT.search(typed)
    bracket = _BRACKET.search(typed)
    inside = bracket[1] if bracket else ""
    bare = _AT.sub(" ", typed)
    names = setting_names()
    found = names.get(key(bare)) or names.get(key(_BRACKET.sub(" ", bare)))
    if found is None:
        row.say("setting-not-known", "setting")
        return None
    place: str | None = None
    if found.key in _PER_PLACE and key(row.text("place")) not in EVERYWHERE:
        place = places.find(row.text("place"))
        if place is None:
            row.say("setting-place-unknown", "place")
            return None
    hour = values.clock_hour(Cell(value=at[1])).value if at else None
    unit = next((u for u in (inside, row.text("notes")) if _is_unit(found, u)), "")
    if found.dimension == "temp":
        unit = temp_unit(unit)
    return Setting(row=row, field=found, unit=unit, place=place, at_hour=hour)


def _is_unit(found: Field, text: str) -> bool:
    if found.dimension == "temp":
        return bool(temp_unit(text))
    return factor(found.dimension, text) is not None


def _start(settings: Settings, now: datetime) -> datetime:
    """Start on a full hour; assumed from ``now`` when the sheet has none."""
    setting = settings.one("start")
    following = _full_hour(now)
    if setting is not None and not skip(setting.row, "value"):
        got = values.moment(setting.row.cell("value"), now, latest=False)
        if got.value is not None:
            start = _full_hour(got.value)
            if start != got.value:
                setting.row.say(
                    "start-rounded", "value", used=f"{start:%Y-%m-%d %H:%M}"
                )
            return start
        if got.wrong:
            shown = f"{following:%Y-%m-%d %H:%M} is assumed"
            setting.row.say(got.wrong, "value", used=shown)
    shown = f"{following:%Y-%m-%d %H:%M}"
    settings.log.add("start-assumed", sheet="Conditions", used=shown)
    settings.origins.append(
        Origin(
            field="start",
            came_from=CameFrom.DEFAULT,
            value=shown,
            source="next full hour on this computer's clock",
            flag=Flag.ESTIMATE,
        )
    )
    return following


def _full_hour(moment: datetime) -> datetime:
    plain = moment.replace(tzinfo=None)
    whole = plain.replace(minute=0, second=0, microsecond=0)
    return whole if whole == plain else whole + timedelta(hours=1)


def _window(settings: Settings) -> int:
    """Hours to plan; a given window that makes no sense stops the plan."""
    fact = default("conditions.window_h")
    setting = settings.one("window_h")
    hours = settings.number("window_h", f"{fact.value:g} h is assumed")
    if hours is None or setting is None:
        settings.origins.append(from_default("window_h", fact))
        return int(fact.value)
    if not 1 <= hours <= MAX_WINDOW_H:
        setting.row.say("window-not-usable", "value")
        return int(fact.value)
    if hours != int(hours):
        setting.row.say("window-rounded", "value", used=int(hours))
    return int(hours)


def _where(settings: Settings) -> tuple[float | None, float | None]:
    latitude = _degrees(settings, "latitude", "ns")
    longitude = _degrees(settings, "longitude", "ew")
    if latitude is None or longitude is None:
        return None, None
    return latitude, longitude


def _degrees(settings: Settings, name: str, letters: str) -> float | None:
    """Degrees with a sign or a compass letter: 29.98 N, 90.25 W."""
    setting = settings.one(name)
    if setting is None:
        return None
    text = setting.row.text("value").casefold().replace("\u00b0", "")
    match = re.fullmatch(rf"(\d+(?:\.\d+)?)\s*([{letters}])", text)
    if not match:
        return settings.number(name, "the sun is not worked out from it")
    value = float(match[1]) * (-1 if match[2] in "sw" else 1)
    if setting.field.low <= value <= setting.field.high:
        return value
    say_wrong(setting.row, setting.field, "value", "number-out-of-range",
              "the sun is not worked out from it")  # fmt: skip
    return None


def _utc_offset(settings: Settings, longitude: float | None) -> float:
    setting = settings.one("utc_offset_h")
    usual = 0.0 if longitude is None else float(round(longitude / 15))
    if setting is not None:
        text = setting.row.text("value").casefold()
        match = re.fullmatch(r"(?:utc|gmt)?\s*([-+]?\d{1,2})(?::(\d{2}))?", text)
        if match:
            part = float(match[2] or 0) / 60
            hours = float(match[1])
            value = hours - part if match[1].startswith("-") else hours + part
            if setting.field.low <= value <= setting.field.high:
                return value
        value_ = settings.number("utc_offset_h", f"{usual:g} h is assumed")
        if value_ is not None:
            return value_
    if longitude is not None:
        settings.origins.append(
            Origin(
                field="utc_offset_h",
                came_from=CameFrom.DEFAULT,
                value=f"{usual:g} h",
                source="longitude / 15, rounded",
                flag=Flag.ESTIMATE,
            )
        )
    return usual


def _swap_hours(settings: Settings) -> tuple[int, ...]:
    usual = tuple(int(hour) for hour in number_list("conditions.swap_hours"))
    setting = settings.one("swap_hours")
    if setting is not None and not skip(setting.row, "value"):
        hours = _clock_list(setting.row.cell("value"))
        if hours is not None:
            return hours
        setting.row.say("clock-not-usable", "value", used="the usual times are assumed")
    fact = text_default("conditions.swap_hours")
    settings.origins.append(
        Origin(
            field="swap_hours",
            came_from=CameFrom.DEFAULT,
            value="; ".join(f"{hour:02d}:00" for hour in usual),
            source=fact.source,
            jurisdiction=fact.jurisdiction,
            flag=fact.flag,
        )
    )
    return usual


def _clock_list(cell: Cell) -> tuple[int, ...] | None:
    if key(cell.text) in {"none", "never", "no"}:
        return ()
    parts: Sequence[Cell] = (cell,)
    if isinstance(cell.value, str):
        split = re.split(r"\s*(?:;|,|/|\band\b|\n)\s*", cell.text)
        parts = [Cell(value=part) for part in split if part]
    hours = [values.clock_hour(part).value for part in parts]
    if not hours or any(hour is None for hour in hours):
        return None
    return tuple(sorted({math.ceil(hour) % 24 for hour in hours if hour is not None}))


def _place(name: str, settings: Settings, places: Places) -> Place:
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
