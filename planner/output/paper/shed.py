"""The load-shed card: what to switch off first when power runs short."""

from collections import Counter
from collections.abc import Sequence

from planner.output.paper.facts import Facts
from planner.output.paper.page import PaperSize
from planner.output.paper.pen import Column, Pen
from planner.output.paper.phrases import (
    allowance,
    bags,
    clock,
    socket,
    tied,
)
from planner.output.paper.rota import readings
from planner.output.words import energy
from planner.result import Link
from planner.result_stress import Gained, Move, ShedStep, Stranded

Ladder = Sequence[ShedStep] | None
"""Steps in their order; ``None`` when the ladder was not worked out."""


def shed_sheet(facts: Facts, ladder: Ladder, size: PaperSize) -> Pen | None:
    """Write the load-shed card; nothing where no battery feeds a unit."""
    if ladder is None or not on_batteries(facts):
        return None
    pen = Pen(size, facts.say("shed.title"), facts.say("page.continued"))
    pen.text(facts.say("shed.how"))
    pen.notice(facts.say("shed.first"))
    if not ladder:
        pen.text(facts.say("shed.none"), bold=True)
    else:
        pen.text(counted_words(facts))
        pen.table(
            [
                Column(facts.say("head.order"), 9, bold=True),
                Column(facts.say("head.switch_off"), 22, bold=True),
                Column(facts.say("head.its_bags"), 34),
                Column(facts.say("head.saves"), 27, bold=True),
                Column(facts.say("head.off_at"), 12),
            ],
            [
                (
                    str(one.rank),
                    unit_words(facts, one),
                    "\n".join(then_words(facts, one)),
                    "\n".join(gain_words(facts, one)),
                    "",
                )
                for one in ladder
            ],
        )
        pen.text(facts.say("shed.back"))
    looks = readings(facts)
    if looks:
        pen.heading(facts.say("shed.read"), keep_pt=120)
        pen.text(facts.say("shed.read_how"))
        pen.table(
            [
                Column(facts.say("head.clock"), 14, bold=True),
                Column(facts.say("head.shows"), 34),
                Column(facts.say("head.shows_now"), 26),
                Column(facts.say("head.who"), 10),
            ],
            [(clock(facts, one.hour), one.reading, "", "") for one in looks],
        )
    return pen


def on_batteries(facts: Facts) -> bool:
    """True when a battery feeds a unit."""
    units = facts.index.units
    return any(
        plug.link is Link.BATTERY_TO_UNIT and plug.to_id in units
        for plug in facts.plan.hookups
    )


def counted_words(facts: Facts) -> str:
    """From when on the hours are counted."""
    return facts.say("shed.counted", when=clock(facts, 0))


def unit_words(facts: Facts, step: ShedStep) -> str:
    """The unit, where it stands, the batteries it hangs on, and the last hour."""
    unit = facts.index.units[step.unit_id]
    said = facts.say(
        "shed.unit",
        unit=facts.name(unit.id),
        place=facts.place(unit.place),
        battery=_batteries(facts, step),
    )
    last_h = _last_h(step)
    if last_h is None:
        return said
    return said + "\n" + facts.say("shed.before", when=clock(facts, last_h))


def then_words(facts: Facts, step: ShedStep) -> tuple[str, ...]:
    """What happens to its bags, and which plug goes over."""
    said = _carry_words(facts, step.moves)
    if step.stranded:
        said.append(_left_words(facts, step.stranded))
    said += [
        facts.say(
            "shed.plug",
            when=clock(facts, plug.from_h),
            taker=facts.name(plug.to_id),
            feeder=facts.name(plug.from_id),
            socket=socket(facts, plug),
        )
        for plug in step.handovers
    ]
    return tuple(said) or (facts.say("shed.empty"),)


def gain_words(facts: Facts, step: ShedStep) -> tuple[str, ...]:
    """Hours that each thing left on gains, with its clock times."""
    gained = [one for one in step.hours if one.before_h != one.after_h]
    less = facts.say("shed.less", energy=tied(energy(step.energy_wh)))
    later = [
        facts.say(
            "shed.later",
            when=clock(facts, one.at_h),
            hours=tied(facts.words.count("shed.hours", one.saved_h)),
        )
        for one in step.later
    ]
    return (*(_gain(facts, one) for one in gained), *later, less)


def _gain(facts: Facts, one: Gained) -> str:
    end_h = facts.plan.scenario.conditions.window_h
    before_h = end_h if one.before_h is None else one.before_h
    after_h = end_h if one.after_h is None else one.after_h
    return facts.say(
        "shed.gain_end" if one.after_h is None else "shed.gain",
        thing=facts.name(one.thing_id),
        hours=tied(facts.words.count("shed.hours", after_h - before_h)),
        before=clock(facts, before_h),
        after=clock(facts, after_h),
    )


def _last_h(step: ShedStep) -> int | None:
    """First hour at which something would be dark that the step keeps on."""
    helped = [
        one.before_h
        for one in step.hours
        if one.before_h is not None and one.before_h != one.after_h
    ]
    return min(helped, default=None)


def _batteries(facts: Facts, step: ShedStep) -> str:
    ids = dict.fromkeys(
        plug.from_id
        for plug in facts.plan.hookups
        if plug.link is Link.BATTERY_TO_UNIT and plug.to_id == step.unit_id
    )
    return ", ".join(sorted(facts.name(one) for one in ids))


def _carry_words(facts: Facts, moves: Sequence[Move]) -> list[str]:
    ends = sorted({one.to_unit_id for one in moves}, key=facts.name)
    return [
        facts.say(
            "shed.carry",
            bags=bags(facts, sum(one.count for one in moves if one.to_unit_id == end)),
            unit=facts.name(end),
            codes=_codes(facts, [one for one in moves if one.to_unit_id == end]),
        )
        for end in ends
    ]


def _left_words(facts: Facts, left: Sequence[Stranded]) -> str:
    demands = [facts.index.demand(one.line_id) for one in left]
    ends = [None if one is None else one.safe_until for one in demands]
    known = [one for one in ends if one is not None]
    soonest = min(known) if len(known) == len(ends) else None
    return facts.say(
        "shed.left",
        bags=bags(facts, sum(one.count for one in left)),
        codes=_codes(facts, left),
        when=allowance(facts, soonest),
    )


def _codes(facts: Facts, parts: Sequence[Move] | Sequence[Stranded]) -> str:
    counts: Counter[str] = Counter()
    for one in parts:
        counts[facts.index.lines[one.line_id].code] += one.count
    return ", ".join(tied(f"{code} x{counts[code]}") for code in sorted(counts))
