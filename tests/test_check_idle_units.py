"""A unit that stands idle for want of power: how many hours it could run, by hand.

The battery holds 1,000 Wh of which 900 may be drawn, a tenth of that is the
reserve: 810 Wh.  45 W on 12 V at 0.9 are 50 Wh an hour: 16 hours and 10 Wh.
"""

from dataclasses import replace

import pytest

from planner import pipeline
from planner.check.idle_units import warn_idle_units
from planner.result import SHORTER_PLAN, ReasonFamily
from planner.scenario import Availability, Status, SunCase, Supply, Tier
from tests import builders as b
from tests.check_cases import case, plain_hours

DAY = 24
LACKS_POWER = b.shortfall(reason=ReasonFamily.POWER)


def told(
    *, loads=None, sun=None, shortfalls=(LACKS_POWER,), units_on=(), hookups=(), **world
):
    values = {
        "conditions": b.conditions(window_h=DAY, reserve_share=0.1),
        "batteries": (pack(),),
        "panels": (),
    }
    scene = b.scenario(**(values | world))
    with plain_hours(loads or {"U1": [45.0] * DAY, "U2": [45.0] * DAY}, sun):
        tried = case(
            scene,
            units_on=units_on,
            hookups=hookups,
            placements=(),
            shortfalls=shortfalls,
        )
        return [one.message for one in warn_idle_units(tried)]


def pack(**fields):
    return b.battery(**({"dc_efficiency": 0.9} | fields))


def test_the_hours_are_those_that_end_above_the_reserve():
    (said,) = told()
    assert said == (
        "With what is here Fridge one could run on Battery one until Tue 00:00, which"
        " is 16 h of the 24 h: plan for 16 hours instead, and keep asking for power"
    )
    # Ten watt-hours less than sixteen hours take: fifteen.
    (said,) = told(batteries=(pack(capacity_wh=985.0),))
    assert "15 h of the 24 h" in said


def test_fewer_than_six_hours_are_not_worth_a_word():
    loads = {"U1": [120.0] * DAY}
    assert "6 h of the 24 h" in told(loads=loads)[0]
    assert told(loads={"U1": [121.6] * DAY}) == []


def test_what_holds_to_the_end_is_for_the_plan_to_say():
    assert told(loads={"U1": [30.0] * DAY}) == []
    assert "23 h of the 24 h" in told(loads={"U1": [31.0] * DAY})[0]


@pytest.mark.parametrize(
    "short",
    [
        b.shortfall(reason=ReasonFamily.VOLUME),
        b.shortfall(reason=ReasonFamily.POWER, tier=Tier.D),
    ],
)
def test_only_for_lines_of_tiers_a_to_c_that_lack_power(short):
    assert told(shortfalls=(short,)) == []
    assert told(shortfalls=()) == []


def test_not_for_a_unit_that_cannot_hold_the_line_or_is_not_here():
    assert told(units=(b.unit(set_points_c=(-18.0,)),)) == []
    for status in (Status.OFFERED, Status.OUT):
        away = Availability(status=status)
        assert told(units=(b.unit(availability=away),)) == []
    assert (
        told(units=(b.unit(supply=Supply.AC),), batteries=(pack(outlets_ac=0),)) == []
    )


def test_a_panel_that_stands_idle_counts():
    # 20 W of poor sun, 0.9 of it stored: 32 Wh an hour go out instead of 50, but
    # not in the first, when the battery is full: (810 - 50) / 32 = 23 and one.
    sun = {"P1": [0.0] + [40.0] * (DAY + 1)}
    sunny = b.conditions(window_h=DAY + 2, reserve_share=0.1, sun_case=SunCase.POOR)
    loads = {"U1": [45.0] * (DAY + 2)}
    found = {
        named: told(
            loads=loads,
            sun=sun,
            panels=panels,
            conditions=sunny,
            batteries=(pack(charge_efficiency=0.9),),
        )[0]
        for named, panels in (("with", (b.panel(),)), ("without", ()))
    }
    assert "24 h of the 26 h" in found["with"]
    assert "16 h of the 26 h" in found["without"]


def test_the_longest_of_several_batteries_is_named():
    small = pack(id="B2", name="Battery two", capacity_wh=500.0)
    assert "on Battery one" in told(batteries=(small, pack()))[0]


def test_beside_a_unit_that_is_on_nothing_may_be_fed_worse():
    # Unit two takes 5 W / 0.9 for 24 h, 133 Wh of 810: 676 are left, 13 hours.
    units = (b.unit(), b.unit(id="U2", name="Fridge two"))
    on = {
        "units": units,
        "units_on": (b.use(unit_id="U2"),),
        "hookups": (b.hookup(to_id="U2", to_h=DAY),),
    }
    (said,) = told(loads={"U1": [45.0] * DAY, "U2": [5.0] * DAY}, **on)
    assert said == (
        "Beside this plan Fridge one could run on Battery one until Mon 21:00, which is"
        " 13 h of the 24 h: try a plan for 13 hours, and keep asking for power"
    )
    assert told(loads={"U1": [45.0] * DAY, "U2": [25.0] * DAY}, **on) == []


def test_the_plan_for_the_hours_that_are_named_serves_the_line_and_no_longer_one():
    scene = b.scenario(
        conditions=b.conditions(window_h=96),
        lines=(b.line(),),
        batteries=(pack(),),
        panels=(),
    )
    plan = pipeline.make_plan(scene, borrow=False)
    (said,) = [one for one in plan.findings if one.subject == SHORTER_PLAN]
    assert [(one.needed, one.met) for one in plan.tiers if one.needed] == [(2, 0)]
    hours = int(said.message.split("plan for ")[1].split(" hours")[0])

    def met(window_h):
        other = replace(scene.conditions, window_h=window_h)
        made = pipeline.make_plan(replace(scene, conditions=other), borrow=False)
        return sum(one.met for one in made.tiers)

    assert met(hours) == 2
    assert met(hours + 1) == 0
