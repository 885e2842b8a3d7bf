"""What must hold for any small change to any small hall."""

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planner.check.carries import check_carries
from planner.check.measured import with_load_factor
from planner.decide.allocate import allocate
from planner.decide.as_wired import as_wired
from planner.decide.instance import build
from planner.decide.triage import demands
from planner.inforce import in_force_of, read_in_force
from planner.output.plan_json import plan_to_json
from planner.pipeline import check_again, checked, make_plan
from planner.replanning import one_more, replan
from planner.result_moves import DESK, CarryKind
from planner.result_replan import Fits, LoadFactor
from planner.scenario import Status, Tier
from tests.decide_cases import tier_vector
from tests.test_decide_properties import batteries, lines, scenarios, units

FEW = settings(
    max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)


def out(things, which):
    """The same things, one of them out of order."""
    dead = replace(
        things[which],
        availability=replace(things[which].availability, status=Status.OUT),
    )
    return tuple(dead if n == which else one for n, one in enumerate(things))


def rows(scene):
    return len({(line.sheet, line.row) for line in scene.lines})


@st.composite
def changed(draw, scene):
    """The scenario after one to three things happened."""
    for _ in range(draw(st.integers(1, 3))):
        kind = draw(st.sampled_from(("arrival", "leaver", "unit", "battery", "loan")))
        if kind == "arrival":
            new = draw(lines(draw(st.integers(20, 40))))
            if new.id not in {line.id for line in scene.lines}:
                scene = replace(scene, lines=(*scene.lines, new))
        elif kind == "leaver" and len(scene.lines) > 1:
            which = draw(st.integers(0, len(scene.lines) - 1))
            kept = tuple(x for n, x in enumerate(scene.lines) if n != which)
            scene = replace(scene, lines=kept)
        elif kind == "unit":
            which = draw(st.integers(0, len(scene.units) - 1))
            scene = replace(scene, units=out(scene.units, which))
        elif kind == "battery" and scene.batteries:
            which = draw(st.integers(0, len(scene.batteries) - 1))
            scene = replace(scene, batteries=out(scene.batteries, which))
        elif kind == "loan" and "U7" not in {u.id for u in scene.units}:
            scene = replace(
                scene,
                units=(*scene.units, draw(units(7))),
                batteries=(*scene.batteries, draw(batteries(7))),
            )
    return replace(scene, rows_in=rows(scene))


@FEW
@given(scenarios(), st.data())
def test_tiers_first_then_moves_that_lead_from_the_old_plan_to_the_new(scene, data):
    old = make_plan(scene, borrow=False)
    today = data.draw(changed(scene))
    in_force = in_force_of(old, today)
    made = replan(today, in_force)
    plan = made.plan
    assert tier_vector(plan) >= tier_vector(make_plan(today, borrow=False))
    check_again(plan)
    stands = Counter()
    for one in in_force.standing:
        stands[one.line_id, one.unit_id, one.zone] += one.count
    for n, move in enumerate(plan.moves, start=1):
        assert move.order == n
        stands[move.line_id, move.from_unit_id, move.from_zone] -= move.count
        assert all(n >= 0 for key, n in stands.items() if key[1] != DESK)
        stands[move.line_id, move.to_unit_id, move.to_zone] += move.count
    wanted = Counter()
    for put in plan.placements:
        wanted[put.line_id, put.unit_id, put.zone] += put.count
    inside = {k: n for k, n in stands.items() if k[1] != DESK and n}
    assert inside == dict(wanted)
    walked = (in_force.standing, plan.moves, plan.placements, plan.units_on)
    assert check_carries(today, *walked) == ()
    total = sum(one.count for one in in_force.standing)
    assert made.kept + made.carried + made.out == total
    assert made.kept + made.carried + made.put_in == sum(wanted.values())
    for row in plan.accounts:
        ended = row.placed + row.warm + row.short + row.with_person + row.review
        assert ended == row.quantity


@FEW
@given(scenarios())
def test_no_change_no_moves(scene):
    old = make_plan(scene, borrow=False)
    made = replan(scene, read_in_force(plan_to_json(old).encode(), scene).in_force)
    assert made.plan.moves == ()
    assert tier_vector(made.plan) == tier_vector(old)
    change = made.plan.changeover
    assert change.put_in == change.pulled == ()


