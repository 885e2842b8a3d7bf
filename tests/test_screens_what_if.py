"""The page 'What if': asked for by a button, kept with its plan, plain words."""

from dataclasses import replace

import pytest

from planner.screens.keeping import close_down
from planner.screens.show import plain
from planner.store import work_file
from tests import plan_fixture
from tests.screen_driver import go, press, shown, with_work, work
from tests.test_screens_pages import MARKUP, disarmed, planned

ASK = "work_out_what_if"


def told(made=None):
    return press(go(with_work(**planned(made)), "what_if"), ASK)


def test_nothing_is_worked_out_before_it_is_asked_for() -> None:
    at = go(with_work(**planned()), "what_if")
    assert [one.key for one in at.button] == [ASK]
    assert work(at).what_if is None


def test_it_answers_every_question_with_clock_times_and_codes() -> None:
    said = shown(told())
    for heading in (
        "If one thing fails", "What to switch off when power is short",
        "Harder days", "Measured weather",
    ):  # fmt: skip
        assert heading in said
    assert "Pack one fails at Mon 08:00" in said
    assert "North fridge goes dark at Mon 08:00" in said
    assert "LIFE SUPPORT: Air concentrator goes dark at Mon 08:00" in said
    assert plan_fixture.RESIDENT not in said
    assert plan_fixture.HOUSEHOLD not in said
    assert "ask a pharmacist" in said


def test_the_answer_stays_with_its_plan_and_not_with_the_next_one() -> None:
    at = told()
    go(at, "plan")
    go(at, "what_if")
    assert ASK not in [one.key for one in at.button]
    work(at).plan = replace(work(at).plan, loans=())
    go(at, "what_if")
    assert ASK in [one.key for one in at.button]


def test_another_session_of_the_same_plan_finds_the_answer_worked_out() -> None:
    said = shown(told())
    again = go(with_work(**planned()), "what_if")
    assert ASK not in [one.key for one in again.button]
    assert shown(again) == said


def test_closing_down_deletes_the_answer() -> None:
    at = told()
    assert work_file().with_name("what_if.json").exists()
    close_down(work(at))
    assert not work_file().with_name("what_if.json").exists()


def test_an_old_plan_says_so_above_the_answer() -> None:
    at = told()
    work(at).scenario = replace(plan_fixture.scenario(), rows_in=99)
    go(at, "what_if")
    assert any("THIS PLAN IS OLD" in one.value for one in at.warning)
    assert "If one thing fails" in shown(at)


@pytest.mark.parametrize("text", MARKUP[:6])
def test_words_from_a_sheet_never_act_as_markup(text: str) -> None:
    at = told(plan_fixture.hostile_plan(text))
    seen = False
    for one in at.markdown:
        assert not one.allow_html
        seen = seen or plain(text) in one.value
        assert text == plain(text) or text not in disarmed(one.value)
    assert seen
