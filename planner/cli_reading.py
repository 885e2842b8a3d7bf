"""What the commands that read a list have alike: options, files, reading."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from planner.cli_support import full_hour

if TYPE_CHECKING:
    from planner.intake import Reading
    from planner.intake.mapping import ColumnMapping

IN_FILE = click.Path(exists=True, dir_okay=False, path_type=Path)


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """Files that a command got besides the list itself."""

    equipment: Path | None = None
    aliases: Path | None = None
    mapping: Path | None = None

    def files(self) -> list[Path]:
        """All that were given."""
        found = (self.equipment, self.aliases, self.mapping)
        return [one for one in found if one is not None]


start_option = click.option(
    "--start",
    type=click.DateTime(["%Y-%m-%d %H:%M", "%Y-%m-%dT%H:%M"]),
    help='First hour, "YYYY-MM-DD HH:MM".',
)


def reading_options(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command the options of reading, as one argument ``given``."""

    @click.option(
        "--equipment", type=IN_FILE, help="Second workbook with the equipment."
    )
    @click.option(
        "--aliases", type=IN_FILE,
        help="The site's own words for items: a table with Words and Kind.",
    )  # fmt: skip
    @click.option(
        "--mapping", type=IN_FILE,
        help="Headings that somebody confirmed, as 'headings --out' writes them.",
    )  # fmt: skip
    @wraps(command)
    def run(
        *args: Any,
        equipment: Path | None,
        aliases: Path | None,
        mapping: Path | None,
        **kwargs: Any,
    ) -> None:
        given = Given(equipment=equipment, aliases=aliases, mapping=mapping)
        command(*args, given=given, **kwargs)

    return run


def read_list(workbook: Path, given: Given, start: datetime | None) -> "Reading":
    """Read the files; a start on the command line must not meet another one."""
    from planner import pipeline

    first = full_hour(start) if start else None
    if first != start:
        click.echo(
            f"Note: the start is moved to the full hour {first:%H:%M}.", err=True
        )
    reading = pipeline.read_files(
        workbook.name,
        workbook.read_bytes(),
        now=first or datetime.now(),
        equipment=named_bytes(given.equipment),
        mappings=mappings_of(workbook, given.mapping),
        aliases=named_bytes(given.aliases),
    )
    if first and reading.scenario and reading.scenario.conditions.start != first:
        other = reading.scenario.conditions.start
        msg = (
            f"the workbook itself starts at {other:%Y-%m-%d %H:%M}: change it on the "
            "sheet Conditions, or leave --start out"
        )
        raise click.UsageError(msg)
    return reading


def mappings_of(workbook: Path, mapping: Path | None) -> tuple["ColumnMapping", ...]:
    """Headings of a mapping file; one that fits no sheet is told."""
    from planner.intake.headings_seen import fits_any, headings_seen
    from planner.intake.mapping import loaded

    if mapping is None:
        return ()
    found = loaded(mapping.read_bytes())
    if not found:
        msg = (
            f"{mapping.name} holds no headings: write one with 'headings WORKBOOK "
            "--out FILE', or fetch it on the app's first page"
        )
        raise click.UsageError(msg)
    seen = headings_seen(workbook.name, workbook.read_bytes(), found)
    if not fits_any(seen, found):
        click.echo(
            f"Note: {mapping.name} is for lists with other headings than "
            f"{workbook.name}; it changes nothing here.",
            err=True,
        )
    return found


def named_bytes(file: Path | None) -> tuple[str, bytes] | None:
    """Give the name and the bytes of a file that may have been given."""
    return None if file is None else (file.name, file.read_bytes())
