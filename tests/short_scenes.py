"""Small invented sites where something is short, drawn by a seed.

Everything that can keep a line out is scarce somewhere: litres, watt-hours,
sockets, watts, ice, locks, night access, reach, time, and what is known.
"""

from random import Random
from typing import Any

from planner.scenario import (
    Battery,
    ColdUnit,
    Consequence,
    Line,
    Place,
    Scenario,
    Segregation,
    StockClass,
    Supply,
    Tier,
    UnitType,
)
from tests import builders as b

_KINDS = (
    UnitType.COMPRESSOR,
    UnitType.COMPRESSOR,
    UnitType.HOUSEHOLD,
    UnitType.ICE_CHEST,
    UnitType.THERMOELECTRIC,
)


def scene(seed: int) -> Scenario:
    """Draw the site of a seed."""
    rng = Random(f"short {seed}")
    places = _places(rng)
    names = [place.name for place in places]
    return b.scenario(
        units=tuple(_unit(rng, n, names) for n in range(rng.randint(1, 3))),
        batteries=tuple(_battery(rng, n, names) for n in range(rng.randint(1, 2))),
        lines=tuple(_line(rng, n, names) for n in range(rng.randint(3, 7))),
        places=tuple(places),
        panels=(),
        conditions=b.conditions(
            ice_kg_day=rng.choice((0.0, 4.0, 20.0)),
            segregation=rng.choice((Segregation.UNITS,) * 3 + (Segregation.TUBS,)),
        ),
    )


def _places(rng: Random) -> list[Place]:
    found = [b.place(rng.choice((25.0, 30.0, 34.0, 40.0)))]
    if rng.random() < 0.5:
        found.append(
            b.place(
                rng.choice((22.0, 28.0)),
                name="Annex",
                open_at_night=rng.random() < 0.5,
                reached_from=rng.choice((None, ("Hall",), ())),
            )
        )
    return found


def _unit(rng: Random, n: int, names: list[str]) -> ColdUnit:
    kind = rng.choice(_KINDS)
    fields: dict[str, Any] = {
        "id": f"U{n + 1}",
        "name": f"Unit {n + 1}",
        "place": rng.choice(names),
        "kind": kind,
        "gross_volume_l": rng.choice((1.5, 3.0, 6.0, 20.0)),
        "set_points_c": rng.choice(((5.0,), (4.0, 5.0), (-18.0, 5.0), (9.0,))),
        "lockable": rng.random() < 0.4,
        "running_w": rng.choice((45.0, 60.0)),
        "availability": b.loan(ready_h=rng.choice((0, 0, 0, 0, 2))),
    }
    if kind is UnitType.COMPRESSOR:
        fields["availability"] = b.loan(back_h=rng.choice((None, None, None, 5)))
    if kind is UnitType.HOUSEHOLD:
        fields |= {"supply": Supply.AC, "running_w": 90.0}
    if kind is UnitType.ICE_CHEST:
        fields |= {
            "supply": Supply.NONE,
            "set_points_c": (5.0,),
            "gross_volume_l": 40.0,
            "conditioned": rng.random() < 0.6,
        }
    return b.unit(**fields)


def _battery(rng: Random, n: int, names: list[str]) -> Battery:
    return b.battery(
        id=f"B{n + 1}",
        name=f"Battery {n + 1}",
        place=rng.choice(names),
        capacity_wh=rng.choice((60.0, 150.0, 400.0, 1000.0)),
        charge_now=rng.choice((0.5, 1.0)),
        ports_12v=rng.choice((0, 1, 1, 2)),
        outlets_ac=rng.choice((0, 1)),
        movable=rng.random() < 0.6,
        port_12v_max_w=rng.choice((50.0, 120.0)),
        max_out_w=rng.choice((80.0, 300.0)),
    )


def _line(rng: Random, n: int, names: list[str]) -> Line:
    fields: dict[str, Any] = {
        "id": f"L{n + 1}",
        "row": n + 2,
        "code": f"K{n + 1}",
        "household": f"H{n + 1}",
        "place": rng.choice(names),
        "quantity": rng.randint(1, 4),
        "volume_l": rng.choice((0.1, 0.25, 0.5, 0.9)),
        "tier_given": rng.choice((Tier.A, Tier.B, Tier.D)),
        "locked": rng.random() < 0.2,
        "night_need": rng.random() < 0.3,
        "warm_hours": rng.choice((None, None, 1.0, 4.0)),
    }
    feed = {"stock_class": StockClass.FEED, "never_freeze": False}
    drawn = rng.random()
    if drawn < 0.25:
        high_c = rng.choice((4.0, 8.0))
        fields |= feed | {"keep_from_c": 0.0, "keep_to_c": high_c}
    elif drawn < 0.35:
        fields |= feed | {"keep_from_c": -25.0, "keep_to_c": -10.0}
    elif drawn < 0.45:
        fields |= {"consequence": Consequence.UNKNOWN, "kind_id": "unknown-cold"}
    return b.line(**fields)
