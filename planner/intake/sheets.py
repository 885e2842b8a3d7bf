"""Which sheets of a workbook are what; the intake list is found or asked for."""

import re
from collections.abc import Callable, Mapping, Sequence

from planner.intake.cells import RawSheet
from planner.intake.headings import INTAKE, SHEETS, SheetSpec
from planner.intake.headless import with_headings
from planner.intake.issues import Log
from planner.intake.table import Table, find_table
from planner.intake.table_says import open_table
from planner.intake.values import is_blank
from planner.intake.words import key

Taken = dict[str, list[Table]]
MappingOf = Callable[[RawSheet], Mapping[str, str] | None]
_OLD = re.compile(
    r"\b(old|do not use|dont use|don t use|backup|archive|template|example|obsolete|"
    r"alt|viejo|ancien)\b"
)
_NAMED_AT_LEAST = 0.8


def take_sheets(sheets: Sequence[RawSheet], log: Log, mapping_of: MappingOf) -> Taken:
    """Tables by canonical sheet name."""
    taken: Taken = {}
    intake: list[RawSheet] = []
    rest: list[RawSheet] = []
    for sheet in sheets:
        spec = spec_of(sheet)
        if spec is None:
            rest.append(sheet)
        elif spec is INTAKE and sheet.rows:
            intake.append(sheet)
        elif sheet.rows:
            open_into(taken, sheet, spec, log, mapping_of)
    if len(intake) > 1:
        _open_several(taken, intake, log, mapping_of)
    elif intake:
        _open_intake(taken, intake[0], log, mapping_of)
    if sheets and INTAKE.name not in taken and not log.stopped:
        rest = _guess_intake(rest, taken, log, mapping_of)
    for sheet in rest:
        if sheet.rows:
            log.add("sheet-not-read", sheet=sheet.name, used=len(sheet.rows))
    return taken


def spec_of(sheet: RawSheet) -> SheetSpec | None:
    """Give what a sheet is, by its name."""
    named = key(sheet.name)
    for spec in SHEETS:
        if named in {key(other) for other in (spec.name, *spec.also)}:
            return spec
    return None


def open_into(
    taken: Taken, sheet: RawSheet, spec: SheetSpec, log: Log, mapping_of: MappingOf
) -> None:
    """Open a sheet under its headings and take it."""
    mapping = mapping_of(sheet) if spec is INTAKE else None
    table = open_table(sheet, spec, log, mapping)
    if table is not None:
        taken.setdefault(spec.name, []).append(table)


def _open_intake(
    taken: Taken, sheet: RawSheet, log: Log, mapping_of: MappingOf
) -> None:
    """Open the list; without headings it is read by what stands in it."""
    if find_table(sheet, INTAKE, mapping_of(sheet)) is None:
        sheet = with_headings(sheet) or sheet
    open_into(taken, sheet, INTAKE, log, mapping_of)


def _guess_intake(
    rest: list[RawSheet], taken: Taken, log: Log, mapping_of: MappingOf
) -> list[RawSheet]:
    """Take the other sheets with an Item heading, and say so."""
    likely = [
        sheet
        for sheet in rest
        if find_table(sheet, INTAKE, mapping_of(sheet)) is not None
    ]
    current = _without_old(likely, log)
    if len(current) == 1:
        log.add("sheet-taken", sheet=current[0].name)
        _open_intake(taken, current[0], log, mapping_of)
    elif current:
        _open_several(taken, current, log, mapping_of)
    else:
        made = [(sheet, with_headings(sheet)) for sheet in rest if sheet.rows]
        found = [(sheet, one) for sheet, one in made if one is not None]
        if len(found) != 1 or found[0][1] is None:
            log.add("no-intake-sheet")
            return rest
        log.add("sheet-taken", sheet=found[0][0].name)
        open_into(taken, found[0][1], INTAKE, log, mapping_of)
        current = [found[0][0]]
    gone = {id(sheet) for sheet in (*current, *likely)}
    return [sheet for sheet in rest if id(sheet) not in gone]


def _without_old(likely: list[RawSheet], log: Log) -> list[RawSheet]:
    """Leave out sheets that are hidden or say that they are old, when others remain."""
    current = [one for one in likely if not (one.hidden or _OLD.search(key(one.name)))]
    if not current or len(current) == len(likely):
        return likely
    for sheet in likely:
        if not any(sheet is one for one in current):
            log.add("sheet-old", sheet=sheet.name)
    return current


def _open_several(
    taken: Taken, sheets: list[RawSheet], log: Log, mapping_of: MappingOf
) -> None:
    """Sheets of different people are parts of one list; else somebody must choose."""
    names = ", ".join(sheet.name for sheet in sheets)
    tables = [find_table(sheet, INTAKE, mapping_of(sheet)) for sheet in sheets]
    people = [_people(table) for table in tables if table is not None]
    apart = len(people) == len(sheets) and all(one is not None for one in people)
    everyone: set[str] = set()
    for one in people:
        if not apart or one is None or everyone & one:
            log.add("several-intake-sheets", names=names)
            return
        everyone |= one
    for sheet in sheets:
        open_into(taken, sheet, INTAKE, log, mapping_of)
    log.add("sheets-joined", names=names)


def _people(table: Table) -> set[str] | None:
    """Names of a sheet as keys; ``None`` when too many rows have none."""
    found: set[str] = set()
    named = 0
    for row in table.rows:
        texts = [
            table.cell(row, name).text
            for name in ("resident", "first_name", "surname", "household", "badge")
            if not is_blank(table.cell(row, name))
        ]
        if texts:
            named += 1
            found.add(" ".join(sorted(key(" ".join(texts)).split())))
    enough = table.rows and named >= _NAMED_AT_LEAST * len(table.rows)
    return found if enough else None
