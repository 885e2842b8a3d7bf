"""The words of the paper: one table, all languages alike, nothing said outside it."""

import ast
import re
from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from string import Formatter

import pytest

from planner.errors import UsageError
from planner.output.ask_whom import ASK
from planner.output.cautions import Topic, cautions
from planner.output.paper import Move, PaperSize, hand_copy, paper_pdf
from planner.output.paper.page import width_pt
from planner.output.paper.pen import Pen
from planner.output.wording import Language, Wording, rows, wording
from planner.output.workbook import plan_mark
from planner.result import PlanStatus, PortType, ReasonFamily
from planner.result_borrow import BorrowMore
from planner.scenario import SourceKind, SunCase, Supply, UnitType
from tests import builders as b
from tests.paper_plans import (
    empty_plan,
    hall,
    held_plan,
    late_plan,
    odd_plan,
    one_late_plan,
    rich_plan,
    shed_steps,
)
from tests.paper_reader import pages

PAPER = Path(__file__).parents[1] / "planner" / "output" / "paper"
MADE = datetime(2025, 7, 7, 7, 30)
MOVES = (Move(order=1, code="K-2", count=2, from_unit="Blue chest", to_unit=""),)
TOPICS = (Topic.BATTERY, Topic.GENERATOR, Topic.ELECTRICAL)
OTHERS = [one for one in Language if one is not Language.EN]

PLANS = (
    rich_plan(), hall(3), empty_plan(), odd_plan(), held_plan(), late_plan(),
    one_late_plan(),
)  # fmt: skip

# Messages that are found by a name made from an enum.
BY_ENUM = {
    "sun": SunCase, "port": PortType, "status": PlanStatus, "kind": UnitType,
    "lead": Supply, "lacking": ReasonFamily, "then": ReasonFamily,
    "whom": ReasonFamily, "source": SourceKind,
}  # fmt: skip


def fields(text: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(text) if name is not None}


@pytest.mark.parametrize("row", rows("paper.csv"), ids=lambda row: row["id"])
def test_every_message_has_all_languages_and_the_same_fields(row):
    assert set(row) == {"id", *Language}
    for language in Language:
        assert row[language].strip()
        assert row[language] == row[language].strip()
        assert fields(row[language]) == fields(row["en"]), language
        assert row[language].count("\\n") == row["en"].count("\\n")


def test_no_id_is_used_twice():
    ids = [row["id"] for row in rows("paper.csv")]
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("language", OTHERS)
def test_a_translation_is_not_the_english_by_oversight(language):
    # What may be the same: fields and marks only, or words both languages share.
    shared = {"no", "plan", "radio", "zona"}
    for row in rows("paper.csv"):
        bare = re.sub(r"\{\w+\}", "", row["en"]).casefold()
        if re.search(r"[a-z]{3,}", bare) and bare.strip(" .:") not in shared:
            assert row[language] != row["en"], row["id"]


@pytest.mark.parametrize("language", OTHERS)
def test_every_caution_on_paper_is_translated(language):
    words = wording(language)
    for topic in TOPICS:
        for english in (ASK[topic], *(one.text for one in cautions(topic))):
            assert words.caution(english) != english, english
            # Numbers and both scales survive the translation.
            assert re.findall(r"\d+", words.caution(english)) == re.findall(
                r"\d+", english
            )


def test_no_translation_is_left_of_a_caution_that_was_changed():
    known = {text for topic in Topic for text in (ASK[topic], *(one.text for one in cautions(topic)))}  # fmt: skip
    assert {row["en"] for row in rows("cautions.csv")} <= known


def test_spanish_speaks_to_people_with_usted():
    said = " ".join(row["es"] for row in rows("paper.csv")).casefold()
    assert not re.search(r"\b(tú|tu|tus|contigo|tienes|puedes|vosotros)\b", said)
    assert "usted" in said


def literal_keys() -> set[str]:
    """Strings in the paper's code that look like the id of a message."""
    found = set()
    for file in sorted(PAPER.glob("*.py")):
        for node in ast.walk(ast.parse(file.read_text())):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                found |= set(re.findall(r"^[a-z]+\.[a-z_0-9.]*[a-z_0-9]$", node.value))
    return found - {"handcopy.txt"}


def enum_keys() -> Iterable[str]:
    for prefix, kinds in BY_ENUM.items():
        for kind in kinds:
            yield f"{prefix}.{kind.name.lower()}"


def test_every_message_that_is_asked_for_exists():
    known = {row["id"] for row in rows("paper.csv")}
    for key in [*literal_keys(), *enum_keys()]:
        assert key in known or {f"{key}.one", f"{key}.many"} <= known, key


def test_what_goes_dark_is_no_order_to_switch_off_in_spanish():
    """The word of the screens; *apagar* is kept for what somebody does."""
    told = [row for row in rows("paper.csv") if re.search(r"\bDARK\b", row["en"])]
    assert len(told) >= 4
    for row in told:
        assert "SIN ENERGÍA" in row["es"], row["id"]
        assert "apaga" not in row["es"].casefold(), row["id"]
    (off,) = [row for row in rows("paper.csv") if row["id"] == "head.switch_off"]
    assert off["es"] == "Apagar"


