"""Intake rows: which become lines, which are held, what is noted where."""

from datetime import datetime

import pytest

from planner.intake import name_key
from planner.intake.issue_harm import harm_of
from planner.scenario import CameFrom, Gate, Line, StockClass, Tier
from tests.workbook_maker import accounted, at, codes, reading, stops


def lines(table: str, **sheets: str) -> dict[int, Line]:
    """Lines by row, of sheets where each row is one line."""
    found = reading(table, **sheets)
    assert found.scenario is not None, found.issues
    return {line.row: line for line in found.scenario.lines}


def test_a_plain_row_is_filled_from_the_catalogue() -> None:
    line = lines("""
Resident | Place | Item | Quantity
Resident One | Hall | insulin lispro | 3
""")[2]
    assert (line.kind_id, line.quantity) == ("insulin-lispro", 3)
    assert (line.keep_from_c, line.keep_to_c, line.never_freeze) == (2, 8, True)
    assert line.stock_class is StockClass.MEDICINE
    assert line.gate is Gate.POOL
    origin = {o.field: o for o in line.origins}
    assert origin["band"].came_from is CameFrom.CATALOGUE
    assert origin["band"].source
    assert origin["volume_l"].came_from is CameFrom.CATALOGUE


def test_the_sheet_wins_over_the_catalogue_and_says_so() -> None:
    line = lines("""
Resident | Item | Volume each (L) | Keep from (C) | Keep to (C) | Warm hours | Warm max (C) | Tier
R1 | insulin lispro | 0.4 | 3 | 7 | 48 | 25 | b
""")[2]
    assert (line.volume_l, line.keep_from_c, line.keep_to_c) == (0.4, 3, 7)
    assert (line.warm_hours, line.warm_max_c) == (48, 25)
    assert line.tier_given is Tier.B
    shown = {o.field for o in line.origins if o.came_from is CameFrom.SHEET}
    assert shown == {"kind_id", "band", "volume_l", "warm_hours", "tier_given"}


def test_missing_zero_and_wrong_warm_hours_are_three_things() -> None:
    table = """
Resident | Item | Warm hours
R1 | zorbitol |
R2 | zorbitol | 0
R3 | zorbitol | lots
"""
    found = lines(table)
    assert [found[row].warm_hours for row in (2, 3, 4)] == [None, 0, None]
    assert at(reading(table), "number-not-usable") == {("number-not-usable", 4)}


def test_rows_that_are_no_items_are_held_with_their_reason() -> None:
    found = reading("""
Resident | Item | Quantity | Notes
R1 | insulin lispro | 2 |
Resident | Item | Quantity | Notes
R2 | | 1 | blue bag
R3 | ? | |
R4 | left Tues w/ daughter | |
R5 | NONE - just ice packs for knee | |
NOTE: phone list is at the desk | | |
R6 | see bag | |
 | | |
Total | | 12 |
""")
    assert found.scenario is not None
    held = {(h.row, h.code, h.left_out) for h in found.scenario.held_rows}
    assert held == {
        (3, "header-repeated", True),
        (4, "item-missing", False),
        (5, "item-not-readable", False),
        (6, "item-departed", True),
        (7, "no-item", True),
        (8, "note-row", True),
        (9, "item-not-readable", False),
        (11, "total-row", True),
    }
    assert found.scenario.rows_in == 9
    assert accounted(found)
    assert {(i.code, i.row) for i in found.issues} >= {
        (h.code, h.row) for h in found.scenario.held_rows
    }


def test_held_rows_do_not_repeat_names() -> None:
    found = reading("""
Name | Family | Item | Qty | Phone | Comments
Quillon Testname | Testfamily | | 2 | 555 | blue bag
Quillon Testname | Testfamily | ? | | 555 |
""")
    shown = repr(found.scenario.held_rows) + repr(found.issues)
    assert "Quillon" not in shown
    assert "Testfamily" not in shown
    assert "555" not in shown
    assert "blue bag" in shown


def test_rows_with_items_but_lines_of_total_words() -> None:
    found = lines("""
Resident | Item | Quantity
Total Testname | insulin lispro | 1
""")
    assert set(found) == {2}


