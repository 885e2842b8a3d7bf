"""The command line: reads files, calls the pipeline, formats, nothing else.

Exit codes: 0 done and everything served, 1 planned with shortfalls or with
rows that are not planned, 2 the input or the command needs fixing, 3 failed.
"""

import os
import subprocess
import sys
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from planner import __version__
from planner.cli_look import headings, kinds
from planner.cli_reading import IN_FILE as _IN_FILE
from planner.cli_reading import Given, read_list, reading_options, start_option
from planner.cli_replan import one_more, replan
from planner.cli_support import (
    NEEDS_FIXING,
    failing_clearly,
    must_be_new,
    must_not_overwrite,
    progress_line,
    write,
)
from planner.cli_writing import (
    OUT_DIR,
    manner_of,
    out_option,
    paper_options,
    show,
    stop_for_issues,
    write_paper,
)
from planner.errors import PlannerError

if TYPE_CHECKING:
    from planner.result import Plan

ROOT = Path(__file__).parents[1]
DEMO_SAMPLE = ROOT / "sample_data" / "hall_in_heat.xlsx"
APP = ROOT / "app.py"

_OUT_FILE = click.Path(dir_okay=False, path_type=Path)


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="cold-storage-planner")
def main() -> None:
    """Plan which fridge, battery and panel keeps whose medicine and feeds cold.

    Works offline. It stores, locates and times; it never says that a medicine
    is safe: read its label and ask a pharmacist.
    """
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            # A terminal that lacks a letter shows "?" instead of failing.
            stream.reconfigure(errors="replace")


main.add_command(kinds)
main.add_command(headings)
main.add_command(replan)
main.add_command(one_more)


@main.command()
@click.argument("file", type=_OUT_FILE)
@failing_clearly
def blank(file: Path) -> None:
    """Write an empty workbook to FILE, with headings, lists and help."""
    from planner.intake import blank_workbook

    must_be_new(file, "FILE")
    write(file, blank_workbook())
    click.echo(f"Written: {file}")


@main.command()
@click.argument("workbook", type=_IN_FILE)
@reading_options
@failing_clearly
def check(workbook: Path, given: Given) -> None:
    """List what is wrong or doubtful in WORKBOOK and what to do about it.

    Exit code 2 when something must be mended (STOP or REVIEW), else 0.
    """
    from planner.output.issue_text import issues_text, needs_fixing

    reading = read_list(workbook, given, None)
    click.echo(issues_text(reading.issues), nl=False)
    if needs_fixing(reading.issues):
        sys.exit(NEEDS_FIXING)


@main.command()
@click.argument("workbook", type=_IN_FILE)
@out_option
@start_option
@click.option(
    "--time-limit",
    type=click.FloatRange(min=1),
    default=20.0,
    show_default=True,
    metavar="S",
    help="Seconds for the plan, and up to three times as many for the borrow list.",
)
@click.option("--no-borrow", is_flag=True, help="Leave the borrow list out.")
@click.option("--name-key", type=_OUT_FILE, help="New .xlsx file: code and name.")
@paper_options
@reading_options
@failing_clearly
def plan(
    workbook: Path,
    out: Path,
    given: Given,
    start: datetime | None,
    time_limit: float,
    no_borrow: bool,
    name_key: Path | None,
    paper: str | None,
    language: str,
    units: str,
    clock: str,
) -> None:
    """Plan WORKBOOK, write plan.xlsx and plan.json, print the summary.

    Exit code 0 when everything is served, 1 when somebody is short or a row
    is not planned, 2 when the workbook needs fixing, 3 when planning failed.
    """
    from planner import pipeline

    must_not_overwrite(out, [workbook, *given.files()])
    if name_key is not None:
        must_be_new(name_key, "--name-key")
    reading = read_list(workbook, given, start)
    if reading.scenario is None:
        stop_for_issues(reading)
        return
    with progress_line() as progress:
        made = pipeline.make_plan(
            reading.scenario,
            time_limit_s=time_limit,
            borrow=not no_borrow,
            progress=progress,
        )
    if paper is not None:
        write_paper(made, out, paper, language=language, units=units, clock=clock)
    show(made, reading, out, manner_of(language, units, clock))
    if paper is not None:
        click.echo(f"Paper: {out / 'paper.pdf'} and {out / 'handcopy.txt'}")
    if name_key is not None:
        _write_name_key(made, name_key)
    sys.exit(pipeline.exit_code(made))