def test_an_unknown_message_is_a_fault():
    with pytest.raises(UsageError, match=r"no\.such"):
        wording(Language.EN).say("no.such")


class Listening(dict):
    """Messages that remember which of them were said."""

    def __init__(self, *args):
        super().__init__(*args)
        self.said = set()

    def __getitem__(self, key):
        self.said.add(key)
        return super().__getitem__(key)


def masked(words: Wording) -> Wording:
    """The same words with every letter of theirs made a z, fields kept."""

    def z(text: str) -> str:
        return re.sub(r"[^\W\d_]", "z", text)

    messages = {}
    for key, text in words.messages.items():
        parts = Formatter().parse(text)
        messages[key] = "".join(
            z(said) + (f"{{{name}}}" if name is not None else "")
            for said, name, _, _ in parts
        )
    cautions_z = {english: z(english) for english in words.cautions}
    return Wording("en", Listening(messages), cautions_z)


# Names in the plans, codes and units of measure: they are data.
DATA = """
Fridge two three, Two zone fridge, Blue chest, Garage, Clinic, Spare, Battery one two lent, Panel,
Generator, mains, Lent car, Concentrator, Hall, Annex garage, Depot, Fridge, Wh qt kg lb, Cold units, engine, Battery on (a name cut short for the radio)
"""


def data_words(plan) -> set[str]:
    kinds = " ".join(kind.name.replace("_", " ") for kind in UnitType)
    codes = " ".join(one.code for one in plan.scenario.lines)
    return set(re.findall(r"[^\W\d_]+", f"{DATA} {kinds} {codes} {plan_mark(plan)}"))


def steps_of(plan):
    """Steps of the load-shed card: only the rich plan has any."""
    return shed_steps() if plan == rich_plan() else ()


@pytest.mark.parametrize("plan", PLANS)
def test_every_word_on_paper_comes_from_the_table(plan):
    words = masked(wording(Language.EN))
    more = {"moves": MOVES, "ladder": steps_of(plan), "words": words}
    pdf = paper_pdf(plan, made_at=MADE, **more)
    text = " ".join(f"{one.body} {one.foot}" for one in pages(pdf))
    text += hand_copy(plan, made_at=MADE, **more)
    found = {one for one in re.findall(r"[^\W\d_]+", text) if len(one) > 1}
    assert any(set(one) == {"z"} for one in found)
    outside = {one for one in found if set(one) - {"z", "Z"}} - data_words(plan)
    assert not outside


def test_no_message_is_left_unsaid():
    words = masked(wording(Language.EN))
    for plan in PLANS:
        for status in PlanStatus:
            made = replace(plan, status=status)
            more = {"moves": MOVES, "ladder": steps_of(plan), "words": words}
            paper_pdf(made, made_at=MADE, **more)
        hand_copy(plan, made_at=MADE, **more)
    paper_pdf(rich_plan(), words=words)  # plugs change, and no bag is carried
    change = replace(rich_plan().changeover, later_h=(10,), before_until=b.START)
    paper_pdf(replace(rich_plan(), changeover=change), words=words)
    looked = replace(odd_plan(), loans=(), borrow=BorrowMore(worked_out=True))
    paper_pdf(looked, words=words)
    unsaid = {row["id"] for row in rows("paper.csv")} - words.messages.said
    # Months and days other than those of the plans; life support is never lent.
    dates = {one for one in unsaid if one.startswith("date.")}
    assert unsaid - dates == {"source.priority_load"}


@pytest.mark.parametrize("size", list(PaperSize))
@pytest.mark.parametrize("language", list(Language))
def test_no_heading_and_no_clock_is_torn_apart(monkeypatch, size, language):
    torn = []
    drawn = Pen.table

    def table(self, columns, cells, *, row_pt=0):
        total = sum(one.share for one in columns)
        for at, one in enumerate(columns):
            room = one.share / total * self.size.inner_pt - 8
            torn.extend(
                word for word in one.heading.split() if width_pt(word, bold=True) > room
            )
            torn.extend(
                row[at]
                for row in cells
                if re.fullmatch(r"\w{3}.\d\d:\d\d", row[at])
                and width_pt(row[at], bold=one.bold) > room
            )
        drawn(self, columns, cells, row_pt=row_pt)

    monkeypatch.setattr(Pen, "table", table)
    more = {"moves": MOVES, "ladder": shed_steps()}
    paper_pdf(rich_plan(), size=size, language=language, **more)
    assert not torn


def test_the_page_on_paper_names_every_sheet():
    page = (PAPER.parents[2] / "docs" / "paper.md").read_text(encoding="utf-8")
    words = wording(Language.EN)
    ids = [row["id"] for row in rows("paper.csv")]
    titles = [key for key in ids if key.endswith(".title") and key != "slip.title"]
    assert len(titles) == 14
    for key in titles:
        assert f"| {words.messages[key].split(':')[0]}" in page, key
