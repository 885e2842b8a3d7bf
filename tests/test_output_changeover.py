"""Plugs and thermostats between two plans: in the order of doing, on every way out."""

import io
from dataclasses import replace
from datetime import timedelta

import openpyxl
import pytest

from planner.output.changeover import Do, changeover_steps, changeover_words
from planner.output.index import index_plan
from planner.output.manner import Manner
from planner.output.paper import hand_copy, paper_pdf
from planner.output.replan_cards import change_lines, later_line
from planner.output.wording import Language
from planner.output.words import Units
from planner.output.workbook import plan_mark, plan_workbook
from planner.result import Changeover
from planner.result_moves import Setting
from tests import builders as b
from tests.paper_plans import one_plan, rich_plan
from tests.paper_reader import pages, sheets

PLAN = rich_plan()
START = PLAN.scenario.conditions.start
FIRST = (
    "Take the plug of Two zone fridge out of Battery lent, AC outlet 1",
    "Take Panel one off Battery two, solar input",
    "Plug Two zone fridge into Battery one, 12 V port 1",
    "Connect Panel one to Battery one, solar input",
    "Two zone fridge: set to zone 1: 5 C / 41 F; zone 2: minus 18 C / 0 F",
    "Blue chest: begin to use it, aim at 4 C / 39 F",
    "Garage fridge: switch on, set to 5 C / 41 F",
)
LAST = (
    "Clinic fridge: not used any more, once it is empty",
    "Spare fridge: switch off, once it is empty",
    "Take the plug of Spare fridge out of Battery lent, AC outlet 2",
)


def kinds(plan) -> tuple[list[Do], list[Do]]:
    first, last = changeover_steps(plan)
    return [one.do for one in first], [one.do for one in last]


def test_power_comes_before_thermostats_and_what_is_given_up_comes_last() -> None:
    assert changeover_words(index_plan(PLAN)) == (FIRST, LAST)
    assert change_lines(PLAN) == (FIRST, LAST)


def test_it_is_said_how_many_plugs_change_over_later_and_when() -> None:
    few = Changeover(
        later_h=(10, 10, 24), later_before=1, before_until=START + timedelta(hours=20)
    )
    said = "Later this plan needs 3 plug changes, at Mon 18:00 and Tue 08:00."
    assert later_line(replace(PLAN, changeover=few)) == (
        f"{said} The plan in force still has 1, until Tue 04:00."
    )
    # Where its end is not known, its count says nothing.
    unknown = replace(few, before_until=None)
    assert later_line(replace(PLAN, changeover=unknown)) == said
    ended = replace(few, later_before=0, before_until=START)
    assert later_line(replace(PLAN, changeover=ended)) == (
        f"{said} The plan in force ended Mon 08:00."
    )
    assert later_line(PLAN).endswith(
        "Tue 08:00 and later ones on the rota."
        " The plan in force still has 2, until Tue 14:00."
    )
    assert later_line(replace(PLAN, changeover=Changeover(later_before=3))) == ""


@pytest.mark.parametrize(("times", "noun"), [((10,), "change"), ((10, 24), "changes")])
def test_paper_has_a_word_for_one_plug_change(times, noun):
    change = replace(PLAN.changeover, later_h=times)
    said = " ".join(hand_copy(replace(PLAN, changeover=change)).split())
    assert f"LATER: {len(times)} plug {noun} after this list" in said
    assert "The plan before this one still has 2, until Tue" in said
    ended = replace(change, before_until=START - timedelta(hours=1))
    said = " ".join(hand_copy(replace(PLAN, changeover=ended)).split())
    assert "The plan before this one ended Mon" in said


def test_the_mark_knows_until_when_the_plan_in_force_is_compared():
    other = replace(PLAN.changeover, before_until=START + timedelta(hours=31))
    assert plan_mark(PLAN) != plan_mark(replace(PLAN, changeover=other))


def test_the_printed_list_says_what_comes_later_and_that_life_support_goes_dark():
    first = sheets(pages(paper_pdf(PLAN)), "Move list")[0].body
    text = " ".join(first.split())
    assert "LATER: 30 plug changes after this list, at Mon 18:00" in text
    assert text.index("LIFE SUPPORT Concentrator") < text.index("FIRST: plugs")
    assert "LIFE SUPPORT Concentrator" in hand_copy(PLAN)
    fed = replace(PLAN, replays=tuple(replace(r, loads=()) for r in PLAN.replays))
    assert "LIFE SUPPORT" not in sheets(pages(paper_pdf(fed)), "Move list")[0].body


