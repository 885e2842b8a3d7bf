"""The borrow list as tables: what to fetch, what to ask for, what else helps."""

import pandas as pd

from planner.output.cards import not_wanted
from planner.output.index import Index, index_plan
from planner.output.lend_text import (
    gap_words,
    least_words,
    other_codes,
    other_what,
    other_whom,
    why_out,
)
from planner.output.loan_places import loses_words, serves_words
from planner.output.manner import PLAIN, Manner
from planner.output.tables import Cell, frame, gain_words
from planner.output.words import clean
from planner.result import LoanStep, Plan


def borrow_list(plan: Plan, how: Manner = PLAIN) -> pd.DataFrame:
    """List what to borrow first, and what each step gives.

    Kit that nobody has offered yet stands below what is offered.
    """
    index = index_plan(plan, how)
    steps = (
        *sorted(plan.loans, key=lambda one: one.rank),
        *sorted(plan.borrow.asked, key=lambda one: one.rank),
    )
    headings = (
        "Order", "Borrow", "From", "Ready", "Effort", "What it gives",
        "Unit-hours gained without sun", "Ask for", "Least that does",
        "Do not accept", "Serves", "Who loses a place", "Bags of tiers A to C still short after it",
    )  # fmt: skip
    return frame(headings, [_row(index, step) for step in steps])


def _row(index: Index, step: LoanStep) -> tuple[Cell, ...]:
    how = index.how
    lenders = ", ".join(clean(lender) for lender in step.lenders if lender)
    asked = step in index.plan.borrow.asked
    return (
        step.rank,
        " + ".join(
            how.told(clean(name)) if asked else clean(name) for name in step.names
        ),
        how.say("tell.lend.asked.from") if asked else lenders,
        index.clock(step.ready_h),
        step.effort,
        gain_words(step, how),
        round(step.hours_gained, 1),
        "; ".join(how.told(clean(text)) for text in step.ask_for),
        ". ".join(least_words(index.plan, step, how)),
        "; ".join(how.told(one) for one in not_wanted(step)),
        serves_words(step, index.lines, how),
        loses_words(step, index.lines, how),
        step.still_short,
    )


def other_list(plan: Plan, how: Manner = PLAIN) -> pd.DataFrame:
    """List what would help without equipment, each step by itself."""
    index = index_plan(plan, how)
    headings = ("Order", "What", "Bags it would serve", "Ask", "Effort", "About")
    rows: list[tuple[Cell, ...]] = [
        (
            rank,
            other_what(one, how),
            ", ".join(f"{g.tier.value}: {g.bags}" for g in one.gains if g.bags),
            other_whom(one, how),
            one.effort,
            other_codes(index, one),
        )
        for rank, one in enumerate(plan.borrow.others, start=1)
    ]
    return frame(headings, rows)


def out_list(plan: Plan, how: Manner = PLAIN) -> pd.DataFrame:
    """List the offers that are in no step, and why."""
    rows: list[tuple[Cell, ...]] = [
        (clean(one.name), why_out(one, how)) for one in plan.borrow.not_needed
    ]
    return frame(("Offer", "Why it is in no step"), rows)


def gap_list(plan: Plan, how: Manner = PLAIN) -> pd.DataFrame:
    """Say how far the order is from the best sets of one, two and three things."""
    rows: list[tuple[Cell, ...]] = [(line,) for line in gap_words(plan, how)]
    return frame(("How good this order is",), rows)
