"""Charts: words as well as colour, clock times as labels, nothing to run."""

import itertools
import json
from dataclasses import replace

import pytest

from planner.errors import UsageError
from planner.output.charts import charge_chart, charge_points, fill_chart
from planner.output.daylight import night_hours, nights
from planner.output.tables_power import battery_lines
from planner.scenario import Conditions
from tests import plan_fixture


@pytest.fixture(scope="module")
def plan():
    return plan_fixture.plan()


def with_conditions(plan, **changes):
    conditions = replace(plan.scenario.conditions, **changes)
    return replace(plan, scenario=replace(plan.scenario, conditions=conditions))


def layers(chart):
    return chart.to_dict()["layer"]


def test_points_begin_full_and_end_as_replayed(plan):
    points = charge_points(plan, "Pack one")
    assert len(points) == 3 * 73
    none = points[points["sun"] == "no sun"]
    # 1000 Wh at the start; 25 Wh an hour until the floor of 200 Wh.
    assert list(none["charge_wh"].iloc[[0, 1, 32, 72]]) == [1000, 975, 200, 200]
    assert list(none["clock"].iloc[[0, 12]]) == ["Mon 08:00", "Mon 20:00"]


def test_every_line_has_a_dash_and_its_name(plan):
    spec = layers(charge_chart(plan, "Pack one"))
    lines = [layer for layer in spec if layer["mark"]["type"] == "line"]
    assert len(lines) == 1
    assert lines[0]["encoding"]["strokeDash"]["scale"]["domain"] == [
        "no sun", "poor sun", "mean sun",
    ]  # fmt: skip
    dashes = lines[0]["encoding"]["strokeDash"]["scale"]["range"]
    assert len({tuple(dash) for dash in dashes}) == 3
    texts = [layer for layer in spec if layer["mark"]["type"] == "text"]
    assert {layer["encoding"]["text"]["field"] for layer in texts} == {"word", "sun"}


def test_night_floor_and_reserve_are_named(plan):
    data = json.dumps(charge_chart(plan, "Pack one").to_dict())
    for word in ('"night"', "floor: never drawn below", "reserve: not planned below"):
        assert word in data


def test_axis_shows_clock_times_with_the_day(plan):
    spec = layers(charge_chart(plan, "Pack one"))
    axis = next(
        layer["encoding"]["x"]["axis"]
        for layer in spec
        if "axis" in layer["encoding"].get("x", {})
    )
    assert axis["values"] == [0, 12, 24, 36, 48, 60, 72]
    assert '"24": "Tue 08:00"' in axis["labelExpr"]


def test_names_at_the_lines_ends_do_not_touch():
    plan = plan_fixture.plan(
        replays=tuple(
            plan_fixture.replayed(one.sun_case, 150.0)
            for one in plan_fixture.plan().replays
        )
    )
    data = charge_chart(plan, "Pack one").to_dict()["datasets"]
    ends = next(rows for rows in data.values() if rows and "label_wh" in rows[0])
    heights = sorted(row["label_wh"] for row in ends)
    assert len({row["charge_wh"] for row in ends}) == 1
    assert min(b - a for a, b in itertools.pairwise(heights)) >= 69


def test_unknown_battery_is_wrong_use(plan):
    with pytest.raises(UsageError, match="no battery called 'x'"):
        charge_chart(plan, "x")


def test_batteries_of_one_name_are_told_apart(plan):
    first = plan.scenario.batteries[0]
    second = replace(first, id="battery-2", row=3)
    trace = replace(plan.replays[0].batteries[0], battery_id="battery-2")
    replay = replace(plan.replays[0], batteries=(*plan.replays[0].batteries, trace))
    twins = replace(
        plan,
        replays=(replay,),
        scenario=replace(plan.scenario, batteries=(first, second)),
    )
    names = list(battery_lines(twins)["Battery"])
    assert names == ["Pack one (row 2)", "Pack one (row 3)"]
    for name in names:
        assert len(charge_points(twins, name)) == 73


def test_fill_bars_say_their_litres(plan):
    data = fill_chart(plan).to_dict()["datasets"]
    words = {row["unit"]: row["words"] for rows in data.values() for row in rows}
    assert words["North fridge"] == "1 of 28 L (4 %)"


def test_a_full_unit_says_so(plan):
    placed = tuple(replace(one, count=55) for one in plan.placements)
    data = fill_chart(replace(plan, placements=placed)).to_dict()["datasets"]
    words = {row["unit"]: row["words"] for rows in data.values() for row in rows}
    assert words["North fridge"] == "FULL, 27.5 of 28 L (98 %)"


def test_nights_follow_the_sun(plan):
    # Worked by hand for 35 N, 82 W, UTC-5, day 286: declination -8.9 degrees
    # (Cooper's equation, Duffie and Beckman, Solar Engineering of Thermal
    # Processes), day 11.2 h long, noon at 12:14: sun from 06:38 to 17:50.
    first = nights(plan)[0]
    assert plan.scenario.conditions.clock(first[0]).hour == 18
    # The hour of sunrise may still count as night: a flat panel sees little.
    assert plan.scenario.conditions.clock(first[1]).hour in {6, 7}
    assert len(nights(plan)) == 3


@pytest.mark.parametrize("peak", [None, 0.0])
def test_without_sun_data_night_is_by_the_clock(plan, peak):
    blind = with_conditions(plan, latitude=None, longitude=None, peak_sun_hours=peak)
    assert nights(blind)[0] == (12, 22)  # 20:00 to 06:00 from 08:00


def test_night_hours_cover_the_window(plan):
    assert len(night_hours(plan)) == plan.scenario.conditions.window_h
    assert isinstance(plan.scenario.conditions, Conditions)


@pytest.mark.parametrize("hostile", plan_fixture.HOSTILE)
def test_hostile_names_stay_data(hostile):
    plan = plan_fixture.hostile_plan(hostile)
    name = battery_lines(plan)["Battery"][0]
    json.dumps(charge_chart(plan, name).to_dict())
    axis_words = [
        layer["encoding"]["x"]["axis"]["labelExpr"]
        for layer in layers(charge_chart(plan, name))
        if "axis" in layer["encoding"].get("x", {})
    ]
    assert all(name not in words for words in axis_words)
    json.dumps(fill_chart(plan).to_dict())
