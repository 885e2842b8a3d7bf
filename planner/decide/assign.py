"""From counts of goods back to bags of lines, in a recorded order."""

from collections import defaultdict

from planner.decide.goods import Good, Part, SlotKey
from planner.decide.instance import Instance
from planner.decide.placement import Placed
from planner.result import Placement


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


def _grants(goods: tuple[Good, ...], placed: Placed) -> list[list[int]]:
    """Bags granted to each part of each good."""
    totals = [0] * len(goods)
    for (g, _), n in placed.counts.items():
        totals[g] += n
    granted = [[0] * len(good.parts) for good in goods]
    families: dict[tuple[object, ...], list[int]] = defaultdict(list)
    for g, good in enumerate(goods):
        alone = (g,) if good.family < 0 else ()
        families[good.tier, good.family, alone].append(g)
    for members in families.values():
        has_bag: set[str] = set()
        for g in members:
            if goods[g].family >= 0:
                totals[g] -= _first_bags(goods[g], granted[g], totals[g], has_bag)
        for g in members:
            _then_fill(goods[g].parts, granted[g], totals[g])
    return granted


def _first_bags(good: Good, granted: list[int], bags: int, has_bag: set[str]) -> int:
    """One bag for every household that has none yet; returns bags used."""
    used = 0
    for i, part in enumerate(good.parts):
        if used == bags:
            break
        if part.household not in has_bag:
            granted[i] += 1
            used += 1
            has_bag.add(part.household)
    return used


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
