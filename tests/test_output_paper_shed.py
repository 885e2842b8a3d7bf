"""The load-shed card and the warm-exposure slips."""

import re
from dataclasses import replace

import pytest

from planner import pipeline
from planner.output.paper import PaperSize, hand_copy, paper_pdf
from planner.output.wording import Language
from planner.result_stress import Gained
from tests import builders as b
from tests import plan_fixture
from tests.paper_plans import empty_plan, hall, rich_plan, shed_steps
from tests.paper_reader import opened, operators, pages, sheets

FIRST, SECOND = shed_steps()


def card(plan, ladder, **more):
    found = sheets(pages(paper_pdf(plan, ladder=ladder, **more)), "Load-shed card")
    return " ".join(one.body for one in found)


def test_a_step_says_battery_clock_bags_plug_and_hours():
    said = copied(rich_plan(), (FIRST,))
    # The window starts on Monday at 08:00: hour 16 is Tuesday 00:00.
    for words in (
        "Two zone fridge, at Hall, on Battery one, Battery two, before Tue 00:00",
        "Carry 3 bags to Blue chest: K-2 x2, K-5 x1.",
        "NO COLD PLACE for 2 bags: K-3 x2.",
        "At Tue 00:00 put the plug of Garage fridge into Battery one, AC outlet 1.",
        "24 hours for Garage fridge: DARK from Wed 00:00, not from Tue 00:00",
        "42 hours for Concentrator: holds to Thu 08:00, not only to Tue 14:00",
        "off only at Mon 12:00: 21 hours in all",
        "off only at Mon 16:00: 1 hour in all",
        "(1,200 Wh less to feed)",
    ):
        assert words in said, words
    assert "Life support is NEVER switched off." in said


def copied(plan, ladder):
    """The hand copy as one line: in it no cell of a table is cut into lines."""
    return re.sub(r"\s+", " ", hand_copy(plan, ladder=ladder))


def test_a_unit_without_bags_says_so():
    assert "It holds no bags." in card(rich_plan(), (SECOND,))
    assert "It holds no bags." not in card(rich_plan(), (FIRST,))


def test_what_gains_nothing_is_not_promised():
    same = Gained(thing_id="U4", before_h=20, after_h=20)
    step = replace(SECOND, hours=(*SECOND.hours, same))
    said = card(rich_plan(), (step,))
    assert "1 hour for Concentrator" in said
    assert "Clinic fridge" not in said


def test_steps_stand_in_their_order():
    said = card(rich_plan(), (FIRST, SECOND))
    assert said.index("Two zone fridge") < said.index("Garage fridge at")


def test_an_allowance_is_only_said_when_every_bag_has_one():
    line = rich_plan().scenario.lines[1]
    known = b.demand(
        line_id=line.id, allowance_h=10.0, safe_until=b.START.replace(hour=18)
    )
    plan = replace(rich_plan(), demands=(known,))
    assert "allowance: Mon 18:00" in card(plan, (FIRST,))
    assert "allowance: NOT KNOWN: ask now" in card(rich_plan(), (FIRST,))


def test_batteries_stand_on_it_by_clock_time():
    said = card(rich_plan(), (FIRST,))
    assert re.search(r"Mon 20:00 Battery one: 100 % Battery two: 100 %", said)


def test_nothing_to_switch_off_is_said():
    assert "Nothing to switch off" in card(rich_plan(), ())
    assert "Nothing to switch off" in hand_copy(rich_plan(), ladder=())
    assert "Nothing to switch off" not in card(rich_plan(), (FIRST,))


@pytest.mark.parametrize("plan", [empty_plan(), replace(rich_plan(), hookups=())])
def test_without_a_battery_there_is_no_card(plan):
    assert not card(plan, ())
    assert "Load-shed" not in hand_copy(plan, ladder=())


def test_a_ladder_that_was_not_worked_out_gives_no_card():
    assert not card(rich_plan(), None)
    assert "Load-shed" not in hand_copy(rich_plan())


def test_the_card_is_in_the_contents():
    front = pages(paper_pdf(rich_plan(), ladder=(FIRST,)))
    body = " ".join(one.body for one in front[:3])
    assert "Load-shed card: what to switch off first" in body
    assert "Warm-exposure slip: Two zone fridge" in body


@pytest.mark.parametrize("size", list(PaperSize))
@pytest.mark.parametrize("language", list(Language))
def test_form_of_the_new_sheets(size, language):
    pdf = paper_pdf(rich_plan(), size=size, language=language, ladder=shed_steps())
    for page in pages(pdf):
        assert min(one.size for one in page.pieces) >= 12
        assert max(one.right for one in page.pieces) <= page.width - 35.9
    assert not operators(pdf) & {b"rg", b"RG", b"k", b"K"}
    assert b"Sentinel" not in opened(pdf)


def test_a_checked_plan_prints_its_own_ladder():
    plan = plan_fixture.plan()
    ladder = pipeline.what_to_shed(plan)
    assert ladder == pipeline.stress_plan(plan).ladder
    said = card(plan, ladder)
    assert said
    names = {one.id: one.name for one in plan.scenario.units}
    for step in ladder:
        assert names[step.unit_id] in said


@pytest.mark.parametrize("size", list(PaperSize))
@pytest.mark.parametrize("language", list(Language))
def test_every_unit_has_one_slip_of_one_page(size, language):
    plan = rich_plan()
    title = {"en": "Warm-exposure slip: ", "es": "Hoja de tiempo sin frío: "}[language]
    found = sheets(pages(paper_pdf(plan, size=size, language=language)), title)
    units = {one.id: one.name for one in plan.scenario.units}
    assert sorted(one.title.removeprefix(title) for one in found) == sorted(
        units[use.unit_id] for use in plan.units_on
    )


def slip(plan, unit):
    (page,) = sheets(pages(paper_pdf(plan)), f"Warm-exposure slip: {unit}")
    return page


def test_a_slip_judges_nothing_and_names_whom_to_ask():
    for page in sheets(pages(paper_pdf(hall(4))), "Warm-exposure slip"):
        assert "This slip judges nothing." in page.body
        assert "Medicines: a pharmacist, or the number on the label." in page.body
        assert "Infant and tube feeds" not in page.body
        # Nothing is counted for the reader: no clock time and no sum is printed.
        assert not re.search(r"\d\d:\d\d", page.body)


def test_a_slip_asks_for_the_feeds_that_stand_inside():
    plan = plan_fixture.plan()
    lines = {one.id: one for one in plan.scenario.lines}
    units = {one.id: one.name for one in plan.scenario.units}
    for use in plan.units_on:
        inside = {
            lines[one.line_id].stock_class.value
            for one in plan.placements
            if one.unit_id == use.unit_id
        }
        said = slip(plan, units[use.unit_id]).body
        assert ("Infant and tube feeds" in said) is ("feed" in inside or not inside)
        assert ("Medicines: a" in said) is ("medicine" in inside or not inside)


def test_only_a_unit_of_several_zones_asks_for_the_zone():
    assert "Zone Door" in slip(rich_plan(), "Two zone fridge").body
    assert "Zone Door" not in slip(rich_plan(), "Blue chest").body


def test_the_slip_is_on_the_cards_to_copy():
    text = hand_copy(rich_plan())
    assert text.count("Warm-exposure slip: ") == len(rich_plan().units_on)
    assert "Write: door open or dark, from, to" in text
