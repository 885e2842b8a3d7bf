"""The notice for everybody, the list of moves, and the first page."""

from collections.abc import Sequence
from dataclasses import dataclass

from planner.output.changeover import (
    Step,
    changeover_steps,
    has_ended,
    later_times_h,
)
from planner.output.held import nothing_readable
from planner.output.index import index_plan
from planner.output.paper.facts import Facts
from planner.output.paper.page import PaperSize
from planner.output.paper.pen import TICK, Column, Pen
from planner.output.paper.phrases import (
    bags,
    clock,
    dated,
    moment,
    set_points,
    socket,
    sun,
    window,
)
from planner.output.paper.wiring import dark_life_words
from planner.result import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """``count`` bags of one code to carry from one unit to another.

    ``order`` counts from 1; an empty unit name stands for the desk (a bag
    that comes in or goes out).
    """

    order: int
    code: str
    count: int
    from_unit: str
    to_unit: str


@dataclass(frozen=True, slots=True)
class Entry:
    """A sheet of the pack: its title, who gets it, first page, pages."""

    title: str
    whom: str
    first: int
    pages: int


def public_notice(facts: Facts, size: PaperSize) -> Pen:
    """Write the notice: no codes, no numbers of people, nothing medical of anybody."""
    pen = Pen(size, facts.say("notice.title"), facts.say("page.continued"))
    pen.text(facts.say("notice.what"), 20, bold=True)
    pen.gap()
    pen.text(facts.say("notice.ask_first"), 16)
    pen.heading(facts.say("notice.bring"))
    for one in range(1, 5):
        pen.text(f"\u2022 {facts.say(f'notice.bring.{one}')}", 16)
    pen.heading(facts.say("notice.home"))
    for one in range(1, 4):
        pen.text(f"\u2022 {facts.say(f'notice.home.{one}')}", 16)
    pen.heading(facts.say("notice.mind"))
    pen.text(facts.say("notice.safe"), 16)
    pen.text(facts.say("notice.emergency"), 16, bold=True)
    pen.gap()
    pen.fields([facts.say(f"notice.field.{one}") for one in range(1, 4)])
    return pen


def moves_of(plan: Plan) -> tuple[Move, ...]:
    """Moves of a plan that was made from the plan in force."""
    names = index_plan(plan).names
    return tuple(
        Move(
            order=one.order,
            code=one.code,
            count=one.count,
            from_unit=names.get(one.from_unit_id, one.from_unit_id),
            to_unit=names.get(one.to_unit_id, one.to_unit_id),
        )
        for one in plan.moves
    )


def move_list(facts: Facts, moves: Sequence[Move], size: PaperSize) -> Pen | None:
    """Write the way from the plan in force; nothing when there is nothing to do.

    Plugs and thermostats first, then the bags, then what is given up.
    """
    first, last = change_lines(facts)
    if not moves and not first and not last:
        return None
    pen = Pen(size, facts.say("moves.title"), facts.say("page.continued"))
    for one in (*dark_life_words(facts), *later_words(facts)):
        pen.notice(one)
    if first:
        pen.heading(facts.say("moves.first"))
        pen.text(facts.say("moves.first_how"))
        _to_do(facts, pen, first)
    if moves:
        if first:
            pen.heading(facts.say("moves.then"))
        _carry(facts, pen, moves)
    if last:
        pen.heading(facts.say("moves.last"))
        _to_do(facts, pen, last)
    total = bags(facts, sum(one.count for one in moves))
    pen.text(facts.say("moves.total", bags=total) if moves else facts.say("moves.none"))
    pen.fields([facts.say("moves.done")])
    return pen


