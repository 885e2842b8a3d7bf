"""The Other power sheet: mains, generators, vehicles, loads that come first."""

import re
from collections.abc import Sequence
from datetime import datetime, timedelta

from planner.catalogue import default, member_default, text_default
from planner.intake.issues import Log
from planner.intake.kit import Names, kit_rows, word_or_default
from planner.intake.moments import weekday_of
from planner.intake.places import Places
from planner.intake.reading import Filler, clock, number, skip
from planner.intake.table import Row, Table
from planner.intake.terms import read_terms
from planner.intake.values import is_blank
from planner.intake.words import key
from planner.scenario import Source, SourceKind, Supply

_KINDS = (
    (SourceKind.PRIORITY_LOAD, (r"life support|life saving|oxygen|ventilator|concentrator"
     r"|nebuli[sz]er|cpap|bipap|suction|priority load|medical load|load")),
    (SourceKind.GENERATOR, r"generator|genset|gen"),
    (SourceKind.VEHICLE, r"vehicle|car|truck|van|bus|ev"),
    (SourceKind.MAINS, r"mains|grid|utility|wall|shore power|line"),
)  # fmt: skip
_SUPPLY = {
    "12v": Supply.DC, "dc": Supply.DC, "12v dc": Supply.DC, "ac": Supply.AC,
    "mains": Supply.AC, "both": Supply.BOTH, "12v and ac": Supply.BOTH,
}  # fmt: skip
_EVERY = frozenset({"", "all", "every day", "daily", "each day", "every", "7"})
_WINDOW_DAYS = 11


def read_sources(
    tables: Sequence[Table], places: Places, start: datetime, log: Log
) -> tuple[Source, ...]:
    """All sources and prior loads that can be planned; the others are noted."""
    names = Names("Source")
    found = (_source(row, names, places, start) for row in kit_rows(tables, log))
    return tuple(source for source in found if source is not None)


def _source(row: Row, names: Names, places: Places, start: datetime) -> Source | None:
    name = names.of(row)
    kind = _kind(row)
    terms = read_terms(row, start)
    place = places.of(row)
    if kind is None:
        return None
    filler = Filler(row)
    watts = _watts(row, kind, filler)
    hours = _clocks(row, kind)
    if watts is None or hours is None:
        return None
    owner = _owner(kind)
    supply = word_or_default(
        row,
        "supply",
        _SUPPLY,
        text_default(f"source.{owner}.supply"),
        member_default(f"source.{owner}.supply", Supply),
        filler.origins,
    )
    return Source(
        id=names.id_of(name),
        name=name,
        place=place,
        kind=kind,
        max_w=watts,
        from_hour=hours[0],
        to_hour=hours[1],
        days=_days(row, start),
        supply=supply,
        availability=terms,
        sheet=row.table.sheet,
        row=row.raw.number,
        origins=tuple(filler.origins),
    )


def _owner(kind: SourceKind) -> str:
    return "life_support" if kind is SourceKind.PRIORITY_LOAD else kind.name.lower()


def _kind(row: Row) -> SourceKind | None:
    plain = key(row.text("kind"))
    for kind, pattern in _KINDS:
        if re.search(rf"\b({pattern})s?\b", plain):
            return kind
    row.say("source-kind-unknown", "kind")
    return None


def _watts(row: Row, kind: SourceKind, filler: Filler) -> float | None:
    """Watts; a load without them stops the plan, a generator is left out."""
    blank = not row.text("max_w") or is_blank(row.cell("max_w"))
    if kind in (SourceKind.MAINS, SourceKind.VEHICLE):
        return filler.number("max_w", "max_w", default(f"source.{_owner(kind)}.max_w"))
    found = None if blank else number(row, "max_w", "it is left out")
    if found is None:
        load = kind is SourceKind.PRIORITY_LOAD
        row.say("load-without-watts" if load else "source-no-watts", "max_w")
    return found


def _clocks(row: Row, kind: SourceKind) -> tuple[float, float] | None:
    """Clock hours; only a prior load runs all day when both are blank.

    A load with an unclear clock counts all day; a source is left out.
    """
    load = kind is SourceKind.PRIORITY_LOAD
    otherwise = "the whole day is assumed" if load else "it is left out"
    begins = clock(row, "from_clock", otherwise)
    ends = clock(row, "to_clock", otherwise)
    if begins.value is None or ends.value is None:
        if load:
            return (0.0, 24.0)
        row.say("source-no-clock", "from_clock")
        return None
    if begins.value == ends.value:
        if begins.value == 0 or load:
            return (0.0, 24.0)
        row.say("source-no-clock", "from_clock")
        return None
    return (begins.value % 24, ends.value or 24.0)


def _days(row: Row, start: datetime) -> tuple[int, ...]:
    """Days after the start: numbers, names, or a span of names."""
    cell = row.cell("days")
    text = key(row.text("days"))
    if skip(row, "days") or text in _EVERY or is_blank(cell):
        return ()
    numbers = re.fullmatch(r"(?:days? )?((?:\d{1,2} ?)+)", text)
    if numbers:
        found = {int(part) for part in numbers[1].split()}
        if "-" not in row.text("days") and max(found) < _WINDOW_DAYS:
            return tuple(sorted(found))
    found_days = [weekday_of(word) for word in text.split() if word != "to"]
    names = [day for day in found_days if day is not None]
    if len(names) != len(found_days):
        names = []
    if len(names) == 2 and re.search(r"-|\bto\b", row.text("days")):
        first, last = names
        names = [(first + at) % 7 for at in range((last - first) % 7 + 1)]
    if names:
        return tuple(
            day
            for day in range(_WINDOW_DAYS)
            if (start + timedelta(days=day)).weekday() in names
        )
    row.say("days-not-usable", "days")
    return ()