@FEW
@given(scenarios(), st.data())
def test_the_saved_plan_says_the_same_as_the_plan_at_hand(scene, data):
    old = make_plan(scene, borrow=False)
    today = data.draw(changed(scene))
    at_hand = in_force_of(old, today)
    read = read_in_force(plan_to_json(old).encode(), today).in_force
    assert read.standing == at_hand.standing
    assert set(read.hookups) == set(at_hand.hookups)
    assert read.units_on == at_hand.units_on


def left_vector(plan, lines):
    """Tier values of what is left of a plan when only these lines stay."""
    homes = {line.id: line.household for line in lines}
    found = []
    for tier in Tier:
        mine = [p for p in plan.placements if p.tier is tier and p.line_id in homes]
        need = [p for p in mine if not p.surplus]
        found += [
            len({homes[p.line_id] for p in need}),
            sum(p.count for p in need),
            sum(p.count for p in mine if p.surplus),
        ]
    return tuple(found)


@FEW
@given(scenarios(), st.data())
def test_nobody_loses_a_place_when_others_leave_but_for_a_better_plan(scene, data):
    old = make_plan(scene, borrow=False)
    keep = data.draw(st.integers(1, len(scene.lines)))
    fewer = replace(scene, lines=scene.lines[:keep])
    fewer = replace(fewer, rows_in=rows(fewer))
    made = replan(fewer, in_force_of(old, fewer))
    gone = {line.id for line in scene.lines[keep:]}
    out_of_it = [
        move
        for move in made.plan.moves
        if move.kind is CarryKind.OUT and move.line_id.removeprefix("gone:") not in gone
    ]
    left = left_vector(old, fewer.lines)
    assert tier_vector(made.plan) >= left
    if out_of_it:
        assert tier_vector(made.plan) > left


@FEW
@given(scenarios(), st.data())
def test_one_more_is_true_to_a_plan_made_anew(scene, data):
    old = make_plan(scene, borrow=False)
    new = replace(data.draw(lines(9)), id="new", place="Hall")
    answer = one_more(scene, in_force_of(old), new)
    bigger = replace(scene, lines=(*scene.lines, new))
    bigger = replace(bigger, rows_in=rows(bigger))
    fresh = make_plan(bigger, borrow=False)
    put = sum(p.count for p in fresh.placements if p.line_id == "new")
    if answer.answer is Fits.AS_IT_IS:
        assert sum(m.count for m in answer.carries) == new.quantity
    if answer.answer in {Fits.AS_IT_IS, Fits.WITH_MOVES}:
        # Then nobody is the worse for it, so a fresh plan has it all in.
        assert tier_vector(fresh) >= tier_vector(old)
        everything = sum(p.count for p in old.placements) + new.quantity
        assert sum(p.count for p in fresh.placements) >= everything or put
    if answer.answer is Fits.NOT and answer.sure:
        kept = {(p.line_id, p.surplus): p.count for p in old.placements}
        both = {(p.line_id, p.surplus): p.count for p in fresh.placements}
        lost = any(both.get(key, 0) < n for key, n in kept.items())
        assert put < new.quantity or lost


@pytest.mark.parametrize("factor", [1.3, 0.9])
@settings(FEW, max_examples=10)
@given(scenarios())
def test_a_higher_factor_is_never_better(factor, scene):
    told = LoadFactor(measured=factor, used=factor, batteries=1, why="")
    with_it = make_plan(with_load_factor(scene, told), borrow=False)
    without = make_plan(scene, borrow=False)
    if factor > 1:
        assert tier_vector(with_it) <= tier_vector(without)
    else:
        assert tier_vector(with_it) >= tier_vector(without)


@FEW
@given(scenarios(), st.data())
def test_what_the_plan_in_force_still_feeds_passes_the_audit(scene, data):
    old = make_plan(scene, borrow=False)
    today = data.draw(changed(scene))
    demand = demands(today)
    fresh = allocate(build(today, demand), time_limit_s=20.0)
    nothing = tuple(
        replace(s, met=0, households_met=0, bound=s.needed) for s in fresh.placed.stages
    )
    worse = replace(fresh, placed=replace(fresh.placed, stages=nothing))
    found = as_wired(worse, in_force_of(old, today))
    if found is not None and found.placed.stages:
        plan = checked(today, demand, found)
        assert tier_vector(plan) <= tier_vector(make_plan(today, borrow=False))
        for tier in plan.tiers:
            assert tier.met <= tier.bound <= tier.needed
