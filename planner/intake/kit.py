"""Shared by the equipment sheets: names, ids and words with defaults."""

import re
from collections.abc import Mapping, Sequence
from typing import TypeVar

from planner.catalogue import TextDefault
from planner.intake.issues import Log
from planner.intake.origins import origin_from
from planner.intake.reading import choice
from planner.intake.table import Row, Table, without_dittos
from planner.intake.words import key
from planner.scenario import CameFrom, Origin

T = TypeVar("T")


class Names:
    """Gives every piece of equipment a name and an id of its own."""

    __slots__ = ("_taken", "noun")

    def __init__(self, noun: str) -> None:
        self.noun = noun
        self._taken: set[str] = set()

    def of(self, row: Row) -> str:
        """Give the row's name; a blank or repeated one is changed and noted."""
        typed = row.text("name")
        name = typed or f"{self.noun} {len(self._taken) + 1}"
        number = 1
        while key(name) in self._taken or not key(name):
            number += 1
            name = f"{typed or self.noun} ({number})"
        self._taken.add(key(name))
        if not typed:
            row.say("name-blank", "name", used=name)
        elif name != typed:
            row.say("name-twice", "name", used=name)
        return name

    def id_of(self, name: str) -> str:
        """Id from the kind of thing and its name."""
        return f"{self.noun.lower()}:{name}"


def kit_rows(tables: Sequence[Table], log: Log) -> list[Row]:
    """Rows that describe something: totals and repeated headings left out."""
    rows = [
        Row(table, raw, log) for table in tables for raw in without_dittos(table, log)
    ]
    return [row for row in rows if not _left_out(row)]


def _left_out(row: Row) -> bool:
    raw, columns = row.raw, row.table.columns.values()
    first = key(next((cell.text for cell in raw.cells if cell.text), ""))
    filled = sum(1 for column in columns if raw.at(column.index).text)
    if re.match(r"(sub ?)?totals?\b|sum\b", first):
        row.say("total-row")
    elif _same_as_header(row.table, row):
        row.say("header-repeated")
    elif filled == 0 or (filled == 1 and len(first.split()) > 4):
        row.say("note-row")
    else:
        return False
    return True


def _same_as_header(table: Table, row: Row) -> bool:
    return all(
        key(row.raw.at(column.index).text) == key(column.typed)
        for column in table.columns.values()
    )


def word_or_default(
    row: Row,
    field_key: str,
    names: Mapping[str, T],
    fact: TextDefault,
    value: T,
    origins: list[Origin],
) -> T:
    """Give a word of the sheet, else the default ``value``, on record."""
    found = choice(row, field_key, names, f"{value} is assumed")
    if found is not None:
        return found
    origins.append(origin_from(fact, field_key, str(value), CameFrom.DEFAULT))
    return value
