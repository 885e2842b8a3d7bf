"""The form of the paper: type, colour, margins, numbers, marks, bytes, privacy."""

import io
import re
from dataclasses import replace
from datetime import datetime

import numpy as np
import pypdfium2
import pytest
from pypdf import PdfReader

from planner.output.paper import PaperSize, hand_copy, paper_pdf
from planner.output.wording import Language
from planner.output.workbook import plan_mark
from tests import plan_fixture
from tests.paper_plans import RESIDENT, empty_plan, hall, rich_plan
from tests.paper_reader import opened, operators, pages

MADE = datetime(2025, 7, 7, 7, 30)
MARGIN = 35.9
KINDS = [(size, language) for size in PaperSize for language in Language]


@pytest.fixture(scope="module")
def packs():
    """The rich plan on both papers and in both languages."""
    plan = rich_plan()
    return {
        (size, language): paper_pdf(plan, size=size, language=language, made_at=MADE)
        for size, language in KINDS
    }


@pytest.mark.parametrize(("size", "wide", "high"), [
    (PaperSize.A4, 595.28, 841.89),  # ISO 216: 210 x 297 mm
    (PaperSize.LETTER, 612, 792),  # ANSI/ASME Y14.1, size A: 8.5 x 11 in
])  # fmt: skip
def test_paper_has_its_size(packs, size, wide, high):
    for page in pages(packs[size, Language.EN]):
        assert page.width == pytest.approx(wide, abs=0.01)
        assert page.height == pytest.approx(high, abs=0.01)


@pytest.mark.parametrize("kind", KINDS)
def test_no_type_is_smaller_than_twelve_points(packs, kind):
    sizes = {one.size for page in pages(packs[kind]) for one in page.pieces}
    assert min(sizes) >= 12
    assert max(sizes) > 20  # codes and set points are large


@pytest.mark.parametrize("kind", KINDS)
def test_nothing_runs_over_the_margins(packs, kind):
    for page in pages(packs[kind]):
        for one in page.pieces:
            assert one.x >= MARGIN, one
            assert one.right <= page.width - MARGIN, one
            assert MARGIN <= one.y <= page.height - MARGIN, one


def test_only_grey_is_ever_set(packs):
    used = operators(packs[PaperSize.A4, Language.ES])
    assert {b"g", b"G"} <= used
    # Operators that set a colour, a pattern or a picture (ISO 32000-1, table A.1).
    assert not used & {b"rg", b"RG", b"k", b"K", b"sc", b"scn", b"SC", b"SCN", b"cs", b"CS", b"sh", b"Do"}  # fmt: skip


def test_the_drawn_page_is_grey(packs):
    for page in pypdfium2.PdfDocument(packs[PaperSize.LETTER, Language.EN]):
        drawn = page.render(scale=0.5).to_numpy()[..., :3].astype(int)
        assert np.ptp(drawn, axis=2).max() == 0
        assert drawn.min() < 60  # there is ink


@pytest.mark.parametrize("kind", KINDS)
def test_every_page_says_page_x_of_y(packs, kind):
    found = pages(packs[kind])
    word = {Language.EN: ("Page", "of"), Language.ES: ("Página", "de")}[kind[1]]
    pattern = re.compile(rf"{word[0]} (\d+) {word[1]} (\d+).*?(\d+) {word[1]} (\d+)$")
    wanted = 1
    for number, page in enumerate(found, start=1):
        x, of, in_pack, total = map(int, pattern.search(page.foot).groups())
        assert (in_pack, total) == (number, len(found))
        assert x == wanted
        wanted = 1 if x == of else x + 1
        first = found[number - x].title
        assert page.title.startswith(first)
    assert wanted == 1


