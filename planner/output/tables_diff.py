"""A newer list against the open one, in words and tables; codes, no names."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from planner.intake.diff import LineChange, ListDifference
from planner.output.manner import PLAIN, Manner
from planner.output.tables import Cell, frame
from planner.output.tables_records import field_words
from planner.output.words import band, clean, hours, listed, volume
from planner.scenario import Line

if TYPE_CHECKING:
    import pandas as pd

_BLANK = "blank"
_FIELDS = {
    "kind_name": "read as",
    "quantity": "bags",
    "never_freeze": "never freeze",
    "warm_hours": "time out of the cold",
    "keep_by": "keep by",
    "tier_given": "tier",
    "night_need": "needed at night",
    "volume_l": "volume each",
    "daily_use": "used a day",
}
_KEEP = ("keep_from_c", "keep_to_c")
_NO_TEXT = frozenset({"notes"})  # may hold anything, names too


def difference_words(found: ListDifference, how: Manner = PLAIN) -> str:
    """Say in one line how a newer list differs from the open one."""
    if found.empty:
        return how.count("tell.diff.same", found.same)
    parts = [
        how.say(f"tell.diff.{what}", count=len(lines))
        for lines, what in (
            (found.new, "new"),
            (found.changed, "changed"),
            (found.gone, "gone"),
            (found.renamed, "renamed"),
        )
        if lines
    ]
    return how.count("tell.diff.parts", found.same, parts=how.listed(parts))


def line_rows(lines: Iterable[Line]) -> pd.DataFrame:
    """List lines that are new, or gone: the row is the one of their own list."""
    rows: list[tuple[Cell, ...]] = [
        (
            line.row,
            line.code,
            clean(line.kind_name),
            line.quantity,
            _keep(line),
        )
        for line in lines
    ]
    return frame(("Row", "Code", "Item", "Bags", "Keep between"), rows)


def change_rows(changes: Iterable[LineChange]) -> pd.DataFrame:
    """List what differs of each line that is in both lists."""
    rows: list[tuple[Cell, ...]] = [
        (
            change.after.row,
            change.after.code,
            clean(change.after.kind_name),
            what,
            before,
            after,
        )
        for change in changes
        for what, before, after in _differences(change)
    ]
    headings = ("Row", "Code", "Item", "What", "In the open list", "In the newer list")
    return frame(headings, rows)


def renamed_rows(changes: Iterable[LineChange]) -> pd.DataFrame:
    """List lines whose person is written alike: two codes, perhaps one bag."""
    rows: list[tuple[Cell, ...]] = [
        (
            change.after.row,
            change.before.code,
            change.after.code,
            clean(change.after.kind_name),
            listed([what for what, _, _ in _differences(change)]) or "nothing",
        )
        for change in changes
    ]
    return frame(
        ("Row", "Code in the open list", "Code in the newer list", "Item",
         "What else differs"),
        rows,
    )  # fmt: skip


def _differences(change: LineChange) -> list[tuple[str, str, str]]:
    """Name, old and new value of each field that differs, the band once."""
    names = [name for name, _, _ in change.fields]
    found = []
    if any(name in names for name in _KEEP):
        found.append(("keep between", _keep(change.before), _keep(change.after)))
    found += [
        (
            _FIELDS.get(name) or field_words(name),
            _shown(change.before, name),
            _shown(change.after, name),
        )
        for name in names
        if name not in _KEEP
    ]
    return found


def _keep(line: Line) -> str:
    return band(line.keep_from_c, line.keep_to_c)


def _shown(line: Line, name: str) -> str:
    value = getattr(line, name)
    if name in _NO_TEXT:
        return "a text, not shown" if value else _BLANK
    if value is None or value == "":
        return "not known" if name == "warm_hours" else _BLANK
    if isinstance(value, bool):
        return "yes" if value else "no"
    if name == "warm_hours":
        return hours(float(value))
    if name == "volume_l":
        return volume(float(value))
    return clean(str(value))
