"""The same list in every format, and what the looks of a sheet say."""

import io
from datetime import datetime

import pytest
from openpyxl import Workbook
from openpyxl.styles import Font, PatternFill

from planner.intake import Reading, read, read_pasted
from planner.intake.file_text import read_text
from tests.intake_files import Rows, ods, ods_package, ods_sheet, xls
from tests.workbook_maker import NOW, accounted, at, book, codes, saved

ROWS: Rows = [
    ["Resident", "Item", "Qty", "Exp"],
    ["R1", "insulin lispro", 2, datetime(2026, 8, 2)],
    ["R2", "EBM frozen\nthawed milk 1 bag", None, None],
    [None, None, None, None],
    ["R\u00e9n\u00e9", "latanoprost", 3, None],
]
TEXT = "Resident;Item;Qty\nR\u00e9n\u00e9 Testname;insulin lispro;2\nZo\u00eb Testname;EBM frozen;6\n"


def lines(found: Reading) -> list[tuple[int, str, int]]:
    """Row, kind and count of each line."""
    assert found.scenario is not None, found.issues
    return [(line.row, line.kind_id, line.quantity) for line in found.scenario.lines]


WANTED = [
    (2, "insulin-lispro", 2),
    (3, "human-milk-frozen", 1),
    (3, "human-milk-thawed", 1),
    (5, "latanoprost", 3),
]


def xlsx(rows: Rows) -> bytes:
    """The rows as an .xlsx workbook."""
    made = Workbook()
    sheet = made.active
    sheet.title = "Intake"
    for row in rows:
        sheet.append(list(row))
    return saved(made)


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("a.xlsx", xlsx(ROWS)),
        ("a.xlsm", xlsx(ROWS)),
        ("a.xls", xls({"Intake": ROWS})),
        ("a.ods", ods({"Intake": ROWS})),
    ],
)
def test_one_list_in_every_workbook_format(name: str, data: bytes) -> None:
    found = read(name, data, now=NOW)
    assert lines(found) == WANTED
    assert found.scenario.lines[0].keep_by == datetime(2026, 8, 2, 23, 59)
    assert found.scenario.lines[-1].resident == "R\u00e9n\u00e9"
    assert accounted(found)
    assert ("looks-not-read" in codes(found)) == (name in {"a.xls", "a.ods"})


@pytest.mark.parametrize("mark", [",", ";", "\t", "|"])
def test_one_list_with_every_separator(mark: str) -> None:
    text = TEXT.replace(";", mark)
    found = read("a.csv", text.encode(), now=NOW)
    assert lines(found) == [(2, "insulin-lispro", 2), (3, "human-milk-frozen", 6)]
    assert "coding-guessed" not in codes(found)


@pytest.mark.parametrize(
    ("coding", "guessed"),
    [
        ("utf-8", ""),
        ("utf-8-sig", ""),
        ("utf-16", ""),
        ("utf-16-le", ""),
        ("utf-16-be", ""),
        ("utf-32", ""),
        ("cp1252", "Windows 1252"),
        ("mac-roman", "Mac Roman"),
    ],
)
def test_one_list_in_every_coding(coding: str, guessed: str) -> None:
    found = read("a.csv", TEXT.encode(coding), now=NOW)
    assert [line.resident for line in found.scenario.lines] == [
        "R\u00e9n\u00e9 Testname", "Zo\u00eb Testname",
    ]  # fmt: skip
    asked = [i.message for i in found.issues if i.code == "coding-guessed"]
    assert [guessed in message for message in asked] == ([True] if guessed else [])


def test_a_lone_byte_is_not_taken_for_a_mac() -> None:
    data = "Name;Item\nJos\u00e9;insulin lispro\n".encode("cp1252")
    assert read("a.csv", data, now=NOW).scenario.lines[0].resident == "Jos\u00e9"


def test_commas_inside_a_semicolon_table_do_not_part_it() -> None:
    text = "Item;Notes;Qty\ninsulin lispro;a, b, c, d, e;1,0\nEBM frozen;x, y;2\n"
    assert lines(read("a.csv", text.encode(), now=NOW))[0][1:] == ("insulin-lispro", 1)


def test_an_open_quotation_mark_swallows_no_rows() -> None:
    text = (
        'Resident,Item,Qty\nR1,"insulin lispro,1\nR2,EBM frozen,2\nR3,latanoprost,1\n'
    )
    found = read("a.csv", text.encode(), now=NOW)
    assert [row for row, *_ in lines(found)] == [2, 3, 4]
    assert "quotes-odd" in codes(found)