def test_every_page_says_which_plan_and_for_when(packs):
    mark = plan_mark(rich_plan())
    for page in pages(packs[PaperSize.LETTER, Language.EN]):
        assert page.foot.startswith(f"Plan {mark} Mon 7 Jul 2025 08:00 to Thu 08:00")
        assert "Paper made Mon 7 Jul 2025 07:30" in page.foot
    for page in pages(packs[PaperSize.LETTER, Language.ES]):
        assert "lun 7 julio 2025 08:00 a jue 08:00" in page.foot


def test_the_time_is_left_out_when_it_is_not_given():
    for page in pages(paper_pdf(empty_plan())):
        assert "Paper made" not in page.foot + page.body


def test_contents_name_every_sheet_and_its_page(packs):
    found = pages(packs[PaperSize.LETTER, Language.EN])
    listed = " ".join(
        one.body for one in found if one.title.startswith("Cold storage plan")
    )
    firsts = [
        (one.title, at)
        for at, one in enumerate(found, start=1)
        if " Page 1 of" in f" {one.foot}" and at > 1
    ]
    assert len(firsts) > 12
    for title, at in firsts:
        assert re.search(rf"{re.escape(title)} [^\d]*?{at}\b", listed), (title, at)


@pytest.mark.parametrize("kind", KINDS)
def test_same_plan_same_bytes(packs, kind):
    size, language = kind
    again = paper_pdf(rich_plan(), size=size, language=language, made_at=MADE)
    assert again == packs[kind]


def test_another_plan_or_time_gives_other_bytes(packs):
    first = packs[PaperSize.A4, Language.EN]
    assert paper_pdf(rich_plan(), made_at=MADE) == first
    assert paper_pdf(rich_plan(), made_at=MADE.replace(hour=9)) != first
    fewer = replace(rich_plan(), loans=())
    assert paper_pdf(fewer, made_at=MADE) != first


def test_the_file_holds_no_date_of_its_making(packs):
    for pdf in packs.values():
        facts = PdfReader(io.BytesIO(pdf)).metadata
        assert not re.search(rb"D:(?!2000)\d{4}", pdf)
        assert facts.title.endswith(plan_mark(rich_plan()))
        assert not facts.author


@pytest.mark.parametrize("made", [rich_plan(), hall(20), plan_fixture.plan()])
@pytest.mark.parametrize("language", list(Language))
def test_no_name_of_a_resident_is_anywhere_in_the_bytes(made, language):
    names = {one.resident for one in made.scenario.lines}
    assert names
    pdf = opened(paper_pdf(made, language=language))
    text = hand_copy(made, language=language)
    for name in names | {"Sentinel", "Zebedee"}:
        assert name.encode() not in pdf
        assert name not in text


def test_a_resident_named_on_equipment_or_as_lender_becomes_a_code():
    old = rich_plan()
    unit, *units = old.scenario.units
    named = replace(unit, name=f"fridge of {RESIDENT.upper()}")
    plan = replace(
        old,
        scenario=replace(old.scenario, units=(named, *units)),
        loans=tuple(replace(one, lenders=(RESIDENT,)) for one in old.loans),
    )
    pdf, text = opened(paper_pdf(plan)), hand_copy(plan)
    for piece in ("sentinel", "zebedee"):
        assert piece.encode() not in pdf.lower()
        assert piece not in text.lower()
    assert "Door sheet: fridge of K-" in text
    assert re.search(r"from K-\d+", text)


def test_no_kind_of_medicine_is_named(packs):
    for pdf in packs.values():
        assert b"nsulin" not in opened(pdf)


def test_an_empty_plan_still_gives_a_pack():
    for language in Language:
        found = pages(paper_pdf(empty_plan(), language=language))
        assert len(found) == 5
        assert hand_copy(empty_plan(), language=language)


def test_a_real_plan_of_the_fixture_prints(packs):
    found = pages(paper_pdf(plan_fixture.plan(), made_at=MADE))
    titles = {one.title for one in found}
    assert {"Door sheet: North fridge", "Door sheet: Blue chest"} <= titles
    assert "Door sheet: Spare fridge" not in titles
