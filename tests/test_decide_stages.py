"""Stages of a tier: what is known spares a proof, and the order comes afterwards."""

import random
from dataclasses import replace

from planner.decide import plan_so_far
from planner.decide.allocate import allocate
from planner.decide.placement import PlacementModel
from planner.decide.stage_values import got, stage_order
from planner.decide.stages import next_stage
from tests.bench.town import town
from tests.decide_cases import instance
from tests.test_decide_never_refused import site

SEEDS = range(30)


def small(seed):
    """A drawn site whose units hold a twentieth of what they did."""
    scene = site(random.Random(seed))
    units = tuple(replace(u, gross_volume_l=u.gross_volume_l / 20) for u in scene.units)
    return replace(scene, units=units)


def drawn():
    """Stages of sites, each served first, and what it gets."""
    for seed in SEEDS:
        inst = instance(small(seed))
        for tier, surplus in stage_order(inst.goods):
            plain = served(inst, tier, surplus)
            if plain is not None:  # Else not even what comes before is fed.
                yield inst, tier, surplus, plain


def served(inst, tier, surplus, **known):
    found = next_stage(
        PlacementModel(inst), (), tier, surplus=surplus, time_limit_s=20, **known
    )
    return found and found[0]


class TestOneStage:
    def test_a_bound_that_is_known_changes_nothing(self):
        short = 0
        for inst, tier, surplus, plain in drawn():
            known = served(inst, tier, surplus, at_most=plain)
            assert (got(known), known.bound) == (got(plain), plain.bound)
            assert known.household_bound == plain.household_bound
            # One that is too kind is no answer: the proof comes down to the same.
            kind = replace(plain, bound=plain.bound + 1)
            assert got(served(inst, tier, surplus, at_most=kind)) == got(plain)
            short += plain.met < plain.needed
        assert short > 5

    def test_without_order_the_counts_are_the_same(self):
        ordered = 0
        for inst, tier, surplus, plain in drawn():
            loose = served(inst, tier, surplus, in_order=False)
            assert got(loose) == got(plain)
            assert loose.lateness is None
            ordered += plain.lateness is not None
        assert ordered > 2


def test_after_a_cut_the_shortest_allowances_still_come_first(monkeypatch):
    """The same plans come out when the order is asked in every round."""
    asked = plan_so_far.next_stage
    loose = []

    def in_order(*args, **kwargs):
        loose.append(not kwargs.pop("in_order", True))
        return asked(*args, **kwargs)

    compared = 0
    for seed in (2, 8):
        scene = town("S", seed)
        one = allocate(instance(scene), time_limit_s=60)
        with monkeypatch.context() as patch:
            loose.clear()
            patch.setattr(plan_so_far, "next_stage", in_order)
            two = allocate(instance(scene), time_limit_s=60)
        assert any(loose)
        for mine, other in zip(one.placed.stages, two.placed.stages, strict=True):
            assert got(mine) == got(other)
            assert mine.lateness == other.lateness
        compared += any(s.lateness is not None for s in one.placed.stages)
    assert compared > 0
