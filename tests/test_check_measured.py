"""The load factor from measured charge, sums by hand.

A battery of 1,000 Wh that was full and has given what the cases say; at 25 C
an LFP pack holds its rated energy.
"""

from dataclasses import replace

import pytest

from planner.check.measured import factor_origin, load_factor, with_load_factor
from planner.inforce import in_force_of, read_in_force
from planner.output.plan_json import plan_to_json
from planner.pipeline import make_plan
from planner.replanning import replan, with_measured
from planner.result import BatteryTrace, Replay
from planner.result_replan import InForce
from planner.scenario import CameFrom, Flag, Origin, SunCase, UnitType
from tests import builders as b


def trace(load_wh=25.0, harvest_wh=0.0, hours=24, **fields):
    values = {
        "battery_id": "B1",
        "load_wh": (load_wh,) * hours,
        "harvest_wh": (harvest_wh,) * hours,
        "charge_wh": (500.0,) * hours,
        "floor_wh": 100.0,
        "full_wh": 1000.0,
        "start_wh": 1000.0,
    }
    return BatteryTrace(**(values | fields))


def factor(charge, *traces, elapsed_h=12, before=1.0, origins=(), **fields):
    battery = b.battery(charge_now=charge, origins=origins, **fields)
    in_force = InForce(
        start=b.START,
        elapsed_h=elapsed_h,
        standing=(),
        units_on=(),
        hookups=(),
        replays=(
            Replay(
                sun_case=SunCase.NONE,
                batteries=traces or (trace(),),
                unit_load_wh=(),
                endurance=(),
            ),
        ),
        load_factor=before,
    )
    return load_factor(b.scenario(batteries=(battery,)), in_force)


def test_twelve_hours_of_25_wh_are_300_and_360_were_drawn():
    found = factor(0.64)
    assert found.measured == pytest.approx(360 / 300)
    assert found.used == pytest.approx(1.2)


def test_as_replayed_is_one():
    assert factor(0.70).used == pytest.approx(1.0)


def test_less_drawn_in_the_dark_counts_as_less():
    assert factor(0.73).used == pytest.approx(270 / 300)


def test_less_drawn_with_sun_may_be_more_sun_and_counts_as_replayed():
    # 300 Wh out, 12 x 10 Wh in at 95 %: 814 Wh would be as replayed.
    sunny = trace(harvest_wh=10.0)
    assert factor(0.814, sunny).measured == pytest.approx(1.0)
    found = factor(0.90, sunny)
    assert found.measured == pytest.approx((100 + 114) / 300)
    assert found.used == 1.0
    assert factor(0.70, sunny).used == pytest.approx(414 / 300)


@pytest.mark.parametrize(("charge", "used"), [(0.0, 1.5), (1.0, 0.8)])
def test_the_factor_is_held_in_limits_and_says_so(charge, used):
    found = factor(charge)
    assert found.used == used
    assert "check the gauges" in found.why


@pytest.mark.parametrize(
    "fields",
    [
        {"elapsed_h": 5},
        {"elapsed_h": 30},
        {
            "origins": (
                Origin(field="charge_now", came_from=CameFrom.DEFAULT, value="1"),
            )
        },
    ],
)
def test_what_says_too_little_is_not_used(fields):
    found = factor(0.2, **fields)
    assert (found.measured, found.used, found.batteries) == (None, 1.0, 0)
    assert found.why


def test_a_battery_that_drew_little_or_was_full_says_nothing():
    assert factor(0.2, trace(load_wh=4.0)).measured is None
    assert factor(0.2, trace(load_wh=4.2)).measured is not None
    full = trace(harvest_wh=30.0, charge_wh=(1000.0,) * 24)
    assert factor(0.2, full).measured is None


def test_the_last_factor_is_carried_on():
    assert factor(0.64, before=1.1).used == pytest.approx(1.1 * 1.2)
    assert factor(0.64, before=1.1, elapsed_h=2).used == 1.1


def test_the_factor_goes_on_rated_energy_of_fridges_only():
    units = (b.unit(), b.unit(id="U2", kind=UnitType.THERMOELECTRIC))
    scene = b.scenario(units=units)
    changed = with_load_factor(scene, factor(0.64))
    assert changed.units[0].rated_wh_day == pytest.approx(240.0 * 1.2)
    assert changed.units[1] == units[1]
    assert with_load_factor(scene, factor(0.70, elapsed_h=1)) is scene


def test_a_replan_counts_with_what_the_gauge_says_and_tells():
    pack = b.battery(capacity_wh=4000.0)
    cond = b.conditions(window_h=48)
    scene = b.scenario(panels=(), batteries=(pack,), conditions=cond)
    plan = make_plan(scene, borrow=False)
    (none,) = [r for r in plan.replays if r.sun_case is SunCase.NONE]
    told_wh = none.batteries[0].charge_wh[23]
    spent_wh = 4000.0 - told_wh
    later = replace(
        scene, conditions=replace(scene.conditions, start=scene.conditions.clock(24))
    )
    today = with_measured(later, {"Battery one": (4000 - 1.3 * spent_wh) / 4000})
    made = replan(today, read_in_force(plan_to_json(plan).encode(), today).in_force)
    assert made.factor.used == pytest.approx(1.3, abs=0.01)
    first = made.plan.assumptions[0]
    assert first == factor_origin(made.factor)
    assert first.field == "load factor"
    assert first.source.startswith("measured")
    assert first.flag is Flag.ESTIMATE
    as_told = with_measured(later, {"Battery one": told_wh / 4000})
    assert replan(as_told, in_force_of(plan, as_told)).factor.used == pytest.approx(
        1.0, abs=0.01
    )
    # And the next one starts from there.
    again = read_in_force(plan_to_json(made.plan).encode(), today).in_force
    assert again.load_factor == pytest.approx(1.3, abs=0.01)
    load_wh, light_wh = (
        sum(p.replays[0].unit_load_wh[0][1][24:]) for p in (made.plan, plan)
    )
    assert load_wh == pytest.approx(1.3 * light_wh, rel=0.01)
