"""One cell to one value: numbers, yes and no, clocks, dates.

Each reader returns a :class:`Got`: a value, or nothing for a blank cell, or
the code of what is wrong.  Missing, zero and wrong stay three things.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from typing import Generic, TypeVar

from planner.intake.cells import Cell
from planner.intake.headings import Field
from planner.intake.units import factor, temp_unit
from planner.intake.words import key

T = TypeVar("T")
_BLANK = frozenset({"", "-", "--", "n/a", "na", "n.a.", "none", "nil", "?", "??", "tbc",
                    "tbd", "unknown", "ask", "."})  # fmt: skip
_YES = frozenset(
    [
        "y",
        "yes",
        "yep",
        "yeah",
        "x",
        "1",
        "true",
        "t",
        "ok",
        "si",
        "sim",
        "oui",
        "o",
        "ja",
        "j",
        "wi",
        "da",
        "да",
        "是",
        "co",
        "tak",
        "oo",
        "s",
        "v",
        "✓",
        "✔",
        "☑",
        "نعم",
    ]
)
_NO = frozenset(
    [
        "n",
        "no",
        "nope",
        "0",
        "false",
        "f",
        "non",
        "nein",
        "nee",
        "nao",
        "нет",
        "否",
        "khong",
        "nie",
        "hindi",
        "✗",
        "✘",
        "☐",
        "لا",
    ]
)
_NUMBER = re.compile(r"[-+]?(?:\d[\d.,' ]*\d|\d|[.,]\d+)")
_COUNT_WORDS = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7,
    "eight": 8, "nine": 9, "ten": 10, "twelve": 12, "dozen": 12, "a dozen": 12,
    "pair": 2, "a pair": 2, "half": 1, "uno": 1, "una": 1, "dos": 2, "tres": 3,
    "un": 1, "une": 1, "deux": 2, "trois": 3, "ein": 1, "eine": 1, "zwei": 2, "drei": 3,
}  # fmt: skip
_ERRORS = frozenset(
    {"#REF!", "#N/A", "#VALUE!", "#DIV/0!", "#NAME?", "#NULL!", "#NUM!", "#SPILL!"}
)
_BARE = frozenset({"number", "rate", "count"})
_CLOCK = re.compile(r"(\d{1,2})(?:[:.h](\d{2}))?(?::\d{2})?\s*(am|pm|a\.m\.|p\.m\.|h)?")
_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[ T,]+(.+))?")
_DMY = re.compile(r"(\d{1,2})[-/.](\d{1,2})[-/.](\d{2}|\d{4})(?:[ ,]+(.+))?")
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct",
           "nov", "dec")  # fmt: skip
_DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


@dataclass(frozen=True, slots=True)
class Got(Generic[T]):
    """What one cell gave: ``value``, or ``wrong`` (an issue code), or neither."""

    value: T | None = None
    wrong: str = ""


def is_blank(cell: Cell) -> bool:
    """Tell an empty cell, and marks that mean nothing was known."""
    return cell.text.casefold() in _BLANK


def is_error(cell: Cell) -> bool:
    """Tell the error values a spreadsheet shows."""
    return cell.text in _ERRORS


def number(cell: Cell, field: Field, unit: str) -> Got[float]:
    """Give a number in the field's canonical unit.

    ``unit`` is the heading's unit, used when the cell names none.
    """
    if is_blank(cell):
        return Got()
    value = cell.value
    if isinstance(value, bool | datetime | time):
        return Got(wrong="number-not-usable")
    if isinstance(value, timedelta):
        if field.dimension != "time":
            return Got(wrong="number-not-usable")
        return _in_range((value.total_seconds() / 3600,), field)
    if isinstance(value, float | int):
        return _scaled((float(value),), "%" if cell.percent else "", field, unit)
    return _typed_number(cell.text, field, unit)


def _typed_number(text: str, field: Field, unit: str) -> Got[float]:
    bare = re.sub(r"^(about|approx\.?|approximately|ca\.?|circa|around|~)\s*", "",
                  text.casefold())  # fmt: skip
    if bare in _COUNT_WORDS and field.dimension == "count":
        return Got(value=float(_COUNT_WORDS[bare]))
    found = _NUMBER.findall(bare)
    if len(found) != 1:
        return Got(wrong="number-not-usable")
    before, after = (part.strip() for part in bare.split(found[0], 1))
    readings = readings_of(found[0])
    if field.dimension == "count":
        plain = re.fullmatch(r"[\w .()-]*", after) and before in {
            "",
            "x",
            "n",
            "#",
            "qty",
        }
        return _in_range(readings, field) if plain else Got(wrong="number-not-usable")
    if before:
        return Got(wrong="number-not-usable")
    return _scaled(readings, after, field, unit)


def readings_of(digits: str) -> tuple[float, ...]:
    """Give the numbers a text of digits and marks can mean, most likely first.

    >>> readings_of("1,500")
    (1500.0, 1.5)
    >>> readings_of("1,5")
    (1.5,)
    """
    bare = digits.replace(" ", "").replace("'", "")
    marks = [sign for sign in bare if sign in ".,"]
    if not marks:
        return (float(bare),)
    last = marks[-1]
    whole, _, part = bare.rpartition(last)
    decimal = float((whole.replace(".", "").replace(",", "") or "0") + "." + part)
    if whole in {"-", "+"}:
        decimal = float(whole + "0." + part)
    grouped = re.fullmatch(rf"[-+]?\d{{1,3}}(\{last}\d{{3}})+", bare)
    thousands = float(bare.replace(last, "")) if grouped else None
    if len(marks) > 1 and len(set(marks)) == 1:
        return (thousands,) if thousands is not None else ()
    if thousands is None or len(set(marks)) > 1:
        return (decimal,)
    return (decimal, thousands) if last == "." else (thousands, decimal)


def _scaled(
    readings: Sequence[float], typed_unit: str, field: Field, unit: str
) -> Got[float]:
    if not readings:
        return Got(wrong="number-not-usable")
    named = typed_unit or unit or field.unit
    scale: float | None = 1.0
    if field.dimension in _BARE:
        scale = 1.0 if not typed_unit or temp_unit(typed_unit) else None
    elif named:
        scale = factor(field.dimension, named)
    if scale is None:
        return Got(wrong="unit-not-known")
    if field.dimension == "share" and not typed_unit:
        return _share(readings[0], field, unit or field.unit)
    return _in_range(tuple(reading * scale for reading in readings), field)


def _share(value: float, field: Field, unit: str) -> Got[float]:
    """Bare shares: above 1 it is percent; up to 1 it is a share.

    In a percent column a bare 1 is 1 % or all of it: that is asked about.
    """
    if unit == "%" and value == 1:
        return Got(wrong="number-two-ways")
    return _in_range((value / 100 if value > 1 else value,), field)


def _in_range(readings: Sequence[float], field: Field) -> Got[float]:
    if field.low == field.high == 0:
        return Got(value=readings[0])
    likely = [value for value in readings if field.low <= value <= field.high]
    if not likely:
        return Got(wrong="number-out-of-range")
    if len(likely) > 1:
        return Got(wrong="number-two-ways")
    return Got(value=likely[0])


def yes_no(cell: Cell) -> Got[bool]:
    """Yes or no in several languages; blank is neither."""
    if isinstance(cell.value, bool):
        return Got(value=cell.value)
    if cell.text.casefold() in _BLANK - {"ask", "?", "??"}:
        return Got()
    word = key(cell.text) or cell.text.strip("! ")
    first = word.split(" ")[0]
    if word in _YES or (first in _YES and len(first) > 1):
        return Got(value=True)
    if word in _NO or (first in _NO and len(first) > 1):
        return Got(value=False)
    return Got(wrong="yes-no-unclear")


def clock_hour(cell: Cell) -> Got[float]:
    """Give a clock time as hours of the day, 0 to 24."""
    value = cell.value
    if is_blank(cell):
        return Got()
    if isinstance(value, datetime | time):
        return Got(value=value.hour + value.minute / 60)
    if isinstance(value, timedelta):
        hours = value.total_seconds() / 3600
        return Got(value=hours) if 0 <= hours <= 24 else Got(wrong="clock-not-usable")
    if isinstance(value, float | int) and not isinstance(value, bool):
        return (
            Got(value=float(value))
            if 0 <= value <= 24
            else Got(wrong="clock-not-usable")
        )
    return _typed_clock(cell.text)


def _typed_clock(text: str) -> Got[float]:
    bare = text.casefold().strip()
    if bare in {"midnight", "noon", "midday"}:
        return Got(value=0.0 if bare == "midnight" else 12.0)
    if re.fullmatch(r"([01]\d|2[0-4])[0-5]\d\s*h?", bare):  # 1430
        return Got(value=int(bare[:2]) + int(bare[2:4]) / 60)
    match = _CLOCK.fullmatch(bare)
    if not match:
        return Got(wrong="clock-not-usable")
    hour, minute = int(match[1]), int(match[2] or 0)
    half = (match[3] or "").replace(".", "")
    if half in {"am", "pm"}:
        if not 1 <= hour <= 12:
            return Got(wrong="clock-not-usable")
        hour = hour % 12 + (12 if half == "pm" else 0)
    if hour > 24 or minute > 59 or (hour == 24 and minute):
        return Got(wrong="clock-not-usable")
    return Got(value=hour + minute / 60)


def moment(cell: Cell, near: datetime, *, latest: bool) -> Got[datetime]:
    """Give a date with or without a clock time.

    A clock or a day name alone is the last one before ``near`` (``latest``
    False: the first one after it).
    """
    value = cell.value
    if is_blank(cell):
        return Got()
    if isinstance(value, datetime):
        near_enough = abs(value.year - near.year) <= 30
        return Got(value=value) if near_enough else Got(wrong="date-not-usable")
    if isinstance(value, bool | float | int):
        return Got(wrong="date-not-usable")
    if isinstance(value, time | timedelta):
        hour = clock_hour(cell)
        if hour.value is None:
            return Got(wrong="date-not-usable")
        return Got(value=_nearest(hour.value, near, latest=latest))
    return _typed_moment(cell.text, near, latest=latest)


def _typed_moment(text: str, near: datetime, *, latest: bool) -> Got[datetime]:
    bare = text.casefold().strip().removeprefix("exp ").strip()
    if match := _ISO.fullmatch(bare):
        return _day(int(match[1]), int(match[2]), int(match[3]), match[4])
    if match := _DMY.fullmatch(bare):
        return _either_way(match, near)
    if match := re.fullmatch(r"(\d{1,2})[-/.](\d{4})", bare):
        return _month_end(int(match[2]), int(match[1]))
    if re.fullmatch(r"\d{1,2}[-/.]\d{1,2}", bare):
        return Got(wrong="date-two-ways")
    if named := _named_month(bare, near):
        return named
    if named := _named_day(bare, near, latest=latest):
        return named
    hour = _typed_clock(bare) if re.search(r"[:hap]", bare) else Got[float]()
    if hour.value is None:
        return Got(wrong="date-not-usable")
    return Got(value=_nearest(hour.value, near, latest=latest))


def _nearest(hour: float, near: datetime, *, latest: bool) -> datetime:
    moment_ = datetime(near.year, near.month, near.day) + timedelta(hours=hour)
    if latest and moment_ > near:
        return moment_ - timedelta(days=1)
    if not latest and moment_ < near:
        return moment_ + timedelta(days=1)
    return moment_


def _day(year: int, month: int, day: int, clock: str | None) -> Got[datetime]:
    hour = _typed_clock(clock) if clock else Got(value=0.0)
    try:
        start = datetime(year, month, day)
    except ValueError:
        return Got(wrong="date-not-usable")
    if hour.value is None or not 1990 <= year <= 2190:
        return Got(wrong="date-not-usable")
    return Got(value=start + timedelta(hours=hour.value))


def _either_way(match: re.Match[str], near: datetime) -> Got[datetime]:
    first, second, year = int(match[1]), int(match[2]), int(match[3])
    year += 100 * (near.year // 100) if year < 100 else 0
    ways = {
        got.value
        for got in (
            _day(year, second, first, match[4]),
            _day(year, first, second, match[4]),
        )
        if got.value is not None
    }
    if len(ways) == 1:
        return Got(value=ways.pop())
    return Got(wrong="date-two-ways" if ways else "date-not-usable")


def _month_end(year: int, month: int) -> Got[datetime]:
    """Month and year alone: a label date holds to the month's end."""
    if not 1 <= month <= 12 or not 1990 <= year <= 2190:
        return Got(wrong="date-not-usable")
    following = datetime(year + month // 12, month % 12 + 1, 1)
    return Got(value=following - timedelta(days=1))


def _named_month(bare: str, near: datetime) -> Got[datetime] | None:
    tokens = re.findall(r"[a-z]+|\d+(?::\d+)?", bare)
    month = next((t for t in tokens if t[:3] in _MONTHS), None)
    if month is None:
        return None
    numbers = [token for token in tokens if token[0].isdigit() and ":" not in token]
    clock = next((token for token in tokens if ":" in token), None)
    at = _MONTHS.index(month[:3]) + 1
    years = [int(token) for token in numbers if len(token) == 4]
    days = [int(token) for token in numbers if len(token) <= 2]
    if len(years) > 1 or len(days) > 1 or not numbers:
        return Got(wrong="date-not-usable")
    if not days:
        return _month_end(years[0], at)
    return _day(years[0] if years else near.year, at, days[0], clock)


def _named_day(bare: str, near: datetime, *, latest: bool) -> Got[datetime] | None:
    match = re.fullmatch(r"(?:on )?([a-z]{3,9})\.?(?:[ ,]+(?:at )?(.+))?", bare)
    if not match:
        return None
    name = match[1]
    today = datetime(near.year, near.month, near.day)
    if name in {"today", "yesterday", "tomorrow"}:
        day = today + timedelta(days={"today": 0, "yesterday": -1, "tomorrow": 1}[name])
    elif name[:3] in _DAYS:
        back = (today.weekday() - _DAYS.index(name[:3])) % 7
        day = today - timedelta(days=back)
        if not latest and back:
            day += timedelta(days=7)
    else:
        return None
    hour = _typed_clock(match[2]) if match[2] else Got(value=0.0)
    if hour.value is None:
        return Got(wrong="date-not-usable")
    return Got(value=day + timedelta(hours=hour.value))
