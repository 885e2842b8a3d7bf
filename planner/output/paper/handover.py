"""One page to read out when the shift changes."""

from datetime import datetime

from planner.output.headlines import shorter_plan_lines
from planner.output.paper.borrow import in_order as loan_order
from planner.output.paper.borrow import no_step_words, step_title
from planner.output.paper.facts import Facts
from planner.output.paper.goods import units_on
from planner.output.paper.held import held_head, held_words
from planner.output.paper.late import late_head
from planner.output.paper.page import PaperSize
from planner.output.paper.pen import TICK, Column, Pen
from planner.output.paper.phrases import allowance, bags, lasts, moment
from planner.output.paper.rota import rota
from planner.output.paper.short import in_order as short_order
from planner.output.paper.short import nobody_words, who_words
from planner.output.paper.wiring import life_words
from planner.scenario import SunCase

# Rows of who is short, what goes dark and what is due: the fullest first.
_ROWS = (
    (6, 8, 10), (5, 8, 8), (5, 6, 7), (4, 6, 6), (4, 5, 5), (3, 4, 5), (3, 4, 4),
    (3, 3, 3), (2, 3, 2), (2, 2, 1), (1, 1, 1),
)  # fmt: skip


def handover_sheet(facts: Facts, size: PaperSize) -> Pen:
    """Write the handover on one page: the lists shrink until it fits."""
    for rows in _ROWS:
        pen = _written(facts, size, *rows)
        if len(pen.pages) == 1:
            break
    return pen


def short_words(facts: Facts) -> tuple[str, ...]:
    """Who is short: the count, then the most urgent."""
    urgent, later = short_order(facts)
    first = [*([held_words(facts)] if held_head(facts) else [])]
    late = [*([late_head(facts)] if late_head(facts) else [])]
    if not urgent and not later:
        return (*first, nobody_words(facts), *late)
    count = sum(one.count for one in urgent)
    rest = sum(one.count for one in later)
    said = [
        *first,
        facts.say("hand.short", urgent=bags(facts, count), later=bags(facts, rest)),
        *late,
    ]
    said += shorter_plan_words(facts)
    said += [
        facts.say(
            "hand.short_one",
            when=allowance(facts, one.safe_until),
            who=one_line(who_words(facts, one)),
        )
        for one in (*urgent, *later)
    ]
    return tuple(said)


def shorter_plan_words(facts: Facts) -> tuple[str, ...]:
    """Which unit stands idle though it could run for part of the window."""
    return tuple(
        facts.masked(line) for line in shorter_plan_lines(facts.plan, facts.how)
    )


def dark_words(facts: Facts, *, planned: bool = True) -> tuple[str, ...]:
    """How long life support, then every unit, holds without sun, and as planned."""
    also = (facts.plan.scenario.conditions.sun_case,) if planned else ()
    cases = tuple(dict.fromkeys((SunCase.NONE, *also)))
    loads = dict.fromkeys(load_id for load_id, _ in facts.index.life_support)
    return (
        *life_words(facts, loads, cases),
        *(
            facts.say(
                "wiring.unit_lasts", unit=facts.name(unit.id), lasts="; ".join(said)
            )
            for unit in units_on(facts)
            if (said := lasts(facts, unit, cases))
        ),
    )


def borrow_words(facts: Facts) -> str:
    """The first step of the borrow list."""
    steps = loan_order(facts)
    if steps:
        return step_title(facts, steps[0])
    return no_step_words(facts)


def due(facts: Facts) -> tuple[tuple[datetime, str], ...]:
    """Everything with a clock time, the soonest first."""
    conditions = facts.plan.scenario.conditions
    tasks = rota(facts)
    at_start = sum(one.hour == 0 for one in tasks)
    found = [(conditions.clock(one.hour), one.text) for one in tasks if one.hour]
    if at_start:
        found.append((conditions.start, facts.say("hand.start", count=at_start)))
    lines = facts.index.lines
    found += [
        (
            one.until,
            facts.say(
                "hand.clock", code=lines[one.line_id].code, bags=bags(facts, one.count)
            ),
        )
        for one in facts.plan.warm_clocks
        if one.until is not None
    ]
    found += [
        (one.safe_until, facts.say("hand.over", who=one_line(who_words(facts, one))))
        for one in facts.plan.shortfalls
        if one.safe_until is not None and one.safe_until > conditions.start
    ]
    return tuple(sorted(found))  # fmt: skip


def one_line(text: str) -> str:
    """Words of several lines on one."""
    return text.replace("\n", ", ")


def _written(facts: Facts, size: PaperSize, short: int, dark: int, most: int) -> Pen:
    pen = Pen(size, facts.say("hand.title"), facts.say("page.continued"))
    pen.heading(facts.say("hand.who_short"))
    _some(facts, pen, short_words(facts), short)
    pen.heading(facts.say("hand.dark"))
    _some(facts, pen, dark_words(facts) or (facts.say("hand.no_dark"),), dark)
    pen.heading(facts.say("hand.borrow"))
    pen.points([borrow_words(facts)])
    tasks = due(facts)
    if tasks:
        pen.heading(facts.say("hand.due"))
        pen.table(
            [
                Column(facts.say("head.clock"), 14, bold=True),
                Column(facts.say("head.do"), 60),
                Column(facts.say("head.done"), 8),
            ],
            [(moment(facts, when), text, TICK) for when, text in tasks[:most]],
        )
        if len(tasks) > most:
            pen.text(facts.say("hand.more", count=len(tasks) - most))
    pen.heading(facts.say("hand.by_hand"))
    pen.fields([facts.say(f"hand.field.{one}") for one in range(1, 5)])
    pen.fields([facts.say("hand.out"), facts.say("hand.in")])
    return pen  # fmt: skip


def _some(facts: Facts, pen: Pen, said: tuple[str, ...], most: int) -> None:
    pen.points(said[:most])
    if len(said) > most:
        pen.text(facts.say("hand.more", count=len(said) - most))
