"""Bags counted, not listed: goods, and the families of households that own them."""

import hashlib
from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from planner.decide.fit import Spot, refusal
from planner.result import Demand
from planner.scenario import Line, Scenario, StockClass, Tier

SlotKey = tuple[int, int, float]
"""Unit number, zone, set point."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """Bags of one line inside a good."""

    line_id: str
    household: str
    count: int
    draw: str


@dataclass(frozen=True, slots=True, order=True)
class GoodKey:
    """What every rule looks at; bags with the same key are alike.

    ``rank_h`` is the label allowance left in hours, -1 when none is known.
    """

    tier: Tier
    surplus: bool
    rank_h: float
    stock_class: StockClass
    volume_l: float
    slots: tuple[SlotKey, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Good:
    """A class of bags that every rule treats alike, whoever they belong to."""

    key: GoodKey
    parts: tuple[Part, ...]

    @property
    def tier(self) -> Tier:
        """Tier the bags are served in."""
        return self.key.tier

    @property
    def surplus(self) -> bool:
        """True for stock beyond the window's need."""
        return self.key.surplus

    @property
    def volume_l(self) -> float:
        """Packed litres of one bag."""
        return self.key.volume_l

    @property
    def stock_class(self) -> StockClass:
        """Medicine or feed (R4)."""
        return self.key.stock_class

    @property
    def slots(self) -> tuple[SlotKey, ...]:
        """Where the bags may go."""
        return self.key.slots

    @property
    def count(self) -> int:
        """Bags in all."""
        return sum(p.count for p in self.parts)


@dataclass(frozen=True, slots=True, kw_only=True)
class Family:
    """Households of one tier whose need is met from the same goods.

    ``goods`` are their numbers; surplus is no need.
    """

    tier: Tier
    goods: tuple[int, ...]
    households: int


def make_goods(
    scenario: Scenario,
    demand: tuple[Demand, ...],
    spots: Mapping[SlotKey, Spot],
) -> tuple[tuple[Good, ...], tuple[Family, ...]]:
    """Group demands into goods, and households into families a tier."""
    parts: dict[GoodKey, list[Part]] = defaultdict(list)
    for key, d, line in _keyed(scenario, demand, spots):
        parts[key].append(
            Part(
                line_id=d.line_id,
                household=line.household,
                count=d.count,
                draw=_draw(line),
            )
        )
    goods = tuple(
        Good(key=key, parts=tuple(sorted(some, key=lambda p: (p.draw, p.line_id))))
        for key, some in sorted(parts.items(), key=lambda item: item[0])
    )
    holdings: dict[tuple[Tier, str], set[int]] = defaultdict(set)
    for g, good in enumerate(goods):
        if not good.surplus:
            for part in good.parts:
                holdings[good.tier, part.household].add(g)
    sizes = Counter((tier, tuple(sorted(held))) for (tier, _), held in holdings.items())
    families = tuple(
        Family(tier=tier, goods=held, households=n)
        for (tier, held), n in sorted(sizes.items())
    )
    return goods, families


def _keyed(
    scenario: Scenario, demand: tuple[Demand, ...], spots: Mapping[SlotKey, Spot]
) -> list[tuple[GoodKey, Demand, Line]]:
    """Each demand with its key; lines alike share one look at the rules."""
    lines = {line.id: line for line in scenario.lines}
    known: dict[tuple[object, ...], tuple[SlotKey, ...]] = {}
    keyed = []
    for d in demand:
        line = lines[d.line_id]
        alike = (
            line.keep_from_c,
            line.keep_to_c,
            line.never_freeze,
            line.thawed,
            line.locked,
            line.night_need,
            line.place,
            d.allowance_h,
        )
        if alike not in known:
            known[alike] = tuple(
                slot
                for slot, spot in sorted(spots.items(), key=lambda item: item[0])
                if refusal(scenario, line, spot, d.allowance_h) is None
            )
        key = GoodKey(
            tier=d.tier,
            surplus=d.surplus,
            rank_h=-1.0 if d.allowance_h is None else d.allowance_h,
            stock_class=line.stock_class,
            volume_l=line.volume_l,
            slots=known[alike],
        )
        keyed.append((key, d, line))
    return keyed


def _draw(line: Line) -> str:
    """A recorded draw that depends on nothing but the line itself."""
    text = f"{line.household}|{line.item_text}|{line.quantity}|{line.volume_l}"
    return hashlib.sha256(text.encode()).hexdigest()[:12]
