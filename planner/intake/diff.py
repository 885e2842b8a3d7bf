"""A newer list against the one in force: new, changed, gone, perhaps renamed.

Nothing is merged; a person decides about every line that is listed here.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from planner.intake.words import key
from planner.scenario import Line, Scenario

_COMPARED = (
    "kind_name",
    "quantity",
    "keep_from_c",
    "keep_to_c",
    "never_freeze",
    "opened",
    "thawed",
    "out_since",
    "keep_by",
    "warm_hours",
    "daily_use",
    "tier_given",
    "locked",
    "night_need",
    "place",
    "household",
    "volume_l",
    "notes",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class LineChange:
    """One line in both lists, and the fields that differ: name, old, new."""

    before: Line
    after: Line
    fields: tuple[tuple[str, str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ListDifference:
    """What a newer list says; ``same`` counts the lines without any change.

    ``renamed`` pairs a line that is gone with a new one of the same kind
    whose person is written alike: it may be the same bag.
    """

    new: tuple[Line, ...] = ()
    changed: tuple[LineChange, ...] = ()
    gone: tuple[Line, ...] = ()
    renamed: tuple[LineChange, ...] = ()
    same: int = 0

    @property
    def empty(self) -> bool:
        """True when nothing is new, changed or gone."""
        return not (self.new or self.changed or self.gone or self.renamed)


def compare(before: Scenario, after: Scenario) -> ListDifference:
    """Compare two read lists; rows may have moved about.

    Lines are the same when person and kind are; several of one person and
    kind are paired by their text first, then in their order.  The same words
    of the same person that are read as another kind now are one line, changed.
    """
    old, new = _grouped(before.lines), _grouped(after.lines)
    pairs: list[tuple[Line, Line]] = []
    gone: list[Line] = []
    fresh: list[Line] = []
    for what in sorted(old.keys() | new.keys()):
        found, left, more = _paired(old.get(what, ()), new.get(what, ()))
        pairs += found
        gone += left
        fresh += more
    again, gone, fresh = _read_otherwise(gone, fresh)
    pairs += again
    renamed, gone, fresh = _renamed(gone, fresh)
    changes = [
        LineChange(before=one, after=other, fields=fields_changed(one, other))
        for one, other in pairs
    ]
    changed = [change for change in changes if change.fields]
    return ListDifference(
        new=tuple(sorted(fresh, key=_place)),
        changed=tuple(sorted(changed, key=lambda change: _place(change.after))),
        gone=tuple(sorted(gone, key=_place)),
        renamed=tuple(sorted(renamed, key=lambda change: _place(change.after))),
        same=len(changes) - len(changed),
    )


def fields_changed(before: Line, after: Line) -> tuple[tuple[str, str, str], ...]:
    """Fields that differ, as texts; the row number is not one of them."""
    found = []
    for name in _COMPARED:
        old, new = getattr(before, name), getattr(after, name)
        if old != new:
            found.append((name, _shown(old), _shown(new)))
    return tuple(found)


def _shown(value: object) -> str:
    return "" if value is None else str(value)


def _place(line: Line) -> tuple[str, int, str]:
    return (line.sheet, line.row, line.id)


def _grouped(lines: Iterable[Line]) -> Mapping[tuple[str, str], list[Line]]:
    groups: dict[tuple[str, str], list[Line]] = {}
    for line in lines:
        groups.setdefault((line.code, line.kind_id), []).append(line)
    return groups


def _paired(
    old: Sequence[Line], new: Sequence[Line]
) -> tuple[list[tuple[Line, Line]], list[Line], list[Line]]:
    left, more = list(old), list(new)
    pairs: list[tuple[Line, Line]] = []
    for alike in (_text_and_state, _state, lambda _: ""):
        for line in list(left):
            other = next((one for one in more if alike(one) == alike(line)), None)
            if other is not None:
                pairs.append((line, other))
                left.remove(line)
                more.remove(other)
    return pairs, left, more


def _text_and_state(line: Line) -> str:
    return f"{key(line.item_text)}|{line.opened}"


def _state(line: Line) -> str:
    return f"|{line.opened}"


def _read_otherwise(
    gone: list[Line], fresh: list[Line]
) -> tuple[list[tuple[Line, Line]], list[Line], list[Line]]:
    """Pair what is gone with what is new by person and text."""
    pairs: list[tuple[Line, Line]] = []
    left, more = list(gone), list(fresh)
    for line in gone:
        other = next(
            (
                one
                for one in more
                if one.code == line.code
                and key(one.item_text)
                and key(one.item_text) == key(line.item_text)
            ),
            None,
        )
        if other is not None:
            pairs.append((line, other))
            left.remove(line)
            more.remove(other)
    return pairs, left, more


def _renamed(
    gone: list[Line], fresh: list[Line]
) -> tuple[list[LineChange], list[Line], list[Line]]:
    """Pair what is gone with what is new by kind and the words of the name."""
    found: list[LineChange] = []
    left, more = list(gone), list(fresh)
    for line in gone:
        words = _words(line)
        other = next(
            (
                one
                for one in more
                if words and one.kind_id == line.kind_id and _words(one) == words
            ),
            None,
        )
        if other is not None:
            fields = fields_changed(line, other)
            found.append(LineChange(before=line, after=other, fields=fields))
            left.remove(line)
            more.remove(other)
    return found, left, more


def _words(line: Line) -> tuple[str, ...]:
    return tuple(sorted(key(line.resident).split()))
