"""Rows that are not planned are never passed over, and nobody is short in good time."""

from dataclasses import replace

import pytest

from planner.check.warnings import warn_not_planned
from planner.output import tables_records
from planner.output.answers import status
from planner.output.headlines import borrow_headline, short_headline
from planner.output.held import held_lines, held_rows, which_words
from planner.output.manner import Manner
from planner.output.next_step import next_step
from planner.output.paper import hand_copy, paper_pdf
from planner.output.summary import summary_text
from planner.output.wording import Language
from planner.output.workbook import plan_workbook
from planner.result import Finding
from tests import builders as b
from tests.check_cases import case
from tests.paper_plans import empty_plan, held_plan, late_plan, rich_plan
from tests.paper_reader import pages, sheets
from tests.screen_driver import go, shown, sound, with_work

SPANISH = Manner(language=Language.ES)
SHEETS = ("Handover", "Shortfall list", "Borrow list", "Cold storage plan: ")


def printed(plan, title):
    return " ".join(one.body for one in sheets(pages(paper_pdf(plan)), title))


def all_served():
    return replace(late_plan(), cooling=())


def test_only_rows_that_wait_count_and_the_list_gives_their_order():
    assert [one.row for one in held_rows(all_served())] == list(range(80, 88))
    assert held_rows(empty_plan()) == ()


def test_the_headline_says_how_many_rows_and_which():
    found = short_headline(held_plan(3))
    assert (found.answer, found.good) == ("3 rows are not planned: ask now", False)
    assert "Nothing is planned" in found.more
    assert "row 80 (K-2), row 81, row 82 (K-4) of the list" in found.more
    assert "place" not in found.more
    beside = short_headline(all_served())
    assert "Every other bag of the cold pool has a place." in beside.more
    assert "row 85 ... and 2 more" in beside.more
    both = replace(
        rich_plan(), scenario=replace(rich_plan().scenario, held_rows=(b.held_row(),))
    )
    assert short_headline(both).answer.startswith("1 row is not planned: ask now. ")
    assert borrow_headline(held_plan()).answer == "Not known yet"
    assert borrow_headline(both).answer != "Not known yet"


def test_the_sheet_is_named_where_the_list_has_several():
    plan = rich_plan()
    apart = b.held_row(sheet="Room B", row=80)
    one = replace(plan.scenario, held_rows=(replace(apart, sheet="Intake"),))
    two = replace(plan.scenario, held_rows=(apart,))
    assert {line.sheet for line in plan.scenario.lines} == {"Intake"}
    for scenario, words in ((one, "row 80"), (two, "row Room B 80")):
        said = short_headline(replace(plan, scenario=scenario)).more
        assert words in said


def test_without_such_rows_nobody_is_nobody():
    plan = replace(all_served(), scenario=replace(all_served().scenario, held_rows=()))
    found = short_headline(plan)
    assert (found.answer, found.good) == ("Nobody", True)
    assert borrow_headline(plan).good
    assert "Nobody is short" in printed(plan, "Shortfall list")
    assert "NOT PLANNED" not in printed(plan, "Handover")


@pytest.mark.parametrize("title", SHEETS)
def test_no_sheet_says_that_nobody_is_short(title):
    for plan in (held_plan(3), all_served()):
        said = printed(plan, title)
        assert said
        assert "Nobody is short" not in said
        assert "Nothing competes" not in said


def test_paper_names_every_row_its_code_and_whom_to_ask():
    plan = all_served()
    said = printed(plan, "Shortfall list")
    assert "NOT PLANNED: 8 rows, ask now" in said
    for row in range(80, 88):
        assert f" {row} " in said
    assert "K-2" in said
    assert "The item is missing" in said
    assert "Ask: the person or carer, then a pharmacist" in said
    assert "NOT PLANNED: 8 rows, ask now: list row 80 (K-2)" in printed(
        plan, "Handover"
    )
    copied = " ".join(hand_copy(plan).split())
    assert "List row 87, code not known: The row is not clear" in copied
    assert "Nobody is short" not in copied


def test_the_terminal_and_the_workbook_say_it():
    text = summary_text(held_plan(3), ())
    assert "NOT PLANNED, ASK NOW: 3 rows of the list" in text
    assert "WHO IS SHORT: nobody else" in text
    assert "BORROW FIRST: nothing\n" not in text
    assert text.splitlines()[1].startswith("Nothing is planned")
    assert status(empty_plan()).startswith("Nothing to plan")
    assert plan_workbook(held_plan(3)) != plan_workbook(held_plan(2))


def test_it_is_said_in_spanish():
    assert short_headline(held_plan(3), SPANISH).answer == (
        "3 filas están sin planear: pregunte ya"
    )
    assert held_lines(held_plan(1), SPANISH) == (
        "Lista, fila 80 (K-2): Falta el artículo",
    )
    assert which_words(held_plan(1), SPANISH) == "fila 80 (K-2)"


def test_the_check_remarks_on_them():
    scene = b.scenario(held_rows=held_plan(2).scenario.held_rows)
    (found,) = warn_not_planned(case(scene))
    assert found == Finding(
        rule="",
        fatal=False,
        subject="list",
        message="2 rows of the list are not planned: ask now",
    )
    assert list(warn_not_planned(case(b.scenario()))) == []
    assert SPANISH.told(found.message) == (
        "2 filas de la lista están sin planear: pregunte ya"
    )
    assert not tables_records.findings(replace(held_plan(), findings=(found,))).empty


def test_sorting_them_out_comes_before_the_sheets_are_printed():
    asked = {"has_list": True, "can_plan": True, "queue": (), "stale": False}
    step = next_step(**asked, plan=held_plan(2), planning=False)
    assert step.page == "questions"
    assert step.what == "Sort out 2 rows that are not planned"
    assert next_step(**asked, plan=empty_plan(), planning=False).page == "take"


@pytest.mark.parametrize("name", ["status", "plan", "short"])
def test_pages_say_it_and_link_to_the_questions(name):
    plan = held_plan(3)
    at = with_work(
        list_name="list.xlsx", list_bytes=b"x", scenario=plan.scenario, plan=plan
    )
    said = shown(sound(go(at, name)))
    assert "3 rows are not planned: ask now" in said
    assert "Nobody is short" not in said
    assert "Every bag of the cold pool has a place" not in said