@main.command()
@click.argument("workbook", type=_IN_FILE)
@start_option
@click.option(
    "--time-limit", type=click.FloatRange(min=1), default=20.0, show_default=True,
    metavar="S", help="Seconds for the plan.",
)  # fmt: skip
@click.option("--out", type=_OUT_FILE, help="New .xlsx file with the same to print.")
@reading_options
@failing_clearly
def stress(
    workbook: Path,
    given: Given,
    start: datetime | None,
    time_limit: float,
    out: Path | None,
) -> None:
    """Plan WORKBOOK and tell what happens when something goes wrong.

    One thing failing at its worst hour, what to switch off first, hotter
    rooms, open doors, measured weather. Exit code 0 when told, 2 when the
    workbook needs fixing, 3 when planning failed.
    """
    from planner import pipeline
    from planner.output.stress_text import stress_text
    from planner.output.stress_workbook import stress_workbook

    if out is not None:
        must_be_new(out, "--out")
    reading = read_list(workbook, given, start)
    if reading.scenario is None:
        stop_for_issues(reading)
        return
    with progress_line() as progress:
        made = pipeline.make_plan(
            reading.scenario, time_limit_s=time_limit, borrow=False, progress=progress
        )
    report = pipeline.stress_plan(made)
    if out is not None:
        write(out, stress_workbook(made, report))
    click.echo(stress_text(made, report), nl=False)


@main.command()
@click.option("--no-serve", is_flag=True, help="Print the summary and end.")
@click.option("--out", type=OUT_DIR, help="Folder for plan.xlsx and plan.json.")
@click.option(
    "--port", type=click.IntRange(1024, 65535), default=8501, show_default=True,
    metavar="N", help="Port of the app on this computer.",
)  # fmt: skip
@failing_clearly
def demo(no_serve: bool, out: Path | None, port: int) -> None:
    """Plan an invented scarce sample, then open the app with it."""
    from planner import pipeline

    if not DEMO_SAMPLE.exists():
        msg = f"the sample {DEMO_SAMPLE.name} is not in this installation"
        raise PlannerError(msg)
    if out is not None:
        must_not_overwrite(out, [DEMO_SAMPLE])
    read_at = datetime.now()
    reading = read_list(DEMO_SAMPLE, Given(), None)
    if reading.scenario is None:
        stop_for_issues(reading)
        return
    click.echo(f"Sample {DEMO_SAMPLE.name}: invented people, places and things.\n")
    with progress_line() as progress:
        made = pipeline.make_plan(reading.scenario, progress=progress)
    show(made, reading, out)
    if not no_serve:
        _hand_over(made, read_at)
        _serve(port)


@main.command()
@click.argument("folder", type=OUT_DIR)
@failing_clearly
def offline(folder: Path) -> None:
    """Make a new FOLDER that sets up and runs this without a network.

    Needs a network once, to fetch the packages; carry the folder on a stick
    to a computer with the same system and the same Python.
    """
    from planner.offline import make_offline_folder

    click.echo("Fetching the packages; this takes a few minutes.")
    count = make_offline_folder(ROOT, folder)
    click.echo(f"Made: {folder} with {count} packages. READ_ME.txt tells the rest.")


def _write_name_key(made: "Plan", file: Path) -> None:
    from planner.intake import name_key
    from planner.output.name_key import name_key_workbook

    pairs = name_key(made.scenario)
    write(file, name_key_workbook(pairs, made.scenario.conditions.start))
    file.chmod(0o600)
    click.echo(f"Name key: {file}. Keep it apart from the plan.")


def _hand_over(made: "Plan", read_at: datetime) -> None:
    """Let the app open with the plan just made; work kept before stays as it is."""
    from planner.output.manner import PLAIN
    from planner.store import Saved, load, save, work_file

    saved = Saved(
        list_name=DEMO_SAMPLE.name,
        list_bytes=DEMO_SAMPLE.read_bytes(),
        read_at=read_at,
        plan=made,
    )
    try:
        kept = load(work_file())
        if kept is None or kept.saved == Saved():
            mark = None if kept is None else kept.mark
            what = PLAIN.say("at.step.plan")
            save(work_file(), saved, what=what, mark=mark, now=read_at)
    except PlannerError:
        # The app says what is wrong with the file, and opens the bare sample.
        return


def _serve(port: int) -> None:
    """Run the app for this computer only, without usage statistics."""
    if not APP.exists():
        msg = f"the app {APP.name} is not in this installation"
        raise PlannerError(msg)
    click.echo(f"\nThe app opens at http://localhost:{port} ; end it with Ctrl+C.")
    command = [
        sys.executable, "-m", "streamlit", "run", str(APP),
        "--server.address", "localhost", "--server.port", str(port),
        "--server.showEmailPrompt", "false", "--browser.gatherUsageStats", "false",
    ]  # fmt: skip
    environment = {**os.environ, "PLANNER_SAMPLE": str(DEMO_SAMPLE)}
    try:
        done = subprocess.run(command, env=environment, cwd=ROOT, check=False)  # noqa: S603
    except KeyboardInterrupt:
        return
    if done.returncode:
        msg = f"the app ended with code {done.returncode}; is port {port} in use?"
        raise PlannerError(msg)