def test_several_items_of_a_cell_stay_on_their_row() -> None:
    found = reading("""
Resident | Item | Quantity
R1 | insulin lispro; adalimumab x2\\nEBM frozen 6 bags |
R2 | insulin lispro; blorp |
""")
    assert found.scenario is not None
    got = [(line.row, line.kind_id, line.quantity) for line in found.scenario.lines]
    assert got == [
        (2, "insulin-lispro", 1),
        (2, "adalimumab", 2),
        (2, "human-milk-frozen", 6),
        (3, "insulin-lispro", 1),
        (3, "unknown-cold", 1),
    ]
    assert at(found, "item-split", "item-unknown") == {
        ("item-split", 2),
        ("item-split", 3),
        ("item-unknown", 3),
    }
    assert accounted(found)


def test_one_quantity_for_several_items_is_given_to_each() -> None:
    found = reading("""
Resident | Item | Quantity
R1 | insulin lispro; adalimumab | 3
""")
    assert [line.quantity for line in found.scenario.lines] == [3, 3]
    assert "split-quantity" in codes(found)


def test_ditto_marks_copy_the_row_just_above() -> None:
    table = """
Resident | Item | Quantity
R1 | insulin lispro | 2
" | ditto | same
 | |
R2 | 〃 | 1
"""
    found = reading(table)
    got = {line.row: line for line in found.scenario.lines}
    assert set(got) == {2, 3}
    assert got[3].kind_id == "insulin-lispro"
    assert got[3].quantity == 2
    assert got[3].code == got[2].code
    assert ("ditto-copied", 3) in at(found, "ditto-copied")
    assert {(h.row, h.code) for h in found.scenario.held_rows} == {
        (5, "item-not-readable")
    }


def test_blank_names_are_not_filled_down() -> None:
    found = reading("""
Resident | Household | Item
R1 | H1 | insulin lispro
 | | adalimumab
 | | adalimumab
R2 | | latanoprost
""")
    got = {line.row: line for line in found.scenario.lines}
    assert len({line.code for line in got.values()}) == 4
    assert got[3].resident == ""
    assert got[3].household == got[3].code
    assert got[5].household == got[5].code
    assert got[2].household != got[2].code
    assert at(found, "resident-blank") == {("resident-blank", 3), ("resident-blank", 4)}


def test_codes_do_not_depend_on_the_order_of_rows() -> None:
    first = reading("""
Resident | Item
R1 | insulin lispro
R2 | adalimumab
R3 | latanoprost
""")
    second = reading("""
Resident | Item
R3 | latanoprost
New Person | adalimumab
R2 | adalimumab
R1 | insulin lispro
""")
    before = {line.id: line.resident for line in first.scenario.lines}
    after = {line.id: line.resident for line in second.scenario.lines}
    assert before.items() <= after.items()


def test_the_name_key_is_the_only_way_to_names() -> None:
    found = reading("""
Resident | Household | Item
Quillon Testname | Testfamily | insulin lispro
Quillon Testname | Testfamily | adalimumab
""")
    (pair,) = name_key(found.scenario)
    assert pair[1] == "Quillon Testname"
    assert pair[0] == found.scenario.lines[0].code
    assert "Testfamily" not in {line.household for line in found.scenario.lines}
    assert "Testname" not in repr(found.issues)


def test_a_code_word_changes_all_codes() -> None:
    table = "Resident | Item\nR1 | insulin lispro"
    settings = "Setting | Value\nStart | d:2025-10-13 08:00\n"
    plain = reading(table, Conditions=settings)
    salted = reading(table, Conditions=settings + "Code word | heron")
    assert plain.scenario.lines[0].code != salted.scenario.lines[0].code
    assert "heron" not in repr(salted.issues)


def test_the_same_person_written_twice_is_asked_about_never_merged() -> None:
    found = reading("""
Resident | Household | Item
Anh Testname | | insulin lispro
TESTNAME, ANH | | adalimumab
Bo Testname | H1 | insulin lispro
Bo Testname | H1 | insulin lispro
""")
    assert len({line.code for line in found.scenario.lines}) == 3
    assert {(i.row, i.code) for i in found.issues} >= {
        (2, "maybe-same-person"),
        (5, "same-item-twice"),
    }


@pytest.mark.parametrize(
    ("typed", "code", "quantity"),
    [
        ("3", None, 3),
        ("3 pens", None, 3),
        ("2 boxes", "quantity-reckoned", 10),
        ("about 3", None, 3),
        ("", "quantity-assumed", 1),
        ("n/a", "quantity-assumed", 1),
        ("some", "number-not-usable", 1),
        ("-2", "number-out-of-range", 1),
        ("0", "number-out-of-range", 1),
        ("1e9", "number-out-of-range", 1),
        ("2.5", "quantity-rounded", 3),
        ("d:2025-02-01", "number-not-usable", 1),
        ("TRUE", "number-not-usable", 1),
    ],
)
def test_quantities(typed: str, code: str | None, quantity: int) -> None:
    found = reading(f"Resident | Item | Quantity\nR1 | insulin lispro | {typed}")
    assert found.scenario.lines[0].quantity == quantity
    wrong = {i.code for i in found.issues if i.column == "Quantity"}
    assert wrong == ({code} if code else set())


