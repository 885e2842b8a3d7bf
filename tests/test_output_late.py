"""A fridge that is still getting cold is no alarm; who has no time for it is asked."""

from dataclasses import replace
from datetime import timedelta

import pytest

from planner.output import cards, tables
from planner.output.headlines import short_headline
from planner.output.index import index_plan
from planner.output.late import late_bags, late_count
from planner.output.manner import Manner
from planner.output.paper import PaperSize, hand_copy, paper_pdf
from planner.output.summary import summary_text
from planner.output.wording import Language
from tests import builders as b
from tests.paper_plans import late_plan
from tests.paper_reader import pages, sheets
from tests.screen_driver import go, shown, sound, with_work

WHEN = "Expected cold from Mon 22:00"
NO_ALARM = "too WARM alone is no reason to act"


def clear_plan():
    """Nothing waits, every unit is cold from the start."""
    plan = late_plan()
    scenario = replace(plan.scenario, held_rows=())
    return replace(plan, cooling=(), scenario=scenario)


def printed(plan, title, **how):
    return " ".join(one.body for one in sheets(pages(paper_pdf(plan, **how)), title))


def test_who_is_late_ends_before_the_unit_is_cold_or_is_not_known():
    found = late_bags(index_plan(late_plan()))
    # One minute before 22:00 is too soon, 22:00 is not; not known is none; never
    # cold is the end of the plan; what is cold from the start is in time.
    assert {(one.line.code, one.count, one.cold_h) for one in found} == {
        ("K-2", 1, 14),
        ("K-4", 3, None),
    }
    assert late_count(index_plan(late_plan())) == 4
    assert late_count(index_plan(clear_plan())) == 0


def test_need_and_extra_stock_of_a_line_are_one_entry():
    plan = late_plan()
    more = b.placement(line_id="L4", unit_id="U2", count=2, surplus=True)
    put = replace(plan, placements=(*plan.placements, more))
    counts = {one.line.code: one.count for one in late_bags(index_plan(put))}
    assert counts["K-4"] == 5


def test_the_door_and_the_log_say_from_when_and_that_warm_is_no_alarm_before():
    for title in ("Door sheet: Fridge one", "Temperature and battery log: Fridge one"):
        said = printed(late_plan(), title)
        assert WHEN in said
        assert NO_ALARM in said
    assert "Too COLD is: ACT." in printed(late_plan(), "Door sheet: Fridge one")
    assert (
        "No allowance for that long: 1 bag here. What is still cold stays in what it came"
        in (printed(late_plan(), "Door sheet: Fridge one"))
    )
    for title in (
        "Door sheet: Fridge three",
        "Temperature and battery log: Fridge three",
    ):
        assert "xpected cold" not in printed(late_plan(), title)


def test_what_never_gets_cold_is_an_alarm():
    for title in ("Door sheet: Fridge two", "Temperature and battery log: Fridge two"):
        said = printed(late_plan(), title)
        assert "NOT expected cold before the end of the plan, Thu 08:00" in said
        assert NO_ALARM not in said


def test_the_shortfall_list_and_the_handover_send_to_the_pharmacist():
    said = printed(late_plan(), "Shortfall list")
    assert "cold, if that starts warm: 4 bags. Ask the pharmacist" in said
    assert "a pharmacist decides whether it may be used." in said
    assert "Fridge one Mon 22:00 Mon 21:59 A 1 K-2 x1" in said
    assert (
        "Fridge two not before the end of the plan NOT KNOWN: ask now A 3 K-4 x3"
        in (said)
    )
    assert "4 bags. Ask the pharmacist" in printed(late_plan(), "Handover")
    assert "starts warm" not in printed(clear_plan(), "Shortfall list")
    copied = " ".join(hand_copy(late_plan()).split())
    assert "Fridge one, expected cold from Mon 22:00: 1 bag of tier A" in copied
    assert "Fridge two, not expected cold before the end of the plan: 3 bags" in copied
    assert copied.count(WHEN) == 2


def test_no_sheet_or_page_calls_such_a_bag_fine():
    for title in ("Door sheet", "Shortfall list", "Handover"):
        for word in (" safe", " fine", " usable"):
            said = printed(late_plan(), title)
            kept = said.replace("does not mean safe", "")
            assert word not in kept, (title, word)


@pytest.mark.parametrize("size", list(PaperSize))
@pytest.mark.parametrize("language", list(Language))
def test_a_log_of_three_days_still_fits_its_page(size, language):
    plan = late_plan()
    fed = replace(
        plan,
        hookups=tuple(
            b.hookup(to_id=one.unit_id, port_number=at, to_h=72)
            for at, one in enumerate(plan.units_on, start=1)
        ),
    )
    made = pages(paper_pdf(fed, size=size, language=language))
    name = {Language.EN: "Temperature and battery", Language.ES: "Registro de"}
    assert len(sheets(made, name[language])) == 3


def test_the_card_the_headline_and_the_terminal_say_it_openly():
    one, three, _ = cards.unit_cards(late_plan())
    assert WHEN in " ".join(one.facts)
    assert "too warm alone is no reason to act" in " ".join(one.facts)
    assert "1 bag here has no allowance for that long" in " ".join(one.facts)
    assert "xpected cold" not in " ".join(three.facts)
    found = short_headline(late_plan())
    assert (
        "4 bags have a place, but their allowance ends before their unit" in found.more
    )
    assert not found.good
    alone = replace(late_plan(), scenario=clear_plan().scenario)
    assert (short_headline(alone).answer, short_headline(alone).good) == (
        "Nobody",
        False,
    )
    assert short_headline(clear_plan()).good
    assert "NOT COLD IN TIME if units start warm: 4 bags" in summary_text(
        late_plan(), ()
    )
    assert "NOT COLD IN TIME" not in summary_text(clear_plan(), ())


def test_the_page_of_who_is_short_lists_them():
    plan = replace(late_plan(), scenario=clear_plan().scenario)
    at = with_work(
        list_name="list.xlsx", list_bytes=b"x", scenario=plan.scenario, plan=plan
    )
    said = shown(sound(go(at, "short")))
    assert "Not cold in time if the unit starts warm: ask the pharmacist" in said
    assert "Nobody is short" not in said
    assert list(tables.late(plan)["Code"]) == ["K-4", "K-2"]


def test_times_carry_their_day_in_both_languages_and_clocks():
    spanish = Manner(language=Language.ES)
    one, *_ = cards.unit_cards(late_plan(), spanish)
    assert "Se espera fría desde lun 22:00" in " ".join(one.facts)
    start = late_plan().scenario.conditions.start
    assert start + timedelta(hours=14) == start.replace(hour=22)
