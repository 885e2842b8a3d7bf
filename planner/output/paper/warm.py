"""The warm-exposure slip of a unit: what was seen, by clock time, and whom to ask.

It collects what a pharmacist or nurse will want to know.  It adds up nothing
and judges nothing.
"""

from planner.output.paper.facts import Facts
from planner.output.paper.goods import held_in, limits
from planner.output.paper.logs import limit_words
from planner.output.paper.page import PaperSize
from planner.output.paper.pen import TICK, Column, Pen
from planner.scenario import ColdUnit, StockClass

_MOST_ROWS, _LEAST_ROWS = 14, 4
_ROW_PT = 28.0


def warm_sheet(facts: Facts, unit: ColdUnit, size: PaperSize) -> Pen:
    """Write the slip of one unit, with as many empty rows as one page takes."""
    for rows in range(_MOST_ROWS, _LEAST_ROWS - 1, -1):
        pen = _written(facts, unit, size, rows)
        if len(pen.pages) == 1:
            break
    return pen


def warm_title(facts: Facts, unit: ColdUnit) -> str:
    """Title of a slip."""
    return facts.say("warm.title", unit=facts.name(unit.id))


def ask_words(facts: Facts, unit: ColdUnit) -> tuple[str, ...]:
    """Whom to ask, by what stands in the unit; both where nothing does yet."""
    inside = {one.line.stock_class for one in held_in(facts, unit)}
    return tuple(
        facts.say(f"warm.ask.{one.name.lower()}")
        for one in StockClass
        if one in inside or not inside
    )


def _written(facts: Facts, unit: ColdUnit, size: PaperSize, rows: int) -> Pen:
    pen = Pen(size, warm_title(facts, unit), facts.say("page.continued"))
    pen.text(facts.say("warm.how"))
    pen.notice(facts.say("warm.judge"))
    for limit in limits(facts, unit):
        pen.text(limit_words(facts, unit, limit), bold=True)
    zones = len(unit.zone_shares) > 1
    columns = [
        *([Column(facts.say("head.zone"), 8)] if zones else []),
        Column(facts.say("head.open"), 9),
        Column(facts.say("head.dark"), 9),
        Column(facts.say("head.since"), 17, bold=True),
        Column(facts.say("head.ended"), 17, bold=True),
        Column(facts.say("head.highest"), 13, bold=True),
        Column(facts.say("head.lowest"), 13),
        Column(facts.say("head.who"), 9),
    ]
    row = (*(("",) if zones else ()), TICK, TICK, "", "", "", "", "")
    pen.table(columns, [row] * rows, row_pt=_ROW_PT)
    pen.points([facts.say(f"warm.rule.{one}") for one in range(1, 4)])
    pen.heading(facts.say("warm.ask"))
    pen.points(ask_words(facts, unit))
    pen.fields([facts.say(f"warm.field.{one}") for one in range(1, 4)])
    return pen
