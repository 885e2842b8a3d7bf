"""How numbers and times are said to people: clocks, degrees, litres, counts.

Nothing here knows about plans.  Names of days and months are spelled out
here so that the computer's language setting cannot change a plan.
"""

import math
import unicodedata
from datetime import datetime, timedelta

US_QUARTS_PER_LITRE = 1.0566882
"""Liquid quarts in a litre (NIST Handbook 44, appendix C)."""

MAX_TEXT = 2000
"""Longest text carried into an export; a spreadsheet cell takes 32,767."""

_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = (
    "Jan", "Feb", "Mar", "Apr", "May", "Jun",
    "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
)  # fmt: skip
# Spreadsheets also take the full-width twins of these signs for a formula.
_FORMULA_STARTS = tuple("=+-@\uff1d\uff0b\uff0d\uff20")
_DIRECTION_MARKS = set(
    "\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
)


def day_clock(moment: datetime, start: datetime | None = None) -> str:
    """Clock time with its day: ``Tue 04:20``.

    A weekday names one day only within a week, so a moment before ``start``
    or seven days and more after it also gets its date; so does every moment
    when ``start`` is ``None``.
    """
    near = start is not None and start <= moment < start + timedelta(days=7)
    clock = f"{moment.hour:02d}:{moment.minute:02d}"
    if near:
        return f"{_DAYS[moment.weekday()]} {clock}"
    return f"{full_day(moment)} {clock}"


def full_day(moment: datetime) -> str:
    """Day with its date: ``Tue 14 Oct 2025``."""
    day, month = _DAYS[moment.weekday()], _MONTHS[moment.month - 1]
    return f"{day} {moment.day} {month} {moment.year}"


def number(value: float, decimals: int = 1) -> str:
    """Write a number without a trailing ``.0`` and without a minus zero."""
    text = f"{_half_up(value, decimals):,.{decimals}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def to_fahrenheit(temp_c: float) -> float:
    """Degrees Celsius as degrees Fahrenheit."""
    return round(temp_c * 9 / 5 + 32, 6)


def temperature(temp_c: float) -> str:
    """One temperature on both scales: ``5 C / 41 F``."""
    return f"{_degrees(temp_c)} C / {_degrees(to_fahrenheit(temp_c), 0)} F"


def band(low_c: float, high_c: float) -> str:
    """Temperature band on both scales: ``2 to 8 C / 36 to 46 F``.

    Whole degrees Fahrenheit are rounded into the band, never out of it; a
    band too narrow for that is shown with one decimal.
    """
    low_f, high_f = to_fahrenheit(low_c), to_fahrenheit(high_c)
    inner_low, inner_high = math.ceil(low_f), math.floor(high_f)
    if inner_low <= inner_high:
        shown = f"{_degrees(inner_low)} to {_degrees(inner_high)} F"
    else:
        shown = f"{_degrees(low_f)} to {_degrees(high_f)} F"
    return f"{_degrees(low_c)} to {_degrees(high_c)} C / {shown}"


def at_most(temp_c: float) -> str:
    """Upper limit on both scales: ``30 C / 86 F``; Fahrenheit rounds down."""
    whole_f = _degrees(math.floor(to_fahrenheit(temp_c)), 0)
    return f"{_degrees(temp_c)} C / {whole_f} F"


def volume(volume_l: float) -> str:
    """Volume in litres and US quarts: ``12.5 L / 13.2 qt``, ``0.13 L / 0.14 qt``."""
    decimals = 1 if volume_l >= 1 else 2
    quarts = volume_l * US_QUARTS_PER_LITRE
    return f"{number(volume_l, decimals)} L / {number(quarts, decimals)} qt"


def energy(energy_wh: float) -> str:
    """Energy in watt-hours: ``1,250 Wh``."""
    return f"{number(energy_wh, 0)} Wh"


def power(power_w: float) -> str:
    """Power in watts: ``45 W``."""
    return f"{number(power_w, 0)} W"


def hours(hours_h: float) -> str:
    """Length of time in hours: ``1 hour``, ``36 hours``."""
    shown = number(hours_h)
    return f"{shown} hour" if shown == "1" else f"{shown} hours"


def plural(count: int, one: str, many: str = "") -> str:
    """Count with its noun: ``1 bag``, ``3 bags``, ``2 batteries``."""
    return f"{count:,} {one if count == 1 else many or one + 's'}"


def listed(parts: tuple[str, ...] | list[str]) -> str:
    """Parts as a sentence would list them: ``A, B and C``."""
    if len(parts) < 2:
        return "".join(parts)
    return ", ".join(parts[:-1]) + " and " + parts[-1]


def clean(text: str, limit: int = MAX_TEXT) -> str:
    """Text on one line, without control or direction marks, not endless."""
    kept = [
        " " if unicodedata.category(char) in {"Cc", "Zl", "Zp"} else char
        for char in text
        if unicodedata.category(char) != "Cs" and char not in _DIRECTION_MARKS
    ]
    line = " ".join("".join(kept).split())
    return line if len(line) <= limit else line[: limit - 3].rstrip() + "..."


def safe_text(text: str, limit: int = MAX_TEXT) -> str:
    """Clean text so that no spreadsheet program runs it as a formula."""
    line = clean(text, limit)
    return "'" + line if line.startswith(_FORMULA_STARTS) else line


def width(text: str) -> int:
    """Columns the text takes in a terminal."""
    total = 0
    for char in text:
        if unicodedata.combining(char) or unicodedata.category(char) == "Cf":
            continue
        total += 2 if unicodedata.east_asian_width(char) in "WF" else 1
    return total


def cut(text: str, columns: int) -> str:
    """Text cut to a number of terminal columns; three dots mark the cut."""
    if width(text) <= columns:
        return text
    kept = ""
    for char in text:
        if width(kept + char) > columns - 3:
            break
        kept += char
    return kept.rstrip() + "..."


def _degrees(value: float, decimals: int = 1) -> str:
    # The word, because a lone minus sign is lost in handwriting, and because
    # a spreadsheet reads a leading one as a formula.
    return number(value, decimals).replace("-", "minus ")


def _half_up(value: float, decimals: int) -> float:
    scale = 10.0**decimals
    return math.floor(round(value * scale, 6) + 0.5) / scale
