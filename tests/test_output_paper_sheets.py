"""What stands on the sheets: every bag once, every shortage, plugs, clocks, moves."""

import re
from collections import Counter
from dataclasses import replace

import pytest

from planner.decide.ask import asked_spec
from planner.output.paper import Move, hand_copy, paper_pdf
from planner.output.paper.borrow import spec
from planner.output.paper.facts import paper_facts
from planner.output.paper.logs import visits
from planner.output.wording import Language, wording
from planner.result import NO_CHANGEOVER, PlanStatus
from planner.scenario import Tier
from tests import builders as b
from tests import plan_fixture
from tests.paper_plans import empty_plan, hall, one_plan, rich_plan
from tests.paper_reader import pages, sheets

PLANS = {"rich": rich_plan(), "hall": hall(40), "fixture": plan_fixture.plan()}
CODE = re.compile(r"[A-Z]-\w+")


@pytest.fixture(scope="module")
def packs():
    return {name: pages(paper_pdf(plan)) for name, plan in PLANS.items()}


def words(found) -> str:
    return " ".join(one.body for one in found)


def on_doors(found) -> Counter:
    """Bags by unit, code and row of the list, read from the door sheets."""
    bags: Counter = Counter()
    for page in sheets(found, "Door sheet: "):
        unit = page.title.removeprefix("Door sheet: ").removesuffix(" (continued)")
        for row in page.rows():
            cells = row[1:] if row[0].isdigit() else row
            if CODE.fullmatch(cells[0]):
                bags[unit, cells[0], int(cells[1])] += int(cells[2])
    return bags


@pytest.mark.parametrize("name", PLANS)
def test_every_placed_bag_is_on_exactly_one_door_sheet(packs, name):
    plan = PLANS[name]
    lines = {one.id: one for one in plan.scenario.lines}
    units = {one.id: one.name for one in plan.scenario.units}
    wanted: Counter = Counter()
    for one in plan.placements:
        line = lines[one.line_id]
        wanted[units[one.unit_id], line.code, line.row] += one.count
    assert on_doors(packs[name]) == wanted
    assert sum(wanted.values()) == sum(one.count for one in plan.placements)


@pytest.mark.parametrize("name", PLANS)
def test_every_shortage_is_on_the_shortfall_list(packs, name):
    plan = PLANS[name]
    lines = {one.id: one for one in plan.scenario.lines}
    listed = Counter(
        (code, int(row), int(bags), tier)
        for code, row, bags, tier in re.findall(
            r"([A-Z]-\w+) list row (\d+) (\d+) bags? tier ([A-E])",
            words(sheets(packs[name], "Shortfall list")),
        )
    )
    wanted = Counter(
        (lines[one.line_id].code, lines[one.line_id].row, one.count, one.tier.value)
        for one in plan.shortfalls
    )
    assert listed == wanted


def test_a_shortage_has_its_clock_its_reason_and_whom_to_ask(packs):
    said = words(sheets(packs["rich"], "Shortfall list"))
    for piece in (
        "NOT KNOWN: ask now", "NONE LEFT: ask now", "Tue 14:00", "Not enough ice",
        "Find a freezer place elsewhere; it must not thaw.",
        "Ask a pharmacist how long it may stay out", "Ask: whoever brings the ice",
        "Needs 1 L / 1.1 qt.",
    ):  # fmt: skip
        assert piece in said


def test_tiers_a_to_c_come_before_the_others(packs):
    said = words(sheets(packs["rich"], "Shortfall list"))
    order = re.findall(
        r"tier ([A-E])\b", said.split("done" if "done" in said else "Code", 1)[1]
    )
    urgent = [one in "ABC" for one in order]
    assert urgent == sorted(urgent, reverse=True)
    assert set(order) == {tier.value for tier in Tier}


def test_a_door_sheet_says_how_to_set_what_feeds_it_and_when_it_goes_dark(packs):
    said = words(sheets(packs["rich"], "Door sheet: Two zone fridge"))
    for piece in (
        "Zone 1: SET TO 5 C / 41 F", "Zone 2: SET TO minus 18 C / 0 F",
        "Zone 1, THERMOMETER: 2 to 8 C / 36 to 46 F",
        "Zone 2, THERMOMETER: minus 25 to minus 15 C / minus 13 to 5 F",
        "NEVER FREEZE bags inside",
        "Fed by Battery one, 12 V port 1, until Tue 04:00.",
        "From Tue 04:00 fed by Battery two, 12 V port 1, until Wed 00:00.",
        "With or without sun it goes DARK at Wed 00:00.",
        "at most 50 %", "Opening the door", "Too warm or too cold", "A pharmacist decides",
    ):  # fmt: skip
        assert piece in said, piece