@pytest.mark.parametrize(
    ("typed", "code", "litres"),
    [
        ("500ml", None, 0.5),
        ("0.3", None, 0.3),
        ("12 fl oz", None, 0.354882),
        ("-5", "number-out-of-range", 0.13),
        ("0", "number-out-of-range", 0.13),
        ("5 stone", "unit-not-known", 0.13),
        ("#REF!", "cell-error", 0.13),
    ],
)
def test_volumes(typed: str, code: str | None, litres: float) -> None:
    found = reading(f"Resident | Item | Volume each (L)\nR1 | insulin lispro | {typed}")
    assert found.scenario.lines[0].volume_l == pytest.approx(litres, abs=1e-5)
    assert (code in codes(found)) if code else not at(found, "number-not-usable")


@pytest.mark.parametrize(
    ("typed", "code", "band"),
    [
        ("2-8", None, (2, 8)),
        ("36-46", "fahrenheit-assumed", (2, 8)),
        ("36-46 F", None, (2, 8)),
        ("d:2025-08-02", "date-turned-back", (2, 8)),
        ("d:2025-02-08", "date-turned-back", (2, 8)),
        ("d:2025-11-09", "band-not-usable", (2, 8)),
        ("4", "band-one-edge", (2, 8)),
        ("400", "band-one-edge", (2, 8)),
        ("2-8 F", "freezer-conflict", (2, 8)),
        ("-25 to -15", "freezer-conflict", (2, 8)),
        ("15-25", "room-band", (15, 25)),
        ("0-12", "band-wider", (0, 12)),
        ("45361", "band-one-edge", (2, 8)),
    ],
)
def test_ranges_in_a_temperature_column(
    typed: str, code: str | None, band: tuple[float, float]
) -> None:
    found = reading(f"Resident | Item | Temp\nR1 | insulin lispro | {typed}")
    line = found.scenario.lines[0]
    assert (line.keep_from_c, line.keep_to_c) == band
    assert codes(found) - {"quantity-assumed"} == ({code} if code else set())


def test_unit_in_the_heading() -> None:
    found = lines("""
Resident | Item | Keep from (F) | Keep to (F) | Vol (oz)
R1 | insulin lispro | 36 | 46 | 8
""")
    line = found[2]
    assert (line.keep_from_c, line.keep_to_c) == (2, 8)
    # NIST SP 811 appendix B.8 (from memory): 1 US fl oz = 2.957353 E-05 m3
    assert line.volume_l == pytest.approx(8 * 0.02957353, rel=1e-6)


@pytest.mark.parametrize(
    ("low", "high", "code", "band"),
    [
        ("2", "8", None, (2, 8)),
        ("8", "2", "band-upside-down", (2, 8)),
        ("36", "46", "fahrenheit-assumed", (2, 8)),
        ("", "7", None, (2, 7)),
        ("2-8", "", None, (2, 8)),
        ("cold", "", "band-not-usable", (2, 8)),
        ("2 C", "46 F", "band-not-usable", (2, 8)),
        ("400", "500", "band-not-usable", (2, 8)),
    ],
)
def test_keep_from_and_keep_to(
    low: str, high: str, code: str | None, band: tuple[float, float]
) -> None:
    found = reading(
        f"Resident|Item|Keep from (C)|Keep to (C)\nR1|insulin lispro|{low}|{high}"
    )
    line = found.scenario.lines[0]
    assert (line.keep_from_c, line.keep_to_c) == band
    assert codes(found) - {"quantity-assumed"} == ({code} if code else set())


def test_out_of_pool_items_leave_the_pool() -> None:
    found = lines("""
Resident | Item | Quantity
R1 | enoxaparin | 1
R2 | glucagon kit | 1
R3 | yogurt | 1
R4 | insulin lispro | 1
""")
    assert [found[row].gate for row in (2, 3, 4, 5)] == [
        Gate.COOL_SHELF,
        Gate.WITH_PERSON,
        Gate.FOOD,
        Gate.POOL,
    ]


