"""Every page in Spanish: no fault, and no English but what others wrote."""

import re
from collections.abc import Collection, Iterable
from dataclasses import fields, is_dataclass
from datetime import datetime
from enum import Enum

import pytest

from planner.catalogue import equipment_defaults, item_kinds, text_defaults
from planner.intake import Reading
from planner.intake.headings import INTAKE
from planner.intake.headings_seen import headings_seen
from planner.output.cautions import CAUTIONS
from planner.output.manner import Manner
from planner.output.wording import Language
from planner.output.words import Clock, Units
from planner.pipeline import make_plan, read_files
from planner.result import Plan
from planner.store import work_file
from tests import plan_fixture
from tests.paper_plans import rich_plan
from tests.screen_driver import (
    PAGES,
    SAMPLES,
    go,
    press,
    scarce_book,
    shown,
    sound,
    unescaped,
    with_work,
)

SPANISH = Manner(language=Language.ES)
OTHER = Manner(language=Language.ES, units=Units.US, clock=Clock.H12)
NOW = datetime(2025, 10, 13, 7, 12)
ENGLISH = re.compile(
    r"\b(the|of|and|with|from|is|are|was|were|what|when|which|bags?|until|needs?|ask|"
    r"kept|keep|nothing|here|there|where|who|short|goes|holds|this|that|not|for|by|"
    r"hours?|days?|warm|cold|rows?|unit|units|plan again|room|sun|used|assumed|known)\b",
    re.IGNORECASE,
)
# Names of files and anchors, and what is quoted: the list's words, or the workbook's.
BOTH = re.compile(
    r"\(#\w+\)|plan\.(xlsx|json)|what_if\.xlsx|headings\.json|W por K|'[^']+'"
)
MADE_BY_HAND = {"why", "detail", "next_step", "message", "outcome", "ask_for", "refuse"}
"""Sentences of a plan that a test wrote itself, in no words of the program."""

OTHERS_FIELDS = {
    "name", "place", "lender", "item_text", "notes", "sheet", "code", "id", "source",
    "value", "column", "text", "subject",
}  # fmt: skip
TITLES = {
    "status": "Cómo estamos", "bring_list": "Traer la lista",
    "questions": "Resolver preguntas", "have": "Lo que tenemos",
    "conditions": "Condiciones", "plan": "El plan", "power": "Energía hora por hora",
    "short": "A quién le falta", "borrow": "Pedir prestado primero",
    "take": "Papel y archivos", "what_if": "Qué pasa si",
    "keep": "Guardar, llevar, cerrar", "look_up": "Buscar un artículo",
    "one_more": "Recibir uno más",
}  # fmt: skip


def written_by_others(
    noun: object, name: str = "", names: Collection[str] = OTHERS_FIELDS
) -> Iterable[str]:
    """Words of the site, and names of sources, in what a page shows."""
    if isinstance(noun, Enum) or noun is None:
        return
    if isinstance(noun, str):
        if name in names:
            yield " ".join(noun.split())
    elif isinstance(noun, tuple | list):
        for one in noun:
            yield from written_by_others(one, name, names)
    elif is_dataclass(noun):
        for one in fields(noun):
            yield from written_by_others(getattr(noun, one.name), one.name, names)


def sources() -> frozenset[str]:
    """Names of sources, ids and words of the catalogue, headings of the workbook."""
    found = {one.source for one in CAUTIONS}
    for kind in item_kinds():
        facts = (kind.band_fact, kind.warm_fact, kind.cold_fact, kind.volume_fact)
        found |= {one.source for one in facts if one is not None}
        found |= {kind.id, ", ".join(kind.words)}
    for row in (*equipment_defaults(), *text_defaults()):
        found |= {f"{row.source} ({row.jurisdiction})", row.source}
    for field in INTAKE.fields:
        found |= {field.heading, field.heading.partition(" (")[0]}
    return frozenset(found | {str(work_file()), "Words", "Kind"})


def labels(at) -> list[str]:
    """What stands at the fields of a page."""
    found = []
    for kind in (
        "radio", "selectbox", "checkbox", "text_input", "number_input", "multiselect",
        "file_uploader", "download_button", "date_input", "text_area",
    ):  # fmt: skip
        for one in at.get(kind):
            found += [one.label, getattr(one, "help", "") or ""]
            found += [str(option) for option in getattr(one, "options", ())]
    return [unescaped(one) for one in found]


