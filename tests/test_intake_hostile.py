"""Files that are no workbook, or a harmful one: always a stop, never a crash."""

import io
import warnings
import zipfile
from datetime import datetime

import pytest
from openpyxl import Workbook
from openpyxl.styles import Font

from planner.intake import Reading, read
from planner.intake import cells as raw_cells
from planner.intake.review import review_queue
from tests.workbook_maker import CONDITIONS, NOW, at, book, codes, saved, stops

GOOD = book({"Intake": "Resident|Item|Quantity\nR1|insulin lispro|1"})
OLE = bytes.fromhex("d0cf11e0a1b11ae1")


def refused(data: bytes, name: str = "list.xlsx") -> set[str]:
    """Stop codes of bytes that must give no scenario."""
    found = read(name, data, now=NOW)
    assert found.scenario is None
    assert stops(found)
    assert all(issue.remedy for issue in found.issues)
    return stops(found)


def repacked(data: bytes, change: dict[str, bytes], *, level: int = 8) -> bytes:
    """The same package with some parts replaced or added."""
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(data)) as source,
        zipfile.ZipFile(out, "w", level) as target,
    ):
        for name in source.namelist():
            target.writestr(name, change.get(name, source.read(name)))
        for name in change.keys() - set(source.namelist()):
            target.writestr(name, change[name])
    return out.getvalue()


def part(data: bytes, name: str) -> bytes:
    """One part of a package."""
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        return packed.read(name)


SHEET = "xl/worksheets/sheet1.xml"


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "file-empty"),
        (b"hello", "file-not-workbook"),
        (b"%PDF-1.7 something", "file-not-workbook"),
        (b"\x89PNG\r\n\x1a\n", "file-not-workbook"),
        (b"PK\x03\x04 not really", "file-damaged"),
        (GOOD[: len(GOOD) // 2], "file-damaged"),
        (OLE + b"\0" * 600, "file-not-workbook"),
        (OLE + "EncryptedPackage".encode("utf-16-le") + b"\0" * 600, "file-locked"),
        (b"\0" * 5000, "file-not-workbook"),
    ],
)
def test_files_that_are_no_workbook(data: bytes, code: str) -> None:
    assert refused(data) == {code}


def test_other_packages_are_told_apart() -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        packed.writestr("readme.txt", "hello")
    assert refused(out.getvalue()) == {"file-not-workbook"}
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        packed.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        packed.writestr("content.xml", "<x/>")
    assert refused(out.getvalue(), "list.ods") == {"file-damaged"}
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        packed.writestr("xl/workbook.bin", b"\0")
    assert refused(out.getvalue(), "list.xlsb") == {"file-old-format"}


def test_an_empty_workbook() -> None:
    assert refused(saved(Workbook())) == {"file-no-rows"}