def test_a_cold_range_keeps_a_room_item_in_the_pool_and_in_review() -> None:
    found = reading("""
Resident | Item | Quantity | Keep from (C) | Keep to (C) | Refrigerated
R1 | enoxaparin | 1 | 2 | 8 |
R2 | enoxaparin | 1 | | | yes
R3 | enoxaparin | 1 | 15 | 25 |
""")
    got = {line.row: line for line in found.scenario.lines}
    assert (got[2].gate, got[2].provisional) == (Gate.POOL, True)
    assert (got[3].gate, got[3].provisional) == (Gate.COOL_SHELF, True)
    assert (got[4].gate, got[4].provisional) == (Gate.COOL_SHELF, False)
    assert at(found, "pool-conflict") == {("pool-conflict", 2), ("pool-conflict", 3)}


def test_a_no_in_the_cold_column_does_not_warm_a_cold_item() -> None:
    found = reading("""
Resident | Item | Quantity | Cold? Y/N
R1 | insulin lispro | 1 | N
R2 | insulin lispro | 1 |
""")
    got = {line.row: line for line in found.scenario.lines}
    assert (got[2].gate, got[2].provisional) == (Gate.POOL, True)
    assert not got[3].provisional
    assert at(found, "cold-not-wanted") == {("cold-not-wanted", 2)}


def test_insulin_in_use_stays_with_the_person() -> None:
    found = reading("""
Resident | Item | Quantity | Opened
R1 | insulin lispro | 1 | yes
R2 | insulin lispro | 1 | no
R3 | insulin lispro | 1 | 3/4
R4 | insulin | 1 | x
R5 | latanoprost | 1 | yes
R6 | RTF | 1 | yes
""")
    got = {line.row: line for line in found.scenario.lines}
    assert got[2].gate is Gate.WITH_PERSON
    assert got[3].gate is Gate.POOL
    assert got[4].gate is Gate.WITH_PERSON
    assert got[5].gate is Gate.WITH_PERSON
    assert got[6].kind_id == "latanoprost-open"
    assert got[7].kind_id == "rtf-opened"


def test_a_frozen_state_in_another_column_counts() -> None:
    found = reading("""
Resident | Item | Quantity | Storage
R1 | breast milk | 4 | Freezer
R2 | breast milk | 4 | Fridge
R3 | insulin lispro | 1 | freezer
R4 | insulin lispro | 1 | do not put in freezer
""")
    got = {line.row: line for line in found.scenario.lines}
    assert got[2].kind_id == "human-milk-frozen"
    assert got[3].kind_id == "human-milk-unknown"
    assert got[4].provisional
    assert not got[5].provisional
    assert at(found, "freezer-conflict") == {("freezer-conflict", 4)}


def test_unknown_items_are_planned_cautiously_and_reviewed() -> None:
    found = reading("""
Resident | Item | Quantity
R1 | zorbitol | 1
""")
    (line,) = found.scenario.lines
    assert line.kind_id == "unknown-cold"
    assert line.provisional
    assert line.warm_hours is None
    assert at(found, "item-unknown") == {("item-unknown", 2)}


def test_never_freeze_cannot_be_talked_away() -> None:
    found = reading("""
Resident | Item | Quantity | Never freeze
R1 | insulin lispro | 1 | no
R2 | latanoprost | 1 | yes
R3 | latanoprost | 1 | maybe
""")
    got = {line.row: line for line in found.scenario.lines}
    assert all(line.never_freeze for line in got.values())
    assert at(found, "never-freeze-kept", "yes-no-unclear") == {
        ("never-freeze-kept", 2),
        ("yes-no-unclear", 4),
    }


def test_custody_and_night() -> None:
    found = reading("""
Resident | Item | Quantity | Locked | Needs at night
R1 | lorazepam injection | 1 | | y
R2 | lorazepam injection | 1 | no |
R3 | insulin lispro | 1 | maybe | ask
""")
    got = {line.row: line for line in found.scenario.lines}
    assert [got[row].locked for row in (2, 3, 4)] == [True, False, True]
    assert [got[row].night_need for row in (2, 3, 4)] == [True, False, True]


