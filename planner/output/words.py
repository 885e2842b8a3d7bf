"""How numbers and times are said to people: clocks, degrees, litres, counts.

Nothing here knows about plans.  Names of days and months are spelled out
here so that the computer's language setting cannot change a plan.
"""

import math
import re
import unicodedata
from collections.abc import Callable
from datetime import datetime, timedelta
from enum import StrEnum

US_QUARTS_PER_LITRE = 1.0566882
"""Liquid quarts in a litre (NIST Handbook 44, appendix C)."""

KG_PER_POUND = 0.45359237
"""Kilograms in a pound, exactly (NIST Handbook 44, appendix C)."""

MAX_TEXT = 2000
"""Longest text carried into an export; a spreadsheet cell takes 32,767."""

DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = (
    "Jan", "Feb", "Mar", "Apr", "May", "Jun",
    "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
)  # fmt: skip
# Spreadsheets also take the full-width twins of these signs for a formula.
_FORMULA_STARTS = tuple("=+-@\uff1d\uff0b\uff0d\uff20")
_DIRECTION_MARKS = set(
    "\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
)

_DAY = "|".join(DAYS)
_MONTH = "|".join(MONTHS)
_CLOCK_TEXT = re.compile(
    rf"\b(?P<day>(?:{_DAY})(?: \d{{1,2}} (?:{_MONTH}) \d{{4}})? )?"
    # A time that was turned already is left alone: 10:00 pm is no 10:00.
    r"(?P<hour>[01]\d|2[0-4]):(?P<minute>[0-5]\d)\b(?!:|[ \u00a0]?[ap]m\b)"
)
_ONE = r"(?:minus )?\d[\d,]*(?:\.\d+)?"
_SPAN = rf"{_ONE}(?: (?:to|a) {_ONE})?"
_METRIC = "(?:C|L|kg|cm|m)"
_US = "(?:F|qt|lb|in|ft|pulgadas?|pies)"
_PAIR_TEXT = re.compile(rf"(?P<metric>{_SPAN} {_METRIC}) / (?P<us>{_SPAN} {_US})\b")
_ALONE = r"(?:minus |-)?\d[\d,]*(?:\.\d+)?"
_ALONE_TEXT = re.compile(
    rf"(?P<low>{_ALONE})(?: (?:to|a) (?P<high>{_ALONE})(?= C))? (?P<unit>L|C)"
)
_ICE_TEXT = re.compile(
    rf"(?P<first>{_ONE})(?: (?P<of>of|de) (?P<second>{_ONE}))? kg"
    r"(?= (?:of ice|de hielo|can be had)\b)"
)
_BAGS_TEXT = re.compile(rf"(?P<litres>{_ONE}) L(?= (?:of bags|de bolsas)\b)")
_BRACKET_TEXT = re.compile(rf"(?P<metric>{_SPAN} {_METRIC}) \((?P<us>{_SPAN} {_US})\)")
_AMOUNT = re.compile(rf"{_SPAN} {_METRIC}(?: / {_SPAN} {_US}| \({_SPAN} {_US}\))?")
_THEIRS, _THEIRS_ENDS = "\ue000", "\ue001"
_LONE_TEXT = re.compile(
    rf"(?P<left>{_THEIRS}[^{_THEIRS_ENDS}]*{_THEIRS_ENDS}|{_SPAN} {_US} \([^)]*\)|"
    rf"(?:{_ONE} (?:of|de) )?{_SPAN} {_METRIC} (?:/ (?:menos )?{_SPAN}|"
    rf"/ {_ONE} (?:of|de) {_ONE}|"
    rf"\({_SPAN}) {_US}\)?)|"
    rf"(?P<up>\b(?:up to|hasta) )?(?<![\w.,/-])(?P<low>{_ALONE})"
    rf"(?: (?:to|a) (?P<high>{_ALONE})(?= C))? (?P<unit>L|C|kg)\b(?!/)"
)


