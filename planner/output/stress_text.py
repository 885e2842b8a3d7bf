"""The what-if report as plain text for a terminal."""

from collections.abc import Iterable, Iterator

import pandas as pd

from planner.output import stress_cards as cards
from planner.output import stress_tables as tables
from planner.output.answers import title
from planner.output.manner import PLAIN
from planner.output.words import clean
from planner.result import Plan
from planner.result_stress import StressReport


def stress_text(plan: Plan, report: StressReport) -> str:
    """Write the whole report, one block a question; ends with a newline."""
    blocks = [
        f"What if? {title(plan)}",
        _block("If one thing fails", cards.failure_headline(report), _cards(
            cards.failure_cards(plan, report)
        ), PLAIN.say(cards.FAILURE_WORDS)),
        _block("What to switch off when power is short", "", _cards(
            cards.ladder_cards(plan, report)
        ) or [PLAIN.say(cards.NO_STEP_WORDS)],
            PLAIN.say(cards.LADDER_WORDS)),
        *_hard_blocks(plan, report),
        _block("Measured weather", tables.weather_headline(report), _rows(
            tables.weather_table(plan, report)
        ), PLAIN.say(cards.SAMPLE_WORDS) if report.weather is not None else ""),
    ]  # fmt: skip
    return "\n\n".join(blocks) + "\n"


def _hard_blocks(plan: Plan, report: StressReport) -> Iterator[str]:
    for case in tables.sun_cases(report):
        heading = f"Harder days. {tables.sun_heading(plan, case)}"
        yield _block(heading, "", _rows(tables.hard_table(plan, report, case)), "")
    faults = tables.hard_faults(report)
    if faults:
        yield _block(
            "What harder days break besides", "", [f"- {clean(f)}" for f in faults], ""
        )


def _block(heading: str, first: str, lines: Iterable[str], note: str) -> str:
    parts = [heading.upper(), first, *lines, note]
    return "\n".join(clean(one) if one == note else one for one in parts if one)


def _cards(found: Iterable[cards.StressCard]) -> list[str]:
    lines = []
    for one in found:
        mark = "! " if one.grave else "  "
        lines.append(f"{mark}{clean(one.title)}")
        lines += [f"    - {clean(line)}" for line in one.lines]
    return lines


def _rows(table: pd.DataFrame) -> list[str]:
    headings = [str(heading) for heading in table.columns]
    lines = []
    for row in table.itertuples(index=False):
        name, *cells = (clean(str(cell)) for cell in row)
        lines.append(f"  {name}")
        told = zip(headings[1:], cells, strict=True)
        lines += [f"    - {heading}: {cell}" for heading, cell in told if cell]
    return lines
