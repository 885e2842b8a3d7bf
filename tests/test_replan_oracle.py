"""Fewest moves against every placement there is, on halls small enough to try all."""

import itertools
import random
from collections import Counter

import pytest

from planner.pipeline import make_plan
from planner.replanning import replan
from planner.scenario import StockClass, Tier
from tests.decide_cases import tier_vector
from tests.test_replan_moves import bag, box, hall, stands

BANDS = ((2.0, 8.0), (2.0, 15.0), (8.0, 15.0))
HELD = {5.0: (3.0, 7.0), 11.0: (9.0, 13.0)}


def small_hall(rng):
    """Up to six bags, two or three units; bags stand anywhere that suits them."""
    units = [
        box(n, rng.choice((1.0, 2.0, 3.0)), rng.choice((5.0, 5.0, 11.0)))
        for n in range(1, rng.choice((3, 4)))
    ]
    lines, left = [], 6
    while left > 0 and len(lines) < 4:
        low_c, high_c = rng.choice(BANDS)
        count = rng.randint(1, min(3, left))
        left -= count
        n = len(lines) + 1
        lines.append(
            bag(n, quantity=count, keep_from_c=low_c, keep_to_c=high_c,
                never_freeze=False, household=f"H{rng.randint(1, 3)}",
                stock_class=rng.choice((StockClass.MEDICINE,) * 3 + (StockClass.FEED,)),
                tier_given=rng.choice((Tier.A, Tier.B, Tier.B)))
        )  # fmt: skip
    scene = hall(lines, units)
    room = {u.id: u.gross_volume_l * 0.8 for u in units}
    puts = Counter()
    for line in lines:
        for _ in range(line.quantity):
            unit = rng.choice([*units, None])
            if unit is not None and room[unit.id] >= 1 - 1e-9:
                room[unit.id] -= 1
                puts[line.id, unit.id] += 1
    return scene, puts


def ways(line, units):
    """Every way to spread a line's bags over the units that hold its band."""
    fit = [
        u.id
        for u in units
        if line.keep_from_c <= HELD[u.set_points_c[0]][0]
        and HELD[u.set_points_c[0]][1] <= line.keep_to_c
    ]
    spots = [*fit, None]
    return sorted(
        {
            tuple(sorted((s, n) for s, n in Counter(way).items() if s is not None))
            for way in itertools.product(spots, repeat=line.quantity)
        }
    )


def best(scene, puts):
    """Tier values, then bags kept in the cold, then bags in place: the most of all."""
    found = None
    for choice in itertools.product(*(ways(x, scene.units) for x in scene.lines)):
        litres, classes = Counter(), {}
        for line, way in zip(scene.lines, choice, strict=True):
            for unit, n in way:
                litres[unit] += n
                classes.setdefault(unit, set()).add(line.stock_class)
        if any(litres[u.id] > u.gross_volume_l * 0.8 + 1e-6 for u in scene.units):
            continue
        if any(len(some) > 1 for some in classes.values()):
            continue
        value = []
        for tier in (Tier.A, Tier.B):
            homes, bags = set(), 0
            for line, way in zip(scene.lines, choice, strict=True):
                if line.tier_given is tier and way:
                    homes.add(line.household)
                    bags += sum(n for _, n in way)
            value += [len(homes), bags]
        kept = stay = 0
        for line, way in zip(scene.lines, choice, strict=True):
            stood = sum(n for (i, _), n in puts.items() if i == line.id)
            kept += min(stood, sum(n for _, n in way))
            stay += sum(min(n, puts[line.id, unit]) for unit, n in way)
        found = max(found or (), (*value, kept, stay))
    return found


@pytest.mark.parametrize("seed", range(60))
def test_no_placement_as_good_moves_fewer_bags(seed):
    scene, puts = small_hall(random.Random(seed))
    old = stands(scene, *((i, u, n) for (i, u), n in sorted(puts.items())))
    made = replan(scene, old)
    vector = tier_vector(made.plan)
    got = (vector[0], vector[1], vector[3], vector[4])
    assert (*got, made.kept + made.carried, made.kept) == best(scene, puts)
    assert vector == tier_vector(make_plan(scene, borrow=False))
