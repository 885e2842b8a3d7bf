"""The plan in force as a starting point, where the fresh plan is not proven best."""

from dataclasses import replace

import pytest

from planner import replanning
from planner.decide.allocate import allocate
from planner.decide.as_wired import as_wired
from planner.decide.instance import build
from planner.decide.stage_values import got
from planner.decide.triage import demands
from planner.inforce import in_force_of
from planner.pipeline import make_plan
from planner.result import Link, PlanStatus
from planner.scenario import Status, Tier
from tests import builders as b
from tests.test_replan_moves import bag

PACKS = (b.battery(), b.battery(id="B2", name="Battery two"))
FRIDGES = (
    b.unit(gross_volume_l=2.5),
    b.unit(id="U2", name="Fridge two", gross_volume_l=2.5),
)
SCENE = b.scenario(
    lines=tuple(bag(n, volume_l=0.5) for n in range(1, 7)),
    units=FRIDGES,
    batteries=PACKS,
    panels=(),
)


def fresh_of(scene):
    return allocate(build(scene, demands(scene)), time_limit_s=20.0)


def poorer(fresh, met):
    """The same allocation as if the search had ended with fewer bags."""
    stages = tuple(
        replace(s, met=met, households_met=met, bound=s.needed)
        for s in fresh.placed.stages
    )
    return replace(fresh, placed=replace(fresh.placed, stages=stages), proven=False)


@pytest.fixture(scope="module")
def in_force():
    return in_force_of(make_plan(SCENE, borrow=False))


def test_it_is_taken_where_it_serves_more(in_force):
    found = as_wired(poorer(fresh_of(SCENE), 3), in_force)
    (stage,) = found.placed.stages
    assert got(stage) == (6, 6)
    assert stage.bound == 6
    feeds = {h.to_id: h.from_id for h in in_force.hookups}
    assert {h.to_id: h.from_id for h in found.hookups} == {
        to: feeds[to] for to in {h.to_id for h in found.hookups}
    }


def test_it_is_left_where_it_serves_less(in_force):
    scene = replace(SCENE, batteries=(replace(PACKS[0], charge_now=0.11), PACKS[1]))
    one_pack = replace(
        in_force,
        hookups=tuple(replace(h, from_id="B1") for h in in_force.hookups),
    )
    # The plugs in force hang both fridges on a pack that is nearly flat.
    assert as_wired(fresh_of(scene), one_pack) is None
    assert as_wired(fresh_of(scene), in_force_of(make_plan(scene, borrow=False)))


def test_only_the_units_that_still_hold_are_counted(in_force):
    dead = in_force.hookups[0].to_id
    scene = replace(
        SCENE,
        units=tuple(
            replace(u, availability=replace(u.availability, status=Status.OUT))
            if u.id == dead
            else u
            for u in FRIDGES
        ),
    )
    found = as_wired(poorer(fresh_of(scene), 0), in_force)
    used = {h.to_id for h in found.hookups if h.link is Link.BATTERY_TO_UNIT}
    assert dead not in used
    (stage,) = found.placed.stages
    assert stage.met == sum(found.placed.counts.values())


def test_bounds_behind_a_tier_that_differs_do_not_stand():
    lines = (*SCENE.lines[:5], bag(9, tier_given=Tier.E, volume_l=0.5))
    scene = replace(SCENE, lines=lines)
    plan = make_plan(scene, borrow=False)
    found = as_wired(poorer(fresh_of(scene), 0), in_force_of(plan))
    first, second = found.placed.stages
    assert (first.met, second.met) == (5, 1)
    assert second.bound == second.needed


def test_a_replan_that_is_not_proven_starts_there(monkeypatch, in_force):
    def tired(*arguments, **named):
        return poorer(allocate(*arguments, **named), 3)

    monkeypatch.setattr(replanning, "allocate", tired)
    made = replanning.replan(SCENE, in_force)
    assert made.plan.moves == ()
    assert made.plan.status is PlanStatus.PROVEN
    assert sum(t.met for t in made.plan.tiers) == 6
