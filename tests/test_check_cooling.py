"""When a unit is expected cold: from the start of a plan, and on into the next one."""

import json
from dataclasses import replace
from datetime import timedelta

import pytest

from planner.check import cooling
from planner.inforce import in_force_of, read_in_force
from planner.output.plan_json import plan_document
from planner.physics import profiles
from planner.pipeline import make_plan
from planner.replanning import replan
from planner.result import Cooling
from planner.scenario import Clock, UnitType
from tests import builders as b

WINDOW_H = 30
SLOW = b.unit(running_w=17.0, set_points_c=(5.0,))
SCENE = b.scenario(units=(SLOW,), conditions=b.conditions(window_h=WINDOW_H))
SHORT = replace(SCENE, conditions=b.conditions(window_h=8))
LATER_H = 3


def later(scene, hours=LATER_H):
    start = scene.conditions.start + timedelta(hours=hours)
    return replace(scene, conditions=replace(scene.conditions, start=start))


@pytest.fixture(scope="module")
def plan():
    return make_plan(SCENE, borrow=False)


@pytest.fixture(scope="module")
def short_plan():
    made = make_plan(SHORT, borrow=False)
    assert made.cooling == (Cooling(unit_id="U1", cold_h=None),)
    return made


def slow(plan):
    return [one.subject for one in plan.findings if one.rule == "R8"]


def cold_h(scene, use):
    unit = scene.units[0]
    room_c = profiles.room_temp_c(scene.place(unit.place), scene.conditions)
    return profiles.cold_after_h(unit, use.set_points_c, room_c, use.warm_fill)


def test_it_counts_from_the_hour_a_loan_is_ready():
    use = b.use(warm_fill=1.0)
    late = cold_h(SCENE, use)
    assert LATER_H < late < WINDOW_H - 2
    assert cooling(SCENE, (use,)) == (Cooling(unit_id="U1", cold_h=late),)
    lent = replace(SCENE, units=(replace(SLOW, availability=b.loan(ready_h=2)),))
    assert cooling(lent, (use,)) == (Cooling(unit_id="U1", cold_h=2 + late),)


def test_what_is_not_cold_before_the_end_has_no_hour():
    short = replace(SCENE, conditions=b.conditions(window_h=6))
    assert cooling(short, (b.use(warm_fill=1.0),))[0].cold_h is None


def test_a_chest_with_its_ice_is_cold_from_the_start():
    chest = replace(SLOW, kind=UnitType.ICE_CHEST)
    iced = replace(SCENE, units=(chest,))
    assert cooling(iced, (b.use(),)) == (Cooling(unit_id="U1", cold_h=0),)


def test_a_plan_says_it_and_its_file_too(plan):
    (found,) = plan.cooling
    assert found.cold_h == cold_h(SCENE, plan.units_on[0])
    (unit,) = plan_document(plan)["units"]
    when = SCENE.conditions.clock(found.cold_h)
    assert unit["cold_from"] == when.isoformat(timespec="minutes")
    assert unit["cold_in_window"] is True


def test_the_file_parts_never_from_not_known(short_plan):
    (unit,) = plan_document(short_plan)["units"]
    assert (unit["cold_from"], unit["cold_in_window"]) == (None, False)
    (unit,) = plan_document(replace(short_plan, cooling=()))["units"]
    assert (unit["cold_from"], unit["cold_in_window"]) == (None, None)


def in_force(plan, scene, *, from_file, known=True):
    if not from_file:
        return in_force_of(plan, scene)
    document = json.loads(json.dumps(plan_document(plan)))
    if not known:
        del document["units"][0]["cold_from"], document["units"][0]["cold_in_window"]
    return read_in_force(json.dumps(document).encode(), scene).in_force


