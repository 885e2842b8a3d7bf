"""Which heading is read as what: proposed, confirmed, and kept for next time.

A mapping belongs to the shape of a file: its headings in their order.  It
holds headings only, no rows and no names, so that its file can be carried
along; a screen changes it with :func:`changed`.
"""

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from planner.intake.cells import RawRow, RawSheet
from planner.intake.columns import LIKELY, match_heading, names_item
from planner.intake.header_rows import find_header
from planner.intake.headings import INTAKE
from planner.intake.words import key

FORMAT = "intake headings 1"
READ_AS_ITEM = "the heading is the item"
"""In place of a field: each cell of the column is the item its heading names."""
NOT_READ = ""
_MAX_BYTES = 1_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class HeadingChoice:
    """One heading, the field it is read as (``""`` = not read), and how sure.

    ``confidence`` is 1 for known names and for what somebody confirmed.
    """

    typed: str
    field_key: str
    confidence: float

    @property
    def ask(self) -> bool:
        """Tell whether somebody should look at it."""
        return bool(self.field_key) and self.confidence < 1


@dataclass(frozen=True, slots=True, kw_only=True)
class ColumnMapping:
    """Headings of one file shape."""

    shape: str
    choices: tuple[HeadingChoice, ...]
    confirmed: bool = False

    def by_heading(self) -> Mapping[str, str]:
        """Field keys by heading key, for the reader."""
        return {
            (key(one.typed) or one.typed): one.field_key
            for one in self.choices
            if one.field_key != READ_AS_ITEM and (one.field_key or self.confirmed)
        }


def propose(
    sheet: RawSheet, known: Iterable[ColumnMapping] = ()
) -> ColumnMapping | None:
    """Give the mapping of a sheet; a confirmed one of the same shape wins.

    ``None`` when the sheet has no heading row of an intake list.
    """
    found = find_header(sheet, INTAKE)
    if found is None:
        return None
    texts = _texts(found.row)
    shape = shape_of(texts)
    for one in known:
        if one.shape == shape and one.confirmed:
            return one
    choices = []
    for index, cell in enumerate(found.row.cells):
        if not texts[index]:
            continue
        column = match_heading(index, cell, INTAKE)
        taken = found.columns.get(column.field.key) if column else None
        if column and column.field.key != "item" and taken and taken.index != index:
            column = None
        field_key, confidence = NOT_READ, 0.0
        if column:
            field_key, confidence = column.field.key, column.confidence
        elif not taken and names_item(texts[index]):
            field_key, confidence = READ_AS_ITEM, LIKELY
        choices.append(
            HeadingChoice(
                typed=texts[index], field_key=field_key, confidence=confidence
            )
        )
    return ColumnMapping(shape=shape, choices=tuple(choices))


def shape_of(headings: Iterable[str]) -> str:
    """Give the mark of a file shape: the same headings in the same order."""
    plain = "|".join(key(text) or text for text in headings).rstrip("|")
    return hashlib.sha256(plain.encode()).hexdigest()[:16]


def changed(mapping: ColumnMapping, choices: Mapping[str, str]) -> ColumnMapping:
    """Give the mapping as somebody chose it, confirmed.

    ``choices`` are field keys by heading as typed; unknown headings and
    unknown fields are passed over.
    """
    fields = _known_fields()
    new = tuple(
        replace(one, field_key=choices.get(one.typed, one.field_key), confidence=1.0)
        if choices.get(one.typed, one.field_key) in fields
        else replace(one, confidence=1.0)
        for one in mapping.choices
    )
    return replace(mapping, choices=new, confirmed=True)


def _known_fields() -> frozenset[str]:
    return frozenset({NOT_READ, READ_AS_ITEM, *(field.key for field in INTAKE.fields)})


def mapping_for(
    sheet: RawSheet, known: Iterable[ColumnMapping]
) -> Mapping[str, str] | None:
    """Give the confirmed headings for a sheet; ``None`` when its shape is new."""
    found = confirmed_for(sheet, known)
    return None if found is None else found.by_heading()


def confirmed_for(
    sheet: RawSheet, known: Iterable[ColumnMapping]
) -> ColumnMapping | None:
    """Give the confirmed mapping of a sheet's shape; ``None`` when it is new."""
    remembered = tuple(one for one in known if one.confirmed)
    if not remembered:
        return None
    found = propose(sheet, remembered)
    if found is not None and found.confirmed:
        return found
    return _by_any_row(sheet, remembered)


def refitted(mapping: ColumnMapping, sheet: RawSheet) -> ColumnMapping:
    """Give a mapping for its sheet with columns added at the right end."""
    found = find_header(sheet, INTAKE, mapping.by_heading())
    if found is None:
        return mapping
    return replace(mapping, shape=shape_of(_texts(found.row)))


def _texts(row: RawRow) -> list[str]:
    return [" ".join(cell.text.split("\n")) for cell in row.cells]


def _by_any_row(
    sheet: RawSheet, known: tuple[ColumnMapping, ...]
) -> ColumnMapping | None:
    """A confirmed shape whose headings nobody would recognise without it."""
    shapes = {one.shape: one for one in known}
    for row in sheet.rows[:12]:
        one = shapes.get(shape_of(_texts(row)))
        if one is not None:
            return one
    return None


def saved(mappings: Iterable[ColumnMapping]) -> bytes:
    """Bytes of the file to carry along; the same mappings give the same bytes."""
    shapes = {
        one.shape: [[choice.typed, choice.field_key] for choice in one.choices]
        for one in mappings
        if one.confirmed
    }
    content = {"format": FORMAT, "shapes": shapes}
    return (
        json.dumps(content, ensure_ascii=False, indent=1, sort_keys=True) + "\n"
    ).encode()


def loaded(data: bytes) -> tuple[ColumnMapping, ...]:
    """Mappings of a carried file; what cannot be used is passed over."""
    fields = _known_fields()
    try:
        content = json.loads(data.decode("utf-8")) if len(data) <= _MAX_BYTES else None
    except (ValueError, RecursionError):
        return ()
    if not isinstance(content, dict) or content.get("format") != FORMAT:
        return ()
    shapes = content.get("shapes")
    if not isinstance(shapes, dict):
        return ()
    found = []
    for shape, pairs in sorted(shapes.items()):
        choices = tuple(
            HeadingChoice(typed=pair[0][:60], field_key=pair[1], confidence=1.0)
            for pair in (pairs if isinstance(pairs, list) else ())
            if isinstance(pair, list) and len(pair) == 2
            and all(isinstance(text, str) for text in pair) and pair[1] in fields
        )  # fmt: skip
        found.append(ColumnMapping(shape=str(shape), choices=choices, confirmed=True))
    return tuple(found)