def test_a_chest_is_aimed_at_and_gets_its_ice(packs):
    said = words(sheets(packs["rich"], "Door sheet: Blue chest"))
    assert "AIM FOR 4 C / 39 F" in said
    assert "SET TO" not in said
    assert "Too cold: add no ice, move ice away from the bags." in said
    assert "or no ice: wake the person" in said
    assert "Keep the lid shut" in said
    for at_the_plug in ("plug", "wiring card", "battery", "dial and"):
        assert at_the_plug not in said, at_the_plug
    fridge = words(sheets(packs["rich"], "Door sheet: Two zone fridge"))
    assert "Is the plug in, the battery not empty?" in fridge
    assert "Leave the dial and the plug alone" in fridge
    assert re.search(r"Ice: about [\d.]+ kg / [\d.]+ lb a day", said)
    assert "NEVER FREEZE" not in said
    log = words(sheets(packs["rich"], "Temperature and battery log: Blue chest"))
    assert "Aim for 4 C / 39 F. Believe the thermometer" in log
    assert "Set to" not in log
    assert "Ice left" in log
    assert "Battery %" not in log


def test_thermometer_limits_are_the_strictest_of_what_is_inside():
    narrow = b.line(id="L2", row=3, keep_from_c=3.0, keep_to_c=6.0)
    plan = one_plan(
        scenario=b.scenario(lines=(b.line(), narrow)),
        units_on=(b.use(),),
        placements=(b.placement(), b.placement(line_id="L2")),
    )
    said = words(sheets(pages(paper_pdf(plan)), "Door sheet"))
    # 3 C is 37.4 F and 6 C is 42.8 F: whole degrees are rounded into the range.
    assert "THERMOMETER: 3 to 6 C / 38 to 42 F" in said


def test_a_never_freeze_bag_with_a_low_limit_is_not_let_near_freezing():
    low = b.line(keep_from_c=0.0, never_freeze=True)
    plan = one_plan(
        scenario=b.scenario(lines=(low,)),
        units_on=(b.use(),),
        placements=(b.placement(),),
    )
    assert "THERMOMETER: 2 to 8 C" in words(pages(paper_pdf(plan)))
    frosty = replace(low, never_freeze=False)
    plan = replace(plan, scenario=b.scenario(lines=(frosty,)))
    assert "THERMOMETER: 0 to 8 C" in words(pages(paper_pdf(plan)))


def test_door_and_label_of_a_bag_say_the_same_range(packs):
    # K-5 may be kept from 0 C by its own range, but must never freeze (R1).
    for title in ("Door sheet: Garage fridge", "Labels"):
        said = words(sheets(packs["rich"], title))
        assert "2 to 8 C / 36 to 46 F" in said
        assert "0 to 8 C" not in said


def test_every_bag_gets_one_label_numbered_over_its_row(packs):
    found = words(sheets(packs["rich"], "Labels"))
    numbers = re.findall(r"(K-\d+) List row (\d+), bag (\d+) of (\d+)", found)
    for code, count in (("K-2", 3), ("K-3", 2), ("K-4", 2), ("K-7", 1)):
        mine = [(int(bag), int(of)) for one, _, bag, of in numbers if one == code]
        assert mine == [(bag, count) for bag in range(1, count + 1)]
    # Thirty bags of one row: 24 labels, and one that says how many are missing.
    assert sum(one == "K-5" for one, *_ in numbers) == 24
    assert "K-5 Garage fridge List row 5: 6 more bags" in found
    assert "NOT COLD. Use or ask by Tue 8" not in found
    assert "NOT COLD. Use or ask by Tue 00:00" not in found
    assert "K-6 List row 6, bag 1 of 30 NOT COLD. Use or ask by Tue 08:00" in found


def test_bags_of_one_row_in_two_units_are_numbered_on():
    units = (b.unit(), b.unit(id="U2", name="Fridge two", row=3))
    plan = one_plan(
        scenario=b.scenario(units=units),
        units_on=(b.use(), b.use(unit_id="U2")),
        placements=(b.placement(count=1), b.placement(count=1, unit_id="U2")),
    )
    found = words(sheets(pages(paper_pdf(plan)), "Labels"))
    assert "bag 1 of 2 Fridge one" in found
    assert "bag 2 of 2 Fridge two" in found


