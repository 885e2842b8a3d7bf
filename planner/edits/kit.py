"""Tables of equipment to type over, and what was typed back into nouns.

What was typed is read by the same readers as a workbook, so that a cell on
screen means what it would mean in the sheet.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from operator import attrgetter
from typing import Any

import pandas as pd

from planner.edits.kit_cells import KIT_SHEETS, KitCell, KitSheet
from planner.edits.outcome import Edited, fault, typed
from planner.edits.read_back import ReadBack, read_back
from planner.issue import Issue, Severity
from planner.scenario import CameFrom, Equipment, Origin, Scenario

ASSUMED_COLUMN = "Assumed here"
"""Column that names the values nobody supplied; typing in it does nothing."""


@dataclass(frozen=True, slots=True)
class _Typed:
    """One row of a table: the thing it was, and its cells by column key."""

    old: Equipment | None
    cells: dict[str, str]
    changed: frozenset[str]


def kit_frame(scenario: Scenario, sheet_name: str) -> pd.DataFrame:
    """Equipment of one sheet as text cells; rows are numbered from 1.

    The column ``Assumed here`` names the values that nobody supplied.
    """
    sheet = KIT_SHEETS[sheet_name]
    rows = []
    for kit in getattr(scenario, sheet.attribute):
        cells = _shown(sheet, kit, scenario)
        rows.append([*cells.values(), _assumed_words(sheet, kit)])
    headings = [sheet.spec.field(cell.column).heading for cell in sheet.cells]
    return pd.DataFrame(
        rows,
        columns=[*headings, ASSUMED_COLUMN],
        index=pd.RangeIndex(1, len(rows) + 1),
        dtype=object,
    )


def apply_kit(scenario: Scenario, frames: Mapping[str, pd.DataFrame]) -> Edited:
    """Put typed-over tables in place of the equipment.

    ``frames`` holds tables as :func:`kit_frame` made them, by sheet name,
    with cells changed, rows added or rows taken away.  A fault in any cell
    keeps everything as it was.
    """
    found: dict[str, tuple[Equipment, ...]] = {}
    issues: list[Issue] = []
    words: list[str] = []
    for name, frame in frames.items():
        sheet = KIT_SHEETS[name]
        rows = _typed_rows(scenario, sheet, frame)
        kits, said = _apply_rows(scenario, sheet, rows)
        found[sheet.attribute] = kits
        issues += said
        words += _changes(scenario, sheet, rows)
    if any(one.severity in {Severity.STOP, Severity.REVIEW} for one in issues):
        return Edited(scenario=scenario, applied=False, issues=tuple(issues))
    # The names of the fields come from KIT_SHEETS, which mypy cannot follow.
    changes: dict[str, Any] = dict(found)
    return Edited(
        scenario=replace(scenario, **changes),
        applied=True,
        issues=tuple(issues),
        changes=tuple(words),
    )


def kit_changes(
    scenario: Scenario, frames: Mapping[str, pd.DataFrame]
) -> tuple[str, ...]:
    """Say in words what differs in tables from what is there."""
    return tuple(
        words
        for name, frame in frames.items()
        for words in _changes(
            scenario, KIT_SHEETS[name], _typed_rows(scenario, KIT_SHEETS[name], frame)
        )
    )


def typed_cells(sheet: KitSheet, frame: pd.DataFrame) -> list[tuple[str, ...]]:
    """Cells of every row of a table as text, in the order of the sheet's."""
    headings = [sheet.spec.field(cell.column).heading for cell in sheet.cells]
    return [
        tuple(_text(record.get(one)) for one in headings)
        for record in frame.to_dict("records")
    ]


def _changes(scenario: Scenario, sheet: KitSheet, rows: list[_Typed]) -> list[str]:
    """Say each change in words, to be read back."""
    words = []
    for row in rows:
        where = f"{sheet.spec.name}, {row.cells['name'] or 'new row'}"
        if row.old is None:
            words.append(f"{where}: new")
            continue
        before = _shown(sheet, row.old, scenario)
        for cell in sheet.cells:
            if cell.column in row.changed:
                heading = sheet.spec.field(cell.column).heading
                old, new = before[cell.column], row.cells[cell.column]
                words.append(
                    f"{where}, {heading}: {old or 'blank'} is now {new or 'blank'}"
                )
    kept = {id(row.old) for row in rows}
    return words + [
        f"{sheet.spec.name}, {kit.name}: taken away"
        for kit in getattr(scenario, sheet.attribute)
        if id(kit) not in kept
    ]


def _apply_rows(
    scenario: Scenario, sheet: KitSheet, rows: list[_Typed]
) -> tuple[tuple[Equipment, ...], list[Issue]]:
    if all(row.old is not None and not row.changed for row in rows):
        return tuple(row.old for row in rows if row.old is not None), []
    back = read_back(scenario, sheet, [_to_read(sheet, row) for row in rows])
    issues = [*_places(scenario, sheet, rows), *_issues(sheet, rows, back)]
    last_row = max((kit.row for kit in getattr(scenario, sheet.attribute)), default=1)
    kits: list[Equipment] = []
    for number, row in enumerate(rows, start=1):
        if row.old is not None and not row.changed:
            kits.append(row.old)
        elif number in back.kits and row.old is not None:
            kits.append(_merged(sheet, row, row.old, back.kits[number]))
        elif number in back.kits:
            last_row += 1
            kits.append(replace(back.kits[number], row=last_row))
    return tuple(kits), issues