@pytest.mark.parametrize("from_file", [True, False])
def test_a_unit_that_stays_on_does_not_cool_a_second_time(plan, from_file):
    (before,) = plan.cooling
    today = later(SCENE)
    (after,) = replan(today, in_force(plan, today, from_file=from_file)).plan.cooling
    assert after.cold_h == before.cold_h - LATER_H
    tomorrow = later(SCENE, 24)
    made = replan(tomorrow, in_force(plan, tomorrow, from_file=from_file)).plan
    assert made.cooling == (Cooling(unit_id="U1", cold_h=0),)
    assert not [one for one in made.findings if one.rule == "R8"]


def test_where_the_file_does_not_say_it_the_unit_is_taken_as_cold(plan):
    # A warm unit that is taken as cold is acted on; the other way it would not be.
    today = later(SCENE)
    found = in_force(plan, today, from_file=True, known=False)
    assert replan(today, found).plan.cooling[0].cold_h == 0


def test_a_unit_that_is_switched_on_by_the_next_plan_cools(plan):
    today = later(SCENE)
    found = replace(in_force_of(plan, today), units_on=())
    (after,) = replan(today, found).plan.cooling
    assert after.cold_h > plan.cooling[0].cold_h - LATER_H


@pytest.mark.parametrize("from_file", [True, False])
def test_a_unit_known_not_to_get_cold_in_time_is_not_called_cold(short_plan, from_file):
    today = later(SHORT)
    made = replan(today, in_force(short_plan, today, from_file=from_file)).plan
    assert made.cooling == (Cooling(unit_id="U1", cold_h=None),)
    assert slow(made) == ["U1"]
    # In a window that is long enough it gets the hour that is counted from now.
    longer = later(SCENE)
    made = replan(longer, in_force(short_plan, longer, from_file=from_file)).plan
    assert made.cooling[0].cold_h == cold_h(longer, made.units_on[0])
    assert slow(made) == ["U1"]


def test_where_the_file_says_neither_hour_nor_never_it_is_taken_as_cold(short_plan):
    today = later(SHORT)
    found = in_force(short_plan, today, from_file=True, known=False)
    made = replan(today, found).plan
    assert made.cooling == (Cooling(unit_id="U1", cold_h=0),)
    assert slow(made) == []


@pytest.mark.parametrize("from_file", [True, False])
@pytest.mark.parametrize("set_c", [4.0, 5.0])
def test_a_unit_that_is_set_anew_cools_from_now(plan, set_c, from_file):
    today = later(replace(SCENE, units=(replace(SLOW, set_points_c=(set_c,)),)))
    made = replan(today, in_force(plan, today, from_file=from_file)).plan
    (use,) = made.units_on
    assert use.set_points_c == (set_c,)
    anew = set_c != plan.units_on[0].set_points_c[0]
    as_before = plan.cooling[0].cold_h - LATER_H
    assert made.cooling[0].cold_h == (cold_h(today, use) if anew else as_before)
    assert slow(made) == (["U1"] if anew else [])


@pytest.mark.parametrize("from_file", [True, False])
@pytest.mark.parametrize("ready_h", [0, 4])
def test_a_loan_that_is_late_cools_from_the_hour_it_comes(ready_h, from_file):
    can_wait = b.line(warm_hours=100.0, warm_max_c=30.0, clock=Clock.CUMULATIVE)

    def lent(hours):
        fridge = replace(SLOW, availability=b.loan(ready_h=hours))
        return replace(SCENE, lines=(can_wait,), units=(fridge,))

    before = make_plan(lent(2), borrow=False)
    assert before.cooling[0].cold_h == 2 + cold_h(SCENE, before.units_on[0])
    today = later(lent(ready_h))
    made = replan(today, in_force(before, today, from_file=from_file)).plan
    anew = ready_h + cold_h(today, made.units_on[0])
    as_before = before.cooling[0].cold_h - LATER_H
    assert made.cooling[0].cold_h == (anew if ready_h else as_before)
    assert slow(made) == (["U1"] if ready_h else [])
