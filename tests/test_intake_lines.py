"""The item lines of people's lists, each read as wanted, and their neighbours."""

from datetime import datetime

import pytest

from planner.intake import read
from planner.intake.item_details import details_of, said_state, without_private
from planner.intake.item_split import split_items
from planner.intake.items import match_item
from planner.intake.packs import read_count
from planner.scenario import CameFrom, Consequence, Gate, Line, Scenario
from tests.intake_lines import item_lines
from tests.workbook_maker import NOW, codes, reading

WHERE = {Gate.POOL: "", Gate.WITH_PERSON: "person", Gate.COOL_SHELF: "shelf",
         Gate.FOOD: "food"}  # fmt: skip


def told(line: Line) -> str:
    """A line in the words of the table."""
    words = [line.kind_id, str(line.quantity)]
    marks = (("open", line.opened), ("thawed", line.thawed), ("locked", line.locked),
             ("review", line.provisional))  # fmt: skip
    words += [name for name, said in marks if said]
    return " ".join([*words, WHERE[line.gate]]).strip()


def told_all(scenario: Scenario) -> list[str]:
    """Lines and held rows in the words of the table."""
    held = [
        f"{'left out' if one.left_out else 'held'}: {one.code}"
        for one in scenario.held_rows
    ]
    return [*map(told, scenario.lines), *held]


@pytest.mark.parametrize(
    ("text", "parts", "wanted"),
    [pytest.param(text, parts, wanted, id=f"{number} {text}")
     for number, text, parts, wanted in item_lines()],
)  # fmt: skip
def test_item_lines(text: str, parts: list[str], wanted: list[str]) -> None:
    found = reading(f"Resident | Item\nR1 | {text}")
    assert found.scenario is not None
    assert told_all(found.scenario) == parts
    assert sorted(codes(found)) == wanted


def test_there_are_72_kinds_of_line() -> None:
    assert len({number for number, *_ in item_lines()}) == 72


@pytest.mark.parametrize("mark", ["same as above", "\u3003", "ditto", "idem"])
def test_a_ditto_mark_below_an_item_copies_it(mark: str) -> None:
    found = reading(f"Resident | Item\nR1 | insulin lispro 3 pens\nR2 | {mark}")
    assert [told(line) for line in found.scenario.lines] == ["insulin-lispro 3"] * 2
    assert "ditto-copied" in codes(found)


@pytest.mark.parametrize(
    ("text", "kind_id"),
    [
        ("compounded TPN", "pn-compounded"),
        ("compounded parenteral nutrition 2 bags", "pn-compounded"),
        ("compounded omeprazole", "omeprazole-compounded"),
        ("compounded", "compounded-liquid-nonpreserved"),
        ("dog insulin vial", "insulin-pet"),
        ("insulin for the dog", "insulin-pet"),
        ("insulin (dog)", "insulin-pet"),
        ("vet insulin glargine pen", "insulin-pet"),
        ("insulina para el perro", "insulin-pet"),
        ("feline insulin", "insulin-pet"),
        ("EBM not frozen 4 bags", "human-milk-unknown"),
        ("breast milk never frozen", "human-milk-unknown"),
        ("breast milk (do not freeze)", "human-milk-unknown"),
        ("EBM 6 bags in freezer", "human-milk-frozen"),
        ("breast milk, deep freezer, 3", "human-milk-frozen"),
        ("EBM was frozen, 2 bags", "human-milk-thawed"),
        ("defrosted breast milk", "human-milk-thawed"),
        ("milk, partly thawed", "human-milk-slushy"),
        ("breast milk from a donor, frozen, 2 bottles", "donor-milk-frozen"),
        ("EBM thaw today", "human-milk-thawed"),
        ("EBM do not thaw, frozen", "human-milk-frozen"),
    ],
)
def test_kinds_that_must_not_be_mixed_up(text: str, kind_id: str) -> None:
    assert match_item(text).kind.id == kind_id


@pytest.mark.parametrize(
    "text", ["dog insulin vial", "insulin for our cat", "cat insulin"]
)
def test_an_animals_insulin_is_no_persons(text: str) -> None:
    found = reading(f"Resident | Item | Quantity\nR1 | {text} | 1")
    (line,) = found.scenario.lines
    assert line.consequence is Consequence.PET
    assert "pet-item" in codes(found)


