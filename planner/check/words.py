"""Words for findings: clock times with the day, both temperature scales."""

from collections.abc import Iterable
from datetime import datetime, timedelta

from planner.scenario import Conditions

_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
QUARTS_PER_LITRE = 1.0566882
"""US liquid quarts in a litre (NIST Handbook 44, appendix C)."""


def moment(conditions: Conditions, when: datetime) -> str:
    """Clock time with its day, such as ``Tue 04:20``.

    A weekday names one day only within a week of the start; other moments
    carry their date as well.
    """
    text = f"{_DAYS[when.weekday()]} {when.hour:02d}:{when.minute:02d}"
    near = conditions.start <= when < conditions.start + timedelta(days=7)
    return text if near else f"{text} on {when.date().isoformat()}"


def clock(conditions: Conditions, hour: float) -> str:
    """Clock time of an hour of the window, with its day."""
    return moment(conditions, conditions.clock(hour))


def span(conditions: Conditions, hours: Iterable[int]) -> str:
    """First and last clock time of some hours of the window, and how many."""
    found = sorted(hours)
    begins, ends = clock(conditions, found[0]), clock(conditions, found[-1] + 1)
    return f"{begins} to {ends} ({len(found)} h)"


def temp(temp_c: float) -> str:
    """One temperature on both scales."""
    return f"{temp_c:.1f} C / {temp_c * 9 / 5 + 32:.1f} F"


def volume(volume_l: float) -> str:
    """One volume in litres and US quarts."""
    return f"{volume_l:.2f} L / {volume_l * QUARTS_PER_LITRE:.2f} qt"
