"""The hand copy: cards of at most 15 short lines, and lines for the radio."""

import re
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.output.paper import hand_copy
from planner.output.paper.facts import paper_facts
from planner.output.paper.goods import units_on
from planner.output.paper.radio import RADIO_LETTERS, plain_letters, radio_line
from planner.output.wording import Language, wording
from tests import plan_fixture
from tests.paper_plans import empty_plan, hall, odd_plan, rich_plan, with_names

PLANS = {
    "rich": rich_plan(), "hall": hall(60), "odd": odd_plan(), "empty": empty_plan(),
    "fixture": plan_fixture.plan(),
}  # fmt: skip
# The letters of the GSM 7-bit alphabet that are also ASCII and take one place
# (3GPP TS 23.038, basic character set).
GSM = set(
    "@$_ !\"#%&'()*+,-./0123456789:;<=>?"
    "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"
)


def cards(text: str) -> list[list[str]]:
    """Cards of a hand copy, without its head and the radio lines."""
    return [part.splitlines() for part in text.rstrip().split("\n\n")][2:]


@pytest.mark.parametrize("name", PLANS)
@pytest.mark.parametrize("language", list(Language))
def test_a_card_has_at_most_fifteen_short_lines(name, language):
    found = cards(hand_copy(PLANS[name], language=language))
    if PLANS[name].units_on:
        found = found[:-1]
    assert found
    for card in found:
        assert len(card) <= 15
        assert max(len(line) for line in card) <= 60
        assert len(card) > 1


def test_cards_of_one_sheet_are_numbered():
    text = hand_copy(PLANS["hall"])
    tails = re.findall(r"(?m)^Shortfall list \[\w{5}, card (\d+) of (\d+)\]", text)
    total = int(tails[0][1])
    assert total > 1
    assert tails == [(str(at), str(total)) for at in range(1, total + 1)]


@pytest.mark.parametrize("name", PLANS)
def test_no_bag_and_no_shortage_is_left_off_the_cards(name):
    plan = PLANS[name]
    lines = {one.id: one for one in plan.scenario.lines}
    found = cards(hand_copy(plan))
    doors = [" ".join(one) for one in found if one[0].startswith("Door sheet")]
    bags = sum(
        int(count) for one in doors for count in re.findall(r"[A-Z]-\w+ x(\d+)", one)
    )
    assert bags == sum(one.count for one in plan.placements)
    short = " ".join(" ".join(one) for one in found if one[0].startswith("Shortfall"))
    for one in plan.shortfalls:
        assert f"{lines[one.line_id].code}, list row" in short


def radio(plan, language=Language.EN) -> list[str]:
    facts = paper_facts(plan, wording(language), None)
    return [radio_line(facts, unit) for unit in units_on(facts)]


@pytest.mark.parametrize("name", PLANS)
@pytest.mark.parametrize("language", list(Language))
def test_a_radio_line_is_one_text_message(name, language):
    lines = radio(PLANS[name], language)
    assert len(lines) == len(PLANS[name].units_on)
    for line in lines:
        assert len(line) <= RADIO_LETTERS
        assert set(line) <= GSM
        assert line in hand_copy(PLANS[name], language=language)


@settings(max_examples=40, deadline=None)
@given(text=st.text(max_size=200), language=st.sampled_from(Language))
def test_no_name_makes_a_radio_line_too_long(text, language):
    for line in radio(with_names(rich_plan(), text), language):
        assert len(line) <= RADIO_LETTERS
        assert set(line) <= GSM
        # What has to be heard is never cut off.
        assert line.endswith(("bags.", "bolsas."))
        assert re.search(r"\d+C/(minus |menos )?\d+F", line)


def test_radio_lines_of_units_with_one_name_differ():
    for text in ("Fridge " * 20, "\u51b7\u8535", "="):
        lines = radio(with_names(rich_plan(), text))
        starts = {re.split(r" (?:set|aim) ", line)[0] for line in lines}
        assert len(starts) == len(lines)


def test_a_radio_line_says_what_counts():
    line = radio(plan_fixture.plan())[1]
    assert re.fullmatch(
        r"Plan \w{5} North fridge set 5C/41F\. Act below 2C/36F or above 8C/46F\. "
        r"Pack one 12 V port 1 until Thu 08:00\. No sun: DARK Tue \d\d:00\. 2 bags\.",
        line,
    )


def test_a_minus_is_said_in_words():
    line = next(one for one in radio(rich_plan()) if "minus" in one)
    assert "minus 18C/0F" in line
    assert "-18" not in line


def test_letters_that_cost_double_are_not_sent():
    assert plain_letters("a[b]{c}^~|`\\\u00f1\u51b7") == "a-b--c------n?"


def test_a_plan_without_units_has_no_radio_lines():
    assert "RADIO" not in hand_copy(empty_plan())
    assert "RADIO" in hand_copy(replace(rich_plan(), placements=()))
