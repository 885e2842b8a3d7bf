"""From counts of goods back to bags of lines, in a recorded order."""

from collections import defaultdict
from collections.abc import Mapping

from planner.decide.goods import Good, Part, SlotKey
from planner.decide.instance import Instance
from planner.decide.placed import Placed
from planner.result import Placement
from planner.scenario import Tier


def placements(instance: Instance, placed: Placed) -> tuple[Placement, ...]:
    """Give every placed bag to a line.

    Households alike within a tier are served in the order of a recorded
    draw; each gets its first bag before any gets a second, then households
    are filled one after the other so that their bags stay together.
    """
    granted = _grants(instance.goods, placed)
    found: list[Placement] = []
    for g, good in enumerate(instance.goods):
        slots = sorted((slot, n) for (gg, slot), n in placed.counts.items() if gg == g)
        found += _fill(instance, good, granted[g], slots)
    return tuple(sorted(found, key=lambda p: (p.unit_id, p.zone, p.line_id, p.surplus)))


def dealt(
    instance: Instance, placed: Placed, wanted: Mapping[tuple[str, bool], int]
) -> tuple[Placement, ...]:
    """Give placed bags to the lines that are to have them, and no more.

    ``wanted`` has bags by line and surplus, no more of a good than is placed.
    """
    found: list[Placement] = []
    for g, good in enumerate(instance.goods):
        slots = sorted((slot, n) for (gg, slot), n in placed.counts.items() if gg == g)
        granted = [wanted.get((p.line_id, good.surplus), 0) for p in good.parts]
        found += _fill(instance, good, granted, slots)
    return tuple(sorted(found, key=lambda p: (p.unit_id, p.zone, p.line_id, p.surplus)))


def _grants(goods: tuple[Good, ...], placed: Placed) -> list[list[int]]:
    """Bags granted to each part of each good."""
    totals = [0] * len(goods)
    for (g, _), n in placed.counts.items():
        totals[g] += n
    granted = [[0] * len(good.parts) for good in goods]
    for tier in Tier:
        mine = [g for g, good in enumerate(goods) if good.tier is tier]
        for g, i in _first_bags(goods, mine, totals):
            granted[g][i] += 1
            totals[g] -= 1
    for g, good in enumerate(goods):
        _then_fill(good.parts, granted[g], totals[g])
    return granted


def _first_bags(
    goods: tuple[Good, ...], mine: list[int], totals: list[int]
) -> list[tuple[int, int]]:
    """Good and part of every household's first bag, in order of the draw."""
    match = _Match(totals)
    draws: dict[str, str] = {}
    for g in mine:
        if goods[g].surplus:
            continue
        for i, part in enumerate(goods[g].parts):
            match.offer(part.household, g, i)
            first = draws.get(part.household, part.draw)
            draws[part.household] = min(first, part.draw)
    for household in sorted(draws, key=lambda h: (draws[h], h)):
        match.serve(household, set())
    return sorted(match.chosen.values())


class _Match:
    """Households matched to bags of their goods.

    A household served earlier gives way to another of its goods when that
    lets one more be served (augmenting paths; Kuhn, Naval Research Logistics
    Quarterly 2, 1955).
    """

    def __init__(self, totals: list[int]) -> None:
        self.totals = totals
        self.choices: dict[str, list[tuple[int, int]]] = defaultdict(list)
        self.holders: dict[int, list[str]] = defaultdict(list)
        self.chosen: dict[str, tuple[int, int]] = {}

    def offer(self, household: str, g: int, part: int) -> None:
        """Say that a household has bags of a good, in this part of it."""
        if all(g != known for known, _ in self.choices[household]):
            self.choices[household].append((g, part))

    def serve(self, household: str, seen: set[int]) -> bool:
        """Give the household a first bag, moving others where they can be moved."""
        for g, part in self.choices[household]:
            if g in seen:
                continue
            seen.add(g)
            if self._room(g, seen):
                self.holders[g].append(household)
                self.chosen[household] = (g, part)
                return True
        return False

    def _room(self, g: int, seen: set[int]) -> bool:
        if len(self.holders[g]) < self.totals[g]:
            return True
        for other in list(self.holders[g]):
            if self.serve(other, seen):
                self.holders[g].remove(other)
                return True
        return False


def _then_fill(parts: tuple[Part, ...], granted: list[int], bags: int) -> None:
    """Fill parts in order; those with a first bag come first."""
    order = sorted(range(len(parts)), key=lambda i: (granted[i] == 0, i))
    for i in order:
        more = min(bags, parts[i].count - granted[i])
        granted[i] += more
        bags -= more


def _fill(
    instance: Instance,
    good: Good,
    granted: list[int],
    slots: list[tuple[SlotKey, int]],
) -> list[Placement]:
    """Spread a good's granted bags over its slots, household by household."""
    found: dict[tuple[str, SlotKey], int] = {}
    places = [slot for slot, n in slots for _ in range(n)]
    for part, bags in zip(good.parts, granted, strict=True):
        mine, places = places[:bags], places[bags:]
        for slot in mine:
            key = (part.line_id, slot)
            found[key] = found.get(key, 0) + 1
    return [
        Placement(
            line_id=line_id,
            unit_id=instance.units[u].id,
            zone=zone,
            count=n,
            tier=good.tier,
            surplus=good.surplus,
        )
        for (line_id, (u, zone, _)), n in found.items()
    ]
