"""Headings as people type them, matched to fields with a confidence.

A heading is sure when it is one of the known names; a likeness is used and
asked about; anything else is not read and told.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

from rapidfuzz import fuzz, process

from planner.intake.cells import Cell, RawRow
from planner.intake.heading_names import ASKED_ABOUT
from planner.intake.headings import INTAKE, Field, SheetSpec, sheet_spec
from planner.intake.items import match_item
from planner.intake.units import factor, is_unit, temp_unit
from planner.intake.words import clean, key

SURE = 1.0
LIKELY = 0.75
"""Confidence of names that can mean two things."""
_LIKE_FROM = 84.0
_AHEAD = 5.0
_WORD_LIKE = 70.0
_SHORT = 4
_UNIT_IN_HEADING = re.compile(r"^(.*?)[\s_]*[(\[]([^()\[\]]*)[)\]]\s*[?:.*]*\s*$", re.S)
_UNUSED = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One recognised column: where it stands, its heading and its unit.

    ``confidence`` is 1 for known names and confirmed mappings.
    """

    index: int
    typed: str
    field: Field
    unit: str
    confidence: float = SURE

    @property
    def sure(self) -> bool:
        """Tell whether nobody needs to be asked."""
        return self.confidence >= SURE


def match_columns(
    row: RawRow, spec: SheetSpec, mapping: Mapping[str, str] | None = None
) -> dict[str, Column]:
    """Recognised columns of a heading row by field key, surest and leftmost first."""
    found = [
        column
        for index, cell in enumerate(row.cells)
        if (column := match_heading(index, cell, spec, mapping)) is not None
    ]
    columns: dict[str, Column] = {}
    for column in sorted(found, key=lambda one: (-one.confidence, one.index)):
        columns.setdefault(column.field.key, column)
    return columns


def match_heading(
    index: int, cell: Cell, spec: SheetSpec, mapping: Mapping[str, str] | None = None
) -> Column | None:
    """Give the column a heading names; the unit is taken from its text.

    ``mapping`` holds what people confirmed: field keys by heading key, an
    empty one for a column that is not to be read.
    """
    typed = " ".join(clean(cell.text).split("\n"))
    if not isinstance(cell.value, str) or not typed or len(typed) > 60:
        return None
    bracket = _UNIT_IN_HEADING.match(typed)
    bare, inside = (bracket[1], bracket[2]) if bracket else (typed, "")
    if mapping is not None and (key(typed) or typed) in mapping:
        chosen = mapping[key(typed) or typed]
        if chosen == _UNUSED:
            return None
        return _column(index, typed, spec.field(chosen), inside or bare, SURE)
    names = spec.names()
    numbered = typed.replace("#", " no")
    for text, unit_text in (
        (numbered, inside),
        (typed, inside),
        (bare, inside),
        *_trailing(bare, inside),
    ):
        found = names.get(key(text))
        if found is not None:
            return _column(index, typed, spec.field(found), unit_text or text, SURE)
    return _doubtful(index, typed, bare, inside, spec)


def _column(
    index: int, typed: str, field: Field, unit_text: str, confidence: float
) -> Column:
    unit = _heading_unit(field, unit_text)
    return Column(
        index=index, typed=typed, field=field, unit=unit, confidence=confidence
    )


def _doubtful(
    index: int, typed: str, bare: str, inside: str, spec: SheetSpec
) -> Column | None:
    """Names that can mean two things, and likenesses."""
    if spec is INTAKE:
        asked = ASKED_ABOUT.get(key(bare.replace("#", " no"))) or (
            "quantity" if typed.strip() == "#" else None
        )
        if asked is not None:
            return _column(index, typed, spec.field(asked), inside or bare, LIKELY)
        if names_item(typed):
            return None
    field_key, score = likeness(key(bare), spec.name)
    if not field_key:
        return None
    return _column(index, typed, spec.field(field_key), inside or bare, score)


@lru_cache(maxsize=1024)
def likeness(plain: str, sheet_name: str) -> tuple[str, float]:
    """Give the field a misspelt or longer heading is like, and how sure that is.

    >>> likeness("medcation", "Intake")[0]
    'item'
    >>> likeness("shoe size", "Intake")
    ('', 0.0)
    """
    names = sheet_spec(sheet_name).names()
    if len(plain) < _SHORT:
        return "", 0.0
    best: dict[str, float] = {}
    for name, score, _ in process.extract(
        plain, [one for one in names if len(one) >= _SHORT],
        scorer=fuzz.ratio, score_cutoff=_LIKE_FROM - _AHEAD, limit=12,
    ):  # fmt: skip
        if not _word_by_word(plain, name):
            continue
        field_key = names[name]
        best[field_key] = max(best.get(field_key, 0.0), score)
    ranked = sorted(best.items(), key=lambda item: (-item[1], item[0]))
    if ranked and ranked[0][1] >= _LIKE_FROM:
        behind = ranked[1][1] if len(ranked) > 1 else 0.0
        if ranked[0][1] - behind >= _AHEAD:
            return ranked[0][0], round(ranked[0][1] / 100 * 0.9, 2)
    return _inside(plain, names)


def _word_by_word(first: str, second: str) -> bool:
    """Tell whether each word is like its partner: last meal is no last name."""
    pairs = (first.split(), second.split())
    if len(pairs[0]) != len(pairs[1]):
        return len(first.split()) == 1 or len(second.split()) == 1
    return all(fuzz.ratio(a, b) >= _WORD_LIKE for a, b in zip(*pairs, strict=True))


def _inside(plain: str, names: Mapping[str, str]) -> tuple[str, float]:
    """A known name that makes up most of a longer heading."""
    around = f" {plain} "
    held = [name for name in names if len(name) >= 5 and f" {name} " in around]
    fields = {names[name] for name in held}
    if len(fields) != 1:
        return "", 0.0
    longest = max(held, key=len)
    if 2 * len(longest) < len(plain):
        return "", 0.0
    return names[longest], 0.6


def names_item(heading: str) -> bool:
    """Tell a heading that names an item itself, as forms do: ``Insulin?``."""
    bare = re.sub(r"[(\[].*?[)\]]", " ", heading)
    match = match_item(bare)
    words = [word for word in key(bare).split() if not word.isdigit()]
    return match.known and not match.guessed and not match.left and len(words) <= 5


def _trailing(bare: str, inside: str) -> Iterator[tuple[str, str]]:
    """``Vol oz`` without brackets: the last words may be the unit."""
    words = bare.replace("/", " / ").split()
    for length in (1, 2):
        unit = " ".join(words[-length:])
        if not inside and len(words) > length and is_unit(unit):
            yield " ".join(words[:-length]), unit


def _heading_unit(field: Field, text: str) -> str:
    """Give the unit named by a heading, ``""`` when it names none."""
    if field.dimension == "temp" or (field.dimension == "number" and field.unit == "C"):
        return temp_unit(text) or (temp_unit(text.split()[-1]) if text.split() else "")
    if factor(field.dimension, text) is not None:
        return "%" if text.strip() == "%" else text
    return ""
