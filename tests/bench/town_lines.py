"""What the people of an invented town bring: catalogue items, drawn counts."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from random import Random

from planner.catalogue import ItemKind, item_kinds
from planner.scenario import Gate, Line
from tests import builders as b

GROUPS = (
    ("insulin", 30),
    ("metabolic and hormonal", 14),
    ("biologic", 14),
    ("infant and tube feed", 16),
    ("oral liquid", 10),
    ("eye, nasal, rectal, inhaled", 6),
    ("blood and growth factor", 4),
    ("injectable", 4),
    ("vaccine", 2),
)
"""Groups of the catalogue and how often they are drawn (estimate)."""
FEEDS = "infant and tube feed"


@dataclass(frozen=True, slots=True)
class _Person:
    """A resident of a household and a place."""

    number: int
    household: int
    place: str


def draw_lines(
    rng: Random,
    *,
    residents: int,
    places: tuple[str, ...],
    bags: float,
    start: datetime,
) -> tuple[Line, ...]:
    """Draw the intake rows of all residents."""
    by_group: dict[str, list[ItemKind]] = {}
    for kind in item_kinds():
        if kind.gate is Gate.POOL:
            by_group.setdefault(kind.group, []).append(kind)
    lines: list[Line] = []
    for person in _people(rng, residents, places):
        for _ in range(rng.choice((1, 1, 2, 2, 3))):
            (group,) = rng.choices(
                [name for name, _ in GROUPS], [weight for _, weight in GROUPS]
            )
            kind = rng.choice(by_group[group])
            lines.append(_line(rng, len(lines), person, kind, bags, start))
    return tuple(lines)


def _people(rng: Random, residents: int, places: tuple[str, ...]) -> list[_Person]:
    people: list[_Person] = []
    household = 0
    while len(people) < residents:
        household += 1
        place = places[household % len(places)]
        for _ in range(min(rng.choice((1, 1, 2, 3, 4)), residents - len(people))):
            people.append(_Person(len(people) + 1, household, place))
    return people


def _line(
    rng: Random,
    n: int,
    person: _Person,
    kind: ItemKind,
    bags: float,
    start: datetime,
) -> Line:
    quantity, daily_use = _amount(rng, kind, bags)
    out_since = start - timedelta(hours=rng.randint(1, 12))
    return b.line(
        id=f"L{n:05}",
        row=n + 2,
        code=f"K{person.number:04}",
        resident=f"Resident {person.number}",
        household=f"H{person.household:04}",
        place=person.place,
        item_text=kind.name,
        kind_id=kind.id,
        kind_name=kind.name,
        stock_class=kind.stock_class,
        gate=kind.gate,
        consequence=kind.consequence,
        quantity=quantity,
        volume_l=kind.volume_l,
        keep_from_c=kind.keep_from_c,
        keep_to_c=kind.keep_to_c,
        never_freeze=kind.never_freeze,
        warm_hours=kind.warm_hours,
        warm_max_c=kind.warm_max_c,
        clock=kind.clock,
        out_since=out_since if rng.random() < 0.2 else None,
        thawed=kind.thawed,
        daily_use=daily_use,
        locked=kind.controlled,
        night_need=rng.random() < 0.04,
    )


def _amount(rng: Random, kind: ItemKind, bags: float) -> tuple[int, float | None]:
    """Packs brought and packs used a day; ``None`` when nobody knows."""
    if kind.group == FEEDS:
        quantity, daily = rng.randint(4, 14), rng.choice((None, 2.0, 4.0, 6.0))
    elif kind.group == "insulin":
        quantity, daily = rng.randint(1, 10), rng.choice((None, 0.1, 0.2, 0.5))
    else:
        cartons = rng.choice((1, 1, 2, 3))
        quantity, daily = cartons * kind.per_carton, rng.choice((None, None, 0.1, 1.0))
    return max(1, round(quantity * bags)), daily
