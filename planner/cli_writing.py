"""What the commands that plan have alike: stopping for issues, files, summary."""

import sys
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from planner.cli_support import NEEDS_FIXING, write

if TYPE_CHECKING:
    from planner.intake import Reading
    from planner.output.manner import Manner
    from planner.result import Plan


OUT_DIR = click.Path(file_okay=False, path_type=Path)
out_option = click.option(
    "--out", type=OUT_DIR, required=True, help="Folder for plan.xlsx, plan.json."
)


def paper_options(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command the options of the sheets to print."""
    language = click.option(
        "--language", type=click.Choice(["en", "es"]), default="en", show_default=True,
        help="Language of paper and plan.xlsx.",
    )  # fmt: skip
    paper = click.option(
        "--paper", type=click.Choice(["a4", "letter"]),
        help="Also write paper.pdf, the sheets to print, and handcopy.txt.",
    )  # fmt: skip
    units = click.option(
        "--units", type=click.Choice(["metric", "us"]), default="metric",
        show_default=True, help="Units that stand first on paper and in plan.xlsx.",
    )  # fmt: skip
    clock = click.option(
        "--clock", type=click.Choice(["24", "12"]), default="24", show_default=True,
        help="Clock of paper and plan.xlsx: 16:20, or 4:20 pm.",
    )  # fmt: skip
    return paper(language(units(clock(command))))


def stop_for_issues(reading: "Reading") -> None:
    """List what must be mended and end."""
    from planner.output.issue_text import issues_text

    click.echo(issues_text(reading.issues), nl=False)
    click.echo("No plan was made: mend what stops it and try again.", err=True)
    sys.exit(NEEDS_FIXING)


def manner_of(language: str, units: str, clock: str) -> "Manner":
    """How the files for people are said; the terminal stays in English."""
    from planner.output.manner import Manner
    from planner.output.wording import Language
    from planner.output.words import Clock, Units

    return Manner(language=Language(language), units=Units(units), clock=Clock(clock))


def show(
    made: "Plan", reading: "Reading", out: Path | None, how: "Manner | None" = None
) -> None:
    """Write the files before the summary, so that the summary is the last word."""
    from planner.output.manner import PLAIN
    from planner.output.plan_json import plan_to_json
    from planner.output.summary import summary_text
    from planner.output.workbook import plan_workbook

    if out is not None:
        out.mkdir(parents=True, exist_ok=True)
        write(out / "plan.xlsx", plan_workbook(made, how or PLAIN))
        write(out / "plan.json", plan_to_json(made).encode())
    click.echo(summary_text(made, reading.issues), nl=False)
    if out is not None:
        click.echo(f"\nWritten: {out / 'plan.xlsx'} and {out / 'plan.json'}")


def write_paper(
    made: "Plan", out: Path, paper: str, *, language: str, units: str, clock: str
) -> None:
    """Write the sheets to print and the cards to copy by hand."""
    from planner import pipeline
    from planner.output.paper import PaperSize, hand_copy, paper_pdf

    now = datetime.now().replace(second=0, microsecond=0)
    size = PaperSize(paper)
    how = manner_of(language, units, clock)
    ladder = pipeline.what_to_shed(made)
    pdf = paper_pdf(
        made,
        size=size,
        language=how.language,
        units=how.units,
        clock=how.clock,
        made_at=now,
        ladder=ladder,
    )
    cards = hand_copy(
        made,
        language=how.language,
        units=how.units,
        clock=how.clock,
        ladder=ladder,
    )
    out.mkdir(parents=True, exist_ok=True)
    write(out / "paper.pdf", pdf)
    write(out / "handcopy.txt", cards.encode())
