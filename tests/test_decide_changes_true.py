"""What is said to place a short line does place it, and no one loses by it.

Every change that is stated for the lines of drawn sites is applied to the
scenario, and the plan made with it goes through the independent check: every
rule again, hour by hour.  Where the amount is called exact, one step less of
it must not do.  ``SHORT_SEEDS=200`` draws more sites.
"""

import os
from collections import Counter
from dataclasses import replace
from functools import cache

import pytest

from planner.pipeline import check_again, make_plan
from planner.result import Plan, ReasonFamily, Shortfall
from planner.result_reasons import Change, ChangeKind, Proof
from planner.trying import plan_with_change
from tests.bench.town import town
from tests.short_scenes import scene

SEEDS = range(int(os.environ.get("SHORT_SEEDS", "45")))
STEPS = {
    ChangeKind.ENERGY: 10.0,
    ChangeKind.BATTERY: 10.0,
    ChangeKind.WATTS: 5.0,
    ChangeKind.ICE: 0.1,
    ChangeKind.ROOM_IN: 0.1,
    ChangeKind.ROOM_AT: 0.1,
    ChangeKind.SOONER: 1.0,
    ChangeKind.LONGER: 1.0,
    ChangeKind.ALLOWANCE: 1.0,
}


@cache
def planned(seed: int) -> Plan:
    return make_plan(scene(seed), borrow=False)


def bags(plan: Plan) -> Counter[tuple[str, bool]]:
    found: Counter[tuple[str, bool]] = Counter()
    for put in plan.placements:
        found[put.line_id, put.surplus] += put.count
    return found


def holds(plan: Plan, short: Shortfall, change: Change) -> None:
    """The change places what it says, in a plan that the check room lets pass."""
    mended = plan_with_change(plan, short, change)
    assert mended is not None, (short, change)
    check_again(mended)
    before, after = bags(plan), bags(mended)
    key = (short.line_id, short.surplus)
    assert 1 <= change.bags <= short.count
    assert after[key] >= before[key] + change.bags
    assert not before - after
    # Nobody else is brought in: the change is this line's own.
    assert sum(after.values()) == sum(before.values()) + change.bags


@pytest.mark.parametrize("seed", SEEDS)
def test_every_change_that_is_stated_places_the_line(seed):
    plan = planned(seed)
    for short in plan.shortfalls:
        for change in short.changes:
            holds(plan, short, change)


@pytest.mark.parametrize("seed", SEEDS)
def test_one_step_less_than_an_exact_amount_does_not(seed):
    plan = planned(seed)
    for short in plan.shortfalls:
        for change in short.changes:
            step = STEPS.get(change.kind)
            if change.proof is not Proof.EXACT or step is None:
                continue
            less = round(change.amount - step, 6)
            if less > 0:
                fewer = replace(change, amount=less)
                assert plan_with_change(plan, short, fewer) is None, (short, change)


def test_at_least_a_hundred_lines_and_most_kinds_are_tried():
    shorts = [short for seed in SEEDS for short in planned(seed).shortfalls]
    stated = [short for short in shorts if short.changes]
    assert len(stated) >= 100
    # Every short line has something that would place it.
    assert len(stated) == len(shorts)
    first = {short.changes[0].kind for short in stated}
    assert first >= {
        ChangeKind.ALLOWANCE,
        ChangeKind.BATTERY,
        ChangeKind.COOLER,
        ChangeKind.ENERGY,
        ChangeKind.ICE,
        ChangeKind.LOCK,
        ChangeKind.ROOM_AT,
        ChangeKind.ROOM_IN,
        ChangeKind.SOONER,
        ChangeKind.WATTS,
    }
    reasons = {short.reason for short in stated}
    assert reasons >= {
        ReasonFamily.ACCESS,
        ReasonFamily.BAND,
        ReasonFamily.CUSTODY,
        ReasonFamily.DATA,
        ReasonFamily.ICE,
        ReasonFamily.POWER,
        ReasonFamily.REACH,
        ReasonFamily.READY,
        ReasonFamily.VOLUME,
    }


def test_same_input_same_changes():
    again = make_plan(scene(3), borrow=False)
    assert again.shortfalls == planned(3).shortfalls


@pytest.mark.parametrize("seed", [1])
def test_changes_of_a_town(seed):
    plan = make_plan(town("S", seed), borrow=False)
    assert plan.shortfalls
    for short in plan.shortfalls[:8]:
        assert short.changes
        holds(plan, short, short.changes[0])
