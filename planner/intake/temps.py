"""Temperatures as people type them: 2-8, 36 to 46 F, below 25, -18 C."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from planner.intake.cells import Cell
from planner.intake.units import f_to_c
from planner.intake.values import Got, is_blank

_UNIT = r"(?:\s*(?:\u00b0|deg(?:rees)?\.?)?\s*([cf])(?:els\w*|ahr\w*)?\b|\s*\u00b0)?"
_NUMBER = re.compile(r"(\d+(?:[.,]\d+)?)" + _UNIT, re.I)
_UPPER = re.compile(
    r"<|\u2264|below|under|up to|max|not above|at most|no more|hasta", re.I
)
_LIKELY_C = (-90.0, 40.0)
_LIKELY_F = (32.0, 113.0)
_ASK_ALONE = (-5.0, 12.0)
_LABEL_PAIRS = frozenset({(2, 8), (0, 4), (2, 4), (2, 5), (1, 4), (2, 6), (8, 25)})


@dataclass(frozen=True, slots=True)
class Band:
    """Two edges in degrees Celsius; ``low_c`` may be open.

    ``note`` is an issue code that says how the cell was read.
    """

    low_c: float | None
    high_c: float
    note: str = ""


def temps_in(text: str) -> tuple[tuple[float, str], ...]:
    """Numbers and their typed units; a dash after a number parts a range.

    >>> temps_in("2-8 C")
    ((2.0, ''), (8.0, 'C'))
    >>> temps_in("-25 to -15")
    ((-25.0, ''), (-15.0, ''))
    """
    found: list[tuple[float, str]] = []
    end = 0
    for match in _NUMBER.finditer(text):
        before = text[end : match.start()]
        value = float(match[1].replace(",", "."))
        parted = found and before.strip() == "-"
        loose = found and before == " -" and found[0][0] < 0  # "-20 -10"
        if before.endswith("-") and (not parted or loose):
            value = -value
        found.append((value, (match[2] or "").upper()))
        end = match.end()
    return tuple(found)


def one_temp_c(cell: Cell, low_c: float, high_c: float, unit: str) -> Got[float]:
    """One temperature in Celsius that lies in the likely range."""
    if is_blank(cell):
        return Got()
    if isinstance(cell.value, bool | datetime):
        return Got(wrong="number-not-usable")
    found = temps_in(cell.text)
    if len(found) != 1:
        return Got(wrong="number-not-usable")
    value, typed = found[0]
    if typed or (unit and low_c <= _c(value, unit) <= high_c):
        exact = _c(value, typed or unit)
        likely = low_c <= exact <= high_c
        return Got(value=exact) if likely else Got(wrong="number-out-of-range")
    ways = {way for way in (value, f_to_c(value)) if low_c <= way <= high_c}
    if len(ways) == 1:
        way = ways.pop()
        return Got(value=way, wrong="" if way == value else "fahrenheit-assumed")
    return Got(wrong="number-two-ways" if ways else "number-out-of-range")


def band(cell: Cell, unit: str) -> Got[Band]:
    """Both edges of a storage range from one cell."""
    if is_blank(cell):
        return Got()
    if isinstance(cell.value, datetime):
        return _from_date(cell.value)
    found = temps_in(cell.text)
    typed = next((named for _, named in found if named), "")
    if len(found) == 4 and {named for _, named in found} >= {"C", "F"}:
        return _both_units(found)
    values = [value for value, _ in found]
    if len(values) == 1 and _UPPER.search(cell.text):
        top = in_celsius(values, typed, unit)
        if top.value is None:
            return Got(wrong=top.wrong)
        return Got(value=Band(low_c=None, high_c=top.value[0], note=top.wrong))
    if len(values) == 1:
        return Got(wrong="band-one-edge")
    if len(values) != 2:
        return Got(wrong="band-not-usable")
    edges = in_celsius(values, typed, unit)
    if edges.value is None:
        return Got(wrong=edges.wrong)
    low, high = sorted(edges.value)
    return Got(value=Band(low_c=low, high_c=high, note=edges.wrong))


def in_celsius(
    values: Sequence[float], typed: str, unit: str
) -> Got[tuple[float, ...]]:
    """Edges in Celsius; by the typed unit, the heading's, or the likely range.

    36-46 can only be Fahrenheit; 2-8 is Celsius; a single small number
    without any unit is asked about.
    """
    as_c = all(_LIKELY_C[0] <= value <= _LIKELY_C[1] for value in values)
    as_f = all(_LIKELY_F[0] <= value <= _LIKELY_F[1] for value in values)
    if typed:
        exact = tuple(_edge(value, typed) for value in values)
        fits = all(_LIKELY_C[0] <= edge <= _LIKELY_F[1] for edge in exact)
        return Got(value=exact) if fits else Got(wrong="band-not-usable")
    if unit == "F":
        doubtful = all(0 < value < _LIKELY_F[0] for value in values)
        frozen = all(-60 <= value <= 20 for value in values)
        if as_f or (frozen and not doubtful):
            return Got(value=tuple(_edge(value, "F") for value in values))
        return Got(wrong="band-not-usable")
    if as_c:
        alone = len(values) == 1 and _ASK_ALONE[0] <= values[0] <= _ASK_ALONE[1]
        if alone and not unit:
            return Got(wrong="band-one-edge")
        return Got(value=tuple(values))
    if as_f:
        fahrenheit = tuple(_edge(value, "F") for value in values)
        return Got(value=fahrenheit, wrong="fahrenheit-assumed")
    return Got(wrong="band-not-usable")


def _c(value: float, unit: str) -> float:
    return f_to_c(value) if unit == "F" else value


def _edge(value: float, unit: str) -> float:
    """Give a label's edge: published pairs round, 36-46 F is 2-8 C (USP <659>)."""
    return float(round(f_to_c(value))) if unit == "F" else value


def _both_units(found: Sequence[tuple[float, str]]) -> Got[Band]:
    """``2-8 C (36-46 F)``: the pair that ends in C counts."""
    pairs = (found[:2], found[2:])
    for pair in pairs:
        if pair[1][1] == "C":
            low, high = sorted(value for value, _ in pair)
            return Got(value=Band(low_c=low, high_c=high))
    return Got(wrong="band-not-usable")


def _from_date(value: datetime) -> Got[Band]:
    """``2-8`` that the spreadsheet turned into 2 August or 8 February."""
    low, high = sorted((value.day, value.month))
    if (low, high) not in _LABEL_PAIRS:
        return Got(wrong="band-not-usable")
    return Got(
        value=Band(low_c=float(low), high_c=float(high), note="date-turned-back")
    )
