"""Which line of today's list is which line of the plan in force."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from planner.scenario import Line


@dataclass(frozen=True, slots=True, kw_only=True)
class OldLine:
    """A line as the plan in force has it."""

    id: str
    sheet: str
    row: int
    code: str
    kind: str
    quantity: int
    volume_l: float
    band_c: tuple[float, ...]


def old_line(line: Line) -> OldLine:
    """A line of today with the values that a saved plan keeps, rounded alike."""
    return OldLine(
        id=line.id,
        sheet=line.sheet,
        row=line.row,
        code=line.code,
        kind=line.kind_id,
        quantity=line.quantity,
        volume_l=round(line.volume_l, 3),
        band_c=(round(line.keep_from_c, 2), round(line.keep_to_c, 2)),
    )


_LIKENESS: tuple[Callable[[OldLine], object], ...] = (
    lambda one: (one.sheet, one.row, one.volume_l, one.band_c),
    lambda one: (one.volume_l, one.band_c, one.quantity),
    lambda one: (one.volume_l, one.band_c),
    lambda one: one.id,
)
"""What two rows of the same person and kind are told apart by, best first."""


def match_lines(old: Iterable[OldLine], now: Iterable[Line]) -> Mapping[str, str]:
    """Id of today's line by the id of the old one; lines that are gone are left out.

    Only lines of the same code and kind are ever the same.  Rows that moved
    on the sheet are found by what they hold.
    """
    groups: dict[tuple[str, str], tuple[list[OldLine], list[OldLine]]]
    groups = defaultdict(lambda: ([], []))
    for one in old:
        groups[one.code, one.kind][0].append(one)
    for line in now:
        groups[line.code, line.kind_id][1].append(old_line(line))
    found: dict[str, str] = {}
    for before, after in groups.values():
        for likeness in _LIKENESS:
            for one in list(before):
                same = [x for x in after if likeness(x) == likeness(one)]
                if same:
                    found[one.id] = same[0].id
                    before.remove(one)
                    after.remove(same[0])
    return found
