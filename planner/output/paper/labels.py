"""Labels for the outer bags, and slips for the people they belong to."""

from collections.abc import Iterator, Sequence

from planner.output.paper.facts import Facts
from planner.output.paper.goods import (
    held_in,
    keep_words,
    legend,
    marks,
    reference,
    units_on,
)
from planner.output.paper.page import PaperSize
from planner.output.paper.pen import Pen, Type
from planner.output.paper.phrases import allowance, bags, not_above
from planner.scenario import ColdUnit, Line

MOST_LABELS = 24
"""Labels printed for one line in one place; the rest are copied by hand."""

_CODE_PT = 26.0


def label_sheet(facts: Facts, size: PaperSize) -> Pen | None:
    """Write the labels; nothing when no bag is placed or on a clock."""
    numbers = _Numbers(facts)
    cards = [*_cold_labels(facts, numbers), *_clock_labels(facts, numbers)]
    if not cards:
        return None
    pen = Pen(size, facts.say("labels.title"), facts.say("page.continued"))
    pen.text(facts.say("labels.how"))
    for said in legend(facts, _labelled(facts)):
        pen.text(said)
    pen.gap()
    pen.cards(cards, columns=2, least_pt=120)
    return pen


def slip_sheet(facts: Facts, size: PaperSize) -> Pen | None:
    """Write a claim slip for every code that has something stored."""
    cards = [_slip(facts, code, said) for code, said in stored_by_code(facts)]
    if not cards:
        return None
    pen = Pen(size, facts.say("slips.title"), facts.say("page.continued"))
    pen.text(facts.say("slips.how"))
    pen.gap()
    pen.cards(cards, columns=2, least_pt=180)
    return pen


def _labelled(facts: Facts) -> Iterator[Line]:
    """Lines that have labels: those placed and those on a clock."""
    ids = [one.line_id for one in facts.plan.placements]
    ids += [one.line_id for one in facts.plan.warm_clocks]
    for line_id in ids:
        yield facts.index.lines[line_id]


def stored_by_code(facts: Facts) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """What each code has stored and where, by code."""
    found: dict[str, list[str]] = {}
    places = {one.name: one for one in facts.plan.scenario.places}
    for unit in units_on(facts):
        counts: dict[str, int] = {}
        for one in held_in(facts, unit):
            counts[one.line.code] = counts.get(one.line.code, 0) + one.count
        place = places.get(unit.place)
        shut = place is not None and not place.open_at_night
        for code, count in counts.items():
            where = facts.say(
                "slip.stored_shut" if shut else "slip.stored",
                bags=bags(facts, count),
                unit=facts.name(unit.id),
                place=facts.place(unit.place),
            )
            found.setdefault(code, []).append(where)
    for warm in sorted(facts.plan.warm_clocks, key=lambda one: one.line_id):
        line = facts.index.lines[warm.line_id]
        found.setdefault(line.code, []).append(
            facts.say(
                "slip.clock",
                bags=bags(facts, warm.count),
                when=allowance(facts, warm.until),
            )
        )
    return tuple((code, tuple(said)) for code, said in sorted(found.items()))


def _slip(facts: Facts, code: str, said: Sequence[str]) -> list[Type]:
    return [
        Type(facts.say("slip.title"), 14, bold=True),
        Type(code, _CODE_PT, bold=True),
        *(Type(one, bold=True) for one in said),
        Type(facts.say("slip.bring")),
        Type(facts.say("slip.hours")),
        Type(facts.say("slip.lost")),
        Type(facts.say("slip.plan", mark=facts.mark)),
    ]


def _cold_labels(facts: Facts, numbers: "_Numbers") -> list[list[Type]]:
    cards = []
    for unit in units_on(facts):
        for one in held_in(facts, unit):
            where = _where(facts, unit, one.zone)
            for number in numbers.of(one.line, one.count)[:MOST_LABELS]:
                cards.append(_label(facts, one.line, number, where))
            if one.count > MOST_LABELS:
                cards.append(_more(facts, one.line, one.count - MOST_LABELS, where))
    return cards


def _clock_labels(facts: Facts, numbers: "_Numbers") -> list[list[Type]]:
    cards = []
    for warm in sorted(
        facts.plan.warm_clocks,
        key=lambda one: (facts.index.lines[one.line_id].code, one.line_id),
    ):
        line = facts.index.lines[warm.line_id]
        said = facts.say("label.clock", when=allowance(facts, warm.until))
        for number in numbers.of(line, warm.count)[:MOST_LABELS]:
            cards.append(
                [
                    Type(line.code, _CODE_PT, bold=True),
                    Type(number),
                    Type(said, 14, bold=True),
                    Type(_below(facts, line)),
                ]
            )
        if warm.count > MOST_LABELS:
            cards.append(_more(facts, line, warm.count - MOST_LABELS, said))
    return cards


class _Numbers:
    """Numbers the bags of one code and row, wherever they stand: 2 of 3."""

    def __init__(self, facts: Facts) -> None:
        self._facts = facts
        self._given: dict[tuple[str, str, int], int] = {}
        self._all: dict[tuple[str, str, int], int] = {}
        counted = [(one.line_id, one.count) for one in facts.plan.placements]
        counted += [(one.line_id, one.count) for one in facts.plan.warm_clocks]
        for line_id, count in counted:
            key = _row_of(facts.index.lines[line_id])
            self._all[key] = self._all.get(key, 0) + count

    def of(self, line: Line, count: int) -> list[str]:
        """Words for the next ``count`` bags of a line."""
        key = _row_of(line)
        before = self._given.get(key, 0)
        self._given[key] = before + count
        return [
            self._facts.say(
                "label.bag",
                row=reference(self._facts, line),
                bag=before + one,
                of=self._all[key],
            )
            for one in range(1, count + 1)
        ]


def _row_of(line: Line) -> tuple[str, str, int]:
    return line.code, line.sheet, line.row


def _label(facts: Facts, line: Line, number: str, where: str) -> list[Type]:
    mind = marks(facts, line)
    return [
        Type(line.code, _CODE_PT, bold=True),
        Type(number),
        Type(where, bold=True),
        Type(facts.say("label.keep", range=keep_words(facts, line))),
        *([Type(mind, 14, bold=True)] if mind else []),
    ]


def _where(facts: Facts, unit: ColdUnit, zone: int) -> str:
    if len(unit.zone_shares) == 1:
        return facts.name(unit.id)
    return facts.say("label.zone", unit=facts.name(unit.id), zone=zone + 1)


def _more(facts: Facts, line: Line, count: int, where: str) -> list[Type]:
    said = facts.say("label.more", row=reference(facts, line), count=count)
    return [
        Type(line.code, _CODE_PT, bold=True),
        Type(where, bold=True),
        Type(said, bold=True),
    ]


def _below(facts: Facts, line: Line) -> str:
    if line.warm_max_c is None:
        return facts.say("label.coolest")
    return facts.say("label.below", temp=not_above(facts, line.warm_max_c))
