"""Equipment as cells that can be typed over, under the workbook's headings."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from operator import attrgetter
from types import MappingProxyType

from planner.intake.headings import (
    BATTERIES,
    COLD_UNITS,
    OTHER_POWER,
    PANELS,
    SheetSpec,
)
from planner.scenario import ColdUnit, Conditions, Equipment, Scenario, UnitType

_CONDITIONED = "ice chest (conditioned packs)"


@dataclass(frozen=True, slots=True, kw_only=True)
class KitCell:
    """One cell of a thing: which column, what it shows, what it stands for.

    ``attribute`` is the noun's field, dotted when it lies in the terms of
    the loan.  When a column in ``follows`` is changed and this one is not, a
    value that was only assumed is worked out afresh; ``always`` does so for
    given values as well.
    """

    column: str
    attribute: str
    show: Callable[[Equipment, Conditions], str]
    follows: tuple[str, ...] = ()
    always: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class KitSheet:
    """One sheet of equipment.

    ``hidden`` names fields without a column, each with the columns that it
    follows; ``unpowered`` names fields that say nothing while a unit needs
    no power.
    """

    spec: SheetSpec
    attribute: str
    cells: tuple[KitCell, ...]
    hidden: Mapping[str, tuple[str, ...]]
    unpowered: tuple[str, ...] = ()


def choices(sheet: KitSheet, column: str, scenario: Scenario) -> tuple[str, ...]:
    """Words that a cell may hold; empty when it is free text."""
    field = sheet.spec.field(column)
    if column == "place":
        return tuple(place.name for place in scenario.places)
    if field.dimension == "yes/no":
        return ("yes", "no")
    if column == "type":
        return (*field.choices, _CONDITIONED)
    return field.choices


def _plain(attribute: str) -> Callable[[Equipment, Conditions], str]:
    read = attrgetter(attribute)

    def show(kit: Equipment, _conditions: Conditions) -> str:
        return _words(read(kit))

    return show


def _words(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{round(value, 2):.12g}"
    if isinstance(value, tuple):
        return "; ".join(_words(part) for part in value)
    return str(value)


def _share(attribute: str) -> Callable[[Equipment, Conditions], str]:
    read = attrgetter(attribute)

    def show(kit: Equipment, _conditions: Conditions) -> str:
        return f"{round(read(kit) * 100, 1):.12g} %"

    return show


def _blank_at(attribute: str, nothing: int) -> Callable[[Equipment, Conditions], str]:
    read = attrgetter(attribute)

    def show(kit: Equipment, _conditions: Conditions) -> str:
        value = read(kit)
        return "" if value == nothing else _words(value)

    return show


def _type(kit: Equipment, _conditions: Conditions) -> str:
    if not isinstance(kit, ColdUnit):
        return ""
    chest = kit.kind is UnitType.ICE_CHEST and kit.conditioned
    return _CONDITIONED if chest else kit.kind.value


def _zones(kit: Equipment, _conditions: Conditions) -> str:
    shares = kit.zone_shares if isinstance(kit, ColdUnit) else ()
    if len(shares) < 2:
        return "1"
    return "/".join(f"{round(share * 100, 1):.12g}" for share in shares)


def _back_by(kit: Equipment, conditions: Conditions) -> str:
    back_h = kit.availability.back_h
    if back_h is None:
        return ""
    return f"{conditions.clock(back_h):%Y-%m-%d %H:%M}"


def _clock(attribute: str) -> Callable[[Equipment, Conditions], str]:
    read = attrgetter(attribute)

    def show(kit: Equipment, _conditions: Conditions) -> str:
        minutes = round(read(kit) * 60)
        return f"{minutes // 60:02d}:{minutes % 60:02d}"

    return show


def _same(column: str, *follows: str, attribute: str = "") -> KitCell:
    name = attribute or column
    return KitCell(column=column, attribute=name, show=_plain(name), follows=follows)


def _shared(column: str, *follows: str) -> KitCell:
    return KitCell(
        column=column, attribute=column, show=_share(column), follows=follows
    )


_TERMS = (
    _same("lender", attribute="availability.lender"),
    KitCell(column="ready_h", attribute="availability.ready_h", follows=("status",),
            show=_blank_at("availability.ready_h", 0), always=True),
    KitCell(column="effort", attribute="availability.effort", follows=("status",),
            show=_blank_at("availability.effort", 1), always=True),
    KitCell(column="back_by", attribute="availability.back_h", show=_back_by),
)  # fmt: skip
_STATUS = _same("status", attribute="availability.status")

_UNITS = KitSheet(
    spec=COLD_UNITS,
    attribute="units",
    cells=(
        _same("name"),
        _STATUS,
        _same("place"),
        KitCell(column="type", attribute="kind", show=_type),
        _same("gross_l", attribute="gross_volume_l"),
        _same("set_points", "type", attribute="set_points_c"),
        _same("supply", "type"),
        _same("running_w", "type", "gross_l"),
        _same("rated_wh_day", "type", "gross_l"),
        _same("rated_ambient", "type", attribute="rated_ambient_c"),
        _same("rated_inside", "type", attribute="rated_inside_c"),
        _shared("usable_share", "type", "gross_l"),
        _same("swing", "type", attribute="swing_c"),
        KitCell(column="zones", attribute="zone_shares", show=_zones),
        _same("lockable"),
        *_TERMS,
    ),
    hidden=MappingProxyType({"ua_w_per_k": ("type", "gross_l"), "conditioned": ("type",)}),
    unpowered=(
        "running_w", "rated_wh_day", "rated_ambient_c", "rated_inside_c", "supply",
    ),
)  # fmt: skip
_BATTERIES = KitSheet(
    spec=BATTERIES,
    attribute="batteries",
    cells=(
        _same("name"),
        _shared("charge_now"),
        _STATUS,
        _same("place"),
        _same("capacity_wh"),
        _same("chemistry"),
        _same("max_out_w"),
        _same("ports_12v"),
        _same("outlets_ac"),
        _same("ac_idle_w"),
        _same("max_charge_w", "capacity_wh", "chemistry"),
        _same("solar_max_w", attribute="solar_input_max_w"),
        _shared("usable_share", "chemistry"),
        _same("movable"),
        *_TERMS,
    ),
    hidden=MappingProxyType({"charge_efficiency": ("chemistry",)}),
)
_PANELS = KitSheet(
    spec=PANELS,
    attribute="panels",
    cells=(
        _same("name"),
        _STATUS,
        _same("place"),
        _same("rated_w"),
        _same("controller"),
        _same("tilt", attribute="tilt_deg"),
        _same("azimuth", attribute="azimuth_deg"),
        _shared("shade_share"),
        *_TERMS,
    ),
    hidden=MappingProxyType({}),
)
_SOURCES = KitSheet(
    spec=OTHER_POWER,
    attribute="sources",
    cells=(
        _same("name"),
        _STATUS,
        _same("place"),
        _same("kind"),
        _same("max_w", "kind"),
        KitCell(column="from_clock", attribute="from_hour", show=_clock("from_hour")),
        KitCell(column="to_clock", attribute="to_hour", show=_clock("to_hour")),
        _same("days"),
        _same("supply", "kind"),
        *_TERMS,
    ),
    hidden=MappingProxyType({}),
)

KIT_SHEETS: Mapping[str, KitSheet] = MappingProxyType(
    {sheet.spec.name: sheet for sheet in (_UNITS, _BATTERIES, _PANELS, _SOURCES)}
)
"""Sheets of equipment by their names in the workbook."""