def test_an_animal_beside_a_persons_item_is_asked_about() -> None:
    found = reading("""
Resident | Item | Quantity
R1 | insulin lispro, keep away from the dog | 1
Rex the dog | insulin lispro | 1
R3 | contrast for CAT scan insulin lispro | 1
""")
    got = {
        line.row: (line.consequence, line.provisional) for line in found.scenario.lines
    }
    assert got == {
        2: (Consequence.LIFE, True),
        3: (Consequence.LIFE, True),
        4: (Consequence.LIFE, False),
    }
    assert {i.row for i in found.issues if i.code == "maybe-pet"} == {2, 3}


@pytest.mark.parametrize(
    ("text", "packs", "why"),
    [
        ("insulin glargine 20", None, False),
        ("insulin glargine 20 units at night", None, False),
        ("insulin glargine 100 units/mL", None, False),
        ("adalimumab 40 mg", None, False),
        ("adalimumab 2x daily", None, False),
        ("lispro U-100 3 pens", 3, False),
        ("lispro 100 units/ml 3 ml 2 pens", 2, False),
        ("amoxicillin 250 mg/5 ml, 150 ml", None, False),
        ("amoxicillin 3/4 left", 1, True),
        ("lispro 3 of 5 pens left", 3, False),
        ("insulin 2-3 pens", 3, True),
        ("insulin lispro 2 boxes", 10, True),
        ("insulin lispro 2 boxes (10 pens)", 10, False),
        ("insulin lispro 2 boxes 5 pens", 10, True),
        ("insulin lispro 1 box + 3 pens", 8, True),
        ("ganirelix 3", 3, True),
        ("EBM 6 x 4oz", 6, False),
        ("EBM 4oz x 6", 6, False),
        ("insulin lispro 3 pens exp 08/26", 3, False),
        ("adalimumab 4 pens, used 1", 3, False),
        ("dulaglutide 4 pack minus 4", None, False),
        ("insulin lispro 3 pens, 2 vials", None, False),
    ],
)  # fmt: skip
def test_counts_beside_strengths_and_doses(
    text: str, packs: int | None, why: bool
) -> None:
    match = match_item(text)
    count = read_count(text, match.kind, match.used)
    assert (count.packs, bool(count.why)) == (packs, why)


@pytest.mark.parametrize(
    ("text", "strengths", "doses"),
    [
        ("adalimumab 40mg/0.4 x 2 syringes", ("40mg/0.4",), ()),
        ("insulin lispro 100 units/mL", ("100 units/ml",), ()),
        ("lispro U-100", ("u-100",), ()),
        ("fortified EBM 24cal", ("24cal",), ()),
        ("Insulin 10U am 8U pm", (), ("10u am", "8u pm")),
        ("TPN bags 7 (1/day)", (), ("1/day",)),
        ("shots for RA every 2 wks", (), ("every 2 wks",)),
    ],
)
def test_strengths_and_doses_are_kept_apart(
    text: str, strengths: tuple[str, ...], doses: tuple[str, ...]
) -> None:
    found = details_of(text)
    assert (found.strengths, found.doses) == (strengths, doses)


@pytest.mark.parametrize(
    ("table", "wanted"),
    [
        ("insulin aspart vials, one opened | 2",
         ["insulin-aspart 1", "insulin-aspart 1 open person"]),
        ("insulin lispro 5 pens, 1 open |",
         ["insulin-lispro 4", "insulin-lispro 1 open person"]),
        ("insulin lispro 5 pens + 1 open |",
         ["insulin-lispro 5", "insulin-lispro 1 open person"]),
        ("insulin lispro opened | 3",
         ["insulin-lispro 2", "insulin-lispro 1 open person"]),
        ("insulin lispro, both opened | 2", ["insulin-lispro 2 open person"]),
        ("EBM 6 frozen 4 fresh |", ["human-milk-frozen 6", "human-milk-fresh 4"]),
        ("EBM frozen x6 + 4 thawed |",
         ["human-milk-frozen 6", "human-milk-thawed 4 thawed"]),
        ("breast milk bags, some frozen some not | 7",
         ["human-milk-frozen 3 review", "human-milk-unknown 4 review"]),
        ("rtf opened | 2", ["rtf-opened 2 open"]),
    ],
)  # fmt: skip
def test_states_of_one_item_become_lines(table: str, wanted: list[str]) -> None:
    found = reading(f"Resident | Item | Quantity\nR1 | {table}")
    assert [told(line) for line in found.scenario.lines] == wanted


