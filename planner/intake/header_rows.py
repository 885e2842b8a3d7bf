"""Which row holds the headings, also when they take two rows."""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

from planner.intake.cells import Cell, RawRow, RawSheet
from planner.intake.columns import Column, match_columns, names_item
from planner.intake.headings import INTAKE, SheetSpec
from planner.intake.items import match_item
from planner.intake.units import is_unit
from planner.intake.words import key

HEADER_ROWS = 12
_PERSON = ("resident", "household", "badge", "surname", "first_name")


@dataclass(frozen=True, slots=True, kw_only=True)
class Header:
    """Heading row (two rows are joined under the lower number) and its columns."""

    row: RawRow
    columns: dict[str, Column]
    rows: tuple[int, ...]


def find_header(
    sheet: RawSheet, spec: SheetSpec, mapping: Mapping[str, str] | None = None
) -> Header | None:
    """Give the best heading row among the rows with numbers up to 12.

    The best has the surest recognised headings; of equals the first.  Two
    rows are joined only when that recognises more.
    """
    top = [row for row in sheet.rows if row.number <= HEADER_ROWS]
    best: Header | None = None
    for row in top:
        best = _better(best, _single(row, spec, mapping))
    for above, below in pairwise(top):
        if below.number - above.number == 1:
            best = _better(best, _double(sheet, above, below, spec, mapping))
    return best


def score_of(columns: Mapping[str, Column]) -> float:
    """Sum of the confidences."""
    return sum(column.confidence for column in columns.values())


def _better(best: Header | None, other: Header | None) -> Header | None:
    if other is None or best is None:
        return best or other
    return other if score_of(other.columns) > score_of(best.columns) else best


def good_header(row: RawRow, columns: Mapping[str, Column], spec: SheetSpec) -> bool:
    """Tell whether enough headings are known to trust the row."""
    if spec is not INTAKE:
        return len(columns) >= 2
    if "item" in columns:
        return True
    person = any(name in columns and columns[name].sure for name in _PERSON)
    return person and any(names_item(cell.text) for cell in row.cells if cell.text)


def _single(
    row: RawRow, spec: SheetSpec, mapping: Mapping[str, str] | None
) -> Header | None:
    columns = match_columns(row, spec, mapping)
    if not good_header(row, columns, spec):
        return None
    return Header(row=row, columns=columns, rows=(row.number,))


def _double(
    sheet: RawSheet,
    above: RawRow,
    below: RawRow,
    spec: SheetSpec,
    mapping: Mapping[str, str] | None,
) -> Header | None:
    if not _may_be_headings(below):
        return None
    spread = _spread(sheet, above, len(below.cells))
    known = spec.names()
    texts: list[str] = []
    taken = 0
    for at in range(max(len(above.cells), len(below.cells))):
        own = " ".join(below.at(at).text.split("\n"))
        over = " ".join((spread[at] if at < len(spread) else "").split("\n"))
        text, used = _joined(over, own, bool(above.at(at).text), known)
        taken += used
        texts.append(text)
    row = RawRow(below.number, tuple(Cell(value=text or None) for text in texts))
    columns = match_columns(row, spec, mapping)
    if taken < 2 or not good_header(row, columns, spec):
        return None
    return Header(row=row, columns=columns, rows=(above.number, below.number))


def _joined(
    over: str, own: str, stands: bool, known: Mapping[str, str]
) -> tuple[str, int]:
    """One heading of two rows, and whether the lower row was needed for it."""
    if not own:
        return (over if stands else ""), 0
    if over and key(f"{over} {own}") in known:
        return f"{over} {own}", 1
    if over and is_unit(own):
        return f"{over} ({own.strip('()[] ')})", 1
    bare = own.split("(")[0]
    return own, int(key(own) in known or key(bare) in known)


def _may_be_headings(row: RawRow) -> bool:
    """Tell a row of short texts without figures and without items."""
    filled = [cell for cell in row.cells if cell.text]
    if len(filled) < 2:
        return False
    for cell in filled:
        if not isinstance(cell.value, str) or len(cell.text) > 40:
            return False
        if any(sign.isdigit() for sign in cell.text) and "(" not in cell.text:
            return False
        if match_item(cell.text).known and not names_item(cell.text):
            return False
    return True


def _spread(sheet: RawSheet, row: RawRow, width: int) -> list[str]:
    """Texts of a group row, carried over the columns they stand above."""
    areas = [
        area
        for area in sheet.merged
        if area[0] <= row.number <= area[2] and area[3] > area[1]
    ]
    texts = [row.at(at).text for at in range(max(width, len(row.cells)))]
    for _, left, _, right in areas:
        for at in range(left + 1, min(right + 1, len(texts))):
            texts[at] = texts[at] or texts[left]
    if sheet.merged:
        return texts
    for at in range(1, len(texts)):  # a text file has no merged cells
        texts[at] = texts[at] or texts[at - 1]
    return texts
