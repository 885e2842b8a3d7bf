"""Invented towns in a heat wave: the same size and seed give the same town.

Everything is scarce at once: litres, watt-hours, sockets, ice and, in some
towns, places that residents can reach.  What an item or a piece of kit is
like comes from the catalogue; how many there are is drawn.
"""

from dataclasses import dataclass
from random import Random

from planner.scenario import (
    Conditions,
    Place,
    Scenario,
    Segregation,
    SunCase,
)
from tests import builders as b
from tests.bench.town_kit import Kit, draw_kit
from tests.bench.town_lines import draw_lines

WINDOW_H = 72


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """How much of everything a town has.

    ``offers`` can be borrowed on top.  ``litres`` scales the units, so that
    larger towns have larger ones; ``bags`` scales what each resident brings.
    """

    residents: int
    units: int
    batteries: int
    panels: int
    places: int
    offers: int
    ice_kg_day: float
    litres: float = 1.0
    bags: float = 1.4


SIZES = {
    "S": Size(
        residents=40,
        units=6,
        batteries=4,
        panels=4,
        places=1,
        offers=6,
        ice_kg_day=12.0,
    ),
    "M": Size(
        residents=150,
        units=12,
        batteries=10,
        panels=10,
        places=1,
        offers=30,
        ice_kg_day=25.0,
        litres=1.6,
    ),
    "L": Size(
        residents=600,
        units=30,
        batteries=24,
        panels=24,
        places=4,
        offers=40,
        ice_kg_day=60.0,
        litres=2.2,
    ),
    "XL": Size(
        residents=3000,
        units=120,
        batteries=100,
        panels=100,
        places=20,
        offers=100,
        ice_kg_day=250.0,
        litres=2.6,
    ),
}


def town(size: str, seed: int) -> Scenario:
    """Draw the town of a size and a seed."""
    numbers = SIZES[size]
    rng = Random(f"town {size} {seed}")
    places = _places(rng, numbers.places)
    conditions = _conditions(rng, numbers)
    kit = Kit(
        places=tuple(p.name for p in places),
        window_h=WINDOW_H,
        litres=numbers.litres,
    )
    units, batteries, panels, sources = draw_kit(
        rng,
        kit,
        units=numbers.units,
        batteries=numbers.batteries,
        panels=numbers.panels,
        offers=numbers.offers,
    )
    lines = draw_lines(
        rng,
        residents=numbers.residents,
        places=kit.places,
        bags=numbers.bags,
        start=conditions.start,
    )
    return b.scenario(
        lines=lines,
        places=places,
        units=units,
        batteries=batteries,
        panels=panels,
        sources=sources,
        conditions=conditions,
    )


def _places(rng: Random, count: int) -> tuple[Place, ...]:
    names = [f"Hall {n:02}" for n in range(1, count + 1)]
    found = []
    for n, name in enumerate(names):
        near = [names[(n + step) % count] for step in (-2, -1, 1, 2)]
        reached = None
        if count > 1 and rng.random() < 0.7:
            reached = tuple(sorted({name, *rng.sample(near, rng.randint(1, 3))}))
        found.append(
            b.place(
                name=name,
                temp_c_by_clock_hour=_hot_day(rng),
                open_at_night=count == 1 or rng.random() < 0.7,
                reached_from=reached,
            )
        )
    return tuple(found)


def _hot_day(rng: Random) -> tuple[float, ...]:
    """Warm at night, hottest at three in the afternoon."""
    low_c = rng.choice((24.0, 25.0, 26.0))
    rise_k = rng.choice((5.0, 7.0, 9.0, 11.0))
    return tuple(
        round(low_c + rise_k * max(0.0, 1 - abs((hour - 15 + 12) % 24 - 12) / 10), 1)
        for hour in range(24)
    )


def _conditions(rng: Random, numbers: Size) -> Conditions:
    return b.conditions(
        start=b.START.replace(hour=rng.choice((7, 8, 10, 14, 18))),
        window_h=WINDOW_H,
        peak_sun_hours=rng.choice((4.0, 4.5, 5.0, 5.5)),
        sun_case=rng.choice((SunCase.POOR, SunCase.POOR, SunCase.MEAN)),
        reserve_share=rng.choice((0.1, 0.2)),
        ice_kg_day=numbers.ice_kg_day * rng.choice((0.5, 1.0, 1.5)),
        segregation=rng.choice((Segregation.UNITS,) * 3 + (Segregation.TUBS,)),
    )
