"""Caution texts: generated page, sources, and limits on what they claim."""

import re
from pathlib import Path

import pytest

from planner.output.cautions import (
    CAUTIONS,
    Topic,
    cautions,
    cautions_markdown,
    source_words,
)
from planner.scenario import Flag

DOC = Path(__file__).parents[1] / "docs" / "cautions.md"


def test_page_is_made_from_the_module():
    assert DOC.read_text(encoding="utf-8") == cautions_markdown()


@pytest.mark.parametrize("topic", list(Topic))
def test_every_topic_has_cautions(topic):
    assert len(cautions(topic)) >= 3


def test_topics_make_up_the_whole_in_order():
    assert tuple(one for topic in Topic for one in cautions(topic)) == CAUTIONS
    assert cautions() == CAUTIONS


def test_no_caution_is_said_twice():
    texts = [one.text for one in CAUTIONS]
    assert len(set(texts)) == len(texts)


@pytest.mark.parametrize("one", CAUTIONS, ids=lambda one: one.text[:30])
def test_caution_is_sourced_and_short(one):
    assert one.source
    # A published or secondary caution names a body; memory has none to name.
    named = one.flag in {Flag.PUBLISHED, Flag.SECONDARY}
    assert named == (one.source not in {"none", "the tool's own limit"})
    assert len(one.text) <= 220
    assert source_words(one)


@pytest.mark.parametrize("one", CAUTIONS, ids=lambda one: one.text[:30])
def test_celsius_never_stands_alone(one):
    for celsius, fahrenheit in re.findall(r"(\d+) C / (\d+)", one.text):
        # The published whole-degree pairs are within a degree of exact.
        assert abs(int(celsius) * 9 / 5 + 32 - int(fahrenheit)) < 1
    assert len(re.findall(r"\d C\b", one.text)) == len(
        re.findall(r"\d C / \d+ F", one.text)
    )


@pytest.mark.parametrize(
    ("word", "topic"),
    [
        ("6 m / 20 ft", Topic.GENERATOR),  # ESFI generator page
        ("0 C / 32 F to 40 C", Topic.BATTERY),  # USFA: charge at 32 to 105 F
        ("conditioned", Topic.FREEZING),  # CDC emergency transport
        ("licensed electrician", Topic.ELECTRICAL),
        ("ask a pharmacist", Topic.MEDICINES),
        ("name key", Topic.PRIVACY),
        ("2 hours", Topic.FEEDS),  # CDC prepared formula
    ],
)
def test_what_must_be_said_is_said(word, topic):
    assert any(word in one.text for one in cautions(topic))


def test_nothing_calls_a_medicine_safe():
    for one in CAUTIONS:
        assert "is safe" not in one.text
        assert "mg" not in one.text.split()
