"""The plan as JSON: documented, stable, rounded, and without names."""

import json
import re
from dataclasses import replace
from pathlib import Path

import pytest

from planner.output.plan_json import plan_to_json
from planner.result import Link, PlanStatus, PortType, ReasonFamily
from planner.scenario import CameFrom, Clock, Flag, Gate, StockClass
from tests import plan_fixture

DOC = Path(__file__).parents[1] / "docs" / "plan-json.md"
TOP_LEVEL = {
    "format", "version", "status", "window", "lines", "units", "placements",
    "hookups", "replay", "shortfalls", "warm_clocks", "tiers", "loans", "rows",
    "held_rows", "assumptions", "findings", "moves", "borrow",
}  # fmt: skip
BY_NAME = {"lines[].sources": "<field>", "replay[].unit_load_wh": "<unit>"}
TYPES = {
    "text": str,
    "integer": int,
    "number": (int, float),
    "true/false": bool,
    "list": list,
    "object": dict,
    "null": type(None),
}


def documented() -> dict[str, str]:
    rows = re.findall(r"^\| `([^`]+)` \| ([^|]+) \| .+ \|$", DOC.read_text(), re.M)
    return {path: kind.strip() for path, kind in rows}


def walk(value, path=""):
    """Yield every path with its value, list entries as ``[]``."""
    if isinstance(value, dict):
        for key, inner in value.items():
            name = BY_NAME.get(path, key)
            here = f"{path}.{name}" if path else name
            yield here, inner
            yield from walk(inner, here)
    elif isinstance(value, list):
        for inner in value:
            yield from walk(inner, f"{path}[]")


def kinds_allowed(text):
    parts = text.replace("true or false", "true/false").split(" or ")
    return tuple(TYPES[part] for part in parts)


@pytest.fixture(scope="module")
def document():
    return json.loads(plan_to_json(plan_fixture.plan(moves=plan_fixture.moves())))


def test_top_level_keys(document):
    assert set(document) == TOP_LEVEL
    assert document["format"] == "cold-storage-plan"
    assert document["version"] == 1
    assert document["window"] == {"start": "2025-10-13T08:00", "hours": 72}


def test_every_key_is_documented_and_every_documented_key_exists(document):
    assert {path for path, _ in walk(document)} == set(documented())


def test_every_value_has_the_documented_type(document):
    for path, value in walk(document):
        allowed = kinds_allowed(documented()[path])
        is_bool = isinstance(value, bool)
        fits = bool in allowed if is_bool else isinstance(value, allowed)
        assert fits, (path, value)


@pytest.mark.parametrize(
    "vocabulary",
    [PlanStatus, Link, PortType, ReasonFamily, Clock, Gate, Flag, CameFrom, StockClass],
)
def test_fixed_words_are_documented(vocabulary):
    text = DOC.read_text()
    for word in vocabulary:
        assert f"`{word.value}`" in text


def test_same_plan_same_bytes():
    assert plan_to_json(plan_fixture.plan()) == plan_to_json(plan_fixture.plan())


def test_order_of_the_plans_parts_does_not_matter():
    plan = plan_fixture.plan()
    turned = replace(
        plan,
        placements=plan.placements[::-1],
        hookups=plan.hookups[::-1],
        shortfalls=plan.shortfalls[::-1],
        tiers=plan.tiers[::-1],
        replays=plan.replays[::-1],
        accounts=plan.accounts[::-1],
    )
    assert plan_to_json(turned) == plan_to_json(plan)


def test_no_names(document):
    text = json.dumps(document)
    assert plan_fixture.RESIDENT not in text
    assert plan_fixture.HOUSEHOLD not in text
    assert "K-2" in text


def test_every_bag_is_accounted_for(document):
    parts = ("placed", "warm", "short", "with_person", "review")
    for row in document["rows"]:
        assert row["quantity"] == sum(row[part] for part in parts)
    assert [row["row"] for row in document["rows"]] == [2, 3, 4, 5, 6, 7, 8, 9]
    assert [row["line"] for row in document["rows"]][-3:] == ["Intake:7", None, None]
    assert [row["row"] for row in document["held_rows"]] == [8, 9]


def test_dark_times_are_clock_times(document):
    units = {unit["unit"]: unit for unit in document["units"]}
    # 1000 Wh, floor 200, 25 Wh an hour: 32 hours from Monday 08:00.
    assert units["unit-1"]["dark_from"] == {
        "none": "2025-10-14T16:00",
        "poor": None,
        "mean": None,
    }
    assert units["unit-2"]["dark_from"] == {}


def test_plugs_name_both_ends(document):
    ends = [
        (plug["panel"], plug["battery"], plug["source"], plug["unit"], plug["load"])
        for plug in document["hookups"]
    ]
    assert ends == [
        (None, "battery-1", None, None, "source-2"),
        (None, "battery-1", None, "unit-1", None),
        ("panel-1", "battery-1", None, None, None),
        (None, "battery-1", "source-1", None, None),
    ]


def test_unknown_allowance_comes_first_and_is_null(document):
    assert [short["safe_until"] for short in document["shortfalls"]] == [
        None,
        "2025-10-13T12:00",
    ]


def test_numbers_are_rounded_and_finite():
    plan = plan_fixture.plan()
    lines = list(plan.scenario.lines)
    lines[0] = replace(lines[0], volume_l=1 / 3, keep_from_c=-0.0, warm_hours=1e999)
    changed = replace(plan, scenario=replace(plan.scenario, lines=tuple(lines)))
    text = plan_to_json(changed)
    line = json.loads(text)["lines"][0]
    assert line["volume_l"] == 0.333
    assert line["warm_hours"] is None
    assert "-0.0" not in text
    assert "Infinity" not in text


def test_hourly_lists_stand_on_one_line():
    text = plan_to_json(plan_fixture.plan())
    assert max(len(line) for line in text.splitlines()) > 300
    assert text.count("\n") < 950


@pytest.mark.parametrize("hostile", plan_fixture.HOSTILE)
def test_hostile_text_stays_text(hostile):
    text = plan_to_json(plan_fixture.hostile_plan(hostile))
    document = json.loads(text)
    text.encode("utf-8")
    for _, value in walk(document):
        if isinstance(value, str):
            assert value[:1] not in set("=+-@\t\r"), value
            assert "\n" not in value
            assert len(value) <= 2001
