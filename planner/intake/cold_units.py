"""The Cold units sheet."""

import re
from collections.abc import Sequence
from datetime import datetime

from planner.catalogue import (
    EquipmentDefault,
    member_default,
    number_list,
    text_default,
    unit_default,
)
from planner.intake.cells import Cell
from planner.intake.issues import Log
from planner.intake.kit import Names, kit_rows, word_or_default
from planner.intake.lines import flag_or
from planner.intake.places import Places
from planner.intake.reading import Filler, number, skip
from planner.intake.table import Row, Table
from planner.intake.temps import one_temp_c
from planner.intake.terms import read_terms
from planner.intake.unit_types import is_conditioned, is_freezer, unit_type
from planner.intake.values import is_blank
from planner.intake.words import key
from planner.scenario import CameFrom, ColdUnit, Flag, Origin, Supply, UnitType

_SUPPLY = {
    word: supply
    for supply, words in (
        (Supply.DC, "12v|12 v|dc|12v dc|12 volt|24v|12 24v|car socket|12"),
        (Supply.AC, "ac|mains|wall|240v|230v|120v|110v|plug"),
        (Supply.BOTH, "both|12v ac|ac dc|dc ac|either|12v and ac|12v or ac|ac 12v"),
        (Supply.NONE, "none|no|not needed|ice|n a"),
    )
    for word in words.split("|")
}
_ZONES = re.compile(r"\d+(?:\.\d+)?")


def read_units(
    tables: Sequence[Table], places: Places, start: datetime, log: Log
) -> tuple[ColdUnit, ...]:
    """All cold units that can be planned; the others are noted."""
    names = Names("Unit")
    found = (_unit(row, names, places, start) for row in kit_rows(tables, log))
    return tuple(unit for unit in found if unit is not None)


def _unit(row: Row, names: Names, places: Places, start: datetime) -> ColdUnit | None:
    name = names.of(row)
    kind = _type(row, name)
    gross_l = number(row, "gross_l", "the unit is left out")
    terms = read_terms(row, start)
    place = places.of(row)
    if gross_l is None:
        row.say("unit-no-volume", "gross_l")
    if kind is None or gross_l is None:
        return None
    owner = kind.name.lower()
    filler = Filler(row)
    conditioned = kind is UnitType.ICE_CHEST and is_conditioned(
        row.text("type"), row.text("name"), row.text("notes")
    )
    return ColdUnit(
        id=names.id_of(name),
        name=name,
        place=place,
        kind=kind,
        gross_volume_l=gross_l,
        usable_share=filler.number(
            "usable_share", "usable_share", unit_default(owner, "usable_share", gross_l)
        ),
        zone_shares=_zones(row, gross_l),
        set_points_c=_set_points(row, kind, conditioned, filler.origins),
        swing_c=filler.number("swing", "swing_c", unit_default(owner, "swing_c")),
        **_ratings(filler, owner, gross_l),
        ua_w_per_k=filler.take(
            "ua_w_per_k", unit_default(owner, "ua_w_per_k", gross_l)
        ),
        supply=_supply(row, kind, filler.origins),
        lockable=flag_or(row, "lockable", blank=False, unclear=False),
        conditioned=conditioned,
        availability=terms,
        sheet=row.table.sheet,
        row=row.raw.number,
        origins=tuple(filler.origins),
    )


def _type(row: Row, name: str) -> UnitType | None:
    """Type from its cell; a missing type is not guessed from the name."""
    text = row.text("type")
    if skip(row, "type") or is_blank(row.cell("type")):
        row.say("unit-type-unknown", "type", value=name)
        return None
    kind, doubtful = unit_type(text)
    if kind is None:
        row.say("unit-type-unknown", "type")
    elif doubtful:
        row.say("unit-type-ambiguous", "type")
    return kind


def _ratings(filler: Filler, owner: str, gross_l: float) -> dict[str, float]:
    """Power and energy of a unit that agree: a day has at most 24 h of power.

    A default gives way to a typed number it cannot go with; two typed
    numbers are kept and noted.
    """
    ratings = {
        noun: _filled(filler, column, noun, unit_default(owner, noun, gross_l))
        for column, noun in (
            ("running_w", "running_w"),
            ("rated_wh_day", "rated_wh_day"),
            ("rated_ambient", "rated_ambient_c"),
            ("rated_inside", "rated_inside_c"),
        )
    }
    if not ratings["rated_wh_day"] > 24 * ratings["running_w"] > 0:
        return ratings
    open_ = {origin.field for origin in filler.origins}
    if "rated_wh_day" in open_:
        ratings["rated_wh_day"] = 24 * ratings["running_w"]
        _restate(filler, "rated_wh_day", f"{ratings['rated_wh_day']:g} Wh/day",
                 "its running watts for 24 h")  # fmt: skip
    elif "running_w" in open_:
        ratings["running_w"] = round(ratings["rated_wh_day"] / 12, 1)
        _restate(filler, "running_w", f"{ratings['running_w']:g} W",
                 "its rated energy in 12 h of running a day")  # fmt: skip
    else:
        filler.row.say("energy-over-power", "rated_wh_day")
    return ratings