def _typed_rows(
    scenario: Scenario, sheet: KitSheet, frame: pd.DataFrame
) -> list[_Typed]:
    """Rows of the table, with what was changed in each; empty new ones go."""
    before: tuple[Equipment, ...] = getattr(scenario, sheet.attribute)
    rows = []
    for label, record in zip(frame.index, frame.to_dict("records"), strict=True):
        at = int(label) if str(label).isdecimal() else 0
        old = before[at - 1] if 1 <= at <= len(before) else None
        cells = {
            cell.column: _text(record.get(sheet.spec.field(cell.column).heading))
            for cell in sheet.cells
        }
        if old is None and not any(cells.values()):
            continue
        shown = _shown(sheet, old, scenario) if old is not None else {}
        changed = frozenset(key for key in cells if cells[key] != shown.get(key))
        rows.append(_Typed(old=old, cells=cells, changed=changed))
    return rows


def _text(value: object) -> str:
    if value is None or value is pd.NA or (isinstance(value, float) and pd.isna(value)):
        return ""
    return str(value).strip()


def _shown(sheet: KitSheet, kit: Equipment, scenario: Scenario) -> dict[str, str]:
    return {
        cell.column: cell.show(kit, scenario.conditions).strip() for cell in sheet.cells
    }


def _to_read(sheet: KitSheet, row: _Typed) -> dict[str, str]:
    """Cells to read: those that follow a change are left blank."""
    return {
        cell.column: "" if _afresh(sheet, cell, row) else row.cells[cell.column]
        for cell in sheet.cells
    }


def _afresh(sheet: KitSheet, cell: KitCell, row: _Typed) -> bool:
    if row.old is None or cell.column in row.changed:
        return False
    if not row.changed.intersection(cell.follows):
        return False
    return cell.always or cell.attribute in _assumed(sheet, row.old)


def _assumed(sheet: KitSheet, kit: Equipment) -> frozenset[str]:
    """Fields of a thing that nobody supplied."""
    found = {one.field for one in kit.origins if one.came_from is CameFrom.DEFAULT}
    if not getattr(kit, "powered", True):
        found.update(sheet.unpowered)
    return frozenset(found)


def _assumed_words(sheet: KitSheet, kit: Equipment) -> str:
    """Headings of the cells that hold a value nobody supplied."""
    fields = {one.field for one in kit.origins if one.came_from is CameFrom.DEFAULT}
    headings = [
        sheet.spec.field(cell.column).heading
        for cell in sheet.cells
        if cell.attribute in fields
    ]
    return ", ".join(headings)


def _merged(
    sheet: KitSheet, row: _Typed, old: Equipment, fresh: Equipment
) -> Equipment:
    """Take changed cells and what follows them from ``fresh``, the rest stays."""
    taken = {
        cell.attribute
        for cell in sheet.cells
        if cell.column in row.changed or _afresh(sheet, cell, row)
    }
    taken |= {
        field
        for field, follows in sheet.hidden.items()
        if row.changed.intersection(follows)
    }
    plain: dict[str, Any] = {
        field: getattr(fresh, field) for field in taken if "." not in field
    }
    terms: dict[str, Any] = {
        field.partition(".")[2]: attrgetter(field)(fresh)
        for field in taken
        if "." in field
    }
    if "name" in taken:
        plain["id"] = fresh.id
    if terms:
        plain["availability"] = replace(old.availability, **terms)
    return replace(old, **plain, origins=_origins(sheet, row, old, fresh, taken))


def _origins(
    sheet: KitSheet, row: _Typed, old: Equipment, fresh: Equipment, taken: set[str]
) -> tuple[Origin, ...]:
    hand = [
        typed(cell.attribute, row.cells[cell.column])
        for cell in sheet.cells
        if cell.column in row.changed and row.cells[cell.column]
    ]
    return (
        *(one for one in old.origins if one.field not in taken),
        *(one for one in fresh.origins if one.field in taken),
        *hand,
    )


def _places(scenario: Scenario, sheet: KitSheet, rows: list[_Typed]) -> list[Issue]:
    """Faults of places that the scenario does not know."""
    known = {place.name for place in scenario.places} | {""}
    return [
        fault(
            f"{sheet.spec.name}, {row.cells['name'] or 'new row'}",
            "Place",
            row.cells["place"],
            f"'{row.cells['place']}' is not a place of this site.",
            "Choose a place from the list; a new place needs a row in the workbook.",
        )
        for row in rows
        if row.cells["place"] not in known
    ]


def _issues(sheet: KitSheet, rows: list[_Typed], back: ReadBack) -> list[Issue]:
    """Issues of changed rows only, each named by the thing it is about."""
    found: list[Issue] = []
    for number, row in enumerate(rows, start=1):
        if row.old is not None and not row.changed:
            continue
        where = f"{sheet.spec.name}, {row.cells['name'] or 'new row'}"
        said = [
            replace(one, sheet=where, row=None)
            for one in back.issues
            if one.row == number and _speaks_of(sheet, one, row)
        ]
        faulty = any(one.severity is Severity.REVIEW for one in said)
        if number not in back.kits and not faulty:
            said.append(
                fault(where, "", "", "This row does not describe a thing to plan with.",
                      "Fill in its name and what it is, or take the row away.")
            )  # fmt: skip
        found += said
    return found


def _speaks_of(sheet: KitSheet, issue: Issue, row: _Typed) -> bool:
    """Tell whether an issue is about something that was typed just now."""
    if row.old is None or not issue.column:
        return True
    if issue.code == "back-before-ready":
        return bool(row.changed & {"ready_h", "back_by", "status"})
    return any(
        sheet.spec.field(column).heading == issue.column for column in row.changed
    )
