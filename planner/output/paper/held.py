"""Rows of the list that are not planned, for somebody without a screen."""

from planner.output.held import held_rows, several_sheets, why_words
from planner.output.paper.facts import Facts
from planner.output.paper.pen import TICK, Column, Pen
from planner.scenario import HeldRow

_SHOWN = 6


def held_table(facts: Facts, pen: Pen) -> None:
    """Write which rows are not planned and whom to ask, when there are any."""
    found = held_rows(facts.plan)
    if not found:
        return
    pen.heading(held_head(facts), keep_pt=110)
    pen.text(facts.say("held.how"))
    pen.table(
        [
            Column(facts.say("head.row"), 12, bold=True),
            Column(facts.say("head.who_short"), 14, bold=True),
            Column(facts.say("head.unclear"), 28),
            Column(facts.say("head.next"), 28),
            Column(facts.say("head.done"), 8),
        ],
        [
            (
                _reference(facts, one),
                one.who or facts.say("held.nobody"),
                why_words(one, facts.say),
                facts.say("held.next", whom=facts.say("whom.data")),
                TICK,
            )
            for one in found
        ],
    )


def held_head(facts: Facts) -> str:
    """Count of rows that are not planned; empty when there are none."""
    count = len(held_rows(facts.plan))
    return facts.words.count("held.head", count) if count else ""


def held_words(facts: Facts) -> str:
    """Count and the first rows, with codes where one is known, on one line."""
    found = held_rows(facts.plan)
    said = ", ".join(
        f"{_reference(facts, one)} ({one.who})" if one.who else _reference(facts, one)
        for one in found[:_SHOWN]
    )
    more = len(found) - _SHOWN
    rows = facts.say("held.more", rows=said, count=more) if more > 0 else said
    return facts.say("held.rows", head=held_head(facts), rows=rows)


def held_lines(facts: Facts) -> tuple[str, ...]:
    """The same as short lines, the count first."""
    found = held_rows(facts.plan)
    if not found:
        return ()
    return (
        held_head(facts),
        *(
            facts.say(
                "held.line",
                row=_reference(facts, one),
                code=one.who or facts.say("held.nobody"),
                why=why_words(one, facts.say),
            )
            for one in found
        ),
    )


def _reference(facts: Facts, one: HeldRow) -> str:
    """Row of the list; the sheet too where there are several."""
    number = str(one.row)
    if several_sheets(facts.plan):
        number = f"{facts.free(one.sheet, 12)} {number}"
    return number