def _restate(filler: Filler, field: str, value: str, source: str) -> None:
    """Replace the record of a default by what was worked out instead."""
    kept = [origin for origin in filler.origins if origin.field != field]
    worked_out = Origin(
        field=field,
        came_from=CameFrom.DEFAULT,
        value=value,
        source=source,
        jurisdiction="any",
        flag=Flag.ESTIMATE,
    )
    filler.origins[:] = [*kept, worked_out]


def _filled(filler: Filler, column: str, noun: str, fact: EquipmentDefault) -> float:
    """Give a number with its default; zeros of unpowered types go unrecorded."""
    if fact.value == 0 or fact.source == "not used":
        return number(filler.row, column, f"{fact.value:g} is assumed") or fact.value
    return filler.number(column, noun, fact)


def _zones(row: Row, gross_l: float) -> tuple[float, ...]:
    """Shares of the gross volume from ``2``, ``60/40`` or ``20+15 L``."""
    if skip(row, "zones") or is_blank(row.cell("zones")):
        return (1.0,)
    text = row.text("zones").casefold()
    parts = [float(part) for part in _ZONES.findall(text)]
    litres = re.search(r"\d\s*l\b|lit(?:re|er)", text)
    if len(parts) == 1 and text.isdigit() and parts[0] in (1, 2, 3, 4):
        count = int(parts[0])
        return (1.0 / count,) * count
    total = sum(parts)
    fits = abs(total - 100) <= 1 or abs(total - 1) <= 0.01
    if litres:
        fits = abs(total - gross_l) <= 0.1 * gross_l
    if 2 <= len(parts) <= 4 and min(parts) > 0 and fits:
        return tuple(part / total for part in parts)
    row.say("zones-not-usable", "zones")
    return (1.0,)


def _set_points(
    row: Row, kind: UnitType, conditioned: bool, origins: list[Origin]
) -> tuple[float, ...]:
    field_key = f"{kind.name.lower()}.set_points_c"
    usual = number_list(field_key)
    fact = text_default(field_key)
    source, flag = fact.source, fact.flag
    if conditioned:
        usual, source, flag = (5.0,), "middle of the 2 to 8 C band", Flag.ESTIMATE
    elif is_freezer(row.text("type")) and kind in (
        UnitType.HOUSEHOLD,
        UnitType.ELSEWHERE,
    ):
        usual, source, flag = (-18.0,), "usual setting of a freezer", Flag.PRACTICE
    shown = "; ".join(f"{value:g} C" for value in usual)
    if not (skip(row, "set_points") or is_blank(row.cell("set_points"))):
        typed = _typed_set_points(row)
        if typed:
            return typed
        row.say("set-points-not-usable", "set_points", used=f"{shown} is assumed")
    origins.append(
        Origin(
            field="set_points_c",
            came_from=CameFrom.DEFAULT,
            value=shown,
            source=source,
            jurisdiction=fact.jurisdiction,
            flag=flag,
        )
    )
    return usual


def _typed_set_points(row: Row) -> tuple[float, ...]:
    """Set points parted by semicolons, slashes, ``or``, or comma and space."""
    cell = row.cell("set_points")
    if isinstance(cell.value, bool) or not isinstance(cell.value, str | float | int):
        return ()
    parts = re.split(r"\s*(?:;|/|\||\n|\bor\b|\band\b|,\s)\s*", cell.text)
    unit = row.unit("set_points") or "C"
    typed = [p for p in parts if p]
    common = typed[-1][-1:].upper() if typed and typed[-1][-1:].upper() in "CF" else ""
    found: list[float] = []
    for part in typed:
        if re.fullmatch(r"-?\d+,\d+.*", part):  # 2,5 is one number or two
            return ()
        text = part if part[-1:].isalpha() else part + common
        got = one_temp_c(Cell(value=text), -40, 15, unit)
        if got.value is None:
            return ()
        found.append(round(got.value, 1))
    return tuple(dict.fromkeys(found))


def _supply(row: Row, kind: UnitType, origins: list[Origin]) -> Supply:
    fact_key = f"{kind.name.lower()}.supply"
    usual = member_default(fact_key, Supply)
    if usual is Supply.NONE and not row.text("supply"):
        return usual
    if usual is not Supply.NONE and key(row.text("supply")) == "none":
        row.say("choice-not-known", "supply", choices="12V, AC, both",
                used=f"{usual} is assumed")  # fmt: skip
        return usual
    return word_or_default(
        row, "supply", _SUPPLY, text_default(fact_key), usual, origins
    )
