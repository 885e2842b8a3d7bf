"""All sheets of a plan as one PDF, each page with its mark and number."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from planner.output.manner import Manner
from planner.output.paper.borrow import borrow_sheet
from planner.output.paper.door import door_sheet
from planner.output.paper.facts import Facts, paper_facts
from planner.output.paper.goods import units_on
from planner.output.paper.handover import handover_sheet
from planner.output.paper.labels import label_sheet, slip_sheet
from planner.output.paper.logs import log_sheet
from planner.output.paper.notice import (
    Entry,
    Move,
    first_page,
    move_list,
    moves_of,
    public_notice,
)
from planner.output.paper.page import (
    BODY_PT,
    MARGIN_PT,
    Mark,
    PaperSize,
    Stroke,
    Words,
    width_pt,
)
from planner.output.paper.pen import Pen
from planner.output.paper.phrases import dated, window
from planner.output.paper.rota import rota_sheet
from planner.output.paper.shed import Ladder, shed_sheet
from planner.output.paper.short import shortfall_sheet
from planner.output.paper.warm import warm_sheet
from planner.output.paper.wiring import chains, wiring_sheet
from planner.output.paper.write import to_pdf
from planner.output.wording import Language, Wording, wording
from planner.output.words import Clock, Units
from planner.result import Plan

_MOST_TRIES = 4


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet, and the message that says who gets it."""

    whom: str
    pen: Pen


def paper_pdf(
    plan: Plan,
    *,
    size: PaperSize = PaperSize.A4,
    language: Language = Language.EN,
    units: Units = Units.METRIC,
    clock: Clock = Clock.H24,
    made_at: datetime | None = None,
    moves: Sequence[Move] = (),
    ladder: Ladder = None,
    words: Wording | None = None,
) -> bytes:
    """Write every sheet of a plan as one PDF file.

    The same arguments give the same bytes; ``made_at`` is printed when it is
    given.  ``ladder`` are the steps of the load-shed card; without them it is
    left out.  ``words`` replaces the words of the language.
    """
    how = Manner(language=language, units=units, clock=clock)
    facts = paper_facts(plan, words or wording(language), made_at, how=how)
    sheets = _sheets(facts, moves or moves_of(plan), ladder, size)
    front = _front(facts, sheets, size)
    everything = (front, *sheets)
    total = sum(len(one.pen.pages) for one in everything)
    pages: list[list[Mark]] = []
    for sheet in everything:
        of = len(sheet.pen.pages)
        for at, marks in enumerate(sheet.pen.pages, start=1):
            foot = _foot(facts, size, (at, of), (len(pages) + 1, total))
            pages.append([*marks, *foot])
    return to_pdf(
        size,
        pages,
        title=facts.say("first.file", mark=facts.mark),
        language=facts.words.language,
    )


def _sheets(
    facts: Facts, moves: Sequence[Move], ladder: Ladder, size: PaperSize
) -> tuple[Sheet, ...]:
    found = [
        Sheet("for.handover", handover_sheet(facts, size)),
        Sheet("for.short", shortfall_sheet(facts, size)),
        Sheet("for.borrow", borrow_sheet(facts, size)),
    ]
    optional: list[tuple[str, Pen | None]] = [
        ("for.moves", move_list(facts, moves, size)),
        *(("for.door", door_sheet(facts, unit, size)) for unit in units_on(facts)),
        *(("for.wiring", wiring_sheet(facts, one, size)) for one in chains(facts)),
        ("for.rota", rota_sheet(facts, size)),
        ("for.shed", shed_sheet(facts, ladder, size)),
        *(("for.log", log_sheet(facts, unit, size)) for unit in units_on(facts)),
        *(("for.warm", warm_sheet(facts, unit, size)) for unit in units_on(facts)),
        ("for.labels", label_sheet(facts, size)),
        ("for.slips", slip_sheet(facts, size)),
        ("for.notice", public_notice(facts, size)),
    ]
    found += [Sheet(whom, pen) for whom, pen in optional if pen is not None]
    return tuple(found)


def _front(facts: Facts, sheets: Sequence[Sheet], size: PaperSize) -> Sheet:
    """First page of the pack; written again once its own length is known."""
    length = 1
    for _ in range(_MOST_TRIES):
        pen = first_page(facts, _entries(facts, sheets, length), size)
        if len(pen.pages) == length:
            break
        length = len(pen.pages)
    return Sheet("", pen)


def _entries(facts: Facts, sheets: Sequence[Sheet], before: int) -> list[Entry]:
    entries = []
    first = before + 1
    for sheet in sheets:
        pages = len(sheet.pen.pages)
        entries.append(Entry(sheet.pen.title, facts.say(sheet.whom), first, pages))
        first += pages
    return entries


def _foot(
    facts: Facts, size: PaperSize, page: tuple[int, int], pack: tuple[int, int]
) -> list[Mark]:
    """Mark, window and page numbers at the foot of a page."""
    right = size.width_pt - MARGIN_PT
    number = facts.say("page.number", page=page[0], of=page[1])
    in_pack = facts.say("page.pack", page=pack[0], of=pack[1])
    made = (
        ""
        if facts.made_at is None
        else facts.say("page.made", when=dated(facts, facts.made_at))
    )
    plan = facts.say("page.plan", mark=facts.mark)
    low, high = MARGIN_PT, MARGIN_PT + 16
    return [
        Stroke(MARGIN_PT, MARGIN_PT + 32, right, MARGIN_PT + 32, 1.0),
        Words(MARGIN_PT, high, plan, BODY_PT, bold=True),
        Words(MARGIN_PT + width_pt(plan, bold=True) + 10, high, window(facts)),
        Words(right - width_pt(number, bold=True), high, number, BODY_PT, bold=True),
        *([Words(MARGIN_PT, low, made)] if made else []),
        Words(right - width_pt(in_pack), low, in_pack),
    ]  # fmt: skip
