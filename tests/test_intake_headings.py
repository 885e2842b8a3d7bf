"""Headings as people type them, and the mapping that is kept for next time."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.intake import read
from planner.intake.cells import Cell, RawRow, RawSheet
from planner.intake.columns import likeness, match_heading, names_item
from planner.intake.headings import INTAKE
from planner.intake.mapping import (
    ColumnMapping,
    changed,
    loaded,
    mapping_for,
    propose,
    saved,
    shape_of,
)
from planner.intake.open_file import open_book
from planner.scenario import Gate
from tests.workbook_maker import NOW, at, book, codes, reading

SURE = {
    "resident": "Name · Full Name · Resident · Guest · Client name · Last, First · Who for?"
    " · Pt · Baby's name · Nombre y apellido · Nom · Non · Họ tên · 姓名 · ФИО · Pangalan"
    " · الاسم",
    "surname": "Surname",
    "first_name": "First name / Nickname",
    "household": "Head of household · Family · HH ID · Apt · Block/House no. · Parent of",
    "badge": "Person # · Guest No · Wristband · Cot / Bed",
    "place": "Room/Bay · Site",
    "item": "Medication · Med · Meds needing cold · Medicine/Feed · Item · Item description"
    " · Rx · Drug + strength · What is it · Contents of bag · Cold stuff · Fridge items"
    " · Formula/BM? · Product · Desc. · Medicamento · Médicament · Remédio · Medikaman"
    " · Tên thuốc · 药名 · Лекарство · Gamot · الدواء",
    "quantity": "Qty · QTY. · No. of · How many · Count (boxes/pens) · Containers · Cant."
    " · Quantité · Menge · Konbyen · Số lượng · 数量 · Кол-во · Ilan · الكمية",
    "volume_l": "Vol (oz) · mL · Litres?",
    "band": "Temp · Temp (F) · Keep at · Label says",
    "storage": "Storage · Storage req · Fridge/Freezer/Room",
    "cold": "Cold? Y/N · Refrig? · ¿Necesita nevera? · À garder au froid (O/N)"
    " · Precisa de geladeira? · Kühlpflichtig (j/n) · Cần tủ lạnh · 是否冷藏",
    "frozen": "Frozen?",
    "temp_unit": "F or C",
    "never_freeze": "Do not freeze",
    "opened": "Opened? · Date opened · In use since",
    "made": "Pumped on · Mixed at",
    "thawed": "Thawed?",
    "out_since": "Out of fridge since · Last cold",
    "keep_by": "Exp · Expiry · Use by · BUD · Discard after · Vence · Péremption · Validade",
    "priority": "Priority · Urgent? · Critical (1-5) · Life support · Can skip?",
    "aside": "Next dose · Times/day · Dose times · Language · OK to share info?"
    " · Collected by · Initials in/out · Time in · Fridge # · Bag tag · Checked · Days left",
    "night_need": "Needs at night",
    "locked": "Locked? · Controlled",
    "private": "Allergies",
    "notes": "Notes · Comments / other · Observaciones",
}
ASKED = {
    "badge": "Unit #",
    "quantity": "# · Amt · Amount · Amount left · Supply · Pack",
    "volume_l": "Size",
}


def pairs(table: dict[str, str]) -> list[tuple[str, str]]:
    """Heading and field of a table."""
    return [
        (one.strip(), field) for field, text in table.items() for one in text.split("·")
    ]


@pytest.mark.parametrize(("typed", "field"), pairs(SURE))
def test_known_headings_are_sure(typed: str, field: str) -> None:
    for text in (typed, typed.upper(), f" {typed}\u00a0"):
        column = match_heading(0, Cell(value=text), INTAKE)
        assert column is not None, text
        assert (column.field.key, column.sure) == (field, True), text


@pytest.mark.parametrize(("typed", "field"), pairs(ASKED))
def test_headings_of_two_meanings_are_read_and_asked_about(
    typed: str, field: str
) -> None:
    column = match_heading(0, Cell(value=typed), INTAKE)
    assert column is not None
    assert (column.field.key, column.sure) == (field, False)


def test_there_are_140_headings() -> None:
    # one more stands in its own test: milk in ounces names the item itself
    assert len(pairs(SURE)) + len(pairs(ASKED)) + 1 >= 138


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ("Medcation", "item"),
        ("Medicaton", "item"),
        ("Quanity", "quantity"),
        ("Residnt", "resident"),
        ("Tempreture", "band"),
        ("Expirey", "keep_by"),
        ("Househld", "household"),
        ("Medikamentt", "item"),
        ("Medication (generic)", "item"),
        ("Our medication list", "item"),
    ],
)
def test_misspelt_headings_are_read_and_asked_about(typed: str, field: str) -> None:
    found = match_heading(0, Cell(value=typed), INTAKE)
    assert found is not None
    assert found.field.key == field
    if typed != "Medication (generic)":
        assert found.confidence < 1


@pytest.mark.parametrize(
    "typed",
    ["Shoe size", "Hat", "T-shirt", "Blanket given", "Vehicle plate", "Pet name", "Dr",
     "Last meal", "xyz", "?", "1", "Temp of hall measured by the night watch person"],
)  # fmt: skip
def test_other_headings_are_not_guessed(typed: str) -> None:
    assert match_heading(0, Cell(value=typed), INTAKE) is None


def test_a_likeness_to_two_fields_is_none() -> None:
    assert likeness("keep fro", "Intake")[0] != "keep_to"
    assert likeness("frozen thawed", "Intake") == ("", 0.0)


def test_guessed_headings_are_an_issue() -> None:
    found = reading("Residnt | Medcation | Quanity\nR1 | insulin lispro | 2")
    assert found.scenario.lines[0].quantity == 2
    assert {i.column for i in found.issues if i.code == "heading-guessed"} == {
        "Residnt", "Medcation", "Quanity",
    }  # fmt: skip


def test_two_row_headings_with_merged_groups() -> None:
    from openpyxl import Workbook

    from tests.workbook_maker import saved as saved_book

    made = Workbook()
    sheet = made.active
    sheet.title = "Intake"
    for row in (
        ["Evening list"],
        ["RESIDENT", None, "MEDICINE", None, "Temp"],
        ["Name", "Cot", "Name", "Qty", "(F)"],
        ["Testname Anh", "3", "insulin lispro", 2, "36-46"],
    ):
        sheet.append(row)
    sheet.merge_cells("A2:B2")
    sheet.merge_cells("C2:D2")
    found = read("a.xlsx", saved_book(made), now=NOW)
    (line,) = found.scenario.lines
    assert (line.resident, line.kind_id, line.quantity) == (
        "Testname Anh", "insulin-lispro", 2,
    )  # fmt: skip
    assert (line.keep_from_c, line.keep_to_c) == (2, 8)
    assert found.scenario.rows_in == 1
    assert "fahrenheit-assumed" not in codes(found)


def test_two_row_headings_in_a_text_file() -> None:
    text = "RESIDENT,,MEDICINE,,\nName,Cot,Name,Qty,Temp\nAnh,3,insulin lispro,2,2-8\n"
    found = read("a.csv", text.encode(), now=NOW)
    (line,) = found.scenario.lines
    assert (line.row, line.resident, line.quantity) == (3, "Anh", 2)


@pytest.mark.parametrize("first", ["Bo | insulin lispro | 2", "Fridge | insulin | 2",
                                   "Name | insulin lispro | 1", "Qty | see bag | 4"])  # fmt: skip
def test_the_first_row_of_data_is_never_eaten_as_a_heading(first: str) -> None:
    found = reading(f"Name | Item | Quantity\n{first}\nR2 | latanoprost | 1")
    held = [one.row for one in found.scenario.held_rows]
    assert sorted([*(line.row for line in found.scenario.lines), *held]) == [2, 3]


def test_columns_of_a_form_name_the_item() -> None:
    found = reading("""