def test_times_on_a_row() -> None:
    found = reading("""
Resident | Item | Quantity | Out since | Keep by (date) | Daily use
R1 | insulin lispro | 9 | 06:30 | d:2025-12-01 | 1
R2 | insulin lispro | 9 | d:2025-10-12 20:00 | 08/2026 | 2/day
R3 | insulin lispro | 9 | d:2025-10-15 | d:2025-10-01 | 1 a week
R4 | insulin lispro | 9 | 3/4 | 3/4 | lots
""")
    got = {line.row: line for line in found.scenario.lines}
    assert got[2].out_since == datetime(2025, 10, 13, 6, 30)
    assert got[2].keep_by == datetime(2025, 12, 1, 23, 59)
    assert got[2].daily_use == 1
    assert got[3].out_since == datetime(2025, 10, 12, 20)
    assert got[3].keep_by == datetime(2026, 8, 31, 23, 59)
    assert got[3].daily_use == 2
    assert got[4].out_since == datetime(2025, 10, 13, 8)
    assert got[4].daily_use == pytest.approx(1 / 7)
    assert (got[5].out_since, got[5].keep_by, got[5].daily_use) == (None, None, None)
    assert [got[row].warm_hours for row in (2, 3, 4, 5)] == [672, 672, 672, None]
    assert {(i.code, i.row, i.column) for i in found.issues} == {
        ("out-since-future", 4, "Out since"),
        ("past-keep-by", 4, "Keep by (date)"),
        ("date-two-ways", 5, "Out since"),
        ("date-two-ways", 5, "Keep by (date)"),
        ("number-not-usable", 5, "Daily use"),
    }


def test_stated_milk_volume_enlarges_the_pack() -> None:
    found = lines("""
Resident | Item | Quantity
R1 | BM 14 oz | 1
R2 | EBM 120 ml bags | 3
""")
    assert found[2].volume_l == pytest.approx(14 * 0.0295735 * 1.25, abs=2e-3)
    assert found[3].volume_l == 0.25


def test_headings_in_other_words_and_tongues() -> None:
    found = lines("""
Evening list | | |
as of 6 pm | | |
Nombre y apellido | Medicamento | Cant. | ¿Necesita nevera?
R1 | insulina | 2 | sí
""")
    assert found[4].quantity == 2


@pytest.mark.parametrize(
    "headings",
    ["Name | Medication | Qty", "GUEST NAME|med|HOW MANY", "Nom | Médicament | Quantité",
     "Guest | What is it? | No. of", "姓名 | 药名 | 数量", "ФИО | Лекарство | Кол-во"],
)  # fmt: skip
def test_heading_variants(headings: str) -> None:
    found = lines(f"{headings}\nR1 | insulin lispro | 4")
    assert (found[2].resident, found[2].quantity) == ("R1", 4)


def test_first_and_last_name_are_joined() -> None:
    found = lines("Last name | First name | Item\nTestname | Anh | insulin lispro")
    assert found[2].resident == "Anh Testname"


def test_columns_not_read_are_named() -> None:
    found = reading("""
Resident | Item | Qty | Shoe size | Urgent? | Phone | Count
R1 | insulin lispro | 1 | 44 | yes | 555 | 9
""")
    noted = {(i.code, i.column) for i in found.issues}
    assert noted == {
        ("column-not-read", "Shoe size"),
        ("column-not-read", "Phone"),
        ("priority-not-read", "Urgent?"),
        ("heading-twice", "Count"),
    }
    assert found.scenario.lines[0].quantity == 1


def test_issues_are_sorted_gravest_first_then_by_harm_and_place() -> None:
    found = reading("""
Resident | Item | Quantity
 | insulin lispro | some
R2 | ? |
R1 | zorbitol |
""")
    order = ["stop", "review", "assumed", "note"]
    ranks = [
        (order.index(i.severity.value), harm_of(i.code), i.sheet, i.row or 0, i.column)
        for i in found.issues
    ]
    assert ranks == sorted(ranks)
    assert len({rank[0] for rank in ranks}) == 3


def test_places_are_matched_without_regard_to_case() -> None:
    found = reading("""
Resident | Place | Item | Quantity
R1 | Main Hall | insulin lispro | 1
R2 | main  hall | insulin lispro | 1
R3 | | insulin lispro | 1
R4 | Annex | insulin lispro | 1
""")
    got = {line.row: line.place for line in found.scenario.lines}
    assert got == {2: "Main Hall", 3: "Main Hall", 4: "Main Hall", 5: "Annex"}
    assert at(found, "place-blank") == {("place-blank", 4)}


def test_no_place_at_all_is_the_hall() -> None:
    found = reading("Resident | Item | Quantity\nR1 | insulin lispro | 1")
    assert [place.name for place in found.scenario.places] == ["Hall"]
    assert codes(found) == set()
    assert stops(found) == set()


