"""Tables behind the answers: right rows, right order, codes not names."""

import inspect
from dataclasses import replace
from datetime import timedelta

import pandas as pd
import pytest

from planner.output import tables, tables_lending, tables_power, tables_records
from planner.output.tables_records import field_words, trust_words
from planner.result import UnitUse, WarmClock
from planner.result_borrow import NO_MORE
from planner.scenario import (
    Availability,
    CameFrom,
    Flag,
    Origin,
    Status,
    SunCase,
    UnitType,
)
from tests import plan_fixture

TABLES = [
    made
    for module in (tables, tables_lending, tables_power, tables_records)
    for _, made in inspect.getmembers(module, inspect.isfunction)
    if made.__module__ == module.__name__
    and list(inspect.signature(made).parameters) in (["plan"], ["plan", "how"])
    and inspect.signature(made).return_annotation in (pd.DataFrame, "pd.DataFrame")
]


@pytest.fixture(scope="module")
def plan():
    return plan_fixture.plan()


def rows(table):
    return table.to_dict("records")


def test_all_tables_are_met():
    assert len(TABLES) == 18


@pytest.mark.parametrize("made", TABLES, ids=lambda made: made.__name__)
def test_no_table_names_anybody(made, plan):
    text = made(plan).to_csv()
    assert plan_fixture.RESIDENT not in text
    assert plan_fixture.HOUSEHOLD not in text


@pytest.mark.parametrize("made", TABLES, ids=lambda made: made.__name__)
def test_tables_of_an_empty_plan_keep_their_headings(made, plan):
    empty = replace(
        plan, demands=(), units_on=(), placements=(), hookups=(), warm_clocks=(),
        shortfalls=(), tiers=(), replays=(), findings=(), loans=(), accounts=(),
        assumptions=(), borrow=NO_MORE,
        scenario=replace(plan.scenario, lines=(), units=(), held_rows=()),
    )  # fmt: skip
    assert list(made(empty).columns) == list(made(plan).columns)
    assert made(empty).empty


def test_assignments_are_sorted_and_counted(plan):
    table = tables.assignments(plan)
    assert list(table["Unit"]) == ["Blue chest", "North fridge"]
    assert list(table["Code"]) == ["K-3", "K-2"]
    assert list(table["Bags"]) == [3, 2]
    # 3 bags of 0.25 L; 0.75 L x 1.0567 qt/L
    assert list(table["Litres"]) == [0.75, 1.0]
    assert list(table["US quarts"]) == [0.79, 1.06]
    assert list(table["Freezing"]) == ["", "NEVER FREEZE"]


def test_unrecognised_item_is_said_and_its_text_kept_back(plan):
    table = tables_records.items_outside(plan)
    assert list(table["Item"]) == ["rescue pen"]
    placed = replace(plan.placements[0], line_id="Intake:7")
    shown = tables.assignments(replace(plan, placements=(placed,)))
    assert list(shown["Item"]) == ["item not recognised"]


def test_shortfalls_put_not_known_first_then_the_soonest(plan):
    later = replace(
        plan.shortfalls[1], safe_until=plan_fixture.START + timedelta(hours=50)
    )
    now = replace(plan.shortfalls[1], safe_until=plan_fixture.START)
    table = tables.shortfalls(
        replace(plan, shortfalls=(later, *plan.shortfalls[::-1], now))
    )
    assert list(table["Inside its allowance until"]) == [
        "not known, ask now",
        "none left, ask now",
        "Mon 12:00",
        "Wed 10:00",
    ]


def test_warm_clocks_are_clock_times_with_their_limit(plan):
    extra = WarmClock(line_id="Intake:5", count=1, until=None, why="")
    table = tables.warm_clocks(replace(plan, warm_clocks=(*plan.warm_clocks, extra)))
    first, second = rows(table)
    assert first["Use or ask by"] == "not known, ask now"
    assert first["Counts only up to"] == "not known"
    # 600 hours after Monday 13 October 08:00.
    assert second["Use or ask by"] == "Fri 7 Nov 2025 08:00"
    assert second["Counts only up to"] == "30 C / 86 F"


def test_borrow_list_is_in_order_and_says_codes(plan):
    step = plan.loans[0]
    two = replace(plan, loans=(replace(step, rank=2, lenders=()), step))
    table = tables_lending.borrow_list(two)
    assert list(table["Order"]) == [1, 2, 2]
    assert list(table["From"]) == ["Depot", "", "nobody yet: ask for it"]
    assert list(table["Borrow"])[2] == "battery pack"
    assert "9 L / 9.5 qt or more does" in table["Least that does"][0]
    assert "8 L / 8.5 qt it gives less, proven" in table["Least that does"][0]
    assert table["Serves"][0] == "K-3, K-5"
    assert table["What it gives"][0] == "1 bag of tier B, 2 bags of tier D"
    assert table["Ready"][0] == "Mon 14:00"


