"""Kinds of kit that nobody has offered yet, as if somebody had.

Every figure is a default of the catalogue and marked as such; the list says
"ask for", never "fetch".
"""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from planner.catalogue import (
    EquipmentDefault,
    TextDefault,
    default,
    number_list,
    text_default,
    unit_default,
)
from planner.decide.stage_values import StageValue, in_full
from planner.result import Demand
from planner.scenario import (
    Availability,
    Battery,
    CameFrom,
    Chemistry,
    ColdUnit,
    Controller,
    Equipment,
    Origin,
    Panel,
    Scenario,
    Status,
    Supply,
    Tier,
    UnitType,
)

ASK = "ask:"
"""How ids of kit that nobody has offered begin."""
_MOST_PLACES = 2
_EACH = 2
"""Batteries and panels that may be asked for at once."""
_NAMES = {
    UnitType.COMPRESSOR: "12 V compressor fridge",
    UnitType.ELSEWHERE: "household fridge on a street that has power",
    UnitType.HOUSEHOLD: "household fridge",
    UnitType.THERMOELECTRIC: "thermoelectric cool box",
}
_URGENT = (Tier.A, Tier.B, Tier.C)


def is_generic(item_id: str) -> bool:
    """True for kit that nobody has offered."""
    return item_id.startswith(ASK)


def urgent_open(stages: tuple[StageValue, ...]) -> bool:
    """True while some need of tiers A to C is not served in full."""
    return any(s.tier in _URGENT and not s.surplus and not in_full(s) for s in stages)


def with_generic(
    scenario: Scenario, demand: tuple[Demand, ...]
) -> tuple[Scenario, frozenset[str]]:
    """The scenario with generic offers added, and their ids."""
    places = _places(scenario, demand)
    kinds = (UnitType.COMPRESSOR, UnitType.ELSEWHERE, UnitType.HOUSEHOLD)
    units = tuple(plain_unit(kind, place) for place in places for kind in kinds)
    batteries = tuple(generic_battery(places[0], n) for n in range(1, _EACH + 1))
    panels = tuple(generic_panel(n) for n in range(1, _EACH + 1))
    added: tuple[Equipment, ...] = (*units, *batteries, *panels)
    return (
        replace(
            scenario,
            units=(*scenario.units, *units),
            batteries=(*scenario.batteries, *batteries),
            panels=(*scenario.panels, *panels),
        ),
        frozenset(e.id for e in added),
    )


def _places(scenario: Scenario, demand: tuple[Demand, ...]) -> list[str]:
    """Where most bags of the most urgent tiers are, most first."""
    lines = {line.id: line for line in scenario.lines}
    count: dict[str, list[int]] = {p.name: [0] * len(Tier) for p in scenario.places}
    for d in demand:
        if not d.surplus:
            count[lines[d.line_id].place][list(Tier).index(d.tier)] += d.count
    ranked = sorted(count, key=lambda name: ([-n for n in count[name]], name))
    return ranked[:_MOST_PLACES]


def plain_unit(kind: UnitType, place: str) -> ColdUnit:
    """A cold unit of a kind at a place, every figure a default."""
    owner = kind.name.lower()
    asked = f"ask.{owner}.gross_volume_l"
    known = kind in {UnitType.COMPRESSOR, UnitType.ELSEWHERE}
    gross = default(asked) if known else default(f"{owner}.gross_volume_l")
    used: dict[str, EquipmentDefault | TextDefault] = {"gross_volume_l": gross}
    numbers = (
        "usable_share",
        "swing_c",
        "running_w",
        "rated_wh_day",
        "rated_ambient_c",
        "rated_inside_c",
        "ua_w_per_k",
    )
    for name in numbers:
        used[name] = unit_default(owner, name, gross.value)
    values: dict[str, Any] = {
        n: d.value for n, d in used.items() if isinstance(d, EquipmentDefault)
    }
    used["set_points_c"] = text_default(f"{owner}.set_points_c")
    used["supply"] = text_default(f"{owner}.supply")
    return ColdUnit(
        id=f"{ASK}{owner}@{place}",
        name=_NAMES[kind],
        place=place,
        kind=kind,
        set_points_c=number_list(f"{owner}.set_points_c"),
        supply=Supply[text_default(f"{owner}.supply").text.upper()],
        availability=_terms(),
        origins=_origins(used),
        **values,
    )


def generic_battery(place: str, number: int) -> Battery:
    """A portable pack, every figure a default."""
    chemistry = Chemistry[text_default("ask.battery.chemistry").text.upper()]
    cell = f"battery.{chemistry.name.lower()}"
    used = {
        name: default(f"ask.battery.{name}")
        for name in (
            "capacity_wh",
            "charge_now",
            "max_out_w",
            "ports_12v",
            "outlets_ac",
            "solar_input_max_w",
        )
    }
    for name in ("port_12v_max_w", "ac_idle_w", "dc_efficiency", "ac_efficiency"):
        used[name] = default(f"battery.{name}")
    for name in ("usable_share", "charge_efficiency"):
        used[name] = default(f"{cell}.{name}")
    rate = default(f"{cell}.max_charge_share_per_h")
    values: dict[str, Any] = {name: one.value for name, one in used.items()}
    for name in ("ports_12v", "outlets_ac"):
        values[name] = int(values[name])
    return Battery(
        id=f"{ASK}battery {number}",
        name="battery pack",
        place=place,
        chemistry=chemistry,
        max_charge_w=used["capacity_wh"].value * rate.value,
        availability=_terms(),
        origins=_origins(used | {"max_charge_w": rate}),
        **values,
    )


def generic_panel(number: int) -> Panel:
    """A portable panel, every figure a default."""
    used = {"rated_w": default("ask.panel.rated_w")}
    for name in ("tilt_deg", "azimuth_deg", "shade_share"):
        used[name] = default(f"panel.{name}")
    values: dict[str, Any] = {name: one.value for name, one in used.items()}
    return Panel(
        id=f"{ASK}panel {number}",
        name="solar panel",
        place="",
        controller=Controller[text_default("panel.controller").text.upper()],
        availability=_terms(),
        origins=_origins(used),
        **values,
    )


def _terms() -> Availability:
    return Availability(
        status=Status.OFFERED,
        ready_h=int(default("ask.loan.ready_h").value),
        effort=int(default("loan.effort").value),
    )


def _origins(
    used: Mapping[str, EquipmentDefault | TextDefault],
) -> tuple[Origin, ...]:
    return tuple(
        Origin(
            field=name,
            came_from=CameFrom.DEFAULT,
            value=one.text if isinstance(one, TextDefault) else f"{one.value:g}",
            source=one.source,
            jurisdiction=one.jurisdiction,
            flag=one.flag,
        )
        for name, one in used.items()
    )
