"""The plan workbook: sheets, print set-up, safe text, the same bytes twice."""

import io
import time
import zipfile
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import openpyxl
import pytest

from planner.output import tables, tables_power, tables_records
from planner.output.workbook import plan_mark, plan_workbook
from planner.result import ReasonFamily
from tests import plan_fixture

SHEETS = [
    "Summary", "Assignments", "Units", "Hookup", "Shortfalls",
    "Room temperature clocks", "Borrow first", "Tiers and proof", "Hour by hour",
    "Row accounting", "Assumptions", "Cautions",
]  # fmt: skip


def opened(plan):
    return openpyxl.load_workbook(io.BytesIO(plan_workbook(plan)))


@pytest.fixture(scope="module")
def book():
    return opened(plan_fixture.plan())


def cells(book):
    for page in book.worksheets:
        for row in page.iter_rows():
            yield from row


def texts(page, column=1):
    return [
        page.cell(row=row, column=column).value for row in range(1, page.max_row + 1)
    ]


def test_one_sheet_a_question_in_order(book):
    assert book.sheetnames == SHEETS


def test_summary_has_the_three_answers(book):
    lines = texts(book["Summary"])
    assert "1. Who is short: 3 bags, most urgent first" in lines
    assert "2. What goes dark when" in lines
    assert "3. What to borrow first" in lines
    dark = next(line for line in lines if line.startswith("North fridge"))
    assert "no sun DARK from Tue 16:00" in dark
    assert any("1. Lent fridge from Depot" in line for line in lines)


@pytest.mark.parametrize("name", SHEETS[1:])
def test_tables_are_frozen_filtered_and_printable(book, name):
    page = book[name]
    assert page.freeze_panes == "A4"
    assert page.auto_filter.ref.startswith("A3:")
    assert page.print_title_rows == "$1:$3"


@pytest.mark.parametrize("name", SHEETS)
def test_print_set_up(book, name):
    page = book[name]
    assert page.page_setup.orientation == "landscape"
    assert page.page_setup.fitToWidth == 1
    assert page.page_setup.fitToHeight == 0
    assert page.sheet_properties.pageSetUpPr.fitToPage
    assert page.oddFooter.right.text == "Page &P of &N"
    assert "Codes, not names" in page.oddFooter.left.text
    assert "Mon 13 Oct 2025 08:00" in page.oddHeader.left.text


def test_tables_hold_what_the_frames_hold(book):
    plan = plan_fixture.plan()
    for name, table in (
        ("Assignments", tables.assignments(plan)),
        ("Shortfalls", tables.shortfalls(plan)),
        ("Hookup", tables_power.hookups(plan)),
        ("Row accounting", tables_records.row_accounts(plan)),
    ):
        page = book[name]
        assert [cell.value for cell in page[3]] == list(table.columns)
        for row, values in enumerate(table.itertuples(index=False), start=4):
            blank = [None if str(one) in {"", "<NA>", "nan"} else one for one in values]
            assert [cell.value for cell in page[row]] == blank


def test_an_empty_table_says_none():
    page = opened(plan_fixture.plan(shortfalls=()))["Shortfalls"]
    assert page["A4"].value == "none"


def test_columns_are_wide_enough_for_their_short_texts(book):
    page = book["Assignments"]
    code = next(cell.column_letter for cell in page[3] if cell.value == "Code")
    assert 6 <= page.column_dimensions[code].width <= 60


def test_marks_are_words(book):
    rules = {
        rule.text
        for name in ("Units", "Assignments", "Shortfalls")
        for ranges in book[name].conditional_formatting
        for rule in ranges.rules
    }
    assert {"DARK", "NEVER FREEZE", "not known"} <= rules
    assert "NEVER FREEZE" in texts(book["Assignments"], column=10)


def test_no_names(book):
    with zipfile.ZipFile(io.BytesIO(plan_workbook(plan_fixture.plan()))) as archive:
        content = b"".join(archive.read(name) for name in archive.namelist())
    assert plan_fixture.RESIDENT.encode() not in content
    assert b"Sentinel" not in content
    assert b"K-2" in content


@pytest.mark.parametrize("hostile", plan_fixture.HOSTILE)
def test_hostile_text_is_neither_formula_nor_error(hostile):
    for cell in cells(opened(plan_fixture.hostile_plan(hostile))):
        assert cell.data_type in {"s", "n"}, (cell.coordinate, cell.value)
        if isinstance(cell.value, str):
            assert cell.value[:1] not in set("=+-@\t\r\n")
            assert len(cell.value) < 32767


@pytest.mark.parametrize("hostile", ["#N/A", "#REF!", "TRUE", "1e5", "007", "1/2"])
def test_text_that_looks_like_a_value_stays_text(hostile):
    page = opened(plan_fixture.hostile_plan(hostile))["Hookup"]
    assert page["C4"].value == hostile
    assert page["C4"].data_type == "s"


def test_same_bytes_seconds_apart(monkeypatch):
    first = plan_workbook(plan_fixture.plan())
    time.sleep(2.1)  # archives count time in steps of two seconds
    assert plan_workbook(plan_fixture.plan()) == first
    monkeypatch.setattr(time, "time", lambda: 2_000_000_000.0)
    assert plan_workbook(plan_fixture.plan()) == first


def test_dates_in_the_file_are_the_plans_start():
    data = plan_workbook(plan_fixture.plan())
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        entries = archive.infolist()
        core = archive.read("docProps/core.xml").decode()
    assert {entry.date_time for entry in entries} == {(2025, 10, 13, 8, 0, 0)}
    names = [entry.filename for entry in entries]
    assert names[0] == "[Content_Types].xml"
    assert names[1:] == sorted(names[1:])
    assert core.count("2025-10-13T08:00:00Z") == 2
    assert str(datetime.now().year) not in core or datetime.now().year == 2025


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        # Ours is written so that no spreadsheet takes it for a formula.
        ("-25 to -15 C", "minus 25 to minus 15 C / minus 13 to 5 F"),
        # What is no amount of ours is neutralised as ever.
        ("-1+cmd", "'-1+cmd"),
    ],
)
def test_a_band_below_zero_needs_no_apostrophe(value, shown):
    plan = plan_fixture.plan()
    band = replace(plan_fixture.BAND, field="keep_c", value=value)
    page = opened(replace(plan, assumptions=(band,)))["Assumptions"]
    assert shown in texts(page, column=2)


def test_a_start_the_archive_cannot_date_is_no_fault():
    plan = plan_fixture.plan()
    conditions = replace(plan.scenario.conditions, start=datetime(1970, 1, 1, 8, 0))
    old = replace(plan, scenario=replace(plan.scenario, conditions=conditions))
    assert opened(old).sheetnames == SHEETS


def test_another_plan_has_another_mark():
    plan = plan_fixture.plan()
    mark = plan_mark(plan)
    assert len(mark) == 5
    assert mark == plan_mark(plan_fixture.plan())
    assert mark != plan_mark(plan_fixture.plan(placements=plan.placements[:1]))
    assert not set(mark) & set("IO01B8S5Z2")


def test_every_sheet_is_explained():
    page = Path(__file__).parents[1] / "docs" / "reading-a-plan.md"
    text = page.read_text(encoding="utf-8")
    for name in SHEETS:
        assert f"| {name} |" in text
    for family in ReasonFamily:
        assert f"| {family.value} |" in text