def test_what_else_would_help_says_whom_to_ask(plan):
    first, second = rows(tables_lending.other_list(plan))
    assert "5 kg" in first["What"]
    assert first["Ask"] == "whoever brings ice"
    assert first["Bags it would serve"] == "A: 1"
    assert first["About"] == "K-2"
    assert second["About"] == ""


def test_offers_in_no_step_have_a_reason_and_the_order_its_proof(plan):
    table = rows(tables_lending.out_list(plan))
    assert table[0]["Offer"] == "Cool box"
    assert [row["Why it is in no step"] for row in table] == [
        "it holds none of the bands needed in this heat"
    ]
    one, two, three = [
        row["How good this order is"] for row in rows(tables_lending.gap_list(plan))
    ]
    assert one == (
        "With one thing no choice serves more in tier B than this order, 1 bag: proven"
    )
    assert "Lent fridge and Cool box: they serve 1 bag more in tier B" in two
    assert "no 2 things serve more than 3 bags" in two
    assert three.startswith("Which 3 things are best together was not searched")


def test_units_say_state_feeder_and_dark_time(plan):
    shown = {row["Unit"]: row for row in rows(tables_power.units(plan))}
    north = shown["North fridge"]
    assert north["State"] == "ON"
    assert north["Set to"] == "5 C / 41 F"
    assert north["Powered by"] == "Pack one, 12V port 1"
    assert north["With no sun"] == "DARK from Tue 16:00"
    assert north["With poor sun"] == "holds to Thu 08:00"
    assert shown["Blue chest"]["With no sun"] == "needs ice, no power"
    assert shown["Spare fridge"]["State"] == "off, spare"
    assert shown["Spare fridge"]["With no sun"] == ""
    assert shown["Lent fridge"]["State"] == "not here, can borrow"


def test_unit_out_of_order_is_said(plan):
    broken = replace(
        plan.scenario.units[2], availability=Availability(status=Status.OUT)
    )
    changed = replace(plan, scenario=replace(plan.scenario, units=(broken,)))
    shown = tables_power.units(replace(changed, units_on=(), placements=()))
    assert list(shown["State"]) == ["out of order"]


def test_unit_that_is_on_without_a_plug_says_nothing_feeds_it(plan):
    shown = tables_power.units(replace(plan, hookups=()))
    fed = dict(zip(shown["Unit"], shown["Powered by"], strict=True))
    assert fed["North fridge"] == "NOTHING"
    assert fed["Blue chest"] == "needs no power"


def test_swaps_show_every_feeder_with_its_clock_times(plan):
    plug = plan.hookups[0]
    swapped = (
        replace(plug, to_h=24),
        replace(plug, from_id="source-1", from_h=24),
    )
    shown = tables_power.units(replace(plan, hookups=swapped))
    fed = dict(zip(shown["Unit"], shown["Powered by"], strict=True))
    assert fed["North fridge"] == (
        "Pack one, 12V port 1, Mon 08:00 to Tue 08:00; "
        "Yard generator, 12V port 1, Tue 08:00 to Thu 08:00 (end)"
    )


def test_two_zones_show_two_set_points(plan):
    use = UnitUse(
        unit_id="unit-1", set_points_c=(5.0, -18.0), stock_classes=(None, None),
        warm_fill=0.5,
    )  # fmt: skip
    unit = replace(plan.scenario.units[0], zone_shares=(0.5, 0.5))
    changed = replace(
        plan, units_on=(use,), scenario=replace(plan.scenario, units=(unit,)),
        placements=(),
    )  # fmt: skip
    shown = tables_power.units(changed)
    assert shown["Set to"][0] == "zone 1: 5 C / 41 F; zone 2: minus 18 C / 0 F"
    assert shown["May go in warm"][0] == "50 %"
    assert len(tables_power.unit_fill(changed)) == 2


@pytest.mark.parametrize(
    "kind",
    [one for one in UnitType if not plan_fixture.fridge("x", "x", kind=one).powered],
)
def test_units_without_a_dial_get_advice_of_their_own(kind):
    unit = plan_fixture.fridge("x", "x", kind=kind)
    advice = tables_power.dial_advice(unit, (5.0,))
    assert "thermometer" in advice
    assert "plain dial" not in advice
    assert tables_power.dial_advice(unit, ()) == ""


