"""Charge read from displays: what is taken over, what is refused, all or nothing."""

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.check.measured import fits, with_load_factor
from planner.edits import measure, read_out
from planner.result_replan import LoadFactor
from planner.scenario import Availability, CameFrom, Status, UnitType
from tests import builders as b

TWO = (b.battery(), b.battery(id="B2", name="Battery two", row=3))
LATER = b.START + timedelta(hours=6, minutes=40)


def site(**fields):
    return b.scenario(batteries=TWO, **fields)


def charges(scenario):
    return {one.id: one.charge_now for one in scenario.batteries}


def test_the_plan_begins_at_the_full_hour_before_the_reading():
    done = measure(site(), {"B1": 64.0, "B2": 30.0}, LATER)
    assert done.applied
    assert done.scenario.conditions.start == b.START + timedelta(hours=6)
    assert charges(done.scenario) == {"B1": 0.64, "B2": 0.3}
    told = [o for o in done.scenario.batteries[0].origins if o.field == "charge_now"]
    assert [(one.came_from, one.value) for one in told] == [
        (CameFrom.EDITED, f"64 %, read {LATER:%Y-%m-%d %H:%M}")
    ]
    assert len(done.changes) == 3


def test_in_the_same_hour_one_reading_is_enough():
    done = measure(site(), {"B1": 64.0}, b.START + timedelta(minutes=59))
    assert done.applied
    assert done.scenario.conditions.start == b.START
    assert charges(done.scenario) == {"B1": 0.64, "B2": TWO[1].charge_now}


def test_a_charge_from_before_is_not_taken_for_one_of_now():
    done = measure(site(), {"B1": 64.0, "B2": None}, LATER)
    assert not done.applied
    assert done.scenario == site()
    assert [one.sheet for one in done.issues] == ["Batteries, Battery two"]


@pytest.mark.parametrize("status", [Status.OUT, Status.OFFERED])
def test_what_is_not_here_need_not_be_read(status):
    away = replace(TWO[1], availability=Availability(status=status))
    scenario = replace(site(), batteries=(TWO[0], away))
    assert [one.id for one in read_out(scenario)] == ["B1"]
    assert measure(scenario, {"B1": 64.0}, LATER).applied


@pytest.mark.parametrize("wrong", [-1.0, 100.5])
def test_a_charge_out_of_range_changes_nothing(wrong):
    done = measure(site(), {"B1": wrong, "B2": 50.0}, LATER)
    assert not done.applied
    assert done.scenario == site()


def test_an_empty_battery_is_a_reading():
    done = measure(site(), {"B1": 0.0, "B2": 100.0}, LATER)
    assert charges(done.scenario) == {"B1": 0.0, "B2": 1.0}


def test_a_reading_from_before_the_plan_is_refused():
    done = measure(site(), {"B1": 5.0, "B2": 5.0}, b.START - timedelta(minutes=1))
    assert not done.applied
    assert "before the plan" in done.issues[0].message


def test_a_loan_keeps_its_clock_times():
    lent = Availability(status=Status.HERE, ready_h=8, back_h=30)
    scenario = replace(site(), units=(b.unit(availability=lent),))
    (unit,) = measure(scenario, {"B1": 5.0, "B2": 5.0}, LATER).scenario.units
    assert (unit.availability.ready_h, unit.availability.back_h) == (2, 24)


@settings(max_examples=50, deadline=None)
@given(
    st.dictionaries(
        st.sampled_from(["B1", "B2", "none"]), st.none() | st.floats(-50, 150)
    ),
    st.integers(-48, 96),
)
def test_all_or_nothing(percents, hours):
    done = measure(site(), percents, b.START + timedelta(hours=hours))
    if done.applied:
        assert all(0 <= one.charge_now <= 1 for one in done.scenario.batteries)
        assert done.scenario.conditions.start == b.START + timedelta(hours=hours)
    else:
        assert done.issues
        assert done.scenario == site()


FACTOR = LoadFactor(measured=1.23, used=1.23, batteries=1, why="measured")


def test_a_plan_with_a_measured_factor_still_fits_its_site():
    planned = with_load_factor(site(), FACTOR)
    assert planned != site()
    assert fits(planned, site())
    assert fits(site(), site())


def test_it_no_longer_fits_when_a_label_or_anything_else_is_changed():
    planned = with_load_factor(site(), FACTOR)
    (unit,) = site().units
    for other in (
        replace(site(), units=(replace(unit, rated_wh_day=unit.rated_wh_day * 1.1),)),
        replace(site(), units=(replace(unit, gross_volume_l=9.0),)),
        replace(site(), units=()),
        replace(site(), batteries=()),
    ):
        assert not fits(planned, other)
        assert not fits(site(), other)


def test_a_unit_without_a_thermostat_takes_no_factor():
    chest = replace(site(), units=(b.unit(kind=UnitType.ICE_CHEST),))
    assert with_load_factor(chest, FACTOR) == chest
    assert fits(with_load_factor(chest, FACTOR), chest)