Nombre y apellido | Leche materna (onzas) | Insulin? | Formula mixed
R1 | 14 | no |
R2 | | yes | 3
R3 | 0 | insulin lispro 2 pens | n/a
""")
    got = [(line.row, line.kind_id, line.quantity) for line in found.scenario.lines]
    assert got == [
        (2, "human-milk-unknown", 1),
        (3, "insulin-unknown", 1),
        (3, "formula-prepared", 3),
        (4, "insulin-lispro", 2),
    ]
    # 14 US fl oz and a quarter more; NIST SP 811 appendix B.8 (from memory): 2.957353 E-05 m3
    assert found.scenario.lines[0].volume_l == pytest.approx(0.5175, abs=1e-3)
    assert "item-columns" in codes(found)


def test_two_item_columns_lose_no_item() -> None:
    found = reading("""
Name | Meds needing cold | Formula/BM? | Qty
R1 | insulin lispro | EBM frozen 6 bags | 2
R2 | insulin | insulin lispro pens | 3
R3 | | EBM frozen 4 bags |
""")
    got = [(line.row, line.kind_id, line.quantity) for line in found.scenario.lines]
    assert got == [
        (2, "insulin-lispro", 2),
        (2, "human-milk-frozen", 6),
        (3, "insulin-lispro", 3),
        (4, "human-milk-frozen", 4),
    ]
    assert "heading-twice" not in codes(found)


def test_a_cot_stands_for_a_person_only_without_a_name() -> None:
    found = reading("""
