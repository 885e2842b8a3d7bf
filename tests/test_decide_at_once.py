"""What is seen without a solve is what a solve says too."""

import pytest

from planner.decide.allocate import allocate
from planner.decide.assign import placements
from planner.decide.at_once import AsPlaced
from planner.decide.explain import unplaced
from planner.decide.instance import build
from planner.decide.placement import PlacementModel
from planner.decide.solver import total
from planner.decide.triage import demands
from planner.result import ReasonFamily
from tests import builders as b
from tests.short_scenes import scene

FAMILIES = (ReasonFamily.POWER, ReasonFamily.VOLUME)


def allocated(scenario):
    demand = demands(scenario)
    found = allocate(build(scenario, demand), time_limit_s=20.0)
    assert found is not None
    return demand, found


def solved(found, g, family):
    """Whether one more bag of a good fits, everybody held, by the model."""
    model = PlacementModel(found.instance, relax=frozenset({family}))
    now = {}
    for (good, _), n in found.placed.counts.items():
        now[good] = now.get(good, 0) + n
    for good, n in now.items():
        model.model.add("T", total(model.bags_of[good]) >= n)
    model.model.add("T", total(model.bags_of[g]) >= now.get(g, 0) + 1)
    return model.model.minimise(0, time_limit_s=20.0).found


def test_a_yes_at_once_is_a_yes_of_the_model():
    seen = dict.fromkeys(FAMILIES, 0)
    for seed in range(60):
        _, found = allocated(scene(seed))
        goods = found.instance.goods
        placed = [0] * len(goods)
        for (g, _), n in found.placed.counts.items():
            placed[g] += n
        now = AsPlaced(found.instance, found.placed)
        for g, good in enumerate(goods):
            if placed[g] == good.count:
                continue
            for family in FAMILIES:
                if now.lets_in(good, family):
                    seen[family] += 1
                    assert solved(found, g, family), (seed, good, family)
    assert min(seen.values()) >= 10, seen


@pytest.mark.parametrize(
    ("litres", "family", "says"),
    [
        # The fridge is on and full: only litres are missing.
        (0.5, ReasonFamily.VOLUME, True),
        (0.5, ReasonFamily.POWER, False),
    ],
)
def test_a_full_unit_that_is_on_lacks_room_and_not_power(litres, family, says):
    line = b.line(quantity=6, volume_l=litres)
    unit = b.unit(gross_volume_l=2.0)
    demand, found = allocated(b.scenario(units=(unit,), lines=(line,)))
    short = [
        good
        for g, good in enumerate(found.instance.goods)
        if sum(n for (gg, _), n in found.placed.counts.items() if gg == g) < good.count
    ]
    assert found.placed.choices
    assert short
    now = AsPlaced(found.instance, found.placed)
    assert all(now.lets_in(good, family) is says for good in short)
    rest = unplaced(found, demand, placements(found.instance, found.placed))
    assert {s.reason for s in rest.shortfalls} == {ReasonFamily.VOLUME}
