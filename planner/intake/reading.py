"""Read typed fields of one row; wrong cells become issues, never raise."""

from collections.abc import Mapping
from typing import TypeVar

from planner.catalogue import EquipmentDefault
from planner.intake import moments, values
from planner.intake.headings import Field
from planner.intake.origins import origin_from
from planner.intake.table import Row
from planner.intake.temps import one_temp_c
from planner.intake.values import Got
from planner.intake.words import key
from planner.scenario import CameFrom, Origin

T = TypeVar("T")


def number(row: Row, field_key: str, otherwise: str) -> float | None:
    """Give a number in the field's unit; ``None`` when blank or wrong.

    ``otherwise`` says in the issue what is used in place of a wrong cell.
    """
    field = row.table.spec.field(field_key)
    return number_as(row, field, field_key, row.unit(field_key), otherwise)


def number_as(
    row: Row, field: Field, field_key: str, unit: str, otherwise: str
) -> float | None:
    """Like :func:`number`, read as another field (settings share one column)."""
    cell = row.cell(field_key)
    if skip(row, field_key):
        return None
    if field.low <= 0 and cell.text.casefold() in {"none", "nil", "no"}:
        return 0.0
    if field.dimension == "temp":
        got = one_temp_c(cell, field.low, field.high, unit or field.unit)
    else:
        got = values.number(cell, field, unit)
    if got.wrong == "fahrenheit-assumed" and got.value is not None:
        row.say(got.wrong, field_key, used=f"{got.value:.1f} C")
        return got.value
    if got.wrong:
        say_wrong(row, field, field_key, got.wrong, otherwise)
        return None
    return got.value


def say_wrong(
    row: Row, field: Field, field_key: str, code: str, otherwise: str
) -> None:
    """Note a wrong number with the words its sentence needs."""
    unit = f" {field.unit}" if field.unit else ""
    bare = "" if code == "number-out-of-range" else " plain figures"
    percent = field.dimension == "share"
    low, high = (
        (f"{field.low * 100:g}", f"{field.high * 100:g}")
        if percent
        else (f"{field.low:g}", f"{field.high:g}")
    )
    row.say(
        code,
        field_key,
        what=field.heading.split(" (")[0],
        unit=" %" if percent else unit or bare,
        low=low,
        high=high,
        used=otherwise,
    )


def flag(row: Row, field_key: str, otherwise: str) -> bool | None:
    """Yes or no; ``None`` when blank or unclear."""
    if skip(row, field_key):
        return None
    got = values.yes_no(row.cell(field_key))
    if got.wrong:
        row.say(got.wrong, field_key, used=otherwise)
    return got.value


def choice(
    row: Row, field_key: str, names: Mapping[str, T], otherwise: str
) -> T | None:
    """One of a list of words; ``None`` when blank or not on the list."""
    if skip(row, field_key):
        return None
    text = key(row.text(field_key))
    if text in names:
        return names[text]
    if values.is_blank(row.cell(field_key)):
        return None
    field = row.table.spec.field(field_key)
    listed = ", ".join(field.choices)
    row.say("choice-not-known", field_key, choices=listed, used=otherwise)
    return None


def clock(row: Row, field_key: str, otherwise: str) -> Got[float]:
    """Clock hour; the issue of a wrong one is noted."""
    if skip(row, field_key):
        return Got()
    got = moments.clock_hour(row.cell(field_key))
    if got.wrong:
        row.say(got.wrong, field_key, used=otherwise)
    return got


def skip(row: Row, field_key: str) -> bool:
    """Tell whether the cell is blank, or broken by the spreadsheet (noted)."""
    cell = row.cell(field_key)
    if cell.lost_formula:
        row.say("formula-no-value", field_key)
        return True
    if values.is_error(cell):
        row.say("cell-error", field_key)
        return True
    return not cell.text


def shown_default(fact: EquipmentDefault) -> str:
    """Give a default's value with its unit; shares and counts have none."""
    unit = "" if fact.unit in {"share", "count", "1-5"} else f" {fact.unit}"
    return f"{fact.value:g}{unit}"


def from_default(field: str, fact: EquipmentDefault) -> Origin:
    """Origin of a value that the sheet left open."""
    return origin_from(fact, field, shown_default(fact), CameFrom.DEFAULT)


class Filler:
    """Numbers of one row, with the default and its origin for blanks."""

    __slots__ = ("origins", "row")

    def __init__(self, row: Row) -> None:
        self.row = row
        self.origins: list[Origin] = []

    def number(self, field_key: str, noun_field: str, fact: EquipmentDefault) -> float:
        """Give the sheet's number, else the default; a default is on record."""
        otherwise = f"{shown_default(fact)} is assumed"
        found = number(self.row, field_key, otherwise)
        if found is not None:
            return found
        return self.take(noun_field, fact)

    def take(self, noun_field: str, fact: EquipmentDefault) -> float:
        """Give the default itself, on record."""
        self.origins.append(from_default(noun_field, fact))
        return fact.value
