"""The Batteries and Panels sheets."""

import re
from collections.abc import Iterator, Sequence
from datetime import datetime

from planner.catalogue import EquipmentDefault, default, member_default, text_default
from planner.intake.issues import Log
from planner.intake.kit import Names, kit_rows, word_or_default
from planner.intake.lines import flag_or
from planner.intake.origins import origin_from
from planner.intake.places import Places
from planner.intake.reading import Filler, from_default, number, skip
from planner.intake.table import Row, Table
from planner.intake.terms import read_terms
from planner.intake.values import is_blank
from planner.intake.words import key
from planner.scenario import (
    Battery,
    CameFrom,
    Chemistry,
    Controller,
    Flag,
    Origin,
    Panel,
)

_CHEMISTRY = {
    word: chemistry
    for chemistry, words in (
        (Chemistry.LFP, "lfp|lifepo4|lifepo|li fe po4|lithium iron phosphate|lithium iron"),
        (Chemistry.LI_ION, "lithium ion|li ion|liion|nmc|lithium|lipo|li polymer|nca"),
        (Chemistry.AGM, "agm|gel|sealed lead|sla|vrla|sealed lead acid"),
        (Chemistry.FLOODED, ("flooded lead|flooded|lead acid|lead|wet|car battery|"
         "marine|deep cycle|starter")),
    )
    for word in words.split("|")
}  # fmt: skip
_CONTROLLER = {
    word: controller
    for controller, words in (
        (Controller.MPPT, "mppt"),
        (Controller.PWM, "pwm"),
        (Controller.BUILT_IN, "built in|builtin|internal|in the battery|integrated"),
    )
    for word in words.split("|")
}
_COMPASS = ("n", "nne", "ne", "ene", "e", "ese", "se", "sse", "s", "ssw", "sw", "wsw",
            "w", "wnw", "nw", "nnw")  # fmt: skip
_COMPASS_WORDS = {"north": "n", "east": "e", "south": "s", "west": "w"}
_AH_V = re.compile(r"(\d+(?:[.,]\d+)?)\s*(ah|v)\b")


def read_batteries(
    tables: Sequence[Table], places: Places, start: datetime, log: Log
) -> tuple[Battery, ...]:
    """All batteries with a capacity; the others are noted and left out."""
    names = Names("Battery")
    found = (_battery(row, names, places, start) for row in kit_rows(tables, log))
    return tuple(battery for battery in found if battery is not None)


def _battery(row: Row, names: Names, places: Places, start: datetime) -> Battery | None:
    name = names.of(row)
    capacity_wh = _capacity_wh(row)
    terms = read_terms(row, start)
    place = places.of(row)
    if capacity_wh is None:
        row.say("battery-no-capacity", "capacity_wh")
        return None
    filler = Filler(row)
    chemistry = word_or_default(
        row,
        "chemistry",
        _CHEMISTRY,
        text_default("battery.chemistry"),
        member_default("battery.chemistry", Chemistry),
        filler.origins,
    )
    owner = f"battery.{chemistry.name.lower()}"
    numbers = dict(_plain_numbers(filler))
    max_charge_w = _max_charge_w(row, capacity_wh, owner, filler.origins)
    return Battery(
        id=names.id_of(name),
        name=name,
        place=place,
        capacity_wh=capacity_wh,
        chemistry=chemistry,
        charge_now=_charge_now(filler),
        usable_share=filler.number(
            "usable_share", "usable_share", default(f"{owner}.usable_share")
        ),
        max_out_w=numbers["max_out_w"],
        ports_12v=int(numbers["ports_12v"]),
        port_12v_max_w=filler.take("port_12v_max_w", default("battery.port_12v_max_w")),
        outlets_ac=int(numbers["outlets_ac"]),
        ac_idle_w=numbers["ac_idle_w"],
        max_charge_w=max_charge_w,
        solar_input_max_w=numbers["solar_input_max_w"],
        movable=flag_or(row, "movable", blank=True, unclear=False),
        dc_efficiency=filler.take("dc_efficiency", default("battery.dc_efficiency")),
        ac_efficiency=filler.take("ac_efficiency", default("battery.ac_efficiency")),
        charge_efficiency=filler.take(
            "charge_efficiency", default(f"{owner}.charge_efficiency")
        ),
        availability=terms,
        sheet=row.table.sheet,
        row=row.raw.number,
        origins=tuple(filler.origins),
    )


def _plain_numbers(filler: Filler) -> Iterator[tuple[str, float]]:
    for column, noun in (
        ("max_out_w", "max_out_w"),
        ("ports_12v", "ports_12v"),
        ("outlets_ac", "outlets_ac"),
        ("ac_idle_w", "ac_idle_w"),
        ("solar_max_w", "solar_input_max_w"),
    ):
        yield noun, filler.number(column, noun, default(f"battery.{noun}"))