def english_left(at, others: Iterable[str]) -> list[str]:
    """Lines of a page with English in them that nobody else wrote."""
    known = sorted({*others, *sources()}, key=len, reverse=True)
    left = []
    for line in (*shown(at).split("\n"), *labels(at)):
        bare = BOTH.sub("", " ".join(line.replace("*", "").split()))
        for one in known:
            if len(one) > 2 and one in bare:
                bare = bare.replace(one, "")
        if ENGLISH.search(bare):
            left.append(line)
    return left


def typed_over(at) -> set[str]:
    """Cells and columns of tables to type over: words of the workbook, told later."""
    return {
        str(one)
        for table in at.dataframe
        for one in (*table.value.columns, *table.value.to_numpy().ravel())
    }


def session(plan: Plan, manner: Manner, reading: Reading | None = None):
    """A session with a plan, as it is after a list was read."""
    return with_work(
        list_name="list.xlsx",
        list_bytes=b"x",
        scenario=plan.scenario,
        issues=() if reading is None else reading.issues,
        plan=plan,
        manner=manner,
        read_at=NOW,
    )


@pytest.mark.parametrize("manner", [SPANISH, OTHER], ids=["metric", "us"])
@pytest.mark.parametrize("name", sorted(TITLES))
def test_every_page_has_a_spanish_title_with_and_without_a_plan(name, manner) -> None:
    empty = go(with_work(manner=manner), name)
    assert empty.title[0].value == TITLES[name]
    assert english_left(empty, ()) == []
    at = go(session(plan_fixture.plan(), manner), name)
    assert at.title[0].value == TITLES[name]


def test_no_page_was_forgotten() -> None:
    assert set(TITLES) <= set(PAGES)
    for name in PAGES:
        at = go(with_work(manner=SPANISH), name)
        assert english_left(at, ()) == [], name


@pytest.fixture(scope="module")
def scarce() -> tuple[Reading, Plan]:
    """A real plan of a small site in which much is short."""
    reading = read_files("list.xlsx", scarce_book(), now=NOW)
    assert reading.scenario is not None
    return reading, make_plan(reading.scenario, time_limit_s=20.0, borrow=True)


@pytest.mark.parametrize("name", PAGES)
def test_no_english_is_left_on_a_page_of_a_real_plan(name, scarce) -> None:
    reading, plan = scarce
    at = go(session(plan, OTHER, reading), name)
    if name == "what_if":
        at = press(at, "work_out_what_if")
    others = {*written_by_others(reading), *written_by_others(plan)}
    if name == "have":
        others |= typed_over(at)
    assert english_left(at, others) == []


@pytest.mark.parametrize("name", ["status", "plan", "power", "short", "borrow", "take"])
def test_no_english_is_left_of_a_plan_with_one_of_everything(name) -> None:
    plan = rich_plan()
    at = go(session(plan, SPANISH), name)
    others = written_by_others(plan, names=OTHERS_FIELDS | MADE_BY_HAND)
    assert english_left(at, set(others)) == []


@pytest.mark.parametrize("name", ["bring_list", "questions", "have", "conditions"])
def test_no_english_is_left_of_a_list_with_every_fault(name) -> None:
    data = (SAMPLES / "every_fault.xlsx").read_bytes()
    reading = read_files("every_fault.xlsx", data, now=NOW)
    at = with_work(
        list_name="every_fault.xlsx", list_bytes=data, scenario=reading.scenario,
        issues=reading.issues, manner=SPANISH, read_at=NOW,
    )  # fmt: skip
    at = go(at, name)
    for box in at.checkbox:
        if box.key == "all_questions":
            at = sound(box.check().run())
    others = set(written_by_others(reading))
    for seen in headings_seen("every_fault.xlsx", data, ()):
        others |= {one.typed for one in seen.mapping.choices}
    if name == "have":
        others |= typed_over(at)
    assert english_left(at, others) == []


@pytest.mark.parametrize(
    "line", ["The label says so", "3 bags are short", "Keep it here until Tue"]
)
def test_the_watch_over_english_sees_it(line: str) -> None:
    assert ENGLISH.search(line)
