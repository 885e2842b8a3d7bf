"""Blank workbook, generated documents, headings, issue catalogue, codes."""

import io
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import load_workbook

from planner.intake import blank_workbook, read
from planner.intake.codes import SIGNS, assign_codes, check_sign, is_code, make_code
from planner.intake.columns import match_columns
from planner.intake.docs import issues_markdown, with_tables
from planner.intake.heading_names import ALSO_CALLED
from planner.intake.headings import SHEETS, SheetSpec
from planner.intake.issue_kinds import ISSUE_KINDS
from planner.intake.open_file import open_book
from planner.intake.settings import SETTINGS, setting_names
from planner.intake.table import find_table
from planner.intake.words import key
from tests.workbook_maker import NOW, codes, stops

ROOT = Path(__file__).parent.parent


def test_blank_workbook_is_the_same_bytes_each_time() -> None:
    assert blank_workbook() == blank_workbook()


def test_blank_workbook_reads_with_nothing_wrong_but_no_rows() -> None:
    found = read("blank.xlsx", blank_workbook(), now=NOW)
    assert found.scenario is None
    assert stops(found) == {"no-intake-rows"}
    assert codes(found) == {"no-intake-rows", "start-assumed", "default-used"}


@pytest.mark.parametrize("spec", SHEETS, ids=lambda spec: spec.name)
def test_blank_workbook_headings_are_all_recognised(spec: SheetSpec) -> None:
    sheets = {
        sheet.name: sheet for sheet in open_book("b.xlsx", blank_workbook()).sheets
    }
    header = sheets[spec.name].rows[0]
    found = match_columns(header, spec)
    wanted = [field.key for field in spec.fields if not field.extra]
    assert list(found) == wanted
    assert [cell.text for cell in header.cells] == [
        found[name].typed for name in wanted
    ]
    assert find_table(sheets[spec.name], spec) is not None


def test_blank_workbook_filled_in_is_planned() -> None:
    made = load_workbook(io.BytesIO(blank_workbook()))
    sheet = made["Intake"]
    headings = {cell.value: cell.column for cell in sheet[1]}
    sheet.cell(row=2, column=headings["Item"], value="insulin lispro")
    sheet.cell(row=2, column=headings["Keep from (C)"], value="2")
    sheet.cell(row=2, column=headings["Keep to (C)"], value="8")
    out = io.BytesIO()
    made.save(out)
    found = read("b.xlsx", out.getvalue(), now=NOW)
    assert [line.kind_id for line in found.scenario.lines] == ["insulin-lispro"]


def test_blank_workbook_lists_and_frozen_headings() -> None:
    made = load_workbook(io.BytesIO(blank_workbook()))
    for spec in SHEETS:
        sheet = made[spec.name]
        assert sheet.freeze_panes == "A2"
        listed = sum(
            1
            for field in spec.fields
            if not field.extra and (field.choices or field.dimension == "yes/no")
        )
        assert len(sheet.data_validations.dataValidation) == listed
        for column, field in enumerate(
            (field for field in spec.fields if not field.extra), start=1
        ):
            assert sheet.cell(row=1, column=column).comment is not None, field.heading


def test_conditions_sheet_lists_every_setting() -> None:
    made = load_workbook(io.BytesIO(blank_workbook()))
    shown = [row[0].value for row in made["Conditions"].iter_rows(min_row=2)]
    assert [name for name in shown if name] == [field.heading for field in SETTINGS]


def test_generated_documents_are_fresh() -> None:
    text = (ROOT / "docs" / "workbook.md").read_text(encoding="utf-8")
    again = "python -m planner.intake.docs docs"
    assert with_tables(text) == text, again
    issues = (ROOT / "docs" / "issues.md").read_text(encoding="utf-8")
    assert issues == issues_markdown(), again


