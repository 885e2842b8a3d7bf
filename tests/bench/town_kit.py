"""The kit of an invented town: mixed, some of it alike, some only on offer.

Models of kit are drawn from short lists, because a street lends what shops
sell: several people have the same one.  Watts and efficiencies that the
lists leave out come from the catalogue.
"""

from collections.abc import Callable
from dataclasses import dataclass
from random import Random
from typing import Any, TypeVar

from planner.catalogue import default, unit_default
from planner.scenario import (
    Availability,
    Battery,
    Chemistry,
    ColdUnit,
    Controller,
    Panel,
    Source,
    SourceKind,
    Status,
    Supply,
    UnitType,
)
from tests import builders as b

T = TypeVar("T")

FRIDGE_SETS = ((2.0, 5.0), (2.0, 5.0), (5.0,), (-20.0, 2.0, 5.0))
CHEMISTRIES = (
    Chemistry.LFP,
    Chemistry.LFP,
    Chemistry.LI_ION,
    Chemistry.AGM,
    Chemistry.FLOODED,
)
# Capacity in Wh, watts out, 12 V ports, AC outlets, inverter idle W, solar W.
PACKS = (
    (500.0, 200.0, 1, 1, 8.0, 100.0),
    (1000.0, 500.0, 2, 1, 10.0, 200.0),
    (1200.0, 300.0, 2, 0, 0.0, 150.0),
    (1500.0, 800.0, 2, 2, 12.0, 300.0),
    (2000.0, 1000.0, 3, 2, 15.0, 400.0),
    (2400.0, 240.0, 2, 0, 0.0, 200.0),
)
# Gross litres of units by kind, before the town's scale.
LITRES = {
    UnitType.COMPRESSOR: (18.0, 32.0, 45.0, 60.0),
    UnitType.HOUSEHOLD: (60.0, 120.0),
    UnitType.THERMOELECTRIC: (12.0, 20.0),
    UnitType.ICE_CHEST: (25.0, 50.0),
    UnitType.ELSEWHERE: (10.0,),
}
KINDS = (
    (UnitType.COMPRESSOR, 62),
    (UnitType.HOUSEHOLD, 14),
    (UnitType.THERMOELECTRIC, 4),
    (UnitType.ICE_CHEST, 15),
    (UnitType.ELSEWHERE, 5),
)
"""Kinds of units and how often they are drawn (estimate)."""
AC_ONLY = (UnitType.HOUSEHOLD,)
NO_PLUG = (UnitType.ICE_CHEST, UnitType.ELSEWHERE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Kit:
    """What all kit of a town has in common."""

    places: tuple[str, ...]
    window_h: int
    litres: float

    @property
    def one_hall(self) -> bool:
        """True when nothing is far away."""
        return len(self.places) == 1


Drawn = tuple[
    tuple[ColdUnit, ...],
    tuple[Battery, ...],
    tuple[Panel, ...],
    tuple[Source, ...],
]


def draw_kit(
    rng: Random, kit: Kit, *, units: int, batteries: int, panels: int, offers: int
) -> Drawn:
    """Draw what is here, then what is on offer: a third each, and a generator."""
    more = offers // 3
    rest = offers - 2 * more
    offered_sources = 1 if rest > 1 else 0
    return (
        _some(rng, kit, _unit, units, more),
        _some(rng, kit, _battery, batteries, more),
        _some(rng, kit, _panel, panels, rest - offered_sources),
        _sources(rng, kit, offered_sources),
    )


def _some(
    rng: Random,
    kit: Kit,
    draw: Callable[[Random, Kit, int, Availability], T],
    here: int,
    offered: int,
) -> tuple[T, ...]:
    found = [draw(rng, kit, n, _terms(rng, kit)) for n in range(here)]
    found += [draw(rng, kit, here + n, _offer(rng, kit)) for n in range(offered)]
    return tuple(found)


def _terms(rng: Random, kit: Kit) -> Availability:
    """Mostly the site's own; some lent for a part of the window."""
    if rng.random() < 0.9:
        return Availability()
    back_h = rng.choice((None, None, kit.window_h - 12))
    return b.loan(ready_h=rng.choice((0, 2, 4)), back_h=back_h)


def _offer(rng: Random, kit: Kit) -> Availability:
    return Availability(
        status=Status.OFFERED,
        lender=f"Lender {rng.randint(1, 40)}",
        ready_h=rng.choice((0, 0, 2, 6)),
        effort=rng.randint(1, 5),
        back_h=rng.choice((None, None, None, kit.window_h - 12)),
    )


def _place(rng: Random, kit: Kit, n: int) -> str:
    """Spread over the places, the rest where it happens to be."""
    return kit.places[n % len(kit.places)] if n % 3 else rng.choice(kit.places)


def _unit(rng: Random, kit: Kit, n: int, terms: Availability) -> ColdUnit:
    (kind,) = rng.choices([k for k, _ in KINDS], [w for _, w in KINDS])
    owner = kind.name.lower()
    gross_l = round(rng.choice(LITRES[kind]) * kit.litres, 1)
    values: dict[str, Any] = {
        "id": f"U{n:03}",
        "name": f"Unit {n + 1}",
        "place": _place(rng, kit, n),
        "kind": kind,
        "gross_volume_l": gross_l,
        "set_points_c": (5.0,),
        "lockable": rng.random() < 0.25,
        "conditioned": kind is UnitType.ICE_CHEST and rng.random() < 0.6,
        "availability": terms,
        "supply": Supply.NONE if kind in NO_PLUG else Supply.DC,
    }
    for field in (
        "usable_share",
        "swing_c",
        "running_w",
        "rated_wh_day",
        "rated_ambient_c",
        "rated_inside_c",
        "ua_w_per_k",
    ):
        values[field] = unit_default(owner, field, gross_l).value
    if kind in AC_ONLY:
        values["supply"] = Supply.AC
        values["set_points_c"] = (2.0, 5.0)
    elif kind is UnitType.ICE_CHEST:
        values["set_points_c"] = (2.0,)
    elif kind is UnitType.ELSEWHERE:
        values["set_points_c"] = rng.choice(((5.0,), (2.0,)))
    elif kind is UnitType.COMPRESSOR:
        values |= _fridge(rng, values)
    return b.unit(**values)


def _fridge(rng: Random, values: dict[str, Any]) -> dict[str, Any]:
    """Settings, zones and plug of a 12 V fridge; freezers run at more watts."""
    sets = rng.choice(FRIDGE_SETS)
    freezes = min(sets) < 0
    return {
        "set_points_c": sets,
        "zone_shares": (0.6, 0.4) if freezes and rng.random() < 0.5 else (1.0,),
        "running_w": 110.0 if freezes else values["running_w"],
        "supply": rng.choice((Supply.DC, Supply.DC, Supply.BOTH)),
    }


def _battery(rng: Random, kit: Kit, n: int, terms: Availability) -> Battery:
    capacity_wh, out_w, ports, outlets, idle_w, solar_w = rng.choice(PACKS)
    chemistry = rng.choice(CHEMISTRIES)
    cell = f"battery.{chemistry.name.lower()}"
    charge_w = capacity_wh * default(f"{cell}.max_charge_share_per_h").value
    return b.battery(
        id=f"B{n:03}",
        name=f"Pack {n + 1}",
        place=_place(rng, kit, n),
        capacity_wh=capacity_wh,
        chemistry=chemistry,
        charge_now=rng.choice((0.6, 0.8, 0.9, 1.0)),
        usable_share=default(f"{cell}.usable_share").value,
        max_out_w=out_w,
        ports_12v=ports,
        port_12v_max_w=default("battery.port_12v_max_w").value,
        outlets_ac=outlets,
        ac_idle_w=idle_w,
        max_charge_w=charge_w,
        solar_input_max_w=solar_w,
        movable=rng.random() < (0.85 if kit.one_hall else 0.5),
        dc_efficiency=default("battery.dc_efficiency").value,
        ac_efficiency=default("battery.ac_efficiency").value,
        charge_efficiency=default(f"{cell}.charge_efficiency").value,
        availability=terms,
    )


def _panel(rng: Random, kit: Kit, n: int, terms: Availability) -> Panel:
    anywhere = rng.random() < (0.7 if kit.one_hall else 0.3)
    return b.panel(
        id=f"P{n:03}",
        name=f"Panel {n + 1}",
        place="" if anywhere else _place(rng, kit, n),
        rated_w=rng.choice((60.0, 100.0, 100.0, 200.0)),
        controller=rng.choice((Controller.MPPT, Controller.PWM)),
        tilt_deg=rng.choice((0.0, 15.0, 30.0)),
        shade_share=rng.choice((0.0, 0.1, 0.3)),
        availability=terms,
    )


def _sources(rng: Random, kit: Kit, offered: int) -> tuple[Source, ...]:
    """In some towns an hour of mains, a generator, a car; life support."""
    found: list[Source] = []
    for place in kit.places[::2]:
        if rng.random() < 0.35:
            found.append(_supply(rng, place, len(found)))
        if rng.random() < 0.35:
            found.append(_life_support(rng, place, len(found)))
    for _ in range(offered):
        values = {
            "id": f"S{len(found):03}",
            "name": f"Generator {len(found) + 1}",
            "place": rng.choice(kit.places),
            "max_w": 900.0,
            "from_hour": 18.0,
            "to_hour": 21.0,
            "availability": _offer(rng, kit),
        }
        found.append(b.source(**values))
    return tuple(found)


def _supply(rng: Random, place: str, n: int) -> Source:
    kind = rng.choice((SourceKind.MAINS, SourceKind.GENERATOR, SourceKind.VEHICLE))
    from_hour = float(rng.choice((6, 12, 18, 22)))
    vehicle = kind is SourceKind.VEHICLE
    return b.source(
        id=f"S{n:03}",
        name=f"{kind.value} {n + 1}",
        place=place,
        kind=kind,
        max_w=default("source.vehicle.max_w").value if vehicle else 900.0,
        from_hour=from_hour,
        to_hour=(from_hour + rng.choice((1, 2, 3))) % 24,
        supply=Supply.DC if vehicle else Supply.AC,
    )


def _life_support(rng: Random, place: str, n: int) -> Source:
    by_night = rng.random() < 0.6
    return b.life_support(
        id=f"S{n:03}",
        name=f"Breathing aid {n + 1}",
        place=place,
        max_w=rng.choice((15.0, 30.0)),
        from_hour=22.0 if by_night else 0.0,
        to_hour=6.0 if by_night else 24.0,
        supply=rng.choice((Supply.AC, Supply.BOTH)),
    )