class Units(StrEnum):
    """Which units stand first; the others always stand beside them."""

    METRIC = "metric"
    US = "us"


class Clock(StrEnum):
    """How a clock time is written."""

    H24 = "24"
    H12 = "12"


def day_clock(
    moment: datetime, start: datetime | None = None, clock: Clock = Clock.H24
) -> str:
    """Clock time with its day: ``Tue 04:20``, or ``Tue 4:20 am``.

    A weekday names one day only within a week, so a moment before ``start``
    or seven days and more after it also gets its date; so does every moment
    when ``start`` is ``None``.
    """
    near = start is not None and start <= moment < start + timedelta(days=7)
    day = DAYS[moment.weekday()] if near else full_day(moment)
    return _on_clock(day, moment.hour, moment.minute, clock)


def hour_clock(hour: float, clock: Clock = Clock.H24) -> str:
    """Clock hour without its day: ``06:30``; the end of the day is ``24:00``."""
    minutes = round(hour * 60)
    return _on_clock("", minutes // 60, minutes % 60, clock)


def _on_clock(day: str, hour: int, minute: int, clock: Clock) -> str:
    """Write a clock time.

    12 am and 12 pm are not used, because people read them both ways (NIST,
    "Times of day FAQs": say noon and midnight); a midnight names the days
    that it lies between.
    """
    if clock is Clock.H24:
        return f"{day} {hour:02d}:{minute:02d}".strip()
    if minute == 0 and hour == 12:
        return f"{day} noon".strip()
    if minute == 0 and hour in {0, 24}:
        between = f"{DAYS[DAYS.index(day[:3]) - 1]}/{day}" if day else ""
        return f"midnight {between}".strip()
    half = "am" if hour % 24 < 12 else "pm"
    return f"{day} {(hour - 1) % 12 + 1}:{minute:02d} {half}".strip()


def is_amount(text: str) -> bool:
    """Tell whether a text is one amount with its unit, or with both units."""
    return _AMOUNT.fullmatch(text) is not None


def mark(text: str) -> str:
    """Words of others, in which no amount that stands alone is turned."""
    return f"{_THEIRS}{unmarked(text)}{_THEIRS_ENDS}"


def unmarked(text: str) -> str:
    """Text without the marks around words of others."""
    return text.replace(_THEIRS, "").replace(_THEIRS_ENDS, "")


def turned(
    text: str,
    units: Units,
    clock: Clock,
    local: Callable[[str], str] = str,
) -> str:
    """Text in which clock times and amounts stand as they are wanted.

    For sentences that another room wrote, on the 24-hour clock.  An amount
    with both units is turned wherever it stands; one that stands alone gets its
    other unit, only outside of what is marked as the words of others: a name
    may end in "45 L", and 0.5 C is the charging rate of a battery.  ``local``
    puts what was found into another language.
    """

    def clocked(found: re.Match[str]) -> str:
        day = (found["day"] or "").strip()
        return local(_on_clock(day, int(found["hour"]), int(found["minute"]), clock))

    def paired(found: re.Match[str]) -> str:
        return local(_pair(found["metric"], found["us"], units))

    def lone(found: re.Match[str]) -> str:
        return found["left"] or (found["up"] or "") + local(_in_both(found, units))

    def bags(found: re.Match[str]) -> str:
        return volume(float(found["litres"].replace(",", "")), units)

    said = _PAIR_TEXT.sub(paired, _CLOCK_TEXT.sub(clocked, text))
    alone = _ALONE_TEXT.fullmatch(unmarked(said))
    if alone:
        return local(_in_both(alone, units))
    if units is Units.US:
        said = _BRACKET_TEXT.sub(paired, said)
    said = _BAGS_TEXT.sub(bags, said)
    said = _ICE_TEXT.sub(lambda found: _in_pounds(found, units), said)
    return unmarked(_LONE_TEXT.sub(lone, said))


def _in_both(found: re.Match[str], units: Units) -> str:
    """One metric amount with its US unit; an upper limit is rounded down."""
    numbers = [
        float(one.replace("minus ", "-").replace(",", ""))
        for one in (found["low"], found["high"])
        if one is not None
    ]
    if found["unit"] == "L":
        return volume(numbers[0], units)
    if found["unit"] == "kg":
        return ice(numbers[0], units)
    if len(numbers) == 1:
        limit = found.groupdict().get("up")
        return (at_most if limit else temperature)(numbers[0], units)
    return band(numbers[0], numbers[1], units)


def _in_pounds(found: re.Match[str], units: Units) -> str:
    """Kilograms of ice and pounds: ``11 kg / 24.3 lb``, ``11 of 12 kg / 24.3 of ...``."""
    kg = [one for one in (found["first"], found["second"]) if one is not None]
    pounds = [number(float(one.replace(",", "")) / KG_PER_POUND) for one in kg]
    joint = f" {found['of']} "
    return _pair(f"{joint.join(kg)} kg", f"{joint.join(pounds)} lb", units)


def _pair(metric: str, us: str, units: Units) -> str:
    """Both units of one quantity; the one that is wanted stands first."""
    return f"{us} ({metric})" if units is Units.US else f"{metric} / {us}"


def full_day(moment: datetime) -> str:
    """Day with its date: ``Tue 14 Oct 2025``."""
    day, month = DAYS[moment.weekday()], MONTHS[moment.month - 1]
    return f"{day} {moment.day} {month} {moment.year}"


def number(value: float, decimals: int = 1) -> str:
    """Write a number without a trailing ``.0`` and without a minus zero."""
    text = f"{_half_up(value, decimals):,.{decimals}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def to_fahrenheit(temp_c: float) -> float:
    """Degrees Celsius as degrees Fahrenheit."""
    return round(temp_c * 9 / 5 + 32, 6)


def temperature(temp_c: float, units: Units = Units.METRIC) -> str:
    """One temperature on both scales: ``5 C / 41 F``."""
    in_f = f"{_degrees(to_fahrenheit(temp_c), 0)} F"
    return _pair(f"{_degrees(temp_c)} C", in_f, units)


def band(low_c: float, high_c: float, units: Units = Units.METRIC) -> str:
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
    return _pair(f"{_degrees(low_c)} to {_degrees(high_c)} C", shown, units)


def at_most(temp_c: float, units: Units = Units.METRIC) -> str:
    """Upper limit on both scales: ``30 C / 86 F``; Fahrenheit rounds down."""
    whole_f = _degrees(math.floor(to_fahrenheit(temp_c)), 0)
    return _pair(f"{_degrees(temp_c)} C", f"{whole_f} F", units)


def volume(volume_l: float, units: Units = Units.METRIC) -> str:
    """Volume in litres and US quarts: ``12.5 L / 13.2 qt``, ``0.13 L / 0.14 qt``."""
    decimals = 1 if volume_l >= 1 else 2
    quarts = number(volume_l * US_QUARTS_PER_LITRE, decimals)
    return _pair(f"{number(volume_l, decimals)} L", f"{quarts} qt", units)


def volume_only(volume_l: float, units: Units = Units.METRIC) -> str:
    """Volume in one unit, for bars and other narrow places: ``12.5 L``."""
    unit = "qt" if units is Units.US else "L"
    return f"{volume_number(volume_l, units)} {unit}"


def volume_number(volume_l: float, units: Units = Units.METRIC) -> str:
    """Volume without its unit, beside another one that names it."""
    us = units is Units.US
    return number(volume_l * US_QUARTS_PER_LITRE if us else volume_l, 2)


def ice(ice_kg: float, units: Units = Units.METRIC) -> str:
    """Weight of ice in kilograms and pounds: ``10 kg / 22 lb``."""
    pounds = number(ice_kg / KG_PER_POUND, 0 if ice_kg >= 5 else 1)
    return _pair(f"{number(ice_kg)} kg", f"{pounds} lb", units)


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
