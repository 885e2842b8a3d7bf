"""What a plan does when something goes wrong, in words with clock times."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from planner.output.index import Index, index_plan
from planner.output.manner import PLAIN, Manner
from planner.output.stress_tables import thing_words
from planner.output.words import energy
from planner.result import Plan
from planner.result_stress import (
    Failure,
    Gained,
    Move,
    Outage,
    ShedStep,
    Spare,
    Stranded,
    StressReport,
)
from planner.scenario import Tier

SAMPLE_WORDS = "tell.stress.sample"
LADDER_WORDS = "tell.stress.ladder"
FAILURE_WORDS = "tell.stress.failures"
NO_STEP_WORDS = "tell.stress.no_step"
"""Messages that explain the parts of the report."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StressCard:
    """One failure or one step: what it is, and what follows, line by line.

    ``grave`` is True when life support goes dark or bags are lost.
    """

    title: str
    lines: tuple[str, ...]
    grave: bool


def failure_cards(
    plan: Plan, report: StressReport, how: Manner = PLAIN
) -> tuple[StressCard, ...]:
    """One card a thing that can fail, the gravest first."""
    index = index_plan(plan, how)
    return tuple(_failure_card(index, one) for one in report.failures)


def ladder_cards(
    plan: Plan, report: StressReport, how: Manner = PLAIN
) -> tuple[StressCard, ...]:
    """One card a step of the load-shed ladder, in order."""
    index = index_plan(plan, how)
    return tuple(_ladder_card(index, one) for one in report.ladder)


def failure_headline(report: StressReport, how: Manner = PLAIN) -> str:
    """Say in one sentence how many single failures cost something."""
    count = len(report.failures)
    if not count:
        return how.say("tell.stress.none_can_fail")
    grave = sum(1 for one in report.failures if one.grave)
    if not grave:
        return how.count("tell.stress.none_grave", count)
    return how.count("tell.stress.grave", count, grave=grave)


def _failure_card(index: Index, one: Failure) -> StressCard:
    how = index.how
    lines = [_outage_words(index, outage) for outage in one.outages]
    lines += _move_lines(index, one.moves)
    if one.stranded:
        lines.append(_stranded_words(index, one.stranded))
    if not lines:
        lines = [how.say("tell.stress.nothing_dark")]
    elif not one.lost and any(o.thing_id in index.units for o in one.outages):
        lines.append(how.say("tell.stress.none_lost"))
    lines += [_spare_words(index, spare) for spare in one.spares]
    return StressCard(
        title=how.say(
            "tell.stress.fails",
            name=thing_words(index, one.thing_id),
            clock=index.clock(one.at_h),
        ),
        lines=tuple(lines),
        grave=one.grave,
    )


def _outage_words(index: Index, outage: Outage) -> str:
    how, clock = index.how, index.clock(outage.from_h)
    parts = [
        how.say(
            "tell.stress.dark", name=thing_words(index, outage.thing_id), clock=clock
        )
    ]
    if outage.thing_id not in index.units:
        return parts[0]
    if outage.warm_from_h is not None:
        warm = index.clock(outage.warm_from_h)
        parts.append(how.say("tell.stress.leaves", clock=warm))
    if outage.found_h is not None:
        visit = index.clock(outage.found_h)
        parts.append(how.say("tell.stress.visit", clock=visit))
    else:
        parts.append(how.say("tell.stress.nobody"))
    return "; ".join(parts)


def _spare_words(index: Index, spare: Spare) -> str:
    plug = spare.plug
    ends_h = index.plan.scenario.conditions.window_h
    until_h = ends_h if spare.until_h is None else spare.until_h
    return index.how.say(
        "tell.stress.spare_end" if spare.until_h is None else "tell.stress.spare",
        at=index.clock(plug.from_h),
        what=index.name(plug.to_id),
        into=index.name(plug.from_id),
        port=index.port(plug),
        number=plug.port_number,
        until=index.clock(until_h),
    )


def _move_lines(index: Index, moves: Sequence[Move]) -> list[str]:
    found: dict[tuple[int, str, str], list[Move]] = {}
    for move in moves:
        key = move.at_h, move.from_unit_id, move.to_unit_id
        found.setdefault(key, []).append(move)
    lines = []
    for (at_h, here, there), group in found.items():
        codes = sorted({index.lines[one.line_id].code for one in group})
        lines.append(
            index.how.say(
                "tell.stress.carry",
                clock=index.clock(at_h),
                bags=index.bags(sum(one.count for one in group)),
                here=index.name(here),
                there=index.name(there),
                codes=index.how.listed(codes),
            )
        )
    return lines


def _stranded_words(index: Index, bags: Sequence[Stranded]) -> str:
    how, total = index.how, index.bags(sum(one.count for one in bags))
    lost: dict[Tier, int] = {}
    hours = []
    for one in bags:
        if one.until_h is not None:
            lost[one.tier] = lost.get(one.tier, 0) + one.count
            hours.append(one.until_h)
    if not hours:
        return how.say("tell.stress.no_place", bags=total)
    return how.say(
        "tell.stress.lost",
        bags=total,
        tiers=_tiers(lost, how),
        clock=index.clock(min(hours)),
    )


def _tiers(counts: Mapping[Tier, int], how: Manner) -> str:
    """Counts of bags by tier, as a sentence would list them."""
    return how.listed(
        [
            how.say("tell.stress.of_tier", count=counts[tier], tier=tier.value)
            for tier in sorted(counts)
        ]
    )


def _ladder_card(index: Index, step: ShedStep) -> StressCard:
    how = index.how
    lines = _move_lines(index, step.moves)
    if step.stranded:
        count = sum(one.count for one in step.stranded)
        tiers: dict[Tier, int] = {}
        for one in step.stranded:
            tiers[one.tier] = tiers.get(one.tier, 0) + one.count
        lines.append(
            how.say(
                "tell.stress.no_room", bags=index.bags(count), tiers=_tiers(tiers, how)
            )
        )
    lines += [
        how.say(
            "tell.stress.over",
            clock=index.clock(plug.from_h),
            what=index.name(plug.to_id),
            into=index.name(plug.from_id),
            port=index.port(plug),
            number=plug.port_number,
        )
        for plug in step.handovers
    ]
    lines += [
        _gained_words(index, one) for one in step.hours if one.before_h != one.after_h
    ]
    if step.later:
        later = [
            how.say(
                "tell.stress.later_at",
                clock=index.clock(one.at_h),
                hours=how.hours(one.saved_h),
            )
            for one in step.later
        ]
        lines.append(how.say("tell.stress.later", times=how.listed(later)))
    return StressCard(
        title=how.say(
            "tell.stress.switch_off",
            rank=step.rank,
            name=index.name(step.unit_id),
            energy=energy(step.energy_wh),
        ),
        lines=tuple(lines),
        grave=bool(step.stranded),
    )


def _gained_words(index: Index, one: Gained) -> str:
    ends_h = index.plan.scenario.conditions.window_h
    before_h = ends_h if one.before_h is None else one.before_h
    after_h = ends_h if one.after_h is None else one.after_h
    return index.how.say(
        "tell.stress.buys_end" if one.after_h is None else "tell.stress.buys",
        hours=index.how.hours(after_h - before_h),
        name=thing_words(index, one.thing_id),
        after=index.clock(after_h),
        before=index.clock(before_h),
    )
