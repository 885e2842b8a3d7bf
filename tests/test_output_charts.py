"""Charts: words as well as colour, clock times as labels, nothing to run."""

import itertools
import json
from dataclasses import replace

import altair as alt
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
    return chart["layer"]


def rows_of(chart):
    """All rows that a chart draws, layer after layer."""
    every = (chart, *layers(chart))
    return [row for one in every for row in one.get("data", {}).get("values", [])]


def test_charts_are_what_the_published_schema_of_vega_lite_allows(plan):
    # The schema comes with altair, which the screens' library brings along.
    for chart in (charge_chart(plan, "Pack one"), fill_chart(plan)):
        alt.LayerChart.from_dict(chart, validate=True)
        wrong = {**chart, "layer": [{**layers(chart)[0], "mark": {"type": "blob"}}]}
        with pytest.raises(Exception, match="blob"):
            alt.LayerChart.from_dict(wrong, validate=True)


def test_points_begin_full_and_end_as_replayed(plan):
    points = charge_points(plan, "Pack one")
    assert len(points) == 3 * 73
    none = [one for one in points if one["sun"] == "no sun"]
    # 1000 Wh at the start; 25 Wh an hour until the floor of 200 Wh.
    charges = [none[hour]["charge_wh"] for hour in (0, 1, 32, 72)]
    assert charges == [1000, 975, 200, 200]
    assert [none[hour]["hour"] for hour in (0, 72)] == [0, 72]
    assert [none[hour]["clock"] for hour in (0, 12)] == ["Mon 08:00", "Mon 20:00"]


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
    data = json.dumps(charge_chart(plan, "Pack one"))
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
    ends = [one for one in rows_of(charge_chart(plan, "Pack one")) if "label_wh" in one]
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
    words = {row["unit"]: row["words"] for row in rows_of(fill_chart(plan))}
    assert words["North fridge"] == "1 of 28 L (4 %)\n1.06 of 29.59 qt"


def test_a_full_unit_says_so(plan):
    placed = tuple(replace(one, count=55) for one in plan.placements)
    full = fill_chart(replace(plan, placements=placed))
    words = {row["unit"]: row["words"] for row in rows_of(full)}
    assert words["North fridge"] == "FULL, 27.5 of 28 L (98 %)\n29.06 of 29.59 qt"


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
    json.dumps(charge_chart(plan, name))
    axis_words = [
        layer["encoding"]["x"]["axis"]["labelExpr"]
        for layer in layers(charge_chart(plan, name))
        if "axis" in layer["encoding"].get("x", {})
    ]
    assert all(name not in words for words in axis_words)
    json.dumps(fill_chart(plan))