def test_a_claim_slip_says_where_and_when_it_is_shut(packs):
    found = words(sheets(packs["rich"], "Claim slips"))
    assert "K-5 30 bags in Garage fridge, Annex garage (shut at night)" in found
    assert "K-2 3 bags in Two zone fridge, Hall Bring" in found
    assert "K-6 30 bags at room temperature: use or ask by Tue 08:00" in found
    stored = {"K-2", "K-3", "K-4", "K-5", "K-6", "K-7"}
    assert set(re.findall(r"Claim slip (K-\w+)", found)) == stored


def test_a_wiring_card_holds_one_chain_and_its_cautions(packs):
    card = words(sheets(packs["rich"], "Wiring card: Battery one + Battery two"))
    for piece in (
        "Panel one, 100 W --> solar input Battery one, at Hall",
        "Battery one --> 12 V port 1 Two zone fridge, at Hall, 45 W",
        "Battery two --> 12 V port 1", "Concentrator, at Hall, 30 W",
        "Never below 10 %", "Power saving", "Mind: batteries", "Mind: generators",
        "Mind: wiring and solar", "a licensed electrician",
    ):  # fmt: skip
        assert piece in card, piece
    mains = words(sheets(packs["rich"], "Wiring card: Garage mains"))
    assert "Garage fridge, at Annex garage" in mains
    assert "Mind: batteries" not in mains
    assert "Two zone fridge" not in mains


def test_the_rota_is_in_order_of_time_and_leaves_no_plug_out(packs):
    rota = [row for page in sheets(packs["rich"], "Charging") for row in page.rows()]
    said = words(sheets(packs["rich"], "Charging"))
    for piece in (
        "Mon 08:00 Plug Two zone fridge into Battery one, 12 V port 1. Battery one: 90 %",
        "Mon 18:00 Start Generator: outdoors", "Mon 20:00 Stop Generator",
        "Tue 04:00 Take the plug of Two zone fridge out of Battery one; put it into Battery two",
        "Tue 04:00 Take Panel one off Battery one.",
        "Wed 00:00 Take the plug of Two zone fridge out of Battery two.",
        "Wed 00:00 Two zone fridge goes DARK as planned",
        "Garage mains has no power from now", "Mon 20:00 Read the batteries",
    ):  # fmt: skip
        assert piece in said, piece
    days = ["Mon", "Tue", "Wed", "Thu"]
    clocks = [row[0] for row in rota if re.fullmatch(r"\w{3} \d\d:\d\d", row[0])]
    assert len(clocks) > 15
    assert clocks == sorted(clocks, key=lambda one: (days.index(one[:3]), one[4:]))


def test_the_rota_follows_the_charge_of_the_replay():
    plan = plan_fixture.plan()
    said = words(sheets(pages(paper_pdf(plan)), "Charging"))
    trace = next(one for one in plan.replays if one.sun_case.value == "poor").batteries[
        0
    ]
    # Tuesday 08:00 is hour 24: the charge at the end of hour 23.
    share = trace.charge_wh[23] / trace.full_wh * 100
    shown = re.search(r"Tue 08:00 Read the batteries .*? Pack one: (\d+) %", said)
    assert int(shown[1]) == pytest.approx(share, abs=0.51)
    assert share < 90


def test_logs_have_boxes_at_the_times_somebody_looks(packs):
    plan = rich_plan()
    facts = paper_facts(plan, wording(Language.EN), None)
    by_id = {one.id: one for one in plan.scenario.units}
    # On a battery: after 1, 2, 3 h, then at clock hours that four divides.
    assert visits(facts, by_id["U1"])[:6] == (1, 2, 3, 4, 8, 12)
    # On steady power: at 00, 08 and 16 by the clock; the plan starts at 08:00.
    assert visits(facts, by_id["U3"])[:6] == (1, 2, 3, 8, 16, 24)
    page = sheets(packs["rich"], "Temperature and battery log: Garage fridge")[0]
    clocks = [row[0] for row in page.rows() if re.fullmatch(r"\w{3} \d\d:\d\d", row[0])]
    assert clocks[:5] == [
        "Mon 09:00",
        "Mon 10:00",
        "Mon 11:00",
        "Mon 16:00",
        "Tue 00:00",
    ]
    assert "Outside 2 to 8 C / 36 to 46 F: ACT" in page.body


