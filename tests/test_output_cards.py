"""Cards, headlines and lines for the screen, against a plan made by hand."""

from dataclasses import replace
from datetime import timedelta

import pytest

from planner.output import (
    answers,
    cards,
    headlines,
    input_words,
    power_views,
    tables_input,
    tables_power,
)
from planner.output.answers import stop_rule
from planner.output.ask_whom import ASK, hookup_topics, used_units
from planner.output.cards import asked_cards, loan_cards
from planner.output.cautions import Topic
from planner.output.manner import Manner
from planner.output.wording import Language
from planner.result import Finding, PlanStatus, UnitEndurance
from planner.scenario import CameFrom, Flag, Origin, SourceKind, Tier, UnitType
from tests import builders as make
from tests import plan_fixture

PLAN = plan_fixture.plan()


def test_a_unit_card_says_how_to_set_it_what_feeds_it_and_how_long() -> None:
    chest, fridge = cards.unit_cards(PLAN)
    assert (chest.name, fridge.name) == ("Blue chest, Clinic", "North fridge, Hall")
    assert fridge.facts[0] == "Set to: 5 C / 41 F"
    assert "Powered by: Pack one, 12V port 1" in fridge.facts
    assert (
        "Lasts: no sun: DARK from Tue 16:00; poor sun: holds to Thu 08:00; "
        "mean sun: holds to Thu 08:00" in fridge.facts
    )
    assert fridge.bags.to_numpy().tolist() == [
        ["K-2", 2, "insulin, rapid acting. NEVER FREEZE. Keep 2 to 8 C / 36 to 46 F."]
    ]
    assert fridge.whys.to_numpy().tolist() == [
        ["K-2", "2 bags of insulin, rapid acting", "band fits at 5 C"]
    ]


def test_a_chest_is_aimed_at_and_lasts_as_long_as_its_ice() -> None:
    chest_id = next(
        one.id for one in PLAN.scenario.units if one.kind is UnitType.ICE_CHEST
    )
    # The replay feeds a chest in every hour: that says nothing of its ice.
    replays = tuple(
        replace(
            one,
            endurance=(
                *one.endurance,
                UnitEndurance(
                    unit_id=chest_id, sun_case=one.sun_case, dark_from_h=None, held_h=72
                ),
            ),
        )
        for one in PLAN.replays
    )
    plan = replace(PLAN, replays=replays)
    chest, fridge = cards.unit_cards(plan)
    assert chest.facts[0] == "Aim for: 2 C / 36 F"
    assert "Lasts: as long as its ice is topped up" in chest.facts
    assert not any("holds to" in one for one in chest.facts)
    assert any("holds to Thu 08:00" in one for one in fridge.facts)
    said = "\n".join(answers.what_goes_dark(plan))
    assert "Blue chest (2 C / 36 F): as long as its ice is topped up" in said
    shown = tables_power.units(plan).set_index("Unit")
    assert shown.loc["Blue chest", "Set to"] == "aim for 2 C / 36 F"
    assert shown.loc["Blue chest", "With no sun"] == "as long as its ice is topped up"


def test_need_and_extra_stock_of_one_line_are_one_row_of_bags() -> None:
    placed = next(one for one in PLAN.placements if one.line_id == "Intake:2")
    parts = (
        replace(placed, count=1),
        replace(placed, count=1, surplus=True, tier=Tier.D, why="extra"),
    )
    others = tuple(one for one in PLAN.placements if one is not placed)
    split = replace(PLAN, placements=(*others, *parts))
    (card,) = [one for one in cards.unit_cards(split) if one.name.startswith("North")]
    assert list(card.bags["Bags"]) == [2]
    assert list(card.whys["Why here"]) == ["band fits at 5 C", "extra"]


def test_plugs_come_in_order_of_time_with_their_sockets() -> None:
    rows = cards.plugs(PLAN).to_numpy().tolist()
    assert rows[0] == [
        "Mon 08:00 until Thu 08:00 (end)",
        "Pack one, AC outlet 1",
        "Air concentrator (Hall)",
    ]
    assert rows[-1] == [
        "Mon 18:00 until Mon 20:00",
        "Yard generator, charger 1",
        "Pack one (Hall)",
    ]


def test_every_tier_says_cold_short_and_proof() -> None:
    lines = cards.tier_lines(PLAN)
    assert lines[1] == (
        "B (only feed of an infant or tube-fed person): 3 of 4 needed bags cold, "
        "1 SHORT. Proven: no plan serves more."
    )
    assert "0 of 2 extra bags cold" in lines[3]
    weaker = tuple(replace(one, bound=one.met + 1) for one in PLAN.tiers)
    assert (
        "Not proven: at most 4 could be cold."
        in cards.tier_lines(replace(PLAN, tiers=weaker))[1]
    )
    assert [line[0] for line in lines] == [one.tier for one in PLAN.tiers]


