"""The sample workbooks: same bytes, safe to publish, every row accounted for.

The independent count walks the cells with openpyxl alone.
"""

import io
import zipfile
from datetime import datetime
from functools import cache

import pytest
from openpyxl import load_workbook

from planner.intake import Reading, read
from planner.issue import Severity
from tests.make_samples import FOLDER, SAMPLES
from tests.sample_book import FIXED_STAMP, INVENTED

NOW = datetime(2026, 1, 1, 12, 0)
INTAKE_SHEETS = {
    "hall_in_heat.xlsx": "Intake",
    "quiet_street.xlsx": "Intake",
    "every_fault.xlsx": "Sat AM",
}
HEADING_ROW = 4
"""Two title lines, an empty line, then the headings."""


@cache
def _reading(name: str) -> Reading:
    return read(name, (FOLDER / name).read_bytes(), now=NOW)


@pytest.mark.parametrize("name", sorted(SAMPLES))
def test_generator_gives_the_committed_bytes(name: str) -> None:
    assert SAMPLES[name]() == (FOLDER / name).read_bytes(), (
        f"run python -m tests.make_samples and commit {name}"
    )


@pytest.mark.parametrize("name", sorted(SAMPLES))
def test_generator_gives_the_same_bytes_twice(name: str) -> None:
    assert SAMPLES[name]() == SAMPLES[name]()


@pytest.mark.parametrize("name", sorted(SAMPLES))
def test_archive_carries_no_time_of_making(name: str) -> None:
    with zipfile.ZipFile(FOLDER / name) as archive:
        stamps = {info.date_time for info in archive.infolist()}
        core = archive.read("docProps/core.xml").decode()

    assert stamps == {FIXED_STAMP}
    assert core.count("2026-01-01T00:00:00Z") == 2


@pytest.mark.parametrize("name", sorted(SAMPLES))
def test_sample_says_that_it_is_invented(name: str) -> None:
    book = load_workbook(FOLDER / name)

    assert book[INTAKE_SHEETS[name]]["A2"].value == INVENTED
    assert book.properties.description == INVENTED


@pytest.mark.parametrize("name", sorted(SAMPLES))
def test_every_row_is_a_line_or_held(name: str) -> None:
    scenario = _reading(name).scenario
    assert scenario is not None
    counted = _filled_rows(name)
    of_lines = {line.row for line in scenario.lines}
    of_held = [held.row for held in scenario.held_rows]

    assert scenario.rows_in == len(counted)
    assert sorted([*of_lines, *of_held]) == counted


def _filled_rows(name: str) -> list[int]:
    """Rows below the headings with any filled cell, counted by openpyxl alone."""
    book = load_workbook(io.BytesIO((FOLDER / name).read_bytes()))
    return [
        number
        for number, cells in enumerate(
            book[INTAKE_SHEETS[name]].iter_rows(values_only=True), start=1
        )
        if number > HEADING_ROW and any(value is not None for value in cells)
    ]


def test_quiet_street_asks_nothing() -> None:
    grave = [
        issue
        for issue in _reading("quiet_street.xlsx").issues
        if issue.severity in {Severity.STOP, Severity.REVIEW}
    ]

    assert grave == []


def test_hall_in_heat_leaves_a_few_lines_in_review() -> None:
    reading = _reading("hall_in_heat.xlsx")
    review = [i for i in reading.issues if i.severity is Severity.REVIEW]
    scenario = reading.scenario
    assert scenario is not None

    assert scenario.rows_in == 80
    assert 2 <= len(review) <= 8
    assert len({line.code for line in scenario.lines}) >= 45


def test_hall_in_heat_offers_ten_loans() -> None:
    scenario = _reading("hall_in_heat.xlsx").scenario
    assert scenario is not None
    offers = [
        thing
        for things in (
            scenario.units,
            scenario.batteries,
            scenario.panels,
            scenario.sources,
        )
        for thing in things
        if thing.availability.status.value == "can borrow"
    ]

    assert len(offers) == 10
    assert all(thing.availability.lender for thing in offers)
