"""The Intake sheet: every non-empty row becomes a line or a held row."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from planner.intake.conditions_sheet import Site
from planner.intake.intake_rows import hold
from planner.intake.issues import Log
from planner.intake.item_parts import parts_of
from planner.intake.items import UNKNOWN_KIND
from planner.intake.lines import Context, make_line
from planner.intake.persons import (
    Coded,
    Person,
    give_codes,
    read_persons,
    same_persons,
)
from planner.intake.table import Row, Table, without_dittos
from planner.intake.words import key
from planner.scenario import HeldRow, Line

MAX_ITEM_TEXT = 700_000
"""Letters in all item cells together; 20,000 rows of 35 letters."""


@dataclass(frozen=True, slots=True, kw_only=True)
class IntakeRows:
    """Lines and held rows of the sheet, and how many rows there were."""

    lines: tuple[Line, ...]
    held: tuple[HeldRow, ...]
    rows_in: int


def read_intake(tables: Sequence[Table], site: Site, log: Log) -> IntakeRows:
    """Read all rows; rows in = rows of lines + held rows."""
    rows = [
        Row(table, raw, log) for table in tables for raw in without_dittos(table, log)
    ]
    if sum(len(row.cell("item").text) for row in rows) > MAX_ITEM_TEXT:
        log.add("too-much-text", sheet=tables[0].sheet)
        return IntakeRows(lines=(), held=(), rows_in=len(rows))
    held: list[tuple[Row, HeldRow]] = []
    kept: list[Row] = []
    for row in rows:
        _say_cut(row)
        reason = hold(row)
        if reason is None:
            kept.append(row)
        else:
            held.append((row, reason))
    persons = read_persons(kept, log)
    codes = give_codes(persons, site.code_word)
    known = {person.secret: codes[person.secret].code for person in persons}
    whose = same_persons([row for row, _ in held], kept)
    waits = tuple(
        replace(one, who=known.get(secret, ""))
        for (_, one), secret in zip(held, whose, strict=True)
    )
    lines: list[Line] = []
    for row, person in zip(kept, persons, strict=True):
        lines.extend(_lines_of(row, person, codes, site))
    named = _with_ids(lines)
    _say_twice(named, log)
    if not rows:
        log.add("no-intake-rows", sheet=tables[0].sheet)
    return IntakeRows(lines=named, held=waits, rows_in=len(rows))


def _lines_of(
    row: Row, person: Person, codes: Mapping[str, Coded], site: Site
) -> list[Line]:
    parts = parts_of(row)
    alone = len(parts) == 1
    if not alone:
        row.say("item-split", "item", used=len(parts))
    context = Context(
        start=site.conditions.start,
        place=site.places.of(row),
        person=person,
        coded=codes[person.secret],
    )
    return [make_line(row, part, context, alone=alone) for part in parts]


def _with_ids(lines: Sequence[Line]) -> tuple[Line, ...]:
    """Ids from code, kind and a count: the same when rows move about."""
    seen: dict[tuple[str, str], int] = {}
    named = []
    for line in lines:
        pair = (line.code, line.kind_id)
        seen[pair] = seen.get(pair, 0) + 1
        named.append(replace(line, id=f"{line.code}/{line.kind_id}/{seen[pair]}"))
    return tuple(named)


def _say_twice(lines: Sequence[Line], log: Log) -> None:
    first: dict[tuple[str, str, bool, str], tuple[str, int]] = {}
    for line in lines:
        if not line.resident:
            continue
        unknown = key(line.item_text) if line.kind_id == UNKNOWN_KIND else ""
        what = (line.code, line.kind_id, line.opened, unknown)
        where = (line.sheet, line.row)
        other = first.setdefault(what, where)
        if other != where:
            log.add(
                "same-item-twice",
                sheet=line.sheet,
                row=line.row,
                value=line.item_text,
                other=other[1]
                if other[0] == line.sheet
                else f"{other[1]} of {other[0]}",
            )


def _say_cut(row: Row) -> None:
    for name, column in row.table.columns.items():
        if row.raw.at(column.index).cut:
            row.say("text-cut", name, value="")