def test_a_longer_time_out_than_the_catalogue_is_questioned() -> None:
    found = reading("""
Resident | Item | Quantity | Warm hours
R1 | insulin lispro | 1 | 28 days
R2 | insulin lispro | 1 | 29 days
R3 | zorbitol | 1 | 5
""")
    assert at(found, "warm-longer") == {("warm-longer", 3)}
    assert [line.warm_hours for line in found.scenario.lines] == [672, 696, 5]


def test_two_unknown_items_are_not_the_same_item() -> None:
    found = reading("""
Resident | Item | Quantity
R1 | zorbitol | 1
R1 | blorpazole | 1
R1 | Zorbitol | 1
""")
    assert at(found, "same-item-twice") == {("same-item-twice", 4)}


def test_a_known_item_is_never_left_out_for_its_words() -> None:
    found = reading("""
Resident | Item | Quantity
 | Total parenteral nutrition bags | 7
R2 | left over insulin lispro | 1
R3 | none opened, insulin lispro | 1
R4 | collected breast milk | 4
 | Total | 13
""")
    assert {line.row for line in found.scenario.lines} == {2, 3, 4, 5}
    assert found.scenario.lines[0].kind_id == "pn-compounded"
    assert [(h.row, h.code) for h in found.scenario.held_rows] == [(6, "total-row")]


def test_marks_for_no_name_are_no_shared_name() -> None:
    found = reading("""
Resident | Household | Place | Item | Quantity
n/a | - | Hall | insulin lispro | 1
n/a | - | n/a | adalimumab | 1
? | ? | Hall | latanoprost | 1
""")
    assert len({line.code for line in found.scenario.lines}) == 3
    assert len({line.household for line in found.scenario.lines}) == 3
    assert [place.name for place in found.scenario.places] == ["Hall"]
    assert name_key(found.scenario) == ()


def test_a_lone_household_waits_for_its_item() -> None:
    found = reading("""
Household | Item | Notes
The family from room four | |
 | | please keep the hall door shut
""")
    held = [(h.row, h.code, h.left_out) for h in found.scenario.held_rows]
    assert held == [(2, "item-missing", False), (3, "note-row", True)]


def test_doubts_about_the_item_hold_the_line_for_review() -> None:
    found = reading("""
Resident | Item | Quantity
R1 | dulaglutide or tirzepatide | 1
R2 | breast milk bags, some frozen some not | 6
R3 | adalimumb pens | 1
R4 | enoxaparin with zorbitol | 1
R5 | adalimumab with zorbitol | 1
""")
    got = {line.row: (line.kind_id, line.provisional) for line in found.scenario.lines}
    assert got[2] == ("unknown-cold", True)
    assert got[3][1]
    assert got[4] == ("adalimumab", True)
    assert got[5] == ("enoxaparin", True)
    assert got[6] == ("adalimumab", False)
    assert {(i.code, i.row) for i in found.issues} == {
        ("item-ambiguous", 2),
        ("item-mixed", 3),
        ("item-split", 3),
        ("item-guessed", 4),
        ("words-left", 5),
    }


def test_counts_beside_a_split_cell() -> None:
    found = reading("""
Resident | Item | Quantity
R1 | latanoprost drops 1 new 1 open | 2
R2 | BM | 14 oz
""")
    got = [(line.kind_id, line.quantity, line.opened) for line in found.scenario.lines]
    assert got[:2] == [("latanoprost", 1, False), ("latanoprost-open", 1, True)]
    # 14 US fl oz and a quarter more; NIST SP 811 appendix B.8 (from memory): 2.957353 E-05 m3
    assert found.scenario.lines[2].volume_l == pytest.approx(0.5175, abs=1e-3)
    assert at(found, "quantity-assumed") == {("quantity-assumed", 3)}


def test_a_held_row_has_the_code_of_a_person_with_other_rows_and_of_no_one_else() -> (
    None
):
    found = reading("""
Name | Family | Item | Qty
Quillon Testname | Testfamily | insulin lispro | 1
Quillon Testname | Testfamily | | 2
Quillon Testname | Otherfamily | | 2
Nobody Elsewhere | | ? | 1
 | | ? | 1
""")
    assert found.scenario is not None
    (line,) = found.scenario.lines
    assert {h.row: h.who for h in found.scenario.held_rows} == {
        3: line.code,
        4: "",
        5: "",
        6: "",
    }
