"""Rows of the list that are not planned: how many, which, and what is not clear."""

from collections.abc import Callable

from planner.output.manner import PLAIN, Manner
from planner.output.words import clean
from planner.result import Plan
from planner.scenario import HeldRow

_SHOWN = 6
_WHY = {
    "item-missing": "held.missing",
    "item-not-readable": "held.unreadable",
    "formula-no-value": "held.formula",
}


def held_rows(plan: Plan) -> tuple[HeldRow, ...]:
    """Rows that wait for an answer, in the order of the list."""
    waiting = plan.scenario.waiting_rows
    return tuple(sorted(waiting, key=lambda one: (one.sheet, one.row)))


def nothing_readable(plan: Plan) -> bool:
    """True when rows wait and no row of the list could be planned."""
    return bool(held_rows(plan)) and not plan.scenario.lines


def why_words(row: HeldRow, say: Callable[..., str]) -> str:
    """What is not clear in a row."""
    return say(_WHY.get(row.code, "held.other"))


def which_words(plan: Plan, how: Manner = PLAIN) -> str:
    """The first rows by number, with the person's code where one is known."""
    found = held_rows(plan)
    said = ", ".join(_row_words(plan, one, how) for one in found[:_SHOWN])
    more = len(found) - _SHOWN
    return how.say("tell.held.more", rows=said, count=more) if more > 0 else said


def held_lines(plan: Plan, how: Manner = PLAIN) -> tuple[str, ...]:
    """A line for each row: which, whose, what is not clear."""
    return tuple(
        how.say(
            "tell.held.line",
            row=_row_words(plan, one, how),
            why=why_words(one, how.say),
        )
        for one in held_rows(plan)
    )


def several_sheets(plan: Plan) -> bool:
    """True when the rows of the list stand on more than one sheet."""
    sheets = {line.sheet for line in plan.scenario.lines}
    return len(sheets | {row.sheet for row in held_rows(plan)}) > 1


def _row_words(plan: Plan, one: HeldRow, how: Manner) -> str:
    number = str(one.row)
    if several_sheets(plan):
        number = f"{clean(one.sheet)} {number}"
    key = "tell.held.row_of" if one.who else "tell.held.row"
    return how.say(key, row=number, code=one.who)
