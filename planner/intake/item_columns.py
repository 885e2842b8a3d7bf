"""Items that stand in several columns: two item columns, or a form's columns.

A form has one column a question (``Insulin?``, ``Breast milk (oz)``): there
the heading is the item, and the cell says yes, a count or what it is.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from planner.intake.cells import Cell, RawRow
from planner.intake.columns import Column, match_heading, names_item
from planner.intake.headings import INTAKE
from planner.intake.items import is_vague, match_item
from planner.intake.units import factor
from planner.intake.words import key

_NOT_SAID = frozenset(
    {"", "-", "--", "n", "no", "none", "nil", "n/a", "na", "0", "non", "nein", "false"}
)
_YES = frozenset(
    {"y", "yes", "x", "\u2713", "\u2714", "si", "oui", "ja", "true", "sim"}
)


@dataclass(frozen=True, slots=True)
class ItemHeading:
    """A column whose heading names the item; ``unit`` is of its numbers."""

    index: int
    typed: str
    name: str
    unit: str


def more_items(
    header: RawRow, columns: Mapping[str, Column], mapping: Mapping[str, str] | None
) -> tuple[Column, ...]:
    """Give the item columns beside the first one, from left to right."""
    first = columns.get("item")
    found = (
        match_heading(index, cell, INTAKE, mapping)
        for index, cell in enumerate(header.cells)
    )
    return tuple(
        one
        for one in found
        if one is not None and one.field.key == "item" and first is not None
        and one.index != first.index
    )  # fmt: skip


def item_headings(
    header: RawRow, columns: Mapping[str, Column], mapping: Mapping[str, str] | None
) -> tuple[ItemHeading, ...]:
    """Columns whose heading is itself an item."""
    used = {column.index for column in columns.values()}
    found = []
    for index, cell in enumerate(header.cells):
        typed = " ".join(cell.text.split("\n"))
        if index in used or not typed or (mapping and (key(typed) or typed) in mapping):
            continue
        if match_heading(index, cell, INTAKE, mapping) is None and names_item(typed):
            inside = re.search(r"[(\[](.*?)[)\]]", typed)
            unit = inside[1] if inside and factor("volume", inside[1]) else ""
            name = re.sub(r"[(\[].*?[)\]]", " ", typed).strip(" ?:.*")
            found.append(ItemHeading(index, typed, name, unit))
    return tuple(found)


def item_cell(
    row: RawRow,
    first: Column | None,
    more: Sequence[Column],
    headings: Sequence[ItemHeading],
) -> Cell:
    """One cell with the items of all the columns, one on a line."""
    columns = ([first] if first else []) + list(more)
    cells = [row.at(column.index) for column in columns]
    texts = _told_once([cell.text for cell in cells if cell.text])
    for heading in headings:
        cell = row.at(heading.index)
        text = _under(heading, cell)
        if text:
            texts.append(text)
            cells.append(cell)
    return Cell(
        value="\n".join(texts) or None,
        struck=any(cell.struck for cell in cells),
        cut=any(cell.cut for cell in cells),
        lost_formula=not texts and any(cell.lost_formula for cell in cells),
    )


def _told_once(texts: list[str]) -> list[str]:
    """Join a description to its item: ``insulin`` and ``lispro pens`` are one."""
    told: list[str] = []
    for text in texts:
        match = match_item(text)
        before = match_item(told[-1]) if told else None
        if before is None:
            told.append(text)
        elif not match.known or not before.known:
            told[-1] = (
                f"{told[-1]}, {text}" if not match.left else f"{told[-1]}\n{text}"
            )
        elif match.kind.group == before.kind.group and (
            is_vague(match.kind.id)
            or is_vague(before.kind.id)
            or match.kind == before.kind
        ):
            told[-1] = text if is_vague(before.kind.id) else told[-1]
        else:
            told.append(text)
    return told


def _under(heading: ItemHeading, cell: Cell) -> str:
    """Item text of a form's cell; empty when it says no or nothing."""
    plain = cell.text.casefold().strip(" .!")
    if plain in _NOT_SAID or cell.value is False:
        return ""
    if plain in _YES or cell.value is True:
        return heading.name
    if re.fullmatch(r"\d+(?:[.,]\d+)?", plain):
        return (
            f"{heading.name} {plain} {heading.unit}"
            if heading.unit
            else (f"{heading.name} x{plain}")
        )
    return cell.text if match_item(cell.text).known else f"{heading.name} {cell.text}"