@pytest.mark.parametrize("name", PLANS)
@pytest.mark.parametrize("language", list(Language))
def test_the_handover_is_one_page(name, language):
    found = pages(paper_pdf(PLANS[name], language=language))
    title = {Language.EN: "Handover", Language.ES: "Entrega"}[language]
    assert len(sheets(found, title)) == 1


def test_the_handover_says_the_three_answers_and_what_is_next(packs):
    said = words(sheets(packs["rich"], "Handover"))
    for piece in (
        "SHORT: 14 bags in tiers A to C, 8 bags in tiers D and E.",
        "Two zone fridge: with or without sun it goes DARK at Wed 00:00",
        "1. Lent COMPRESSOR + Lent HOUSEHOLD, from Depot",
        "Mon 08:00 Plug in everything as the rota says",
        "Takes over (initials, time)",
    ):  # fmt: skip
        assert piece in said, piece


def test_the_borrow_list_has_words_to_read_out():
    said = words(sheets(pages(paper_pdf(plan_fixture.plan())), "Borrow list"))
    message = re.search(r"We ask to borrow.*?need it back\.", said)[0]
    # The least that does, not what happens to be offered.
    assert "compressor fridge of 9 L / 9.5 qt or more, with its 12 V lead" in message
    assert "by Mon 14:00" in message
    assert "a thermoelectric cool box" in message
    assert not CODE.search(message)
    assert "1. Lent fridge, from Depot" in said
    assert "After step 1 nothing of tiers A to C is short: stop asking." in said
    asked = said.split("Nobody has offered this yet: ask for")[1]
    assert "battery of 620 Wh or more" in asked
    assert "5 kg" in said.split("What else would help")[1]
    assert "Ask whoever brings ice" in said


def test_paper_and_plan_ask_lenders_for_the_same_sizes():
    plan = rich_plan()
    facts = paper_facts(plan, wording(Language.EN), None)
    lent = [one for one in plan.scenario.equipment if one.availability.lender]
    assert len(lent) > 10
    for kit in lent:
        (asked,) = asked_spec(plan.scenario, (kit.id,))
        # Quarts are rounded otherwise; the charge is asked for in every message.
        bare = re.sub(r"\(\d+ qt\)|100 %", "", asked)
        said = spec(facts, kit).replace(",", "")
        for number in re.findall(r"\d+", bare):
            assert re.search(rf"\b{number}\b", said), (asked, said)


def test_nothing_short_means_nothing_to_borrow():
    said = words(pages(paper_pdf(empty_plan())))
    assert "Nobody is short" in said
    assert "nothing has to be borrowed" in said


def test_the_public_notice_holds_no_code_place_or_count(packs):
    for name, plan in PLANS.items():
        (notice,) = sheets(packs[name], "Cold storage for medicines")
        assert not CODE.search(notice.body)
        assert not re.search(r"\d", notice.body)
        for one in (*plan.scenario.places, *plan.scenario.units):
            assert one.name not in notice.body


def test_moves_are_printed_in_their_order():
    moves = (
        Move(order=2, code="K-3", count=1, from_unit="Blue chest", to_unit=""),
        Move(order=1, code="K-2", count=2, from_unit="Two zone fridge", to_unit="Blue chest"),
    )  # fmt: skip
    found = sheets(pages(paper_pdf(rich_plan(), moves=moves)), "Move list")
    rows = [row for page in found for row in page.rows() if row[0].isdigit()]
    assert [row[:5] for row in rows] == [
        ["1", "K-2", "2", "Two zone fridge", "Blue chest"],
        ["2", "K-3", "1", "Blue chest", "desk"],
    ]
    assert "3 bags in all" in words(found)
    assert "1. K-2 x2: Two zone fridge --> Blue chest" in hand_copy(
        rich_plan(), moves=moves
    )


def test_nothing_to_move_or_plug_no_move_list():
    plan = replace(rich_plan(), changeover=NO_CHANGEOVER)
    assert not sheets(pages(paper_pdf(plan)), "Move list")
    assert "Move list" not in hand_copy(plan)


@pytest.mark.parametrize("status", list(PlanStatus))
def test_the_first_page_says_how_good_the_plan_is(status):
    said = pages(paper_pdf(replace(rich_plan(), status=status)))[0].body
    assert wording(Language.EN).say(f"status.{status.name.lower()}") in said
