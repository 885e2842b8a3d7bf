"""What every command of the command line does alike: faults, files, progress."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from functools import wraps
from pathlib import Path
from typing import ParamSpec

import click

from planner.errors import PlannerError, PlanRefusedError

P = ParamSpec("P")

NEEDS_FIXING, FAILED = 2, 3
_WRITTEN = ("plan.xlsx", "plan.json", "paper.pdf", "handcopy.txt")


def _one_line(error: Exception) -> str:
    """Say where an unforeseen fault arose without pages of trace."""
    trace, at = error.__traceback__, ""
    while trace is not None:
        at = f"{Path(trace.tb_frame.f_code.co_filename).name} line {trace.tb_lineno}"
        trace = trace.tb_next
    words = " ".join(str(error).split()) or "no message"
    return f"unforeseen fault, please report it: {type(error).__name__}: {words} ({at})"


def failing_clearly(command: Callable[P, None]) -> Callable[P, None]:
    """Turn every fault of a command into one clear line and exit code 3."""

    @wraps(command)
    def run(*args: P.args, **kwargs: P.kwargs) -> None:
        try:
            command(*args, **kwargs)
        except click.ClickException:
            raise
        except PlanRefusedError as error:
            lines = [
                f"the plan is refused and not shown: {why}" for why in error.reasons
            ]
        except PlannerError as error:
            lines = [" ".join(str(error).split())]
        except PermissionError as error:
            lines = [f"no permission to write {error.filename}: is it open elsewhere?"]
        except OSError as error:
            lines = [f"{error.strerror or error}: {error.filename or ''}".rstrip(": ")]
        except Exception as error:  # the last net before a coordinator's screen
            lines = [_one_line(error)]
        else:
            return
        for line in lines:
            click.echo(f"Failed: {line}", err=True)
        sys.exit(FAILED)

    return run


def write(file: Path, content: bytes) -> None:
    """Write beside the target and move over it: no half a file is ever left."""
    part = file.with_name(f".{file.name}.part")
    try:
        part.write_bytes(content)
        part.replace(file)
    finally:
        part.unlink(missing_ok=True)


def must_be_new(file: Path, option: str, ending: str = ".xlsx") -> None:
    """Refuse another ending, and a file that is there already."""
    if file.suffix.lower() != ending:
        msg = f"{option} must end in {ending}, not '{file.suffix}'"
        raise click.UsageError(msg)
    if file.exists():
        msg = f"{file} exists already and is not overwritten; choose another name"
        raise click.UsageError(msg)


def must_not_overwrite(out: Path, inputs: list[Path]) -> None:
    """Refuse a folder in which the plan would replace one of the inputs."""
    for target in (out / name for name in _WRITTEN):
        for given in inputs:
            if target.exists() and target.samefile(given):
                msg = f"--out would overwrite the input {given}; choose another folder"
                raise click.UsageError(msg)


def full_hour(moment: datetime) -> datetime:
    """Give the moment itself when it is a full hour, else the next one."""
    whole = moment.replace(minute=0)
    return whole if whole == moment else whole + timedelta(hours=1)


@contextmanager
def progress_line() -> Iterator[Callable[[str, float], None] | None]:
    """Show the stage on the terminal's error stream, nothing in a pipe."""
    if not sys.stderr.isatty():
        yield None
        return

    def say(stage: str, share: float) -> None:
        click.echo(f"\r\033[K{share:4.0%}  {stage}", nl=False, err=True)

    yield say
    click.echo("\r\033[K", nl=False, err=True)
