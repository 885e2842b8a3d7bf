"""No sentence of ours gives a metric amount alone; the choice only turns the two."""

import re
from collections.abc import Iterable
from datetime import datetime
from functools import cache

import pytest

from planner.catalogue import equipment_defaults, text_defaults
from planner.intake import Reading
from planner.output.manner import PLAIN, Manner
from planner.output.paper import hand_copy, paper_pdf
from planner.output.wording import Language
from planner.output.words import Clock, Units
from planner.pipeline import make_plan, read_files, what_to_shed
from planner.result import Plan
from tests.paper_plans import rich_plan
from tests.paper_reader import Page, pages
from tests.screen_driver import PAGES, SAMPLES, go, press, shown, with_work
from tests.test_screens_spanish import sources, written_by_others

NOW = datetime(2026, 7, 14, 7, 40)
NAMES = ("hall_in_heat.xlsx", "quiet_street.xlsx")
US = Manner(units=Units.US)
MANNERS = [
    Manner(language=one, units=Units.US, clock=Clock.H12) for one in Language
]  # fmt: skip
_ONE = r"(?:minus |menos )?\d[\d,.]*"
_SPAN = rf"{_ONE}(?: (?:to|of|a|de) {_ONE})?"
TURNED = re.compile(rf"{_SPAN} (?:qt|F|lb|ft|in|pies|pulgadas?) \([^)]*\)")
# Millilitres are left out: labels of medicines are in them everywhere.
LONE = re.compile(
    rf"(?<![\w.,/-]){_SPAN} (?:L|C|kg|g|mm|cm|m|km|litres?|litros?)(?![\w/])"
)


def lone(text: str) -> list[str]:
    """Metric amounts of a text that no US amount stands before.

    >>> lone("keep at 41 F (5 C), 12 L of room")
    ['12 L']
    """
    return LONE.findall(TURNED.sub("", " ".join(text.replace("\xa0", " ").split())))


def others(reading: Reading, plan: Plan) -> list[str]:
    """What sources and the site wrote, which nobody rewords; longest first."""
    raw = {f"{row.value} {row.unit}" for row in equipment_defaults()}
    raw |= {f"{row.text} {row.unit.removeprefix('list ')}" for row in text_defaults()}
    site = {*written_by_others(reading.scenario), *written_by_others(reading.issues)}
    known = {one for one in (*raw, *sources(), *site) if lone(one)}
    return sorted(known, key=len, reverse=True)


def left_alone(text: str, known: list[str]) -> list[str]:
    for one in known:
        text = text.replace(one, "")
    return lone(text)


@cache
def sample(name: str) -> tuple[Reading, Plan]:
    reading = read_files(name, (SAMPLES / name).read_bytes(), now=NOW)
    assert reading.scenario is not None
    return reading, make_plan(reading.scenario, borrow=True)


@pytest.mark.parametrize("how", MANNERS, ids=[one.language for one in MANNERS])
@pytest.mark.parametrize("name", NAMES)
def test_no_page_gives_a_metric_amount_alone(name: str, how: Manner) -> None:
    reading, plan = sample(name)
    known = others(reading, plan)
    fields = {
        "list_name": name, "list_bytes": (SAMPLES / name).read_bytes(),
        "scenario": plan.scenario, "issues": reading.issues, "plan": plan, "manner": how,
    }  # fmt: skip
    found = []
    for page in PAGES:
        at = go(with_work(**fields), page)
        if page == "what_if":
            at = press(at, "work_out_what_if")
        found += [
            f"{page}: {line}"
            for line in shown(at).replace("\u2060", "").split("\n")
            if left_alone(line, known)
        ]
    assert found == []


@pytest.mark.parametrize("how", MANNERS, ids=[one.language for one in MANNERS])
@pytest.mark.parametrize("name", [*NAMES, "one of everything"])
def test_no_sheet_of_paper_gives_a_metric_amount_alone(name: str, how: Manner) -> None:
    plan = rich_plan() if name == "one of everything" else sample(name)[1]
    said = {
        "language": how.language, "units": how.units, "clock": how.clock,
        "ladder": what_to_shed(plan) if name in NAMES else None,
    }  # fmt: skip
    printed = [one for page in pages(paper_pdf(plan, **said)) for one in cells(page)]
    copied = hand_copy(plan, **said).split("\n\n")
    assert [one for one in (*printed, *copied) if lone(one)] == []


def cells(page: Page) -> Iterable[str]:
    """Pieces of a page; a bracket is joined to what it stands behind.

    Cell by cell, because a tier beside a count of bags is no temperature.
    """
    whole = ""
    for piece in page.pieces:
        joined = piece.text.startswith("(") or whole.count("(") > whole.count(")")
        if whole and not joined:
            yield whole
            whole = ""
        whole = f"{whole} {piece.text}".strip()
    yield whole


@pytest.mark.parametrize(
    ("text", "said", "metric_first"),
    [
        # 12 L are 12.7 US quarts, 25 C are 77 F, 22 C are 71.6 F, 8 kg are
        # 17.6 lb (NIST Handbook 44, appendix C, and by hand).
        ("0.5 L of bags would fit if there were power",
         "0.53 qt (0.5 L) of bags would fit if there were power",
         "0.5 L / 0.53 qt of bags would fit if there were power"),
        ("24 h up to 25 C", "24 h up to 77 F (25 C)", "24 h up to 25 C / 77 F"),
        ("336 h up to 22 C", "336 h up to 71 F (22 C)", "336 h up to 22 C / 71 F"),
        ("a thermoelectric cool box: it cannot hold 2 to 8 C at 34 C",
         "a thermoelectric cool box: it cannot hold 36 to 46 F (2 to 8 C) at 93 F (34 C)",
         "a thermoelectric cool box: it cannot hold 2 to 8 C / 36 to 46 F at 34 C / 93 F"),
        ("chests use 8 of 10 kg of ice a day",
         "chests use 17.6 of 22 lb (8 of 10 kg) of ice a day",
         "chests use 8 of 10 kg / 17.6 of 22 lb of ice a day"),
        ("a generator that must run indoors or within 6 m (20 ft) of an opening",
         "a generator that must run indoors or within 20 ft (6 m) of an opening",
         "a generator that must run indoors or within 6 m (20 ft) of an opening"),
        # Somebody's own words, and what is no temperature at all.
        ("Cooler 45 L: can borrow is now here", "Cooler 45 L: can borrow is now here",
         "Cooler 45 L: can borrow is now here"),
        ("Cooler 45 L is here now", "Cooler 45 L is here now", "Cooler 45 L is here now"),
        ("0.2 C; the label decides", "0.2 C; the label decides",
         "0.2 C; the label decides"),
        ("a band of 2-8 C", "a band of 2-8 C", "a band of 2-8 C"),
    ],
)  # fmt: skip
def test_amounts_in_our_sentences_are_turned_and_names_are_not(
    text: str, said: str, metric_first: str
) -> None:
    assert US.told(text) == said
    assert PLAIN.told(text) == metric_first
    assert "\ue000" not in US.told(text)


def test_the_watch_sees_a_lone_amount() -> None:
    assert lone("12 L of room, 25 C, 3 to 4 kg") == ["12 L", "25 C", "3 to 4 kg"]
    assert lone("13 qt (12 L), 36 to 46 F (2 to 8 C), vial 20 mL, 2 km/h") == []