def _capacity_wh(row: Row) -> float | None:
    """Watt-hours, or amp-hours times volts; Ah alone is not a capacity."""
    cell = row.cell("capacity_wh")
    if isinstance(cell.value, str):
        found = _AH_V.findall(cell.text.casefold().replace(" volt", " v"))
        units = {unit: float(value.replace(",", ".")) for value, unit in found}
        if "ah" in units:
            volts = units.get("v") or number(row, "volts", "the battery is left out")
            return _likely(row, units["ah"] * volts) if volts else None
    wh = number(row, "capacity_wh", "the battery is left out")
    if wh is not None or (row.text("capacity_wh") and not is_blank(cell)):
        return wh
    ah = number(row, "ah", "the battery is left out")
    volts = number(row, "volts", "the battery is left out")
    return _likely(row, ah * volts) if ah and volts else None


def _likely(row: Row, capacity_wh: float) -> float | None:
    field = row.table.spec.field("capacity_wh")
    return capacity_wh if field.low <= capacity_wh <= field.high else None


def _charge_now(filler: Filler) -> float:
    row, fact = filler.row, default("battery.charge_now")
    cell = row.cell("charge_now")
    if key(cell.text) in {"full", "fully charged", "charged"}:
        return 1.0
    if key(cell.text) in {"empty", "flat", "dead"}:
        return 0.0
    before = number(row, "charge_now", f"{fact.value * 100:g} % is assumed")
    if before is None:
        if not cell.text:
            shown = f"{fact.value * 100:g} %"
            row.say("default-used", "charge_now", what="The charge", used=shown)
        return filler.take("charge_now", fact)
    bare = isinstance(cell.value, float | int) and not cell.percent
    if bare and 0 < before < 1 and float(cell.text) < 1:
        row.say("charge-small", "charge_now", used=f"{before * 100:g} %")
    return before


def _max_charge_w(
    row: Row, capacity_wh: float, owner: str, origins: list[Origin]
) -> float:
    fact = default(f"{owner}.max_charge_share_per_h")
    usual = round(fact.value * capacity_wh, 1)
    found = number(row, "max_charge_w", f"{usual:g} W is assumed")
    if found is not None:
        return found
    origins.append(origin_from(fact, "max_charge_w", f"{usual:g} W", CameFrom.DEFAULT))
    return usual


def read_panels(
    tables: Sequence[Table],
    places: Places,
    start: datetime,
    latitude: float | None,
    log: Log,
) -> tuple[Panel, ...]:
    """All panels with watts; the others are noted and left out."""
    names = Names("Panel")
    found = (
        _panel(row, names, places, start, latitude) for row in kit_rows(tables, log)
    )
    return tuple(panel for panel in found if panel is not None)


def _panel(
    row: Row, names: Names, places: Places, start: datetime, latitude: float | None
) -> Panel | None:
    name = names.of(row)
    rated_w = number(row, "rated_w", "the panel is left out")
    terms = read_terms(row, start)
    place = places.of(row, anywhere=True)
    if rated_w is None:
        row.say("panel-no-watts", "rated_w")
        return None
    filler = Filler(row)
    return Panel(
        id=names.id_of(name),
        name=name,
        place=place,
        rated_w=rated_w,
        controller=word_or_default(
            row,
            "controller",
            _CONTROLLER,
            text_default("panel.controller"),
            member_default("panel.controller", Controller),
            filler.origins,
        ),
        tilt_deg=_tilt(filler),
        azimuth_deg=_azimuth(filler, latitude),
        shade_share=filler.number(
            "shade_share", "shade_share", default("panel.shade_share")
        ),
        availability=terms,
        sheet=row.table.sheet,
        row=row.raw.number,
        origins=tuple(filler.origins),
    )


def _tilt(filler: Filler) -> float:
    text = key(filler.row.text("tilt"))
    if text in {"flat", "on the ground", "lying"}:
        return 0.0
    if text in {"upright", "vertical"}:
        return 90.0
    return filler.number("tilt", "tilt_deg", default("panel.tilt_deg"))


def _azimuth(filler: Filler, latitude: float | None) -> float:
    """Degrees or a compass word; blank faces the equator."""
    row = filler.row
    plain = "".join(
        _COMPASS_WORDS.get(word, word) for word in key(row.text("azimuth")).split()
    )
    for word, letter in _COMPASS_WORDS.items():
        plain = plain.replace(word, letter)
    if plain in _COMPASS:
        return _COMPASS.index(plain) * 22.5
    fact: EquipmentDefault = default("panel.azimuth_deg")
    south = latitude is not None and latitude < 0
    if not south:
        return filler.number("azimuth", "azimuth_deg", fact)
    found = None
    if not (skip(row, "azimuth") or is_blank(row.cell("azimuth"))):
        found = number(row, "azimuth", "0 degrees (north) is assumed")
    if found is None:
        origin = from_default("azimuth_deg", fact)
        filler.origins.append(
            Origin(
                field=origin.field,
                came_from=CameFrom.DEFAULT,
                value="0 deg",
                source="toward the equator, south of it",
                jurisdiction="any",
                flag=Flag.PRACTICE,
            )
        )
        return 0.0
    return found