def test_all_plugs_that_move_are_out_before_one_goes_in() -> None:
    # Two fridges change places on two sockets: neither socket is free before.
    over = Changeover(
        pulled=(b.hookup(), b.hookup(from_id="B2", to_id="U3")),
        put_in=(b.hookup(from_id="B2"), b.hookup(to_id="U3")),
    )
    first, last = kinds(replace(PLAN, changeover=over))
    assert first == [Do.PULL, Do.PULL, Do.PUT_IN, Do.PUT_IN]
    assert last == []


@pytest.mark.parametrize("feeder", ["B3", "B1"])
def test_a_socket_that_is_wanted_is_given_up_first(feeder: str) -> None:
    # The new plug may want the watts of the old one's battery, so that is pulled.
    over = Changeover(
        settings=(Setting(unit_id="U5", before_c=(5.0,), after_c=()),),
        pulled=(b.hookup(from_id="B3", to_id="U5"),),
        put_in=(b.hookup(from_id=feeder),),
    )
    first, last = kinds(replace(PLAN, changeover=over))
    wanted = feeder == "B3"
    assert first == ([Do.PULL] if wanted else []) + [Do.PUT_IN]
    assert last == [Do.OFF] + ([] if wanted else [Do.PULL])


def test_a_panel_is_taken_off_one_battery_before_it_is_joined_to_another() -> None:
    over = Changeover(pulled=(b.sun_plug(to_id="B2"),), put_in=(b.sun_plug(),))
    first, last = changeover_words(index_plan(replace(PLAN, changeover=over)))
    assert first == (
        "Take Panel one off Battery two, solar input",
        "Connect Panel one to Battery one, solar input",
    )
    assert last == ()


def test_a_fresh_plan_has_none_of_it() -> None:
    assert changeover_steps(one_plan()) == ((), ())
    assert plan_mark(PLAN) != plan_mark(replace(PLAN, changeover=Changeover()))


def text_of(found) -> str:
    return " ".join(" ".join(page.body.split()) for page in found)


def test_the_printed_list_has_them_around_the_bags_with_boxes_to_tick() -> None:
    found = sheets(pages(paper_pdf(PLAN)), "Move list")
    said = text_of(found)
    parts = (
        "FIRST: plugs and thermostats",
        "Take the plug of Two zone fridge OUT of Battery lent, AC outlet 1",
        "Plug Two zone fridge INTO Battery one, 12 V port 1",
        "Garage fridge: switch on and SET TO 5 C / 41 F",
        "LAST: once these units are empty",
        "Spare fridge: switch off, once it is empty",
        "No bag is carried.",
    )
    assert all(one in said for one in parts)
    assert sorted(parts, key=said.index) == list(parts)


def test_the_hand_copy_has_them_in_the_same_order() -> None:
    said = " ".join(hand_copy(PLAN).split())
    parts = (
        "FIRST: plugs", "OUT of Battery lent", "INTO Battery one",
        "LAST: once", "switch off, once it is empty",
    )  # fmt: skip
    assert sorted(parts, key=said.index) == list(parts)


@pytest.mark.parametrize("language", list(Language))
def test_no_field_is_left_open_in_any_language(language: Language) -> None:
    how = Manner(language=language, units=Units.US)
    first, last = changeover_words(index_plan(PLAN, how))
    assert not any("{" in one for one in (*first, *last))
    assert "41 F (5 C)" in first[-1]
    english = FIRST[-1].replace("5 C / 41 F", "41 F (5 C)")
    assert (first[-1] == english) is (language is Language.EN)


def test_the_workbook_has_them_on_the_sheet_of_moves() -> None:
    sheet = openpyxl.load_workbook(io.BytesIO(plan_workbook(PLAN)))["Moves"]
    cells = [str(cell.value) for row in sheet.iter_rows() for cell in row if cell.value]
    assert set(FIRST) | set(LAST) <= set(cells)
    assert cells.index(FIRST[0]) < cells.index(FIRST[-1]) < cells.index(LAST[0])


def test_names_are_said_as_they_are_and_codes_alone() -> None:
    assert not any("Sentinel" in one for one in (*FIRST, *LAST))
