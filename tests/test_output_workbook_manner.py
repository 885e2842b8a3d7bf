"""The plan as a workbook, in the language, measures and clock that were chosen."""

import io
import re

import openpyxl
import pytest

from planner.inforce import read_in_force
from planner.output.manner import PLAIN, Manner
from planner.output.plan_json import plan_to_json
from planner.output.wording import Language
from planner.output.words import Clock, Units
from planner.output.workbook import plan_workbook
from planner.result import Plan
from tests import plan_fixture
from tests.screen_driver import scarce_book
from tests.test_output_lone_amounts import lone
from tests.test_output_workbook import SHEETS
from tests.test_screens_spanish import (
    ENGLISH,
    MADE_BY_HAND,
    OTHERS_FIELDS,
    sources,
    written_by_others,
)

SPANISH = Manner(language=Language.ES)
US = Manner(units=Units.US, clock=Clock.H12)
PLAN = plan_fixture.plan(moves=plan_fixture.moves())


def cells(plan: Plan, how: Manner) -> list[tuple[str, str]]:
    """Every text of the workbook, with the sheet it stands on."""
    book = openpyxl.load_workbook(io.BytesIO(plan_workbook(plan, how)))
    return [
        (page.title, cell.value)
        for page in book.worksheets
        for row in page.iter_rows()
        for cell in row
        if isinstance(cell.value, str)
    ]


def bare(text: str, plan: Plan) -> str:
    """Text without what the site and the sources wrote."""
    names = OTHERS_FIELDS | MADE_BY_HAND
    known = {*sources(), *written_by_others(plan, names=names)}
    for one in sorted(known, key=len, reverse=True):
        if len(one) > 2:
            text = text.replace(one, "")
    return text


@pytest.fixture(scope="module")
def real() -> Plan:
    from datetime import datetime

    from planner.pipeline import make_plan, read_files

    reading = read_files("list.xlsx", scarce_book(), now=datetime(2025, 10, 13, 7, 12))
    assert reading.scenario is not None
    return make_plan(reading.scenario)


def test_sheets_have_spanish_names_that_a_spreadsheet_takes() -> None:
    book = openpyxl.load_workbook(io.BytesIO(plan_workbook(PLAN, SPANISH)))
    assert len(book.sheetnames) == len(SHEETS) + 1
    assert not set(book.sheetnames) & set(SHEETS)
    assert all(
        len(one) <= 31 and not set(one) & set("[]:*?/\\") for one in book.sheetnames
    )
    page = book.worksheets[1]
    assert page.oddFooter.right.text == "Página &P de &N"


@pytest.mark.parametrize("which", ["fixture", "real"])
def test_no_english_is_left_in_a_spanish_workbook(which: str, real: Plan) -> None:
    plan = PLAN if which == "fixture" else real
    left = [
        (sheet, text)
        for sheet, text in cells(plan, SPANISH)
        if ENGLISH.search(bare(text, plan))
    ]
    assert left == []


def test_us_measures_stand_first_and_none_alone(real: Plan) -> None:
    said = cells(real, US)
    texts = [text for _, text in said]
    assert any("46 F (2 to 8 C)" in one for one in texts)
    assert "Packed (qt)" in texts
    assert "Packed (L)" not in texts
    assert any(re.search(r"\d [ap]m\b", one) for one in texts)
    alone = [
        text for sheet, text in said
        if sheet not in {"Assumptions"} and lone(bare(text, real))
    ]  # fmt: skip
    assert alone == []


def test_litres_become_quarts() -> None:
    def packed(how: Manner) -> list[float]:
        page = openpyxl.load_workbook(io.BytesIO(plan_workbook(PLAN, how)))["Units"]
        rows = list(page.iter_rows(values_only=True))
        heading = next(
            n for n, row in enumerate(rows) if str(row[2]).startswith("Packed")
        )
        return [row[2] for row in rows[heading + 1 :]]

    litres, quarts = packed(PLAIN), packed(US)
    assert litres
    # A litre has 1.0566882 liquid quarts (NIST Handbook 44, appendix C).
    assert quarts == pytest.approx([one * 1.0566882 for one in litres], abs=0.006)


def test_words_that_are_set_off_are_those_of_the_language() -> None:
    book = openpyxl.load_workbook(io.BytesIO(plan_workbook(PLAN, SPANISH)))
    marks = {
        rule.text
        for page in book.worksheets
        for found in page.conditional_formatting
        for rule in found.rules
    }
    assert {"NUNCA CONGELAR", "SIN ENERGÍA", "EN EL MÍNIMO", "no confirmado"} <= marks


def test_the_same_plan_gives_the_same_bytes_in_each_manner() -> None:
    assert plan_workbook(PLAN, SPANISH) == plan_workbook(PLAN, SPANISH)
    assert plan_workbook(PLAN, PLAIN) == plan_workbook(PLAN)


def test_the_plan_for_programs_is_read_back_whatever_the_language(real: Plan) -> None:
    # The workbook is for people; plan.json is what is read back, and has no language.
    before = plan_to_json(real)
    plan_workbook(real, SPANISH)
    assert plan_to_json(real) == before
    found = read_in_force(before.encode(), real.scenario)
    assert found.in_force is not None
    assert found.issues == ()
