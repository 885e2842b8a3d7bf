"""Who is short: what is lacking, until when, what next, who to ask."""

from planner.output.change_text import Speaker, brief_change_words
from planner.output.held import held_rows
from planner.output.loan_places import then_step_words
from planner.output.paper.facts import Facts
from planner.output.paper.goods import reference
from planner.output.paper.held import held_head, held_table
from planner.output.paper.late import late_head, late_table
from planner.output.paper.page import PaperSize
from planner.output.paper.pen import TICK, Column, Pen
from planner.output.paper.phrases import (
    allowance,
    bags,
    clock,
    degrees,
    keep_range,
    not_above,
    tied,
)
from planner.output.tables import urgency
from planner.result import ReasonFamily, Shortfall
from planner.scenario import Tier

URGENT = (Tier.A, Tier.B, Tier.C)


def shortfall_sheet(facts: Facts, size: PaperSize) -> Pen:
    """Write the shortfall list; it says so when nobody is short."""
    pen = Pen(size, facts.say("short.title"), facts.say("page.continued"))
    held_table(facts, pen)
    nobody = nobody_words(facts)
    pen.text(nobody or facts.say("short.how"), 14 if nobody else 12, bold=bool(nobody))
    urgent, later = in_order(facts)
    for key, found in (("short.urgent", urgent), ("short.later", later)):
        if not found:
            continue
        count = sum(one.count for one in found)
        pen.heading(facts.words.count(key, count), keep_pt=110)
        pen.table(
            [
                Column(facts.say("head.until"), 14, bold=True),
                Column(facts.say("head.who_short"), 14, bold=True),
                Column(facts.say("head.lacking"), 26),
                Column(facts.say("head.next"), 26),
                Column(facts.say("head.done"), 8),
            ],
            [
                (
                    allowance(facts, one.safe_until),
                    who_words(facts, one),
                    _with_change(facts, one),
                    next_words(facts, one),
                    TICK,
                )
                for one in found
            ],
        )
    late_table(facts, pen)
    if facts.plan.shortfalls or late_head(facts) or held_head(facts):
        pen.fields([facts.say("field.pharmacist"), facts.say("field.decides")])
    return pen


def nobody_words(facts: Facts) -> str:
    """Say that nobody is short, as far as rows are planned; empty when somebody is."""
    if facts.plan.shortfalls:
        return ""
    if not held_rows(facts.plan):
        return facts.say("short.nobody")
    return facts.say("held.rest" if facts.plan.demands else "held.none_planned")


def in_order(facts: Facts) -> tuple[tuple[Shortfall, ...], tuple[Shortfall, ...]]:
    """Shortfalls of tiers A to C, and the others, each the soonest first."""
    ordered = sorted(facts.plan.shortfalls, key=lambda one: urgency(facts.index, one))
    return (
        tuple(one for one in ordered if one.tier in URGENT),
        tuple(one for one in ordered if one.tier not in URGENT),
    )


def who_words(facts: Facts, short: Shortfall) -> str:
    """Code, row of the list, bags and tier."""
    line = facts.index.lines[short.line_id]
    return facts.say(
        "short.who_extra" if short.surplus else "short.who",
        code=line.code,
        row=reference(facts, line),
        bags=bags(facts, short.count),
        tier=short.tier.value,
    )


def lacking_words(facts: Facts, short: Shortfall) -> str:
    """What keeps the bags out, in words, with the litres they need."""
    line = facts.index.lines[short.line_id]
    said = facts.say(f"lacking.{short.reason.name.lower()}")
    if short.reason is ReasonFamily.DATA:
        return said
    return facts.say(
        "lacking.room",
        lacking=said,
        room=tied(facts.how.volume(short.count * line.volume_l)),
    )


def _with_change(facts: Facts, short: Shortfall) -> str:
    """What keeps the bags out, and what would place them."""
    said = lacking_words(facts, short)
    change = brief_change_words(paper_speaker(facts), short)
    return f"{said}\n{facts.say('short.change', change=change)}" if change else said


def next_words(facts: Facts, short: Shortfall) -> str:
    """Next best action, and whom to ask for it."""
    # A step of the borrow list that serves it comes before what might.
    see = then_step_words(facts.plan, short, facts.words)
    return facts.say(
        "short.next",
        first=facts.say(f"step.{first_key(facts, short)}"),
        then=see or facts.say(f"then.{short.reason.name.lower()}"),
        whom=facts.say(f"whom.{short.reason.name.lower()}"),
    )


def paper_speaker(facts: Facts) -> Speaker:
    """Names, places and times as they stand on paper."""
    return Speaker(
        words=facts.words,
        name=facts.name,
        place=facts.place,
        clock=lambda hour: clock(facts, hour),
        volume=lambda litres: tied(facts.how.volume(litres)),
        ice=lambda kg: tied(facts.how.ice(kg)),
        band=lambda low, high: keep_range(facts, low, high),
        temperature=lambda temp_c: degrees(facts, temp_c),
        at_most=lambda temp_c: not_above(facts, temp_c),
        lines=facts.index.lines,
        batteries=facts.index.batteries,
    )


def first_key(facts: Facts, short: Shortfall) -> str:
    """Which of the first actions fits: freezer, ask, or a written clock."""
    if facts.index.lines[short.line_id].frozen:
        return "frozen"
    if short.safe_until is None or short.safe_until <= facts.index.start:
        return "ask"
    return "clock"
