"""The catalogue as tables: all kinds, and the values used for equipment."""

from collections.abc import Iterable

import pandas as pd

from planner.catalogue import EquipmentDefault, ItemKind, TextDefault, plain_word
from planner.output.kind_text import (
    NOT_CONFIRMED,
    KindCard,
    default_value,
    find_defaults,
    kind_card,
)
from planner.output.manner import PLAIN, Manner
from planner.output.tables import Cell, frame
from planner.output.tables_input import value_name
from planner.output.words import band

_SIZES = ("small", "medium", "large")


def kinds_frame(kinds: Iterable[ItemKind]) -> pd.DataFrame:
    """List kinds, one a row, with the id that a word list needs."""
    rows: list[tuple[Cell, ...]] = [
        (
            kind.name,
            "" if kind.confirmed else NOT_CONFIRMED,
            kind.id,
            band(kind.keep_from_c, kind.keep_to_c),
            "NEVER FREEZE" if kind.never_freeze else "",
            kind.gate.value,
            kind.group,
        )
        for kind in kinds
    ]
    headings = (
        "Item", "Trust", "Id", "Keep between", "Freezing", "Where", "Group",
    )  # fmt: skip
    return frame(headings, rows)


def defaults_named(
    word: str, how: Manner = PLAIN
) -> tuple[EquipmentDefault | TextDefault, ...]:
    """Equipment defaults whose key, or whose name as it is shown, has a word."""
    wanted = plain_word(word)
    keyed = find_defaults(word)
    return tuple(
        row
        for row in find_defaults("")
        if row in keyed or wanted in plain_word(how.told(_name(row.key)))
    )


def defaults_frame(
    rows: Iterable[EquipmentDefault | TextDefault],
) -> pd.DataFrame:
    """List values that stand in for blank cells of equipment and conditions."""
    cells: list[tuple[Cell, ...]] = [
        (
            _name(row.key),
            default_value(row),
            row.flag.value
            if row.flag.confirmed
            else f"not confirmed: {row.flag.value}",
            f"{row.source} ({row.jurisdiction})",
        )
        for row in rows
    ]
    return frame(("What", "Value used", "Trust", "Source and its country"), cells)


def _name(key: str) -> str:
    """Key of a default as people say it: ``battery, agm: usable share``."""
    owner, _, field = key.rpartition(".")
    size = next((one for one in _SIZES if field.endswith(f"_{one}")), "")
    name = value_name(field.removesuffix(f"_{size}") if size else field)
    words = owner.replace(".", ", ").replace("_", " ")
    return f"{words}: {name}, {size} size" if size else f"{words}: {name}"


def cards(kinds: Iterable[ItemKind]) -> tuple[KindCard, ...]:
    """Kinds as cards."""
    return tuple(kind_card(kind) for kind in kinds)
