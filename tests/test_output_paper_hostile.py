"""Words of the site that are long, foreign, alike or meant to harm."""

import re
from dataclasses import replace

import pytest

from planner.output.paper import hand_copy, paper_pdf
from planner.output.paper.facts import paper_facts
from planner.output.paper.page import TIE, drawable, width_pt, wrap
from planner.output.wording import Language, wording
from tests.paper_plans import rich_plan, with_names
from tests.paper_reader import flat, opened, pages, sheets
from tests.plan_fixture import HOSTILE, hostile_plan

LONG = "Fridge of the long name " * 80
FOREIGN = (
    "\u0646\u0635 \u0639\u0631\u0628\u064a",  # Arabic, right to left
    "\u05e7\u05e8\u05d5\u05e8",  # Hebrew
    "\u51b7\u8535\u5eab",  # CJK
    "ice \U0001f9ca\ufe0f",  # emoji with its selector
    "\u202eegdirf",  # right-to-left override
    "{braces} {0} {unit}",
    "100% %s %(x)s",
    "(paren\\thesis) Tj ET",
    LONG,
    "W" * 3000,
    "",
    " \t\n ",
)


@pytest.mark.parametrize("text", [*HOSTILE, *FOREIGN])
@pytest.mark.parametrize("language", list(Language))
def test_any_name_prints_inside_the_margins(text, language):
    for plan in (with_names(rich_plan(), text), hostile_plan(text)):
        for page in pages(paper_pdf(plan, language=language)):
            for one in page.pieces:
                assert one.right <= page.width - 35.9
        assert hand_copy(plan, language=language)


@pytest.mark.parametrize("text", [*HOSTILE, *FOREIGN])
def test_units_with_one_name_keep_names_of_their_own(text):
    plan = with_names(rich_plan(), text)
    names = paper_facts(plan, wording(Language.EN), None).names
    assert len(set(names.values())) == len(names)
    assert all(names.values())
    titles = [one.title for one in sheets(pages(paper_pdf(plan)), "Door sheet: ")]
    firsts = {one for one in titles if not one.endswith("(continued)")}
    assert len(firsts) == len(plan.units_on)


def test_letters_that_cannot_be_printed_are_seen_to_be_missing():
    plan = with_names(rich_plan(), "\u51b7\u8535 one")
    front = " ".join(one.body for one in pages(paper_pdf(plan)) if "pack" in one.title)
    assert "Names that are written differently on paper" in front
    assert (
        "?? one (row 2) = ?? one (? stands for a letter that cannot be printed" in front
    )


def test_a_long_name_stands_in_full_once():
    long = "Fridge behind the third door on the left of the corridor"
    old = rich_plan()
    first, *rest = old.scenario.units
    plan = replace(
        old, scenario=replace(old.scenario, units=(replace(first, name=long), *rest))
    )
    found = pages(paper_pdf(plan))
    front = " ".join(one.body for one in found if "pack" in one.title)
    assert f"Fridge behind the third doo... = {long}" in front
    assert sheets(found, "Door sheet: Fridge behind the third doo...")


def test_accents_of_other_languages_lose_only_what_the_print_lacks():
    # Windows code page 1252, the letters of the standard PDF fonts.
    assert (
        drawable("Nevera de Pe\u00f1a, \u00dcber \u20ac")
        == "Nevera de Pe\u00f1a, \u00dcber \u20ac"
    )
    assert drawable("\u1ea1 \u0159 \u015b") == "a r s"
    assert drawable("\u0436\u51b7") == "??"
    assert drawable("a\u200bb\ufe0f") == "ab"


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t="])
def test_a_formula_is_disarmed_in_the_file_of_text(start):
    text = hand_copy(with_names(rich_plan(), f"{start}cmd"))
    assert not re.search(rf"(?m)^\s*{re.escape(start.strip())}cmd", text)
    assert "'" in text


def test_html_is_only_text():
    plan = with_names(rich_plan(), "<b>bold</b>")
    title = sheets(pages(paper_pdf(plan)), "Door sheet: ")[0].title
    assert title.startswith("Door sheet: <b>bold</b>")


def test_nothing_in_the_file_can_act():
    pdf = opened(paper_pdf(with_names(rich_plan(), "/JavaScript (alert) /OpenAction")))
    streams = re.sub(rb"stream.*?endstream", b"", pdf.split(b"%%EOF")[0], flags=re.S)
    for word in (b"/JavaScript", b"/OpenAction", b"/URI", b"/Launch", b"/EmbeddedFile"):
        assert word not in streams


def test_lines_break_at_words_and_only_then_inside_them():
    text = "one two three " + "x" * 60
    lines = wrap(text, 60)
    assert lines[0] == "one two"
    assert all(width_pt(one) <= 60 for one in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")


def test_tied_words_come_apart_only_when_they_must():
    tied = f"36{TIE}to{TIE}46{TIE}F"
    assert wrap(f"x {tied}", 60) == ["x", tied]
    assert [flat(one) for one in wrap(tied, 40)] == ["36 to", "46 F"]
