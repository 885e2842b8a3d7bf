"""Commands that only show something: the catalogue, the headings of a list."""

from pathlib import Path

import click

from planner.cli_reading import IN_FILE, mappings_of
from planner.cli_support import failing_clearly, must_be_new, write
from planner.errors import PlannerError


@click.command()
@click.argument("word", default="")
@click.option(
    "--equipment", is_flag=True,
    help="Look in the values used for blank cells of equipment instead.",
)  # fmt: skip
@failing_clearly
def kinds(word: str, equipment: bool) -> None:
    """List the kinds of item the catalogue knows, or those that match WORD.

    Each with its source, the country of the source, how far it can be
    trusted, and the words people use for it.
    """
    from planner.output.kind_text import (
        defaults_text,
        find_defaults,
        find_kinds,
        kinds_text,
    )

    found = find_kinds(word)
    defaults = find_defaults(word)
    if not (defaults if equipment else found):
        what = "value for equipment" if equipment else "kind of item"
        option = " --equipment" if equipment else ""
        msg = f"no {what} matches '{word}'; 'kinds{option}' without a word lists all"
        raise click.UsageError(msg)
    click.echo(defaults_text(defaults) if equipment else kinds_text(found), nl=False)


@click.command()
@click.argument("workbook", type=IN_FILE)
@click.option("--mapping", type=IN_FILE, help="Headings that somebody confirmed.")
@click.option(
    "--out", type=click.Path(dir_okay=False, path_type=Path),
    help="New .json file with these headings, to change by hand and to use with "
    "--mapping.",
)  # fmt: skip
@failing_clearly
def headings(workbook: Path, mapping: Path | None, out: Path | None) -> None:
    """Show as what each heading of WORKBOOK is read, and how sure that is."""
    from planner.intake.headings_seen import headings_seen
    from planner.intake.mapping import changed, saved
    from planner.output.heading_words import headings_text

    if out is not None:
        must_be_new(out, "--out", ".json")
    known = mappings_of(workbook, mapping)
    found = headings_seen(workbook.name, workbook.read_bytes(), known)
    if not found:
        msg = f"{workbook.name} has no row of headings that could be the list's"
        raise PlannerError(msg)
    click.echo(headings_text(found), nl=False)
    if out is not None:
        write(out, saved(changed(one.mapping, {}) for one in found))
        click.echo(f"Written: {out}")
