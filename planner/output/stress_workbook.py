"""The what-if report as a workbook of its own, to print beside the plan."""

import pandas as pd

from planner.output import stress_cards as cards
from planner.output import stress_tables as tables
from planner.output.answers import title
from planner.output.coded import coded_beside, coded_plan
from planner.output.manner import PLAIN
from planner.output.tables import Cell, frame
from planner.output.words import day_clock
from planner.output.workbook import plan_mark
from planner.output.xlsx import (
    Block,
    Sheet,
    Stamp,
    add_sheet,
    new_workbook,
    to_bytes,
)
from planner.result import Plan
from planner.result_stress import StressReport


def stress_workbook(plan: Plan, report: StressReport) -> bytes:
    """Write the report as an .xlsx file; the same report gives the same bytes."""
    plan, report = coded_plan(plan), coded_beside(plan, report)
    start, mark = plan.scenario.conditions.start, plan_mark(plan)
    stamp = Stamp(
        title=f"If something fails, plan from {day_clock(start)}",
        footer=f"Plan {mark}. Codes, not names.",
        moment=start,
    )
    book = new_workbook(stamp)
    for sheet in _sheets(plan, report, f"Plan {mark}, {title(plan)}"):
        add_sheet(book, sheet, stamp)
    return to_bytes(book, stamp)


def _sheets(plan: Plan, report: StressReport, note: str) -> tuple[Sheet, ...]:
    failures = _table("If this fails", cards.failure_cards(plan, report))
    steps = _table("Step", cards.ladder_cards(plan, report))
    hard = tuple(
        Block(
            heading=f"Harder days. {tables.sun_heading(plan, case)}",
            table=tables.hard_table(plan, report, case),
        )
        for case in tables.sun_cases(report)
    )
    faults: list[tuple[Cell, ...]] = [(line,) for line in tables.hard_faults(report)]
    besides = Block(
        heading="Besides, these no longer hold", table=frame(("What",), faults)
    )
    return (
        _sheet(
            "If something fails", "What follows if one thing fails?", note, failures
        ),
        _sheet(
            "Switch off first", "What to switch off when power is short?", note, steps
        ),
        Sheet(
            name="Harder days",
            question="Hotter rooms, open doors: who holds until when?",
            note=note,
            blocks=(*hard, besides),
            marks=("DARK", "TOO WARM"),
        ),
        _sheet(
            "Measured weather",
            tables.weather_headline(report),
            f"{note}. {PLAIN.say(cards.SAMPLE_WORDS)}",
            tables.weather_table(plan, report),
        ),
    )


def _sheet(name: str, question: str, note: str, table: pd.DataFrame) -> Sheet:
    return Sheet(
        name=name,
        question=question,
        note=note,
        blocks=(Block(heading=question, table=table),),
        marks=("LOST", "LIFE SUPPORT"),
    )


def _table(heading: str, found: tuple[cards.StressCard, ...]) -> pd.DataFrame:
    rows: list[tuple[Cell, ...]] = [
        (one.title if number == 0 else "", line)
        for one in found
        for number, line in enumerate(one.lines)
    ]
    return frame((heading, "What follows"), rows)