def test_a_too_big_file(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(raw_cells, "MAX_FILE_BYTES", len(GOOD) - 1)
    assert refused(GOOD) == {"file-too-big"}


def test_a_package_that_unpacks_to_a_thousandfold() -> None:
    bomb = repacked(GOOD, {"xl/bomb.xml": b"<a>" + b" " * 30_000_000 + b"</a>"})
    assert len(bomb) < 100_000
    assert refused(bomb) == {"file-unpacks-too-big"}


def test_a_package_with_too_many_parts() -> None:
    many = {f"xl/p{at}.xml": b"<a/>" for at in range(raw_cells.MAX_PARTS + 1)}
    assert refused(repacked(GOOD, many)) == {"file-unpacks-too-big"}


@pytest.mark.parametrize("coding", ["utf-8", "utf-16-le"])
def test_entity_definitions_are_refused(coding: str) -> None:
    lol = (
        '<?xml version="1.0"?><!DOCTYPE lolz [<!ENTITY lol "lol">'
        '<!ENTITY lol2 "&lol;&lol;&lol;">]><worksheet>&lol2;</worksheet>'
    )
    assert refused(repacked(GOOD, {SHEET: lol.encode(coding)})) == {"file-unsafe"}


def test_broken_sheet_xml() -> None:
    broken = part(GOOD, SHEET)[:-40]
    assert refused(repacked(GOOD, {SHEET: broken})) == {"file-damaged"}


def test_a_million_rows() -> None:
    row = b'<row><c t="n"><v>1</v></c></row>'
    head = part(GOOD, SHEET).split(b"<sheetData>")[0]
    rows = b"<sheetData>" + row * 1_000_000 + b"</sheetData></worksheet>"
    data = repacked(GOOD, {SHEET: head + rows})
    assert refused(data) <= {"too-many-rows", "file-unpacks-too-big"}


def test_one_row_too_many(monkeypatch: pytest.MonkeyPatch) -> None:
    three = book({"Intake": "Item\ninsulin lispro\nadalimumab"})
    monkeypatch.setattr(raw_cells, "MAX_ROWS", 3)
    assert read("a.xlsx", three, now=NOW).scenario is not None
    monkeypatch.setattr(raw_cells, "MAX_ROWS", 2)
    assert refused(three) == {"too-many-rows"}


def test_a_stray_cell_far_below() -> None:
    made = Workbook()
    sheet = made.active
    sheet.title = "Intake"
    sheet.append(["Item"])
    sheet.append(["insulin lispro"])
    sheet.cell(row=150_000, column=1, value="adalimumab")
    found = read("a.xlsx", saved(made), now=NOW)
    assert [line.row for line in found.scenario.lines] == [2, 150_000]
    sheet.cell(row=1_048_576, column=16_384, value="x")
    assert refused(saved(made)) == {"too-many-rows"}


def test_missing_item_column() -> None:
    assert refused(book({"Intake": "Resident|Quantity\nR1|1"})) == {"no-header"}


def test_headings_without_rows() -> None:
    assert refused(book({"Intake": "Resident|Item"})) == {"no-intake-rows"}


def test_heading_row_up_to_row_12() -> None:
    blank = "\n".join(["title"] * 11)
    found = read("a.xlsx", book({"x": f"{blank}\nItem\ninsulin lispro"}), now=NOW)
    assert [line.row for line in found.scenario.lines] == [13]
    assert refused(book({"x": f"title\n{blank}\nItem\ninsulin lispro"})) == {
        "no-intake-sheet"
    }


def test_the_only_sheet_is_taken_whatever_its_name() -> None:
    found = read("a.xlsx", book({"Sat night": "Med|Qty\ninsulin lispro|2"}), now=NOW)
    assert found.scenario.lines[0].quantity == 2
    assert "sheet-taken" in codes(found)


def test_two_likely_sheets_are_asked_about() -> None:
    one = "Med|Qty\ninsulin lispro|2"
    assert refused(book({"Sat": one, "Sun": one})) == {"several-intake-sheets"}
    found = read("a.xlsx", book({"Sat": one, "Intake": one}), now=NOW)
    assert {i.sheet for i in found.issues if i.code == "sheet-not-read"} == {"Sat"}


def test_formulas_give_their_saved_value_or_are_told() -> None:
    made = Workbook()
    sheet = made.active
    sheet.title = "Intake"
    sheet.append(["Item", "Quantity"])
    sheet.append(["insulin lispro", "=1+1"])
    sheet.append(['="adali"&"mumab"', 1])
    data = saved(made)  # the writer saves no values
    found = read("a.xlsx", data, now=NOW)
    assert at(found, "formula-no-value") == {
        ("formula-no-value", 2),
        ("formula-no-value", 3),
    }
    assert found.scenario.lines[0].quantity == 1
    assert [h.row for h in found.scenario.held_rows] == [3]
    # A quantity may be right as it was assumed, a row without an item never is.
    right = {
        one.issue.row: "Right as it is" in [answer.label for answer in one.answers]
        for one in review_queue(found)
        if one.issue.code == "formula-no-value"
    }
    assert right == {2: True, 3: False}
    cached = part(data, SHEET).replace(b"<f>1+1</f><v />", b"<f>1+1</f><v>2</v>")
    cached = cached.replace(b"<f>1+1</f><v></v>", b"<f>1+1</f><v>2</v>")
    assert cached != part(data, SHEET)
    found = read("a.xlsx", repacked(data, {SHEET: cached}), now=NOW)
    assert found.scenario.lines[0].quantity == 2


def test_external_links_are_not_followed() -> None:
    made = Workbook()
    sheet = made.active
    sheet.title = "Intake"
    sheet.append(["Item", "Quantity"])
    sheet.append(["insulin lispro", "='[http://invalid.invalid/x.xlsx]S'!A1"])
    found = read("a.xlsx", saved(made), now=NOW)
    assert at(found, "formula-no-value") == {("formula-no-value", 2)}


def test_struck_and_hidden_rows_are_told() -> None:
    made = Workbook()
    sheet = made.active
    sheet.title = "Intake"
    sheet.append(["Item", "Quantity"])
    for _ in range(3):
        sheet.append(["insulin lispro", 1])
    sheet["A2"].font = Font(strike=True)
    sheet.row_dimensions[3].hidden = True
    found = read("a.xlsx", saved(made), now=NOW)
    assert at(found, "struck-through", "row-hidden") == {
        ("struck-through", 2),
        ("row-hidden", 3),
    }
    assert [line.provisional for line in found.scenario.lines] == [True, False, False]


def test_long_texts_are_cut() -> None:
    long = "insulin lispro " + "x" * 40_000
    found = read("a.csv", f"Item,Quantity\n{long},1\n".encode(), now=NOW)
    assert "text-cut" in codes(found)
    assert len(found.scenario.lines[0].item_text) <= raw_cells.MAX_TEXT


def test_odd_numbers_in_cells() -> None:
    sheet = part(GOOD, SHEET)
    damaged = repacked(GOOD, {SHEET: sheet.replace(b"<v>1</v>", b"<v>NaN</v>")})
    assert refused(damaged) == {"file-damaged"}
    for odd in (b"1e999", b"-1e999", b"99999999999999999999999999"):
        changed = sheet.replace(b"<v>1</v>", b"<v>" + odd + b"</v>")
        assert changed != sheet
        found = read("a.xlsx", repacked(GOOD, {SHEET: changed}), now=NOW)
        assert found.scenario.lines[0].quantity == 1
        assert codes(found) & {"number-not-usable", "number-out-of-range"}


def test_formula_like_text_is_only_text() -> None:
    found = read("a.csv", b"Resident,Item,Quantity\n=1+1,@insulin lispro,1\n", now=NOW)
    assert found.scenario.lines[0].item_text == "@insulin lispro"
    assert found.scenario.lines[0].resident == "=1+1"


@pytest.mark.parametrize(
    "data",
    [
        b"Name,Item,Qty\nR1,insulin lispro,2\n",
        b"Name;Item;Qty\nR1;insulin lispro;2\n",
        b"Name\tItem\tQty\nR1\tinsulin lispro\t2\n",
        "Näme;Item;Qty\nÄnn;insulin lispro;2\n".encode("cp1252"),
        "\ufeffName,Item,Qty\nR1,insulin lispro,2\n".encode(),
        "Name\tItem\tQty\nR1\tinsulin lispro\t2\n".encode("utf-16"),
        b'Name,Item,Qty\n"R1, Jr","insulin lispro",2\n',
    ],
)
def test_text_tables(data: bytes) -> None:
    found = read("list.CSV", data, now=NOW)
    assert found.scenario.lines[0].quantity == 2
    assert found.scenario.rows_in == 1


@pytest.mark.parametrize("data", [b"\x00\x01\x02", b"\n\n", b"\xff\xfe\x00"])
def test_text_tables_that_are_none(data: bytes) -> None:
    assert refused(data, "list.csv") <= {"file-not-workbook", "file-no-rows"}


KIT = {"Batteries": "Battery|Capacity (Wh)|Charge now (%)\nB1|500|80"}


def second(equipment: bytes, intake: bytes = GOOD) -> Reading:
    """Read an intake list with a second workbook."""
    return read("a.xlsx", intake, now=NOW, equipment=("kit.xlsx", equipment))


def test_equipment_from_a_second_workbook() -> None:
    found = second(book(KIT | {"Conditions": CONDITIONS}))
    assert [b.name for b in found.scenario.batteries] == ["B1"]
    assert found.scenario.conditions.start == datetime(2025, 10, 13, 8)


def test_equipment_in_both_workbooks_is_not_added_up() -> None:
    both = book({"Intake": "Item\ninsulin lispro"} | KIT)
    found = second(book({"Batteries": "Battery|Capacity (Wh)\nB2|900"}), both)
    assert [b.name for b in found.scenario.batteries] == ["B1"]
    assert "equipment-twice" in codes(found)


def test_an_empty_equipment_sheet_does_not_hide_the_second_workbook() -> None:
    both = book(
        {"Intake": "Item\ninsulin lispro", "Batteries": "Battery|Capacity (Wh)"}
    )
    found = second(book(KIT), both)
    assert [b.name for b in found.scenario.batteries] == ["B1"]


def test_a_broken_equipment_workbook_stops_the_plan() -> None:
    found = second(b"hello")
    assert found.scenario is None
    assert stops(found) == {"file-not-workbook"}


def test_no_warning_escapes() -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        read("a.xlsx", GOOD, now=NOW)


def test_a_fault_of_ours_is_told_and_not_raised(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr("planner.intake.reader.read_intake", broken)
    found = read("a.xlsx", GOOD, now=NOW)
    assert found.scenario is None
    assert {(i.code, i.value) for i in found.issues if i.code == "reading-failed"} == {
        ("reading-failed", "ZeroDivisionError")
    }
