"""One cell to a clock hour or to a date with its clock time."""

import re
from datetime import datetime, time, timedelta

from planner.intake.cells import Cell
from planner.intake.values import Got, is_blank

_CLOCK = re.compile(r"(\d{1,2})(?:[:.h](\d{2}))?(?::\d{2})?\s*(am|pm|a\.m\.|p\.m\.|h)?")
_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[ T,]+(.+))?")
_DMY = re.compile(r"(\d{1,2})[-/.](\d{1,2})[-/.](\d{2}|\d{4})(?:[ ,]+(.+))?")
_MONTHS = ("january", "february", "march", "april", "may", "june", "july", "august",
           "september", "october", "november", "december")  # fmt: skip
_DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


def weekday_of(word: str) -> int | None:
    """Give the weekday (0 = Monday) of a name or its first three letters or more."""
    return _named(word, _DAYS)


def with_day(moment: datetime) -> str:
    """Clock time with its day and date: ``Mon 30 Nov 2026 22:00``.

    Spelled out here, so that the computer's language setting changes nothing.
    """
    day, month = _DAYS[moment.weekday()][:3], _MONTHS[moment.month - 1][:3]
    return f"{day.title()} {moment.day} {month.title()} {moment:%Y %H:%M}"


def _named(word: str, names: tuple[str, ...]) -> int | None:
    plain = word.casefold().rstrip(".")
    if len(plain) < 3:
        return None
    return next((at for at, name in enumerate(names) if name.startswith(plain)), None)


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


def moment(
    cell: Cell, near: datetime, *, latest: bool, label: bool = False
) -> Got[datetime]:
    """Give a date with or without a clock time.

    A clock or a day name alone is the last one before ``near`` (``latest``
    False: the first one after it).  On a ``label`` 08/26 is a month and a
    year, where the year is a likely one.
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
    if label and (printed := _label_month(cell.text, near)):
        return printed
    return _typed_moment(cell.text, near, latest=latest)


def _label_month(text: str, near: datetime) -> Got[datetime] | None:
    """``08/26`` on a label; 26 is no month and a year close by."""
    match = re.fullmatch(
        r"(?:exp\.?:? ?)?(\d{1,2})[-/.](\d{2})", text.casefold().strip()
    )
    if not match or int(match[2]) <= 12:
        return None
    year = 100 * (near.year // 100) + int(match[2])
    if not -3 <= year - near.year <= 12:
        return None
    found = _month_end(year, int(match[1]))
    return found if found.value is not None else None


def _typed_moment(text: str, near: datetime, *, latest: bool) -> Got[datetime]:
    bare = text.casefold().strip().removeprefix("exp ").strip()
    bare = {"last night": "yesterday 20:00", "this morning": "today 06:00"}.get(
        bare, bare
    )
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
    hour = _typed_clock(bare) if re.search(r"[:hap]", bare) else None
    if hour is None or hour.value is None:
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
    months = [at for t in tokens if (at := _named(t, _MONTHS)) is not None]
    if not months:
        return None
    numbers = [token for token in tokens if token[0].isdigit() and ":" not in token]
    clock = next((token for token in tokens if ":" in token), None)
    at = months[0] + 1
    years = [int(token) for token in numbers if len(token) == 4]
    days = [int(token) for token in numbers if len(token) <= 2]
    if len(months) > 1 or len(years) + len(days) != len(numbers) or not numbers:
        return Got(wrong="date-not-usable")
    if len(years) > 1 or len(days) > 1:
        return Got(wrong="date-not-usable")
    if not days:
        return _month_end(years[0], at)
    if years:
        return _day(years[0], at, days[0], clock)
    found = (_day(near.year + step, at, days[0], clock).value for step in (-1, 0, 1))
    dates = [date for date in found if date is not None]
    if not dates:
        return Got(wrong="date-not-usable")
    return Got(value=min(dates, key=lambda date: abs(date - near)))


def _named_day(bare: str, near: datetime, *, latest: bool) -> Got[datetime] | None:
    match = re.fullmatch(r"(?:on )?([a-z]{3,9})\.?(?:[ ,]+(?:at )?(.+))?", bare)
    if not match:
        return None
    name = match[1]
    today = datetime(near.year, near.month, near.day)
    if name in {"today", "yesterday", "tomorrow"}:
        day = today + timedelta(days={"today": 0, "yesterday": -1, "tomorrow": 1}[name])
    elif (weekday := weekday_of(name)) is not None:
        back = (today.weekday() - weekday) % 7
        day = today - timedelta(days=back)
        if not latest and back:
            day += timedelta(days=7)
    else:
        return None
    hour = _typed_clock(match[2]) if match[2] else Got(value=0.0)
    if hour.value is None:
        return Got(wrong="date-not-usable")
    return Got(value=day + timedelta(hours=hour.value))