def test_every_issue_code_is_used_and_every_used_code_is_known() -> None:
    sources = {
        path.name: path.read_text(encoding="utf-8")
        for path in (ROOT / "planner" / "intake").glob("*.py")
    }
    kinds = "".join(
        sources.pop(f"issue_texts_{grade}.py") for grade in ("grave", "light")
    )
    text = "\n".join(sources.values())
    used = set(re.findall(r'"([a-z]+(?:-[a-z0-9]+)+)"', text))
    assert ISSUE_KINDS.keys() <= used, ISSUE_KINDS.keys() - used
    said = set(re.findall(r'(?:say|add)\(\s*"([a-z-]+)"', text))
    assert said <= ISSUE_KINDS.keys()
    assert len(re.findall(r'^    \(\s*"([a-z-]+)",', kinds, re.M)) == len(ISSUE_KINDS)


def test_every_issue_code_of_any_room_is_documented() -> None:
    page = (ROOT / "docs" / "issues.md").read_text(encoding="utf-8")
    documented = set(re.findall(r"^\| `([a-z-]+)` \|", page, re.M))
    assert documented >= ISSUE_KINDS.keys()
    made = set()
    for path in (ROOT / "planner").rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        if re.search(r"\bIssue\(", text):
            made |= set(re.findall(r'\bcode\s*=\s*"([a-z-]+)"', text))
    assert made >= {"edit-not-usable", "edit-loan-over"}
    assert made <= documented, made - documented


def test_issue_sentences_are_whole() -> None:
    for kind in ISSUE_KINDS.values():
        assert kind.message.endswith("."), kind.code
        assert kind.remedy.endswith("."), kind.code
        assert "'s not" not in kind.message


def test_no_heading_names_two_columns_of_a_sheet() -> None:
    for spec in SHEETS:
        owner: dict[str, str] = {}
        for field in spec.fields:
            own = [field.heading, field.heading.split(" (")[0]]
            others = ALSO_CALLED[spec.name].get(field.key, "").split("|")
            for name in (*own, *others):
                if key(name):
                    assert owner.setdefault(key(name), field.key) == field.key, name
        assert ALSO_CALLED[spec.name].keys() <= {field.key for field in spec.fields}


def test_no_setting_goes_by_the_name_of_another() -> None:
    names = setting_names()
    for setting in SETTINGS:
        assert names[key(setting.heading)] is setting
        assert names[key(setting.heading.split(" (")[0])] is setting


def test_codes_leave_out_signs_that_look_alike() -> None:
    assert set("0O1IL2Z5S8BEGQW").isdisjoint(SIGNS)


@given(st.text(max_size=20))
def test_codes_are_well_formed(secret: str) -> None:
    assert is_code(make_code(secret))


@given(st.text(max_size=20), st.integers(0, 4), st.sampled_from(SIGNS))
def test_one_wrong_sign_is_noticed(secret: str, at: int, sign: str) -> None:
    body = make_code(secret).replace("-", "")[:-1]
    wrong = body[:at] + sign + body[at + 1 :]
    assert (check_sign(wrong) == check_sign(body)) == (wrong == body)


@given(st.text(max_size=20), st.integers(0, 3))
def test_two_swapped_signs_are_noticed(secret: str, at: int) -> None:
    body = make_code(secret).replace("-", "")[:-1]
    swapped = body[:at] + body[at + 1] + body[at] + body[at + 2 :]
    assert (check_sign(swapped) == check_sign(body)) == (swapped == body)


def test_codes_do_not_depend_on_order_and_never_clash() -> None:
    people = [f"person {number}" for number in range(3000)]
    codes_ = assign_codes(people)
    assert codes_ == assign_codes(reversed(people))
    assert len(set(codes_.values())) == len(people)


def test_a_code_typed_in_the_sheet_is_kept() -> None:
    code = make_code("somebody")
    assert assign_codes([code, "x"])[code] == code
    assert not is_code(code[:-1] + ("A" if code[-1] != "A" else "C"))
