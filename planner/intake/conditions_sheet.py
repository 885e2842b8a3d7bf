"""The Conditions sheet: the window, the places, the sun, the ice."""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from planner.catalogue import default, member_default, number_list, text_default
from planner.intake import moments
from planner.intake.cells import Cell
from planner.intake.issues import Log
from planner.intake.origins import origin_from
from planner.intake.places import Places
from planner.intake.reading import from_default, say_wrong, skip
from planner.intake.rooms import make_place
from planner.intake.setting_rows import Settings, collect
from planner.intake.table import Table
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

MAX_WINDOW_H = 240
_SUN = {"none": SunCase.NONE, "no sun": SunCase.NONE, "poor": SunCase.POOR,
        "mean": SunCase.MEAN, "average": SunCase.MEAN, "0": SunCase.NONE}  # fmt: skip
_APART = {
    "separate units": Segregation.UNITS, "units": Segregation.UNITS,
    "separate unit": Segregation.UNITS, "separate fridges": Segregation.UNITS,
    "separate tubs": Segregation.TUBS, "tubs": Segregation.TUBS,
    "lidded tubs": Segregation.TUBS, "separate lidded tubs": Segregation.TUBS,
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """Conditions, places, and the word that salts the codes."""

    conditions: Conditions
    places: Places
    rooms: tuple[Place, ...]
    code_word: str = ""


def read_conditions(
    table: Table | None, places: Places, now: datetime, log: Log, *, panels: bool
) -> Site:
    """Conditions and places; without a sheet all defaults, on record.

    ``panels`` is False when no panel was listed: then the sun is not asked
    about.
    """
    settings = Settings(log)
    if table is not None:
        collect(table, places, settings)
    start = _start(settings, now)
    latitude, longitude = _where(settings)
    sun_hours = settings.number("sun_hours")
    if sun_hours is None and latitude is None:
        fact = default("conditions.peak_sun_hours")
        sun_hours = fact.value
        settings.origins.append(from_default("peak_sun_hours", fact))
        if panels:
            log.add("sun-unknown", sheet="Conditions", used=f"{fact.value:g}")
    rooms = tuple(make_place(name, settings, places) for name in places.names)
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


def _start(settings: Settings, now: datetime) -> datetime:
    """Start on a full hour; assumed from ``now`` when the sheet has none."""
    setting = settings.one("start")
    following = _full_hour(now)
    if setting is not None and not skip(setting.row, "value"):
        got = moments.moment(setting.row.cell("value"), now, latest=False)
        if got.value is not None:
            start = _full_hour(got.value)
            if start != got.value:
                setting.row.say("start-rounded", "value", used=moments.with_day(start))
            return start
        if got.wrong:
            shown = f"{moments.with_day(following)} is assumed"
            setting.row.say(got.wrong, "value", used=shown)
    shown = moments.with_day(following)
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
        origin_from(
            fact,
            "swap_hours",
            "; ".join(f"{hour:02d}:00" for hour in usual),
            CameFrom.DEFAULT,
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
    hours = [moments.clock_hour(part).value for part in parts]
    if not hours or any(hour is None for hour in hours):
        return None
    return tuple(sorted({math.ceil(hour) % 24 for hour in hours if hour is not None}))