def test_a_short_card_says_until_when_what_lacks_and_what_next() -> None:
    first, second = cards.short_cards(PLAN)
    assert (first.title, first.until) == (
        "K-5: 2 bags of biologic, weekly pen",
        "not known, ask now",
    )
    assert (second.until, second.lacking, second.next_step) == (
        "Mon 12:00",
        "volume: the chest is full",
        "use this bag first",
    )


def test_the_headline_names_an_only_feed_before_an_unknown_comfort() -> None:
    short = headlines.short_headline(PLAN)
    assert short.answer == "1 row is not planned: ask now. 3 bags, 2 persons"
    assert "First: K-3, expressed human milk" in short.more
    assert "Mon 12:00" in short.more
    clear = replace(PLAN.scenario, held_rows=())
    none = headlines.short_headline(replace(PLAN, scenario=clear, shortfalls=()))
    assert (none.answer, none.good) == ("Nobody", True)


def test_the_dark_headline_says_its_sun_case() -> None:
    dark = headlines.dark_headline(PLAN)
    assert dark.answer == "With poor sun, as planned: all units hold to Thu 08:00"
    assert "With no sun: North fridge goes dark Tue 16:00." in dark.more
    off = headlines.dark_headline(replace(PLAN, units_on=()))
    assert (off.answer, off.good) == ("No unit is on", False)


def test_the_borrow_headline_never_calls_nothing_good_while_somebody_is_short() -> None:
    first = headlines.borrow_headline(PLAN)
    assert first.answer == "Lent fridge"
    assert first.more.startswith("From Depot, ready Mon 14:00: 1 bag of tier B")
    nothing = headlines.borrow_headline(replace(PLAN, loans=()))
    assert (nothing.answer, nothing.good) == ("Nothing", False)
    left_out = headlines.borrow_headline(replace(PLAN, loans=()), asked=False)
    assert left_out.answer == "Not worked out"
    cut = Finding(rule="", fatal=False, subject="borrow list", message="ended early")
    early = headlines.borrow_headline(replace(PLAN, loans=(), findings=(cut,)))
    assert (early.answer, early.more) == ("Nothing found", "Ended early.")
    served = replace(PLAN, loans=(), shortfalls=(), status=PlanStatus.PROVEN)
    held = headlines.borrow_headline(served)
    assert (held.answer, held.good) == ("Not known yet", False)
    served = replace(served, scenario=replace(served.scenario, held_rows=()))
    assert headlines.borrow_headline(served).good


def test_life_support_is_told_apart_from_other_findings() -> None:
    (load,) = [
        one for one in PLAN.scenario.sources if one.kind is SourceKind.PRIORITY_LOAD
    ]
    found = (
        Finding(rule="R9", fatal=False, subject=load.id, message="goes dark"),
        Finding(rule="R7", fatal=False, subject="life support", message="not carried"),
        Finding(rule="R7", fatal=False, subject="battery:x", message="idle"),
    )
    assert headlines.life_support_warnings(replace(PLAN, findings=found)) == (
        "goes dark",
        "not carried",
    )


def test_a_message_names_no_person_and_says_what_not_to_bring() -> None:
    (step,) = PLAN.loans
    words = "not a thermoelectric cool box; not a dormitory fridge"
    (card,) = cards.loan_cards(replace(PLAN, loans=(replace(step, refuse=(words,)),)))
    assert card.refuse == ("a thermoelectric cool box", "a dormitory fridge")
    assert (
        "Please do not bring: a thermoelectric cool box; a dormitory fridge."
        in card.message
    )
    assert card.serves == "K-3, K-5"
    assert "K-" not in card.message
    assert "insulin" not in card.message


def test_power_by_the_hour_marks_night_and_the_floor() -> None:
    table = power_views.battery_by_hour(PLAN, "Pack one")
    assert len(table) == plan_fixture.WINDOW_H
    assert table.loc[0].tolist()[:2] == ["Mon 08:00", "day"]
    assert table.loc[40, "Sky"] == "night"
    assert table.loc[40, "Left, no sun"] == "20 %, AT THE FLOOR"
    assert power_views.batteries_in_use(PLAN) == (("Pack one",), ())
    unplugged = replace(PLAN, hookups=())
    assert power_views.batteries_in_use(unplugged) == ((), ("Pack one",))


def test_only_what_is_plugged_in_is_cautioned_about() -> None:
    assert hookup_topics(PLAN) == (Topic.BATTERY, Topic.GENERATOR, Topic.ELECTRICAL)
    no_fuel = tuple(one for one in PLAN.hookups if "charger" not in one.port.value)
    assert Topic.GENERATOR not in hookup_topics(replace(PLAN, hookups=no_fuel))
    assert set(ASK) == set(Topic)
    assert {one.name for one in used_units(PLAN)} == {"North fridge", "Blue chest"}


def test_rows_read_add_up() -> None:
    words = tables_input.rows_read(PLAN.scenario)
    assert words == (
        "8 rows read = 6 with items + 1 waiting for you + 1 that hold no item"
    )


