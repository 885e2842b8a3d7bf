"""Units and clock on paper: the ones that were chosen stand first, everywhere."""

import re
from datetime import datetime

import pytest

from planner.output.paper import PaperSize, hand_copy, paper_pdf
from planner.output.wording import Language
from planner.output.words import Clock, Units
from tests.paper_plans import hall, rich_plan
from tests.paper_reader import pages

MADE = datetime(2025, 7, 7, 15, 30)
US = {"units": Units.US, "clock": Clock.H12}
AM_PM = r"\d (?:am|pm)\b"


def text_of(**how: object) -> str:
    """All words of the pack, on one line."""
    plan = rich_plan()
    found = pages(paper_pdf(plan, made_at=MADE, **how))
    text = " ".join(f"{one.body} {one.foot}" for one in found)
    copied = hand_copy(plan, made_at=MADE, **how)
    return " ".join(f"{text} {copied}".replace("\xa0", " ").split())


@pytest.mark.parametrize("language", list(Language))
def test_us_units_stand_first_and_no_24_hour_clock_is_left(language) -> None:
    text = text_of(language=language, **US)
    assert re.search(r"\d qt \([\d.]+ L\)", text)
    assert re.search(r"\d F \((?:minus |menos )?[\d.]+ C\)", text)
    assert not re.search(r"\d L / \d", text)
    assert not re.search(r"\d C / (?:minus |menos )?\d", text)
    assert re.search(AM_PM, text)
    # Clock times of the plan are on the hour; 12 am and 12 pm are never said.
    assert not re.search(r"\b(?:0\d|1[3-9]|2[0-4]):\d\d\b", text)
    assert not re.search(r"\b12:00\b", text)


@pytest.mark.parametrize("language", list(Language))
def test_what_was_not_chosen_is_as_ever(language) -> None:
    text = text_of(language=language)
    plain = {"units": Units.METRIC, "clock": Clock.H24}
    assert text == text_of(language=language, **plain)
    assert re.search(r"\d L / [\d.]+ qt", text)
    assert not re.search(AM_PM, text)


@pytest.mark.parametrize("size", list(PaperSize))
def test_a_large_pack_keeps_its_pages_with_long_clocks(size) -> None:
    plan = hall(3)
    usual = pages(paper_pdf(plan, size=size))
    longer = pages(paper_pdf(plan, size=size, language=Language.ES, **US))
    assert len(longer) < 1.5 * len(usual)