def test_one_open_pack_by_the_opened_column_leaves_the_others_cold() -> None:
    found = reading(
        "Resident | Item | Quantity | Opened\nR1 | insulin lispro | 5 | yes"
    )
    assert [told(line) for line in found.scenario.lines] == [
        "insulin-lispro 4", "insulin-lispro 1 open person",
    ]  # fmt: skip
    assert "quantity-reckoned" in codes(found)


@pytest.mark.parametrize(
    ("text", "kinds"),
    [
        ("insulin lispro; blorp", ["insulin-lispro", "unknown-cold"]),
        ("insulin lispro + zorbitol x2", ["insulin-lispro", "unknown-cold"]),
        ("insulin lispro, zorbitol", ["insulin-lispro"]),
        ("insulin lispro (keep cold, blue pen)", ["insulin-lispro"]),
        ("insulin lispro / blue pen", ["insulin-lispro"]),
    ],
)
def test_pieces_that_are_not_understood_are_not_lost(
    text: str, kinds: list[str]
) -> None:
    assert [part.match.kind.id for part in split_items(text)] == kinds


def test_a_piece_after_a_comma_is_told() -> None:
    found = reading("Resident | Item | Quantity\nR1 | insulin lispro, zorbitol | 1")
    assert {(i.code, i.value) for i in found.issues} == {("part-left", "zorbitol")}


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("filgrastim 5 syr (chemo pt)", "filgrastim 5 syr"),
        ("morphine liquid (hospice)", "morphine liquid"),
        ("insulin lispro", "insulin lispro"),
    ],
)
def test_illnesses_are_not_printed(text: str, plain: str) -> None:
    assert without_private(text) == plain
    found = reading(f"Resident | Item | Quantity\nR1 | {text} | 1")
    assert [line.item_text for line in found.scenario.lines] == [plain]


def test_frozen_in_the_text_of_what_must_not_freeze_is_asked_about() -> None:
    found = reading("Resident | Item | Quantity\nR1 | insulin lispro frozen | 1")
    (line,) = found.scenario.lines
    assert (line.keep_from_c, line.keep_to_c, line.provisional) == (2, 8, True)
    assert "freezer-conflict" in codes(found)


def test_thawed_milk_never_goes_back_to_the_freezer() -> None:
    found = reading("""
Resident | Item | Quantity | Storage | Thawed?
R1 | thawed breast milk | 2 | freezer |
R2 | breast milk | 2 | | yes
R3 | frozen breast milk | 2 | | Tue 18:00
""")
    for line in found.scenario.lines:
        assert (line.thawed, line.keep_from_c, line.keep_to_c) == (True, 0, 4)
    assert {i.row for i in found.issues if i.code == "freezer-conflict"} == {2, 4}


def test_a_frozen_column_counts() -> None:
    found = reading("""
Resident | Item | Quantity | Frozen?
R1 | breast milk | 2 | y
R2 | breast milk | 2 | n
R3 | insulin lispro | 2 | y
""")
    assert [line.kind_id for line in found.scenario.lines] == [
        "human-milk-frozen", "human-milk-unknown", "insulin-lispro",
    ]  # fmt: skip
    assert {i.row for i in found.issues if i.code == "freezer-conflict"} == {4}


