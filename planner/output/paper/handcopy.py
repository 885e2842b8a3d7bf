"""Every sheet as short lines, for a whiteboard or index cards without a printer."""

import textwrap
from collections.abc import Iterable, Sequence
from datetime import datetime

from planner.output.loan_places import see_step_words
from planner.output.manner import Manner
from planner.output.paper.borrow import in_order as loan_order
from planner.output.paper.borrow import message, step_title, stop_words
from planner.output.paper.door import (
    act_words,
    cold_words,
    door_title,
    ice_words,
    set_lines,
)
from planner.output.paper.facts import Facts, paper_facts
from planner.output.paper.goods import held_in, limits, units_on
from planner.output.paper.handover import (
    borrow_words,
    dark_words,
    due,
    one_line,
    short_words,
    shorter_plan_words,
)
from planner.output.paper.held import held_head, held_lines
from planner.output.paper.labels import stored_by_code
from planner.output.paper.late import late_head, late_lines
from planner.output.paper.logs import cold_words as log_cold_words
from planner.output.paper.logs import limit_words, log_title, visits
from planner.output.paper.notice import (
    Move,
    change_lines,
    in_order,
    later_words,
    moves_of,
)
from planner.output.paper.phrases import (
    allowance,
    clock,
    code_counts,
    feeds,
    lasts,
    moment,
    sentence,
    untied,
    window,
)
from planner.output.paper.radio import radio_line
from planner.output.paper.rota import rota
from planner.output.paper.shed import (
    Ladder,
    counted_words,
    gain_words,
    on_batteries,
    then_words,
    unit_words,
)
from planner.output.paper.short import in_order as short_order
from planner.output.paper.short import nobody_words, who_words
from planner.output.paper.warm import ask_words, warm_title
from planner.output.paper.wiring import (
    chain_name,
    chains,
    dark_life_words,
    life_words,
    plug_words,
)
from planner.output.wording import Language, Wording, wording
from planner.output.words import Clock, Units
from planner.result import Plan, Shortfall
from planner.result_stress import ShedStep
from planner.scenario import ColdUnit

MOST_LINES = 15
"""Lines of a card, its title included."""

MOST_COLUMNS = 60
"""Letters of a line."""

_ROOM = MOST_LINES - 1

Pages = tuple[str, Sequence[str]]


def hand_copy(
    plan: Plan,
    *,
    language: Language = Language.EN,
    units: Units = Units.METRIC,
    clock: Clock = Clock.H24,
    made_at: datetime | None = None,
    moves: Sequence[Move] = (),
    ladder: Ladder = None,
    words: Wording | None = None,
) -> str:
    """Write all sheets as cards of at most 15 short lines, and the radio lines.

    A sheet that needs more lines becomes several cards, numbered in their
    titles: nothing is left out to make it short.
    """
    how = Manner(language=language, units=units, clock=clock)
    facts = paper_facts(plan, words or wording(language), made_at, how=how)
    cards = [
        card
        for title, lines in _sheets(facts, moves or moves_of(plan), ladder)
        for card in _cards(facts, title, lines)
    ]
    radio = [radio_line(facts, unit) for unit in units_on(facts)]
    head = facts.say("copy.head", mark=facts.mark, window=window(facts))
    parts = [head, facts.say("copy.how"), *("\n".join(one) for one in cards)]
    if radio:
        parts.append("\n".join([facts.say("copy.radio"), *radio]))
    return untied("\n\n".join(parts)) + "\n"  # fmt: skip


def _sheets(facts: Facts, moves: Sequence[Move], ladder: Ladder) -> Iterable[Pages]:
    yield facts.say("hand.title"), _handover(facts)
    yield facts.say("short.title"), _short(facts)
    yield facts.say("borrow.title"), _borrow(facts)
    way = _way(facts, moves)
    if way:
        yield facts.say("moves.title"), way
    for unit in units_on(facts):
        yield door_title(facts, unit), _door(facts, unit)
    for chain in chains(facts):
        title = facts.say("wiring.title", chain=chain_name(facts, chain))
        plugs = [
            facts.say(
                "copy.at", when=clock(facts, one.from_h), what=plug_words(facts, one)
            )
            for one in chain.plugs
        ]
        life = life_words(facts, chain.loads)
        yield title, [*life, *plugs, facts.say("wiring.first")]
    tasks = rota(facts)
    if tasks:
        yield (
            facts.say("rota.title"),
            [
                " ".join(part for part in (clock(facts, one.hour), one.text, one_line(one.reading)) if part)
                for one in tasks
            ],
        )  # fmt: skip
    if ladder is not None and on_batteries(facts):
        yield facts.say("shed.title"), _shed(facts, ladder)
    for unit in units_on(facts):
        yield log_title(facts, unit), _log(facts, unit)
    for unit in units_on(facts):
        yield warm_title(facts, unit), _warm(facts, unit)
    codes = stored_by_code(facts)
    if codes:
        yield (
            facts.say("labels.title"),
            [facts.say(f"copy.label.{one}") for one in range(1, 5)],
        )
        yield (
            facts.say("slips.title"),
            [f"{code}: {'; '.join(said)}" for code, said in codes],
        )
    yield facts.say("notice.title"), _notice(facts)


