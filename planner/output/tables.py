"""Answers about people's items as tables, one a question, codes not names.

Every function takes a plan and returns a new ``DataFrame`` whose headings
are words for people; an empty answer keeps its headings.  Clock times are
text with the day; volumes are numbers in the unit of the heading.  Cells are
as the plan has them: a writer that exports them neutralises formula text.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from planner.output.change_text import change_words, missing_words, speaker
from planner.output.index import Index, index_plan
from planner.output.late import late_bags
from planner.output.loan_places import serving_steps
from planner.output.manner import PLAIN, Manner
from planner.output.words import US_QUARTS_PER_LITRE, clean
from planner.result import LoanStep, Plan, Shortfall, WarmClock

if TYPE_CHECKING:
    import pandas as pd

Cell = str | int | float | None


def frame(headings: Sequence[str], rows: list[tuple[Cell, ...]]) -> pd.DataFrame:
    """Table with these headings, also when there are no rows."""
    import pandas as pd  # slow to load: not before there is a table

    return pd.DataFrame(rows, columns=list(headings))


def assignments(plan: Plan, how: Manner = PLAIN) -> pd.DataFrame:
    """List which bag goes in which unit, by unit, zone and code."""
    index = index_plan(plan, how)
    rows: list[tuple[Cell, ...]] = []
    for placed in plan.placements:
        line = index.lines[placed.line_id]
        litres = round(placed.count * line.volume_l, 2)
        rows.append(
            (
                index.name(placed.unit_id),
                index.units[placed.unit_id].place,
                placed.zone + 1,
                line.code,
                index.kind(line),
                placed.count,
                litres,
                round(litres * US_QUARTS_PER_LITRE, 2),
                how.band(line.keep_from_c, line.keep_to_c),
                _freeze_words(line.never_freeze),
                placed.tier.value,
                "extra stock" if placed.surplus else "needed in the window",
                clean(placed.why),
                line.row,
            )
        )
    headings = (
        "Unit", "Place", "Zone", "Code", "Item", "Bags", "Litres", "US quarts",
        "Keep between", "Freezing", "Tier", "Need", "Why", "Row",
    )  # fmt: skip
    rows.sort(key=lambda row: (str(row[0]), row[2], str(row[3]), row[13], row[10]))
    return frame(headings, rows)


def shortfalls(plan: Plan, how: Manner = PLAIN) -> pd.DataFrame:
    """List who is short, why and until when: soonest safe-until first.

    An item without a known allowance comes before all others.
    """
    index = index_plan(plan, how)
    who = speaker(index)
    rows: list[tuple[Cell, ...]] = []
    for short in sorted(plan.shortfalls, key=lambda one: urgency(index, one)):
        line = index.lines[short.line_id]
        rows.append(
            (
                until_words(index, short.safe_until),
                line.code,
                index.kind(line),
                short.count,
                short.tier.value,
                "extra stock" if short.surplus else "needed in the window",
                short.reason.value,
                clean(short.detail),
                missing_words(who, short),
                change_words(who, short),
                ", ".join(str(one) for one in serving_steps(plan, short)),
                clean(short.next_step),
                line.place,
                line.row,
            )
        )
    headings = (
        "Inside its allowance until", "Code", "Item", "Bags short", "Tier", "Need",
        "What is lacking", "In words", "Missing", "What would place it",
        "Borrow list step", "Next step", "Place", "Row",
    )  # fmt: skip
    return frame(headings, rows)


def late(plan: Plan, how: Manner = PLAIN) -> pd.DataFrame:
    """List who has a place that is not cold in time, the most urgent first."""
    index = index_plan(plan, how)
    rows: list[tuple[Cell, ...]] = [
        (
            until_words(index, one.until),
            one.line.code,
            index.kind(one.line),
            one.count,
            one.tier.value,
            index.name(one.unit_id),
            how.say("tell.late.never")
            if one.cold_h is None
            else how.say("tell.late.cold", when=index.clock(one.cold_h)),
            one.line.row,
        )
        for one in late_bags(index)
    ]
    headings = (
        "Inside its allowance until", "Code", "Item", "Bags", "Tier", "Unit",
        "Expected cold", "Row",
    )  # fmt: skip
    return frame(headings, rows)


def warm_clocks(plan: Plan, how: Manner = PLAIN) -> pd.DataFrame:
    """List what stays at room temperature, until when: soonest first."""
    index = index_plan(plan, how)
    rows: list[tuple[Cell, ...]] = []
    for warm in sorted(plan.warm_clocks, key=lambda one: urgency(index, one)):
        line = index.lines[warm.line_id]
        limit = (
            how.told("not known")
            if line.warm_max_c is None
            else how.at_most(line.warm_max_c)
        )
        rows.append(
            (
                until_words(index, warm.until),
                line.code,
                index.kind(line),
                warm.count,
                limit,
                how.told(line.clock.value),
                how.told(clean(warm.why)),
                line.place,
                line.row,
            )
        )
    headings = (
        "Use or ask by", "Code", "Item", "Bags", "Counts only up to", "Clock",
        "Why", "Place", "Row",
    )  # fmt: skip
    return frame(headings, rows)


def tiers(plan: Plan) -> pd.DataFrame:
    """Show what each tier needed and got, and how far that is proven best."""
    rows: list[tuple[Cell, ...]] = [
        (
            tier.tier.value,
            tier.households,
            tier.households_met,
            tier.household_bound,
            tier.needed,
            tier.met,
            tier.bound,
            tier.warm,
            tier.short,
            tier.surplus,
            tier.surplus_met,
            "proven best" if tier.proven else "not proven best",
        )
        for tier in sorted(plan.tiers, key=lambda one: one.tier)
    ]
    headings = (
        "Tier", "Households", "Households met", "Households at most",
        "Bags needed", "Bags cold", "Bags cold at most", "Bags at room temperature",
        "Bags short", "Extra bags", "Extra bags cold", "Proof",
    )  # fmt: skip
    return frame(headings, rows)


def gain_words(step: LoanStep, how: Manner = PLAIN) -> str:
    """Say what one step of the borrow list gives, tier by tier."""
    gains = [
        how.say(
            "tell.gain.bags",
            bags=how.count("bags", gain.bags),
            tier=gain.tier.value,
        )
        for gain in sorted(step.gains, key=lambda one: one.tier)
        if gain.bags
    ]
    return ", ".join(gains) or how.say("tell.gain.none")


def until_words(index: Index, moment: datetime | None) -> str:
    """Clock time of an allowance's end; unknown is read as none."""
    if moment is None:
        return index.how.say("tell.until.unknown")
    if moment <= index.start:
        return index.how.say("tell.until.over")
    return index.moment(moment)


def urgency(
    index: Index, one: Shortfall | WarmClock
) -> tuple[bool, datetime, str, int]:
    """Sort key: not known first, then the soonest clock, tier and row."""
    moment = one.safe_until if isinstance(one, Shortfall) else one.until
    tier = one.tier.value if isinstance(one, Shortfall) else ""
    line = index.lines[one.line_id]
    return moment is not None, moment or index.start, tier, line.row


def _freeze_words(never_freeze: bool) -> str:
    return "NEVER FREEZE" if never_freeze else ""
