"""One cell to one value: numbers, shares, yes and no.

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


@dataclass(frozen=True, slots=True)
class Got(Generic[T]):
    """What one cell gave: ``value``, or ``wrong`` (an issue code), or neither."""

    value: T | None = None
    wrong: str = ""


def is_blank(cell: Cell) -> bool:
    """Tell an empty cell, and marks that mean nothing was known."""
    return cell.text.casefold() in _BLANK


def is_count_word(word: str) -> bool:
    """Tell a word that counts, such as ``two`` or ``dozen``."""
    return word in _COUNT_WORDS


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
        return _scaled((float(value),), "share" if cell.percent else "", field, unit)
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