def test_battery_hours_cover_every_hour_of_every_case(plan):
    table = tables_power.battery_hours(plan)
    assert len(table) == 3 * 72
    none = table[table["Sun"] == "no sun"]
    # 1000 Wh less 25 Wh an hour; 12 h after the start it is Monday 20:00.
    assert none["Charge at the end (Wh)"].iloc[11] == 700.0
    assert none["From"].iloc[12] == "Mon 20:00"
    # Floor 200 Wh; reserve a tenth of the usable 800 Wh above it.
    assert none["Mark"].iloc[27] == ""
    assert none["Charge at the end (Wh)"].iloc[27] == 300.0
    assert none["Mark"].iloc[29] == "in the reserve"
    assert none["Mark"].iloc[31] == "AT THE FLOOR"


def test_fill_adds_the_bags_of_each_zone(plan):
    shown = {row["Unit"]: row for row in rows(tables_power.unit_fill(plan))}
    # 2 bags of 0.5 L in 40 L x 0.7 usable.
    assert shown["North fridge"]["Packed (L)"] == 1.0
    assert shown["North fridge"]["Room for (L)"] == 28.0
    assert shown["North fridge"]["Full (%)"] == 3.6


def test_every_row_in_is_a_row_in_the_accounts(plan):
    table = tables_records.row_accounts(plan)
    assert list(table["Row"]) == [2, 3, 4, 5, 6, 7, 8, 9]
    parts = ["Cold", "At room temperature", "Short", "With the person", "In review"]
    assert (table["Bags"] == table[parts].sum(axis=1)).all()
    assert list(table["Outcome"])[-3:] == [
        "in review",
        "in review, count not read",
        "left out, no item",
    ]


def test_assumptions_say_which_rows_rest_on_them(plan):
    shown = rows(tables_records.assumptions(plan))
    assert [row["What"] for row in shown] == ["volume (L)", "keep to (C)"]
    assert shown[0]["Used for"] == "Intake rows 2, 3, 4, 5, 6, 7"
    assert shown[0]["Trust"] == "not confirmed, check the label (estimate)"
    assert shown[1]["Trust"] == "published"


def test_assumption_about_the_site_is_for_the_whole_plan(plan):
    origin = Origin(
        field="sky_factor", came_from=CameFrom.DEFAULT, value="0.7", flag=Flag.ESTIMATE
    )
    conditions = replace(plan.scenario.conditions, origins=(origin,))
    changed = replace(
        plan, assumptions=(origin, origin),
        scenario=replace(plan.scenario, conditions=conditions),
    )  # fmt: skip
    shown = rows(tables_records.assumptions(changed))
    assert len(shown) == 1
    assert shown[0]["Used for"] == "the whole plan"
    assert shown[0]["Source"] == "no source"


@pytest.mark.parametrize(
    ("field", "said"),
    [
        ("keep_to_c", "keep to (C)"),
        ("ua_w_per_k", "ua (W per K)"),
        ("rated_wh_day", "rated (Wh a day)"),
        ("capacity_wh", "capacity (Wh)"),
        ("supply", "supply"),
    ],
)
def test_field_words(field, said):
    assert field_words(field) == said


def test_only_published_values_are_trusted():
    assert [flag for flag in Flag if "not confirmed" not in trust_words(flag)] == [
        Flag.PUBLISHED
    ]


def test_findings_name_rule_and_subject(plan):
    assert rows(tables_records.findings(plan)) == [
        {
            "Weight": "warning",
            "Rule": "R10",
            "About": "Blue chest",
            "Finding": "ice is short on Wed",
        }
    ]


def test_tiers_are_in_order_with_their_proof(plan):
    table = tables.tiers(replace(plan, tiers=plan.tiers[::-1]))
    assert list(table["Tier"]) == ["A", "B", "C", "D"]
    worse = replace(plan.tiers[0], met=1)
    proof = tables.tiers(replace(plan, tiers=(worse,)))["Proof"]
    assert list(proof) == ["not proven best"]


def test_missing_replay_is_not_taken_for_holding(plan):
    shown = tables_power.units(replace(plan, replays=plan.replays[:1]))
    north = shown[shown["Unit"] == "North fridge"].iloc[0]
    assert north["With poor sun"] == "not replayed"
    assert SunCase.NONE is plan.replays[0].sun_case
