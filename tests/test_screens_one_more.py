"""The page for one more item: asks no names, answers at once, changes nothing."""

import pytest

from planner.intake import read
from planner.pipeline import make_plan
from tests.screen_driver import SCARCE, app, go, shown, sound, with_work, work
from tests.workbook_maker import NOW, book


@pytest.fixture(scope="module")
def fields():
    data = book(SCARCE)
    reading = read("list.xlsx", data, now=NOW)
    return {
        "list_name": "list.xlsx",
        "list_bytes": data,
        "scenario": reading.scenario,
        "issues": reading.issues,
        "plan": make_plan(reading.scenario, borrow=False),
    }


def ask(fields, item, count=1, **more):
    at = go(with_work(**fields), "one_more")
    at.text_input(key="one_more_item").set_value(item)
    at.number_input(key="one_more_count").set_value(count)
    for key, value in more.items():
        at.text_input(key=f"one_more_{key}").set_value(value)
    return sound(at.button[0].click().run())


def test_a_small_thing_fits_and_says_where(fields):
    at = ask(fields, "insulin glargine pens", volume="0.05")
    said = shown(at)
    assert "Fits without moving anything" in said
    assert "from the desk to Little fridge" in said.replace("\\", "")
    assert "Sentinelname" not in said


def test_what_does_not_fit_says_why(fields):
    said = shown(ask(fields, "TPN bags", 100))
    assert "Does not fit" in said
    assert "What is lacking" in said


def test_what_may_wait_on_a_clock_is_told(fields):
    said = shown(ask(fields, "insulin glargine pens", 400))
    assert "Does not fit" in said
    assert "write the clock on it" in said


def test_nothing_is_changed_by_asking(fields):
    at = ask(fields, "insulin glargine pens", volume="0.05")
    assert work(at).scenario == fields["scenario"]
    assert work(at).plan == fields["plan"]
    assert not work(at).stale


@pytest.mark.parametrize("item", ["", "insulin pen; breast milk", "12"])
def test_what_is_no_one_item_is_told(fields, item):
    at = ask(fields, item)
    assert at.warning
    assert "Read as" not in shown(at)


def test_without_a_plan_it_points_to_the_plan(fields):
    said = shown(go(with_work(**(fields | {"plan": None})), "one_more"))
    assert "There is no plan yet" in said
    assert "Bring one in" in shown(go(app(), "one_more"))
