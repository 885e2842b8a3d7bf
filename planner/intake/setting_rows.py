"""Rows of the Conditions sheet: which setting, for which place and hour."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from planner.catalogue import default, text_default
from planner.intake import moments
from planner.intake.cells import Cell
from planner.intake.headings import Field
from planner.intake.issues import Log
from planner.intake.origins import origin_from
from planner.intake.places import EVERYWHERE, Places
from planner.intake.reading import from_default, number_as, skip
from planner.intake.settings import setting_names
from planner.intake.table import Row, Table, without_dittos
from planner.intake.units import factor, temp_unit
from planner.intake.words import key
from planner.scenario import CameFrom, Origin

T = TypeVar("T")
_AT = re.compile(r"\bat\s+(\d{1,2}(?::\d{2})?\s*(?:am|pm)?)\b", re.I)
_BRACKET = re.compile(r"[(\[]([^()\[\]]*)[)\]]")
_PER_PLACE = frozenset({"room_temp", "night", "reached"})


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
        self.origins.append(origin_from(fact, name, str(value), CameFrom.DEFAULT))
        return value


def collect(table: Table, places: Places, settings: Settings) -> None:
    """Sort the rows by setting; unknown and repeated ones are noted."""
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
    hour = moments.clock_hour(Cell(value=at[1])).value if at else None
    unit = next((u for u in (inside, row.text("notes")) if _is_unit(found, u)), "")
    if found.dimension == "temp":
        unit = temp_unit(unit)
    return Setting(row=row, field=found, unit=unit, place=place, at_hour=hour)


def _is_unit(found: Field, text: str) -> bool:
    if found.dimension == "temp":
        return bool(temp_unit(text))
    return factor(found.dimension, text) is not None
