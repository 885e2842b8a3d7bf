"""Commands that start from the plan in force."""

import sys
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from planner.cli_reading import (
    IN_FILE,
    Given,
    named_bytes,
    read_list,
    reading_options,
    start_option,
)
from planner.cli_support import (
    NEEDS_FIXING,
    failing_clearly,
    must_not_overwrite,
    progress_line,
)
from planner.cli_writing import (
    manner_of,
    out_option,
    paper_options,
    show,
    stop_for_issues,
    write_paper,
)
from planner.errors import UsageError

if TYPE_CHECKING:
    from planner.result_replan import InForce
    from planner.scenario import Scenario

_FROM = click.option(
    "--from", "plan_file", type=IN_FILE, required=True,
    help="The plan.json of the plan in force.",
)  # fmt: skip


@click.command()
@click.argument("workbook", type=IN_FILE)
@_FROM
@out_option
@start_option
@click.option(
    "--measured", multiple=True, metavar="NAME=PERCENT",
    help="Charge read from a battery's gauge now; once for each battery.",
)  # fmt: skip
@click.option(
    "--time-limit", type=click.FloatRange(min=1), default=20.0, show_default=True,
    metavar="S", help="Seconds for the plan, and half as many for fewer moves.",
)  # fmt: skip
@click.option("--borrow", is_flag=True, help="Also work out what to borrow first.")
@paper_options
@reading_options
@failing_clearly
def replan(
    workbook: Path,
    plan_file: Path,
    out: Path,
    given: Given,
    start: datetime | None,
    measured: tuple[str, ...],
    time_limit: float,
    borrow: bool,
    paper: str | None,
    language: str,
    units: str,
    clock: str,
) -> None:
    """Plan WORKBOOK again from the plan in force, carrying few bags.

    WORKBOOK is the list as it is now: arrivals added, leavers deleted, what
    broke marked out of order, charge as measured. Exit codes as for plan.
    """
    from planner import pipeline, replanning
    from planner.output.replan_text import replan_text

    must_not_overwrite(out, [workbook, plan_file, *given.files()])
    charge = _charges(measured)
    reading = read_list(workbook, given, start)
    if reading.scenario is None:
        stop_for_issues(reading)
        return
    try:
        scenario = replanning.with_measured(reading.scenario, charge)
    except UsageError as fault:
        raise click.UsageError(str(fault)) from None
    in_force = _in_force(plan_file, scenario)
    with progress_line() as progress:
        made = replanning.replan(
            scenario,
            in_force,
            time_limit_s=time_limit,
            borrow=borrow,
            progress=progress,
        )
    if paper is not None:
        write_paper(made.plan, out, paper, language=language, units=units, clock=clock)
    click.echo(replan_text(made), nl=False)
    show(made.plan, reading, out, manner_of(language, units, clock))
    if paper is not None:
        click.echo(f"Paper: {out / 'paper.pdf'} and {out / 'handcopy.txt'}")
    sys.exit(pipeline.exit_code(made.plan))


@click.command(name="one-more")
@click.argument("workbook", type=IN_FILE)
@click.argument("item")
@_FROM
@start_option
@click.option(
    "--count", type=click.IntRange(1, 500), help="Packs or bags; else as ITEM says."
)
@click.option("--volume", metavar="L", help="Outer size of one pack, such as 0.4.")
@click.option("--keep-from", metavar="C", help="Lowest temperature on the label.")
@click.option("--keep-to", metavar="C", help="Highest temperature on the label.")
@click.option(
    "--tier", type=click.Choice(["A", "B", "C", "D", "E"]), help="When decided."
)
@click.option("--place", help="Where the person sleeps; else the first place.")
@click.option("--locked", is_flag=True, help="It must be locked away.")
@click.option("--night", is_flag=True, help="It is fetched at night.")
@reading_options
@failing_clearly
def one_more(
    workbook: Path,
    item: str,
    plan_file: Path,
    given: Given,
    start: datetime | None,
    count: int | None,
    volume: str | None,
    keep_from: str | None,
    keep_to: str | None,
    tier: str | None,
    place: str | None,
    locked: bool,
    night: bool,
) -> None:
    """Say whether ITEM can be taken too, under the plan in force.

    Nothing is written. Exit code 0 when it fits and every bag that stands
    keeps a cold place, 1 when it does not, 2 when something needs fixing.
    """
    from planner import replanning
    from planner.output.issue_text import issues_text
    from planner.output.replan_text import one_more_text
    from planner.result_replan import Fits

    reading = read_list(workbook, given, start)
    if reading.scenario is None:
        stop_for_issues(reading)
        return
    scenario = reading.scenario
    in_force = _in_force(plan_file, scenario)
    fields = {
        "item": item,
        "quantity": str(count or ""),
        "volume_l": volume or "",
        "keep_from": keep_from or "",
        "keep_to": keep_to or "",
        "tier": tier or "",
        "place": place or "",
        "locked": "yes" if locked else "",
        "night_need": "yes" if night else "",
    }
    read = replanning.read_item(fields, scenario, named_bytes(given.aliases))
    if read.line is None:
        click.echo(issues_text(read.issues), nl=False)
        sys.exit(NEEDS_FIXING)
    try:
        answer = replanning.one_more(scenario, in_force, read.line)
    except UsageError as fault:
        raise click.UsageError(str(fault)) from None
    click.echo(one_more_text(answer, scenario, read.line), nl=False)
    well = {Fits.AS_IT_IS, Fits.WITH_MOVES, Fits.NOT_COLD}
    sys.exit(0 if answer.answer in well else 1)


def _in_force(file: Path, scenario: "Scenario") -> "InForce":
    """Read the plan in force; what is doubtful in it is told."""
    from planner import replanning
    from planner.output.issue_text import issues_text

    found = replanning.read_in_force(file.read_bytes(), scenario)
    if found.issues:
        click.echo(f"The plan in force, {file.name}:", err=True)
        click.echo(issues_text(found.issues), nl=False, err=True)
    if found.in_force is None:
        sys.exit(NEEDS_FIXING)
    return found.in_force


def _charges(measured: tuple[str, ...]) -> dict[str, float]:
    """Shares by battery name, from NAME=PERCENT."""
    found: dict[str, float] = {}
    for text in measured:
        name, _, percent = text.rpartition("=")
        try:
            share = float(percent.strip().rstrip("%").replace(",", ".")) / 100
        except ValueError:
            share = -1.0
        if not name.strip() or not 0 <= share <= 1:
            msg = (
                f"--measured '{text}' is not NAME=PERCENT, such as 'Power pack 500=62'"
            )
            raise click.UsageError(msg)
        found[name.strip()] = share
    return found