def test_text_that_calls_itself_xls_is_read_and_a_web_page_is_not() -> None:
    assert lines(read("a.xls", TEXT.replace(";", "\t").encode(), now=NOW))
    page = read("a.xls", b"<html><table><tr><td>Item</td></tr></table>", now=NOW)
    assert {i.code for i in page.issues} == {"file-not-workbook"}


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("Resident\tItem\tQty\nR1\tinsulin lispro\t2", [("R1", "insulin-lispro", 2)]),
        (
            "Anh (cot 3): insulin lispro 2 pens\nBo - EBM frozen 6 bags\n* latanoprost x1",
            [
                ("Anh (cot 3)", "insulin-lispro", 2),
                ("Bo", "human-milk-frozen", 6),
                ("", "latanoprost", 1),
            ],
        ),
        (
            "[12/10/2025, 18:02] Anh: insulin lispro x2\n12.10.25, 18:05 - Bo: adalimumab x1",
            [("Anh", "insulin-lispro", 2), ("Bo", "adalimumab", 1)],
        ),
        (
            "1. insulin lispro 2 pens\n2. adalimumab 1 pen",
            [("", "insulin-lispro", 2), ("", "adalimumab", 1)],
        ),
    ],
)
def test_pasted_text(text: str, wanted: list[tuple[str, str, int]]) -> None:
    found = read_pasted(text, now=NOW)
    got = [(one.resident, one.kind_id, one.quantity) for one in found.scenario.lines]
    assert got == wanted
    assert accounted(found)
    assert ("pasted-list" in codes(found)) == ("\t" not in text)


def test_pasted_talk_without_items_is_refused() -> None:
    found = read_pasted("hello\nhow are you\nwe meet at five", now=NOW)
    assert found.scenario is None
    assert {i.code for i in found.issues} == {"no-intake-sheet"} or codes(found)


def test_a_sheet_without_headings_is_read_by_what_stands_in_it() -> None:
    found = read("a.xlsx", book({"Sat": """
Testname Anh | insulin lispro | 2
Testname Bo | EBM frozen | 6
Testname Cy | latanoprost | 1
"""}), now=NOW)  # fmt: skip
    assert lines(found) == [
        (1, "insulin-lispro", 2), (2, "human-milk-frozen", 6), (3, "latanoprost", 1),
    ]  # fmt: skip
    assert found.scenario.lines[0].resident == "Testname Anh"
    assert "headings-none" in codes(found)


def looked(made: Workbook) -> Reading:
    """Read a workbook made by hand."""
    return read("a.xlsx", saved(made), now=NOW)


def hand_made() -> Workbook:
    """Five rows under headings."""
    made = Workbook()
    sheet = made.active
    sheet.title = "Intake"
    sheet.append(["Resident", "Item", "Quantity", "Temp"])
    for number in range(1, 6):
        sheet.append([f"R{number}", "insulin lispro", 1, "2-8"])
    return made


def test_a_struck_name_is_asked_about() -> None:
    made = hand_made()
    made["Intake"]["A3"].font = Font(strike=True)
    found = looked(made)
    assert at(found, "struck-through") == {("struck-through", 3)}
    assert [line.provisional for line in found.scenario.lines] == [
        False, True, False, False, False,
    ]  # fmt: skip


def test_colours_of_some_rows_are_asked_about_and_bands_are_not() -> None:
    red = PatternFill("solid", fgColor="FFFF0000")
    grey = PatternFill("solid", fgColor="FFEEEEEE")
    made = hand_made()
    made["Intake"]["B4"].fill = red
    found = looked(made)
    (issue,) = [i for i in found.issues if i.code == "colour-not-read"]
    assert (issue.value, "Rows 4 " in issue.message) == ("FFFF0000", True)
    made = hand_made()
    for row in (2, 4, 6):
        made["Intake"][f"B{row}"].fill = grey
    assert "colour-not-read" not in codes(looked(made))


def test_hidden_columns_and_sheets_are_told() -> None:
    made = hand_made()
    made["Intake"].column_dimensions["D"].hidden = True
    assert at(looked(made), "column-hidden") == {("column-hidden", 1)}
    made = hand_made()
    made.create_sheet("Other").append(["x"])
    made["Intake"].sheet_state = "hidden"
    assert "sheet-hidden" in codes(looked(made))


def test_a_merged_name_holds_for_its_rows_and_a_merged_count_does_not() -> None:
    made = Workbook()
    sheet = made.active
    sheet.title = "Intake"
    for row in (
        ["Resident", "Item", "Quantity"],
        ["Testname Anh", "insulin lispro", 4],
        [None, "latanoprost", None],
        ["Testname Bo", "adalimumab", 1],
    ):
        sheet.append(row)
    sheet.merge_cells("A2:A3")
    sheet.merge_cells("C2:C3")
    found = looked(made)
    got = {line.row: (line.resident, line.quantity) for line in found.scenario.lines}
    assert got == {
        2: ("Testname Anh", 4),
        3: ("Testname Anh", 1),
        4: ("Testname Bo", 1),
    }
    assert at(found, "merged-copied", "quantity-assumed") == {
        ("merged-copied", 3), ("quantity-assumed", 3),
    }  # fmt: skip


