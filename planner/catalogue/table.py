"""Read a catalogue data file and name file, line and column of a bad cell."""

import csv
import io
import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from importlib.resources import files
from typing import TypeVar

from planner.errors import CatalogueError

JURISDICTIONS = ("US", "UK", "EU", "WHO", "any")
"""Whose label or guidance a fact comes from."""

Member = TypeVar("Member", bound=StrEnum)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One cell of a data file, with its address for error texts."""

    file: str
    line: int
    column: str
    text: str

    def error(self, why: str) -> CatalogueError:
        """Make an error that says where the cell is."""
        return CatalogueError(
            f"{self.file} line {self.line}, column {self.column}: {why}"
        )

    def required(self) -> str:
        """Read a text; raises ``CatalogueError`` when empty."""
        if not self.text:
            raise self.error("is empty")
        return self.text

    def number(self) -> float:
        """Read a finite number; raises ``CatalogueError`` otherwise."""
        text = self.required()
        try:
            value = float(text)
        except ValueError:
            raise self.error(f"{text!r} is not a number") from None
        if not math.isfinite(value):
            raise self.error(f"{text!r} is not a finite number")
        return value

    def number_or_none(self) -> float | None:
        """Read a number, or ``None`` for an empty cell (not known)."""
        return self.number() if self.text else None

    def numbers(self) -> tuple[float, ...]:
        """Read numbers parted by ``;``; an empty cell holds none."""
        parts = (part.strip() for part in self.text.split(";") if part.strip())
        return tuple(
            Cell(file=self.file, line=self.line, column=self.column, text=p).number()
            for p in parts
        )

    def count(self) -> int:
        """Read a whole number of 1 or more."""
        value = self.number()
        if value < 1 or value != int(value):
            raise self.error(f"{self.text!r} is not a whole number of 1 or more")
        return int(value)

    def yes_no(self) -> bool:
        """Read ``yes`` or ``no``."""
        if self.text not in {"yes", "no"}:
            raise self.error(f"{self.text!r} is neither yes nor no")
        return self.text == "yes"

    def jurisdiction(self) -> str:
        """Read one of :data:`JURISDICTIONS`."""
        if self.required() not in JURISDICTIONS:
            known = ", ".join(JURISDICTIONS)
            raise self.error(f"{self.text!r} is not one of: {known}")
        return self.text

    def member(self, kind: type[Member]) -> Member:
        """Read a member of an enum, written as its name in lower case."""
        text = self.required()
        by_name = {name.lower(): member for name, member in kind.__members__.items()}
        if text not in by_name:
            known = ", ".join(by_name)
            raise self.error(f"{text!r} is not one of: {known}")
        return by_name[text]


def read_table(name: str, columns: tuple[str, ...]) -> tuple[dict[str, Cell], ...]:
    """Read a data file of this package; raises ``CatalogueError``.

    Parameters
    ----------
    name
        File name inside the catalogue package.
    columns
        The heading that the file must have, in this order.
    """
    path = files("planner.catalogue").joinpath(name)
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        raise CatalogueError(f"{name}: the data file is missing") from None
    return parse_table(name, io.StringIO(text, newline=""), columns)


def parse_table(
    name: str, lines: Iterable[str], columns: tuple[str, ...]
) -> tuple[dict[str, Cell], ...]:
    """Read CSV text, each cell with its address; raises ``CatalogueError``."""
    reader = csv.reader(lines, strict=True)
    rows: list[dict[str, Cell]] = []
    try:
        heading = next(reader, None)
        if heading is None or tuple(heading) != columns:
            raise CatalogueError(
                f"{name} line 1: the heading is not {','.join(columns)}"
            )
        for values in reader:
            rows.append(_row(name, reader.line_num, columns, values))
    except csv.Error as error:
        raise CatalogueError(f"{name} line {reader.line_num}: {error}") from None
    return tuple(rows)


def _row(
    name: str, line: int, columns: tuple[str, ...], values: list[str]
) -> dict[str, Cell]:
    if len(values) != len(columns):
        raise CatalogueError(
            f"{name} line {line}: {len(values)} cells, expected {len(columns)}"
        )
    return {
        column: Cell(file=name, line=line, column=column, text=value.strip())
        for column, value in zip(columns, values, strict=True)
    }