def test_items_are_read_back_without_names_or_the_text_of_the_sheet() -> None:
    table = tables_input.items_read(PLAN.scenario)
    text = table.to_string()
    assert plan_fixture.RESIDENT not in text
    assert plan_fixture.HOUSEHOLD not in text
    assert "not known, counts as none" in text
    assert "28 days up to 30 C / 86 F" in text


@pytest.mark.parametrize(
    ("hours", "warm_max_c", "words"),
    [
        (None, 30.0, "not known, counts as none"),
        (0.0, None, "0 hours"),
        (4.0, 25.0, "4 hours up to 25 C / 77 F"),
        (47.0, None, "47 hours"),
        (48.0, None, "2 days"),
    ],
)
def test_allowances_in_words(hours, warm_max_c, words: str) -> None:
    line = make.line(warm_hours=hours, warm_max_c=warm_max_c)
    assert tables_input.allowance_words(line) == words


def test_one_assumption_of_several_things_is_one_row_and_typed_ones_are_none() -> None:
    origin = Origin(
        field="ac_idle_w", came_from=CameFrom.DEFAULT, value="15 W", flag=Flag.MEMORY
    )
    hand = Origin(field="max_out_w", came_from=CameFrom.EDITED, value="200")
    things = (
        make.battery(origins=(origin, hand)),
        make.battery(id="B2", name="Battery two", origins=(origin,)),
    )
    assert tables_input.assumed_values(things).to_numpy().tolist() == [
        [
            "what the inverter takes by itself (W)",
            "15 W",
            "Battery one, Battery two",
            "no source",
            "not confirmed (from memory)",
        ]
    ]


def test_settings_say_where_they_came_from() -> None:
    origins = (
        Origin(field="sky_factor", came_from=CameFrom.DEFAULT, value="0.7 share",
               source="planning value", flag=Flag.ESTIMATE),
        Origin(field="ice_kg_day", came_from=CameFrom.EDITED, value="5"),
    )  # fmt: skip
    scenario = make.scenario(
        conditions=make.conditions(origins=origins, peak_sun_hours=None)
    )
    say = input_words.setting_source
    assert say(scenario, "sky_factor") == (
        "ASSUMED, not told: 0.7 share (planning value; estimate)",
        True,
    )
    assert say(scenario, "ice_kg_day") == ("Typed in on this page.", False)
    assert say(scenario, "peak_sun_hours") == ("Not given.", False)
    assert say(scenario, "window_h") == ("As the workbook says.", False)


def test_equipment_in_words_has_both_scales_and_clock_times() -> None:
    lent = make.loan(ready_h=2, back_h=30)
    scenario = make.scenario(units=(make.unit(availability=lent),))
    (words,) = input_words.kit_in_words(scenario, scenario.units)
    assert words == (
        "Fridge one: here from Lender one, ready Mon 10:00, back by Tue 14:00, at Hall; "
        "compressor, room for 16 L / 16.9 qt, can be set to 4 C / 39 F or 5 C / 41 F"
    )
    assert scenario.conditions.clock(2) == make.START + timedelta(hours=2)


def test_a_room_in_words_has_its_coolest_and_hottest_hour() -> None:
    temps_c = tuple(20.0 + (hour if hour < 15 else 15) for hour in range(24))
    scenario = make.scenario(places=(make.place(temp_c_by_clock_hour=temps_c),))
    assert input_words.room_words(scenario, "Hall") == (
        "20 C / 68 F at 00:00, up to 35 C / 95 F at 15:00"
    )
    steady = make.scenario()
    assert input_words.room_words(steady, "Hall") == "25 C / 77 F all day"


def test_cards_of_loans_say_the_least_and_what_nobody_has_offered() -> None:
    plan = plan_fixture.plan()
    (loan,), (asked,) = loan_cards(plan), asked_cards(plan)
    assert "9 L / 9.5 qt or more does" in loan.least[0]
    assert loan.terms[0].endswith(": 2")
    assert loan.terms[1].endswith("goes dark Wed 00:00")
    assert asked.items == ()
    assert asked.title == "2. battery pack"
    assert asked.ready == "nobody yet: ask for it"
    assert asked.refuse[0] == "a battery under 620 Wh"
    assert "not proven" in asked.least[0]
    told = asked_cards(plan, Manner(language=Language.ES))[0]
    assert told.title == "2. batería portátil"
    assert told.refuse[0] == "una batería de menos de 620 Wh"


def test_the_list_says_to_stop_at_the_first_step_that_is_enough() -> None:
    plan = plan_fixture.plan()
    first = plan.loans[0]
    assert "stop asking" in stop_rule(plan)
    more = replace(plan, loans=(first, replace(first, rank=2)))
    assert stop_rule(more).startswith("After step 1 nothing of tiers A to C is short")
    assert "later tiers" in stop_rule(more)