Cot | Name | Item | Quantity
12 | Testname Anh | insulin lispro | 1
13 | | insulin lispro | 1
""")
    assert [line.resident for line in found.scenario.lines] == ["Testname Anh", "13"]


def test_doses_a_day_are_not_packs_a_day() -> None:
    found = reading("Name|Item|Quantity|Times/day\nR1|insulin lispro|9|3")
    assert found.scenario.lines[0].daily_use is None
    assert {(i.code, i.column) for i in found.issues} == {
        ("column-not-read", "Times/day")
    }


def test_the_unit_of_a_row_holds_for_its_temperature() -> None:
    found = reading("""
Name | Item | Quantity | Keep from (C) | Keep to (C) | F or C
R1 | insulin lispro | 1 | 36 | 46 | F
R2 | insulin lispro | 1 | 2 | 8 | C
""")
    assert [(line.keep_from_c, line.keep_to_c) for line in found.scenario.lines] == [
        (2, 8), (2, 8),
    ]  # fmt: skip
    assert "fahrenheit-assumed" not in codes(found)


def test_millilitres_of_a_vial_are_not_the_pack() -> None:
    found = reading(
        "Name|Item|Quantity|mL\nR1|insulin lispro|1|10\nR2|insulin lispro|1|200"
    )
    assert [line.volume_l for line in found.scenario.lines] == [0.13, 0.2]
    assert at(found, "volume-is-contents") == {("volume-is-contents", 2)}


def sheet_of(*headings: str) -> RawSheet:
    """A sheet with these headings and a row."""
    header = RawRow(1, tuple(Cell(value=text or None) for text in headings))
    row = RawRow(2, tuple(Cell(value=f"v{at}") for at in range(len(headings))))
    return RawSheet(name="S", rows=(header, row))


def test_a_proposal_says_how_sure_each_heading_is() -> None:
    found = propose(sheet_of("Name", "Medcation", "Amount", "Shoe size", "Qty"))
    assert found is not None
    got = {one.typed: (one.field_key, one.ask) for one in found.choices}
    assert got == {
        "Name": ("resident", False),
        "Medcation": ("item", True),
        "Amount": ("", False),  # the surer of the two is taken
        "Shoe size": ("", False),
        "Qty": ("quantity", False),
    }
    assert not found.confirmed


def test_a_confirmed_mapping_is_used_for_the_same_shape_only() -> None:
    table = "Who | Zeug | Zahl\nTestname Anh | insulin lispro | 4"
    data = book({"Intake": table})
    assert "headings-none" in codes(read("a.xlsx", data, now=NOW))
    (sheet,) = open_book("a.xlsx", data).sheets
    shape = shape_of(["Who", "Zeug", "Zahl"])
    blank = ColumnMapping(
        shape=shape,
        choices=tuple(
            one
            for name in ("Who", "Zeug", "Zahl")
            for one in loaded(
                saved([ColumnMapping(shape="x", choices=_choice(name), confirmed=True)])
            )[0].choices
        ),
    )
    chosen = changed(blank, {"Who": "resident", "Zeug": "item", "Zahl": "quantity"})
    kept = loaded(saved([chosen]))
    assert mapping_for(sheet, kept) == {
        "who": "resident",
        "zeug": "item",
        "zahl": "quantity",
    }
    found = read("a.xlsx", data, now=NOW, mappings=kept)
    assert found.scenario.lines[0].quantity == 4
    assert "heading-guessed" not in codes(found)
    other = book({"Intake": "Who | Zahl | Zeug\nTestname Anh | 4 | insulin lispro"})
    assert mapping_for(open_book("a.xlsx", other).sheets[0], kept) is None


def _choice(name: str):
    from planner.intake.mapping import HeadingChoice

    return (HeadingChoice(typed=name, field_key="", confidence=0.0),)


def test_a_heading_can_be_turned_off() -> None:
    data = book({"Intake": "Name | Item | Amount\nR1 | insulin lispro | 40"})
    (sheet,) = open_book("a.xlsx", data).sheets
    first = propose(sheet)
    assert first is not None
    asked = read("a.xlsx", data, now=NOW)
    assert asked.scenario.lines[0].quantity == 40
    assert "heading-guessed" in codes(asked)
    off = changed(first, {"Amount": ""})
    found = read("a.xlsx", data, now=NOW, mappings=(off,))
    assert found.scenario.lines[0].quantity == 1
    assert {i.column for i in found.issues if i.code == "column-not-read"} == {"Amount"}


def test_the_mapping_file_holds_headings_and_nothing_else() -> None:
    data = book({"Intake": "Name | Item\nQuillon Testname | insulin lispro"})
    first = propose(open_book("a.xlsx", data).sheets[0])
    assert first is not None
    text = saved([changed(first, {})]).decode()
    assert "Quillon" not in text
    assert set(json.loads(text)) == {"format", "shapes"}
    assert saved([changed(first, {})]).decode() == text


@settings(max_examples=80, deadline=None, derandomize=True)
@given(st.binary(max_size=200))
def test_any_bytes_as_a_mapping_file(data: bytes) -> None:
    assert loaded(data) == ()


@settings(max_examples=80, deadline=None, derandomize=True)
@given(
    st.recursive(
        st.one_of(st.none(), st.booleans(), st.integers(), st.text(max_size=8)),
        lambda inner: (
            st.lists(inner, max_size=3)
            | st.dictionaries(st.text(max_size=8), inner, max_size=3)
        ),
        max_leaves=12,
    )
)
def test_any_json_as_a_mapping_file(shapes: object) -> None:
    content = {"format": "intake headings 1", "shapes": shapes}
    for one in loaded(json.dumps(content).encode()):
        assert one.confirmed
        assert all(choice.confidence == 1 for choice in one.choices)


def test_headings_that_name_an_item() -> None:
    assert names_item("Insulin?")
    assert names_item("Leche materna (onzas)")
    assert not names_item("Shoe size")
    assert not names_item("Quantity")


def test_forms_do_not_make_room_items_cold() -> None:
    found = reading("Name | Inhaler\nR1 | yes")
    assert [line.gate for line in found.scenario.lines] == [Gate.WITH_PERSON]