def _cards(facts: Facts, title: str, lines: Sequence[str]) -> list[list[str]]:
    chunks: list[list[str]] = [[]]
    for line in lines:
        wrapped = textwrap.wrap(
            line, MOST_COLUMNS, subsequent_indent="  ", break_on_hyphens=False
        )
        # An entry stays on one card where it can.
        if len(chunks[-1]) + len(wrapped) > _ROOM and len(wrapped) <= _ROOM:
            chunks.append([])
        for part in wrapped:
            if len(chunks[-1]) == _ROOM:
                chunks.append([])
            chunks[-1].append(part)
    chunks = [one for one in chunks if one]
    cards = []
    for number, chunk in enumerate(chunks, start=1):
        tail = facts.say("copy.tail", mark=facts.mark, card=number, of=len(chunks))
        short = textwrap.shorten(title, MOST_COLUMNS - len(tail) - 1, placeholder="...")
        cards.append([f"{short} {tail}", *chunk])
    return cards


def _door(facts: Facts, unit: ColdUnit) -> list[str]:
    held = held_in(facts, unit)
    zones = sorted({one.zone for one in held})
    many = len(unit.zone_shares) > 1
    inside = []
    for zone in zones:
        here = [one for one in held if one.zone == zone]
        key = "copy.inside_zone" if many else "copy.inside"
        inside.append(
            facts.say(
                key,
                zone=zone + 1,
                total=sum(one.count for one in here),
                codes=code_counts((one.line.code, one.count) for one in here),
            )
        )
    icy = sorted({one.line.code for one in held if one.line.never_freeze})
    ice = ice_words(facts.plan, facts, unit)
    return [
        *set_lines(facts, unit),
        *(act_words(facts, unit, one) for one in limits(facts, unit)),
        *cold_words(facts, unit),
        *([facts.say("copy.never_freeze", codes=", ".join(icy))] if icy else []),
        *feeds(facts, unit),
        *(sentence(one) for one in lasts(facts, unit)),
        *([ice] if ice else []),
        *inside,
    ]


def _at_top(facts: Facts) -> int:
    """Lines about who is short: the counts, what a shorter plan holds, the first."""
    extra = bool(held_head(facts)) + bool(late_head(facts))
    return 2 + extra + len(shorter_plan_words(facts))


def _handover(facts: Facts) -> list[str]:
    return [
        *short_words(facts)[: _at_top(facts)],
        *dark_words(facts, planned=False)[:4],
        facts.say("copy.borrow", first=borrow_words(facts)),
        *(
            facts.say("copy.at", when=moment(facts, when), what=text)
            for when, text in due(facts)[:2]
        ),
        facts.say("copy.write"),
    ]


def _short(facts: Facts) -> list[str]:
    urgent, later = short_order(facts)
    nobody = nobody_words(facts)
    return [
        *held_lines(facts),
        *([nobody] if nobody else []),
        *_short_lines(facts, (*urgent, *later)),
        *late_lines(facts),
    ]


def _short_lines(facts: Facts, found: Sequence[Shortfall]) -> list[str]:
    return [
        facts.say(
            "copy.short",
            when=allowance(facts, one.safe_until),
            who=one_line(who_words(facts, one)),
            lacking=". ".join(
                said
                for said in (
                    facts.say(f"lacking.{one.reason.name.lower()}"),
                    see_step_words(facts.plan, one, facts.words),
                )
                if said
            ),
            whom=facts.say(f"whom.{one.reason.name.lower()}"),
        )
        for one in found
    ]


def _borrow(facts: Facts) -> list[str]:
    steps = loan_order(facts)
    if not steps:
        return [borrow_words(facts)]
    lines = []
    for step in steps:
        lines += [step_title(facts, step), message(facts, step)]
    return [*lines, stop_words(facts, steps)]


def _way(facts: Facts, moves: Sequence[Move]) -> list[str]:
    """Plugs and thermostats, the bags, and what is given up, in order."""
    first, last = change_lines(facts)
    if not moves and not first and not last:
        return []
    return [
        *dark_life_words(facts),
        *later_words(facts),
        *([facts.say("moves.first"), *first] if first else []),
        *([facts.say("moves.then")] if first and moves else []),
        *_moves(facts, moves),
        *([facts.say("moves.last"), *last] if last else []),
    ]


def _moves(facts: Facts, moves: Sequence[Move]) -> list[str]:
    desk = facts.say("moves.desk")
    return [
        facts.say(
            "copy.move",
            order=one.order,
            code=facts.free(one.code, 12),
            count=one.count,
            begins=facts.free(one.from_unit, 30) or desk,
            ends=facts.free(one.to_unit, 30) or desk,
        )
        for one in in_order(moves)
    ]


def _log(facts: Facts, unit: ColdUnit) -> list[str]:
    times = ", ".join(clock(facts, hour) for hour in visits(facts, unit))
    cold = log_cold_words(facts, unit)
    return [
        *(limit_words(facts, unit, one) for one in limits(facts, unit)),
        *([cold] if cold else []),
        facts.say("copy.log"),
        facts.say("copy.times", times=times),
    ]


def _shed(facts: Facts, ladder: Sequence[ShedStep]) -> list[str]:
    if not ladder:
        return [facts.say("shed.first"), facts.say("shed.none")]
    return [
        facts.say("shed.first"),
        counted_words(facts),
        *(
            facts.say(
                "copy.shed",
                rank=one.rank,
                unit=one_line(unit_words(facts, one)),
                then=" ".join(then_words(facts, one)),
                saves="; ".join(gain_words(facts, one)),
            )
            for one in ladder
        ),
        facts.say("shed.back"),
    ]


def _warm(facts: Facts, unit: ColdUnit) -> list[str]:
    return [
        *(limit_words(facts, unit, one) for one in limits(facts, unit)),
        facts.say("copy.warm"),
        facts.say("warm.judge"),
        *ask_words(facts, unit),
    ]


def _notice(facts: Facts) -> list[str]:
    keys = (
        "notice.what", "notice.ask_first", "notice.bring.1", "notice.bring.2",
        "notice.safe", "notice.emergency",
    )  # fmt: skip
    return [facts.say(key) for key in keys]
