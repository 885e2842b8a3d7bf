"""Questions about the list: order, answers, what an answer changes."""

from dataclasses import replace

from planner.intake.issue_harm import Harm
from planner.intake.review import review_queue
from planner.output.next_step import next_step
from planner.screens.state import Work
from tests import plan_fixture, workbook_maker
from tests.screen_driver import (
    SCARCE,
    app,
    go,
    press,
    shown,
    sound,
    upload,
    work,
)
from tests.test_screens_edit import type_over

INTAKE = """
Resident | Place | Item | Quantity | Storage
Ada Sentinelname | Hall | zorbitol | 2 |
Bo Sentinelname | Hall | insulin lispro | some |
Cy Sentinelname | Hall | insulin lispro | 1 | freezer
"""


def asked():
    return go(
        upload(app(), workbook_maker.book(SCARCE | {"Intake": INTAKE})), "questions"
    )


def button_of(at, label: str):
    return next(one for one in at.button if label in one.label)


def test_questions_come_in_the_order_of_harm() -> None:
    at = asked()
    said = shown(at)
    places = [
        said.index(words) for words in ("While open: a life", "may freeze", "zorbitol")
    ]
    assert places[0] < places[1]
    assert Harm.WHAT_IT_IS.words in said
    assert "Sentinelname" not in said


def test_an_answer_reads_the_list_again_and_its_question_is_gone() -> None:
    at = asked()
    before = len(review_queue(work(at).reading))
    chosen = button_of(at, "It is food")
    at = sound(chosen.click().run())
    assert len(review_queue(work(at).reading)) < before
    assert "zorbitol" not in shown(at)
    assert "Undo takes back: Answer, Intake, row 2" in shown(at)
    at = press(at, "undo")
    assert "zorbitol" in shown(at)


def test_the_words_of_the_label_can_be_typed_where_no_answer_fits() -> None:
    at = asked()
    (field, *_) = at.text_input
    field.input("adalimumab 2 pens")
    at = sound(button_of(at, "Read it again with this").click().run())
    found = [one for one in work(at).scenario.lines if one.row == 2]
    assert [(one.kind_id, one.quantity) for one in found] == [("adalimumab", 2)]


def test_an_answer_of_as_it_is_is_not_asked_again() -> None:
    at = asked()
    before = len(review_queue(work(at).reading, work(at).accepted))
    at = sound(button_of(at, "Right as it is").click().run())
    assert len(review_queue(work(at).reading, work(at).accepted)) == before - 1


def test_an_answer_keeps_what_was_changed_of_the_equipment() -> None:
    at = type_over(go(asked(), "have"), "Batteries", 0, **{"Charge now (%)": "40"})
    at = sound(button_of(go(at, "questions"), "It is food").click().run())
    assert work(at).scenario.batteries[0].charge_now == 0.4
    again = app()
    assert work(again).scenario == work(at).scenario


def test_an_answer_makes_the_plan_old() -> None:
    at = press(go(asked(), "plan"), "make_plan")
    at = sound(button_of(go(at, "questions"), "It is food").click().run())
    assert "OLD, plan again" in shown(at)


def test_no_more_than_twenty_at_once_until_asked() -> None:
    rows = "\n".join(f"R{n} | Hall | zorbitol{n} | 1 |" for n in range(30))
    data = workbook_maker.book(SCARCE | {"Intake": f"{INTAKE.splitlines()[1]}\n{rows}"})
    at = go(upload(app(), data), "questions")
    few = shown(at).count("It says:")
    at = sound(at.checkbox(key="all_questions").check().run())
    assert few == 20
    assert shown(at).count("It says:") >= 30


def test_a_pasted_list_is_read() -> None:
    at = app()
    at.text_area(key="pasted_0").input("insulin lispro 2 pens\nbreast milk frozen 3")
    at = press(at, "read_pasted")
    assert work(at).list_name == "pasted.txt"
    assert len(work(at).scenario.lines) == 2


def step(**changes: object):
    fields: dict[str, object] = {
        "has_list": True, "can_plan": True, "queue": (), "plan": None,
        "stale": False, "planning": False,
    }  # fmt: skip
    return next_step(**(fields | changes)).page


def test_the_next_step_follows_the_work() -> None:
    waiting = plan_fixture.plan()
    made = replace(waiting, scenario=replace(waiting.scenario, held_rows=()))
    queue = review_queue(work(asked()).reading)
    assert step(has_list=False) == "bring_list"
    assert step(can_plan=False) == "bring_list"
    assert step(planning=True) == "plan"
    assert step(queue=queue) == "questions"
    assert step() == "have"
    assert step(plan=made, stale=True) == "plan"
    assert step(plan=made) == "short"
    assert step(plan=waiting) == "questions"


def test_a_session_starts_without_answers() -> None:
    assert (Work().answers, Work().accepted) == ((), ())