def change_lines(facts: Facts) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Plugs and thermostats: before any bag is carried, and when the bags are out."""
    first, last = changeover_steps(facts.plan)
    return (
        tuple(_step_words(facts, one) for one in first),
        tuple(_step_words(facts, one) for one in last),
    )


def later_words(facts: Facts) -> tuple[str, ...]:
    """How many plugs change over after the start, and when; none when none does."""
    change = facts.plan.changeover
    if not change.later_h:
        return ()
    hours, more = later_times_h(change)
    times = [clock(facts, hour) for hour in hours]
    if more:
        times.append(facts.say("moves.later_rota"))
    said = facts.words.count("moves.later", len(change.later_h), times="; ".join(times))
    if change.before_until is None:
        return (said,)
    key = "moves.later_ended" if has_ended(facts.plan) else "moves.later_before"
    until = moment(facts, change.before_until)
    return (f"{said} {facts.say(key, before=change.later_before, until=until)}",)


def _step_words(facts: Facts, step: Step) -> str:
    key, plug = f"change.{step.do.value}", step.plug
    if plug is None:
        temps = set_points(facts, step.temps_c)
        return facts.say(key, unit=facts.name(step.unit_id), temp=temps)
    return facts.say(
        key,
        feeder=facts.name(plug.from_id),
        socket=socket(facts, plug),
        taker=facts.name(plug.to_id),
    )


def _to_do(facts: Facts, pen: Pen, lines: Sequence[str]) -> None:
    pen.table(
        [
            Column(facts.say("head.do"), 60, bold=True),
            Column(facts.say("head.done"), 8),
        ],
        [(line, TICK) for line in lines],
        row_pt=24,
    )


def _carry(facts: Facts, pen: Pen, moves: Sequence[Move]) -> None:
    pen.text(facts.say("moves.how"))
    pen.notice(facts.say("moves.one"))
    pen.table(
        [
            Column(facts.say("head.order"), 10, bold=True),
            Column(facts.say("head.code"), 14, bold=True),
            Column(facts.say("head.bags"), 10, bold=True),
            Column(facts.say("head.from"), 22),
            Column(facts.say("head.to"), 22, bold=True),
            Column(facts.say("head.taken"), 11),
            Column(facts.say("head.put"), 10),
        ],
        [
            (
                str(one.order),
                facts.free(one.code, 12),
                str(one.count),
                facts.free(one.from_unit, 30) or facts.say("moves.desk"),
                facts.free(one.to_unit, 30) or facts.say("moves.desk"),
                TICK,
                TICK,
            )
            for one in in_order(moves)
        ],
        row_pt=24,
    )


def in_order(moves: Sequence[Move]) -> tuple[Move, ...]:
    """Moves in the order in which they are carried."""
    return tuple(sorted(moves, key=lambda one: (one.order, one.code, one.to_unit)))


def first_page(facts: Facts, entries: Sequence[Entry], size: PaperSize) -> Pen:
    """Write what is in the pack, and the names that had to be changed."""
    pen = Pen(size, facts.say("first.title"), facts.say("page.continued"))
    pen.text(facts.say("first.mark", mark=facts.mark), 26, bold=True)
    planned = facts.plan.scenario.conditions.sun_case
    pen.text(facts.say("first.window", window=window(facts), sun=sun(facts, planned)))
    if facts.made_at is not None:
        pen.text(facts.say("first.made", when=dated(facts, facts.made_at)))
    nothing = nothing_readable(facts.plan)
    status = "held" if nothing else facts.plan.status.name.lower()
    pen.text(facts.say(f"status.{status}"))
    pen.notice(facts.say("first.limit"), 12)
    pen.points([facts.say(f"first.rule.{one}") for one in range(1, 5)])
    pen.heading(facts.say("first.contents"))
    pen.table(
        [
            Column(facts.say("head.sheet"), 34, bold=True),
            Column(facts.say("head.for"), 36),
            Column(facts.say("head.pages"), 12),
        ],
        [(one.title, one.whom, _pages(one)) for one in entries],
    )
    _renamed(facts, pen)
    return pen


def _pages(entry: Entry) -> str:
    if entry.pages == 1:
        return str(entry.first)
    return f"{entry.first}-{entry.first + entry.pages - 1}"


def _renamed(facts: Facts, pen: Pen) -> None:
    if not facts.renamed:
        return
    pen.heading(facts.say("first.names"))
    pen.text(facts.say("first.names_how"))
    for one in facts.renamed:
        key = "first.name_lost" if one.lost else "first.name"
        pen.text(facts.say(key, shown=one.shown, full=one.full))
