"""Accounts behind the answers as tables: rows, assumptions, warnings."""

from __future__ import annotations

from typing import TYPE_CHECKING

from planner.output.index import index_plan
from planner.output.manner import PLAIN, Manner
from planner.output.tables import Cell, frame
from planner.output.words import clean
from planner.result import Plan
from planner.scenario import (
    Battery,
    ColdUnit,
    Flag,
    Gate,
    Line,
    Origin,
    Panel,
    Source,
)

if TYPE_CHECKING:
    import pandas as pd

_ROWS_NAMED = 8
_UNIT_ENDINGS = (
    ("_w_per_k", "W per K"),
    ("_wh_day", "Wh a day"),
    ("_kg_day", "kg a day"),
    ("_wh", "Wh"),
    ("_deg", "degrees"),
    ("_w", "W"),
    ("_c", "C"),
    ("_l", "L"),
    ("_h", "h"),
)


def row_accounts(plan: Plan, how: Manner = PLAIN) -> pd.DataFrame:
    """Account for every bag of every intake row; rows in review included."""
    index = index_plan(plan, how)
    rows: list[tuple[Cell, ...]] = []
    for one in plan.accounts:
        line = index.lines.get(one.line_id)
        rows.append(
            (
                clean(one.sheet),
                one.row,
                line.code if line else "",
                index.kind(line) if line else "",
                one.quantity,
                one.placed,
                one.warm,
                one.short,
                one.with_person,
                one.review,
                clean(one.outcome),
            )
        )
    headings = (
        "Sheet", "Row", "Code", "Item", "Bags", "Cold", "At room temperature", "Short",
        "With the person", "In review", "Outcome",
    )  # fmt: skip
    rows.sort(key=lambda row: (str(row[0]), row[1], str(row[2]), str(row[3])))
    return frame(headings, rows)


def assumptions(plan: Plan, how: Manner = PLAIN) -> pd.DataFrame:
    """List the values that nobody at the site supplied, with their source."""
    used = _used_for(plan, how)
    rows: list[tuple[Cell, ...]] = [
        (
            field_words(one.field),
            clean(one.value),
            used.get(one, ""),
            one.came_from.value,
            clean(one.source) or "no source",
            clean(one.jurisdiction),
            trust_words(one.flag),
        )
        for one in dict.fromkeys(plan.assumptions)
    ]
    headings = (
        "What", "Value used", "Used for", "Came from", "Source", "Where it applies",
        "Trust",
    )  # fmt: skip
    return frame(headings, rows)


def findings(plan: Plan) -> pd.DataFrame:
    """List what the independent check saw."""
    rows: list[tuple[Cell, ...]] = [
        (
            "refuses the plan" if one.fatal else "warning",
            one.rule or "bookkeeping",
            clean(one.subject),
            clean(one.message),
        )
        for one in plan.findings
    ]
    return frame(("Weight", "Rule", "About", "Finding"), rows)


def items_outside(plan: Plan, how: Manner = PLAIN) -> pd.DataFrame:
    """List lines that do not compete for cold space, and where they belong."""
    index = index_plan(plan, how)
    rows: list[tuple[Cell, ...]] = [
        (line.gate.value, line.code, index.kind(line), line.quantity, line.place, line.row)
        for line in plan.scenario.lines
        if line.gate is not Gate.POOL
    ]  # fmt: skip
    rows.sort(key=lambda row: (str(row[0]), row[5]))
    return frame(("Where", "Code", "Item", "Bags", "Place", "Row"), rows)


def field_words(field: str) -> str:
    """Name of a field as people say it, with its unit: ``keep to (C)``."""
    for ending, unit in _UNIT_ENDINGS:
        if field.endswith(ending):
            return f"{field.removesuffix(ending).replace('_', ' ')} ({unit})"
    return field.replace("_", " ")


def trust_words(flag: Flag) -> str:
    """Say how far a value may be trusted; unconfirmed ones say so first."""
    if flag.confirmed:
        return flag.value
    return f"not confirmed, check the label ({flag.value})"


def _used_for(plan: Plan, how: Manner) -> dict[Origin, str]:
    """Sheet rows that rest on each assumption, the first few by number."""
    scenario = plan.scenario
    rows: dict[Origin, dict[str, list[int]]] = {}
    nouns: tuple[Line | ColdUnit | Battery | Panel | Source, ...] = (
        *scenario.lines, *scenario.units, *scenario.batteries, *scenario.panels,
        *scenario.sources,
    )  # fmt: skip
    for noun in nouns:
        for origin in noun.origins:
            on_sheet = rows.setdefault(origin, {}).setdefault(noun.sheet, [])
            if noun.row not in on_sheet:
                on_sheet.append(noun.row)
    words = {
        origin: "; ".join(
            _row_words(sheet, numbers, how) for sheet, numbers in found.items()
        )
        for origin, found in rows.items()
    }
    for origin in scenario.conditions.origins:
        words.setdefault(origin, how.told("the whole plan"))
    return words


def _row_words(sheet: str, numbers: list[int], how: Manner) -> str:
    shown = ", ".join(str(one) for one in sorted(numbers)[:_ROWS_NAMED])
    more = len(numbers) - _ROWS_NAMED
    if more > 0:
        return how.say("tell.book.rows_more", sheet=sheet, rows=shown, more=more)
    form = "one" if len(numbers) == 1 else "many"
    return how.say(f"tell.book.rows_used.{form}", sheet=sheet, rows=shown)
