"""``every_fault.xlsx`` raises each issue that one workbook can carry."""

import io
from datetime import datetime

from openpyxl import load_workbook

from planner.intake import read
from planner.intake.issue_kinds import ISSUE_KINDS
from planner.issue import Severity
from tests.intake_lines import item_lines
from tests.make_samples import FOLDER
from tests.sample_book import book_bytes

NAME = "every_fault.xlsx"
NOW = datetime(2026, 7, 14, 6, 30)
NEEDS_ANOTHER_FILE = {
    "equipment-twice": "only two workbooks can both have a sheet",
    "start-assumed": "the sample gives a start, to show how it is rounded",
}
"""Codes that cannot stand in the sample, and why; each has its own test."""
OWN_TESTS = {
    "maybe-pet", "part-left", "storage-word-unclear",
    "coding-guessed", "colour-not-read", "column-hidden", "column-misfit",
    "heading-guessed",
    "headings-none", "item-columns", "looks-not-read", "merged-copied", "pasted-list",
    "quotes-odd", "sheet-hidden", "sheet-old", "sheets-joined", "title-rows",
    "volume-is-contents", "was-warm", "maybe-gone", "item-two-names", "form-differs", "resident-vague",
    "alias-blank", "alias-clash", "alias-kind-unknown", "alias-no-cold", "alias-too-wide",
    "aliases-not-read", "aliases-used",
}  # fmt: skip
"""Codes of texts, files and headings: tests/test_intake_*.py raise each."""


def _codes(data: bytes, **more: tuple[str, bytes]) -> set[str]:
    return {issue.code for issue in read(NAME, data, now=NOW, **more).issues}


def test_sample_raises_every_code_that_one_workbook_can() -> None:
    wanted = {
        code for code, kind in ISSUE_KINDS.items() if kind.severity is not Severity.STOP
    }
    raised = _codes((FOLDER / NAME).read_bytes())
    of_items = {code for *_, codes in item_lines() for code in codes}

    assert (
        sorted(wanted - set(NEEDS_ANOTHER_FILE) - raised - of_items - OWN_TESTS) == []
    )
    assert of_items <= set(ISSUE_KINDS)
    assert raised.isdisjoint(NEEDS_ANOTHER_FILE)


def test_sample_does_not_stop() -> None:
    reading = read(NAME, (FOLDER / NAME).read_bytes(), now=NOW)

    assert reading.scenario is not None
    assert all(issue.severity is not Severity.STOP for issue in reading.issues)


def test_two_workbooks_with_the_same_sheet() -> None:
    data = (FOLDER / NAME).read_bytes()

    assert "equipment-twice" in _codes(data, equipment=(NAME, data))


def test_without_a_start_one_is_assumed() -> None:
    book = load_workbook(io.BytesIO((FOLDER / NAME).read_bytes()))
    for cells in book["Conditions"].iter_rows():
        if cells[0].value == "Start":
            cells[2].value = None

    assert "start-assumed" in _codes(book_bytes(book))