def test_titles_and_old_sheets_are_left_out_and_told() -> None:
    one = "Sunday list\nName|Med|Qty\nTestname Anh|insulin lispro|2"
    found = read("a.xlsx", book({"OLD do not use": one, "Sun": one}), now=NOW)
    assert [line.sheet for line in found.scenario.lines] == ["Sun"]
    assert {i.sheet for i in found.issues if i.code == "sheet-old"} == {
        "OLD do not use"
    }
    assert {i.sheet for i in found.issues if i.code == "title-rows"} == {"Sun"}


def test_sheets_of_different_people_are_one_list() -> None:
    found = read("a.xlsx", book({
        "Block A": "Name|Med|Qty\nTestname Anh|insulin lispro|2",
        "Block B": "Name|Med|Qty\nTestname Bo|insulin lispro|3",
    }), now=NOW)  # fmt: skip
    assert [(line.sheet, line.row) for line in found.scenario.lines] == [
        ("Block A", 2), ("Block B", 2),
    ]  # fmt: skip
    assert found.scenario.rows_in == 2
    assert "sheets-joined" in codes(found)


def test_sheets_that_repeat_people_are_asked_about() -> None:
    found = read("a.xlsx", book({
        "Sat": "Name|Med|Qty\nTestname Anh|insulin lispro|2",
        "Sun": "Name|Med|Qty\nTESTNAME, ANH|insulin lispro|3",
    }), now=NOW)  # fmt: skip
    assert found.scenario is None
    assert "several-intake-sheets" in codes(found)


def test_macros_are_ignored() -> None:
    made = io.BytesIO(xlsx(ROWS))
    import zipfile

    with zipfile.ZipFile(made, "a") as packed:
        packed.writestr("xl/vbaProject.bin", b"\xd0\xcf\x11\xe0 not read")
    assert lines(read("a.xlsm", made.getvalue(), now=NOW)) == WANTED


def test_an_ods_file_with_a_password_is_told() -> None:
    locked = ods_package("<x/>", '<manifest><encryption-data checksum=""/></manifest>')
    assert codes(read("a.ods", locked, now=NOW)) == {"file-locked"}


@pytest.mark.parametrize(
    ("table", "code"),
    [
        (('<table:table-row table:number-rows-repeated="1048576"><table:table-cell '
         'office:value-type="string"><text:p>x</text:p></table:table-cell>'
         "</table:table-row>"), "too-many-rows"),
        (('<table:table-row table:number-rows-repeated="1048575"><table:table-cell/>'
         '</table:table-row><table:table-row><table:table-cell office:value-type='
         '"string"><text:p>x</text:p></table:table-cell></table:table-row>'),
         "too-many-rows"),
        (('<table:table-row table:number-rows-repeated="9999"><table:table-cell '
         'table:number-columns-repeated="16384" office:value-type="string"><text:p>x'
         "</text:p></table:table-cell></table:table-row>"), "file-unpacks-too-big"),
    ],
)  # fmt: skip
def test_ods_rows_that_repeat_without_end(table: str, code: str) -> None:
    assert codes(read("a.ods", ods_sheet(table), now=NOW)) == {code}


def test_an_xls_cell_in_the_last_corner_is_refused() -> None:
    far: list[list[object]] = [["Item"], *([[None]] * 65_534), [*([None] * 255), "x"]]
    assert codes(read("a.xls", xls({"Intake": far}), now=NOW)) == {
        "file-unpacks-too-big"
    }


def test_text_without_letters_beyond_ascii_needs_no_guess() -> None:
    assert read_text("a.csv", b"Item\ninsulin lispro").sheets[0].remarks == ()


@pytest.mark.parametrize("mark", [",", "\t", "|", ";"])
def test_several_items_in_one_cell_do_not_part_a_short_list(mark: str) -> None:
    inside = "," if mark == ";" else ";"
    text = "\n".join(
        mark.join(cells)
        for cells in (
            ("Name", "Item"),
            ("R1", f"insulin lispro{inside} adalimumab{inside} tirzepatide"),
            ("R2", "teriparatide"),
        )
    )
    (sheet,) = read_text("list.csv", text.encode()).sheets
    assert [len(row.cells) for row in sheet.rows] == [2, 2, 2]
