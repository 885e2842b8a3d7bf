"""The way from the plan in force to the new one: what is carried, in order."""

import pandas as pd

from planner.output.changeover import changeover_words
from planner.output.index import Index, index_plan
from planner.output.json_values import Json
from planner.output.manner import PLAIN, Manner
from planner.output.tables import Cell, frame
from planner.output.words import safe_text
from planner.result import Plan
from planner.result_moves import DESK, Carry


def moves_table(plan: Plan, how: Manner = PLAIN) -> pd.DataFrame:
    """List the moves in the order in which they are carried."""
    index = index_plan(plan, how)
    rows: list[tuple[Cell, ...]] = [
        (
            one.order,
            one.kind.value,
            safe_text(one.code),
            item_words(index, one),
            one.count,
            spot_words(index, one.from_unit_id, one.from_zone),
            spot_words(index, one.to_unit_id, one.to_zone),
            one.wait_min,
        )
        for one in sorted(plan.moves, key=lambda x: x.order)
    ]
    headings = (
        "Order", "What", "Code", "Item", "Bags", "From", "To",
        "Outside at most (min)",
    )  # fmt: skip
    return frame(headings, rows)


def changeover_tables(
    plan: Plan, how: Manner = PLAIN
) -> tuple[tuple[str, pd.DataFrame], ...]:
    """Plugs and thermostats in order, each part with its heading; none when none."""
    first, last = changeover_words(index_plan(plan, how))
    return tuple(
        (heading, frame(("Step", "What to do"), list(enumerate(lines, start=1))))
        for heading, lines in (
            ("First, before any bag: plugs and thermostats, doors shut", first),
            ("Last, when all bags are out", last),
        )
        if lines
    )


def item_words(index: Index, one: Carry) -> str:
    """Kind of the item in catalogue words."""
    line = index.lines.get(one.line_id)
    if line is None:
        return index.how.say("tell.move.unlisted")
    return index.kind(line)


def spot_words(index: Index, unit_id: str, zone: int) -> str:
    """Unit and, where it has several, zone; or the desk."""
    if unit_id == DESK:
        return index.how.say("tell.move.desk")
    unit = index.units.get(unit_id)
    name = index.name(unit_id)
    several = unit is not None and len(unit.zone_shares) > 1
    return index.how.say("tell.zone_of", name=name, zone=zone + 1) if several else name


def move_values(index: Index) -> list[Json]:
    """Moves as the plan's JSON has them; null is the desk."""
    return [
        {
            "order": one.order,
            "what": one.kind.value,
            "row": index.lines[one.line_id].row if one.line_id in index.lines else None,
            "line": one.line_id if one.line_id in index.lines else None,
            "code": safe_text(one.code),
            "count": one.count,
            **_end("from", one.from_unit_id, one.from_zone),
            **_end("to", one.to_unit_id, one.to_zone),
            "outside_min": one.wait_min,
        }
        for one in sorted(index.plan.moves, key=lambda x: x.order)
    ]


def _end(name: str, unit_id: str, zone: int) -> dict[str, Json]:
    desk = unit_id == DESK
    return {
        f"{name}_unit": None if desk else safe_text(unit_id),
        f"{name}_zone": None if desk else zone + 1,
    }
