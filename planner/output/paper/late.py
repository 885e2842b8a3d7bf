"""Bags whose allowance ends before their unit is expected cold, for the pharmacist."""

from planner.output.late import Late, late_bags, late_count
from planner.output.paper.facts import Facts
from planner.output.paper.goods import reference
from planner.output.paper.pen import TICK, Column, Pen
from planner.output.paper.phrases import allowance, bags, clock


def late_table(facts: Facts, pen: Pen) -> None:
    """Write who they are, when there are any."""
    found = late_bags(facts.index)
    if not found:
        return
    pen.heading(late_head(facts), keep_pt=130)
    pen.text(facts.say("late.how"))
    pen.table(
        [
            Column(facts.say("head.until"), 26, bold=True),
            Column(facts.say("head.who_short"), 12, bold=True),
            Column(facts.say("head.row"), 8),
            Column(facts.say("head.bags"), 8, bold=True),
            Column(facts.say("head.tier"), 6.5),
            Column(facts.say("head.unit"), 20),
            Column(facts.say("head.cold"), 14),
            Column(facts.say("head.done"), 7.5),
        ],
        [
            (
                allowance(facts, one.until),
                one.line.code,
                reference(facts, one.line),
                str(one.count),
                one.tier.value,
                facts.name(one.unit_id),
                facts.say("late.never")
                if one.cold_h is None
                else clock(facts, one.cold_h),
                TICK,
            )
            for one in found
        ],
    )


def late_head(facts: Facts) -> str:
    """Count of such bags and whom to ask; empty when there are none."""
    count = late_count(facts.index)
    return facts.words.count("late.head", count) if count else ""


def late_lines(facts: Facts) -> tuple[str, ...]:
    """The same as short lines, the count first."""
    found = late_bags(facts.index)
    if not found:
        return ()
    return (
        late_head(facts),
        *(
            facts.say(
                "late.one",
                until=allowance(facts, one.until),
                code=one.line.code,
                row=reference(facts, one.line),
                bags=bags(facts, one.count),
                unit=facts.name(one.unit_id),
                cold=_cold(facts, one),
            )
            for one in found
        ),
    )


def _cold(facts: Facts, one: Late) -> str:
    if one.cold_h is None:
        return facts.say("late.never")
    return facts.say("late.cold", when=clock(facts, one.cold_h))