@pytest.mark.parametrize(
    ("typed", "wanted"),
    [
        ("cool", {"storage-word-unclear"}),
        ("Cool place", {"storage-word-unclear"}),
        ("see label", {"storage-word-unclear"}),
        ("fridge", set()),
        ("Fridge (do not freeze)", set()),
        ("nevera", set()),
        ("do not freeze", set()),
        ("room temp", {"cold-not-wanted"}),
        ("", set()),
    ],
)
@pytest.mark.parametrize("heading", ["Temp", "Storage"])
def test_words_in_a_temperature_column(
    heading: str, typed: str, wanted: set[str]
) -> None:
    # USP <659>: cool is 8 to 15 C (seen on secondary pages); people mean the fridge too
    found = reading(f"Resident|Item|Quantity|{heading}\nR1|insulin lispro|1|{typed}")
    (line,) = found.scenario.lines
    assert (line.keep_from_c, line.keep_to_c, line.gate) == (2, 8, Gate.POOL)
    assert codes(found) == wanted


def test_dates_in_the_item_text() -> None:
    found = reading("""
Resident | Item | Quantity
R1 | insulin lispro exp 08/26 | 1
R2 | amoxicillin susp mixed Fri | 1
R3 | formula mixed 2am | 1
R4 | insulin lispro exp 3/4 | 1
""")
    got = {line.row: line.keep_by for line in found.scenario.lines}
    # NOW is Monday 2025-10-13, the window starts 08:00
    assert got[2] == datetime(2026, 8, 31, 23, 59)
    assert got[3] == datetime(2025, 10, 10) + (
        datetime(2025, 1, 15) - datetime(2025, 1, 1)
    )
    # CDC, Infant Formula Preparation and Storage (seen in copies): 24 h in the fridge
    assert got[4] == datetime(2025, 10, 14, 2)
    assert got[5] is None
    assert {i.row for i in found.issues if i.code == "keep-by-worked-out"} == {3, 4}
    assert {i.row for i in found.issues if i.code == "date-two-ways"} == {5}


def test_unopened_is_on_record_as_assumed() -> None:
    found = reading("Resident | Item\nR1 | 2 boxes of 5 pens insulin glargine")
    (line,) = found.scenario.lines
    (origin,) = [one for one in line.origins if one.field == "opened"]
    assert (origin.came_from, origin.value) == (CameFrom.DEFAULT, "unopened")
    assert not origin.flag.confirmed


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("not frozen", ""),
        ("unfrozen", ""),
        ("frozen", "frozen"),
        ("in the freezer", "frozen"),
        ("not in freezer", ""),
        ("previously frozen", "thawed"),
        ("not thawed yet", "yet"),
        ("half thawed", "slushy"),
    ],
)
def test_states_with_and_without_a_not(text: str, plain: str) -> None:
    assert said_state(text) == plain


def test_pasted_sentences_do_not_raise() -> None:
    for text in ("", "()", "+", "//", "1/0 left", "0 x 0", "exp", "mixed", "\x00"):
        assert read("a.csv", f"Item\n{text}\n".encode(), now=NOW) is not None


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("insulin lispro x2 adalimumab x1", "item-two-names"),
        ("insulin lispro 2 pens with glucagon kit", "item-two-names"),
        ("lorazepam patches", "form-differs"),
        ("insulin lispro 2 pens (left out overnight)", "was-warm"),
        ("expired insulin lispro 2 pens", "past-keep-by"),
        ("ready to feed 6 bottles", "type-not-known"),
        ("no insulin lispro left", "maybe-gone"),
        ("insulin lispro 0 pens", "maybe-gone"),
        ("adalimumab given back", "maybe-gone"),
        ("insulin lispro 100 pens", "quantity-reckoned"),
        ("insulin lispro 2 pens for Bo and 3 for Anh", "several-people"),
    ],
)
def test_what_must_be_asked_about(text: str, code: str) -> None:
    found = reading(f"Resident | Item\nR1 | {text}")
    assert code in codes(found)


def test_of_two_products_in_one_text_the_cold_one_is_planned() -> None:
    found = reading("Resident | Item\nR1 | TPN x7 lipids x7")
    assert [told(line) for line in found.scenario.lines] == ["pn-compounded 7 review"]


def test_what_was_warm_has_no_time_out_left() -> None:
    found = reading("Resident | Item\nR1 | insulin lispro 2 pens (left out overnight)")
    assert [line.warm_hours for line in found.scenario.lines] == [None]
