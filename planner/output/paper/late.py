"""Bags whose allowance ends before their unit is expected cold, for the pharmacist."""

from planner.output.late import LateGroup, late_count, late_groups
from planner.output.paper.facts import Facts
from planner.output.paper.pen import Column, Pen
from planner.output.paper.phrases import allowance, bags, clock, code_counts


def late_table(facts: Facts, pen: Pen) -> None:
    """Write who they are, unit by unit, when there are any."""
    found = late_groups(facts.index)
    if not found:
        return
    pen.heading(late_head(facts), keep_pt=130)
    pen.text(facts.say("late.how"))
    pen.table(
        [
            Column(facts.say("head.unit"), 15, bold=True),
            Column(facts.say("head.cold"), 13, bold=True),
            Column(facts.say("head.first_until"), 14),
            Column(facts.say("head.tier"), 6.5),
            Column(facts.say("head.bags"), 8, bold=True),
            Column(facts.say("head.who_short"), 43.5),
        ],
        [
            (
                facts.name(one.unit_id),
                _cold(facts, one),
                allowance(facts, one.until),
                one.tier.value,
                str(one.count),
                code_counts(one.bags),
            )
            for one in found
        ],
    )


def late_head(facts: Facts) -> str:
    """Count of such bags and whom to ask; empty when there are none."""
    count = late_count(facts.index)
    return facts.words.count("late.head", count) if count else ""


def late_lines(facts: Facts) -> tuple[str, ...]:
    """The same as short lines, the count first; the units' own cards name the bags."""
    found = late_groups(facts.index)
    if not found:
        return ()
    lines = (
        facts.say(
            "late.one" if one.cold_h is not None else "late.one_never",
            unit=facts.name(one.unit_id),
            cold=_cold(facts, one),
            tier=one.tier.value,
            bags=bags(facts, one.count),
        )
        for one in found
    )
    return late_head(facts), facts.say("late.how"), *lines


def _cold(facts: Facts, one: LateGroup) -> str:
    return facts.say("late.never") if one.cold_h is None else clock(facts, one.cold_h)
