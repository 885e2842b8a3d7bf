"""The catalogue as tables: all kinds, one kind's facts, equipment values."""

from collections.abc import Iterable

import pandas as pd

from planner.catalogue import EquipmentDefault, ItemKind, TextDefault
from planner.output.kind_text import (
    NOT_CONFIRMED,
    KindCard,
    default_value,
    kind_card,
)
from planner.output.tables import Cell, frame
from planner.output.words import band


def kinds_frame(kinds: Iterable[ItemKind]) -> pd.DataFrame:
    """List kinds, one a row, with the id that a word list needs."""
    rows: list[tuple[Cell, ...]] = [
        (
            kind.name,
            kind.id,
            kind.group,
            band(kind.keep_from_c, kind.keep_to_c),
            "NEVER FREEZE" if kind.never_freeze else "",
            kind.gate.value,
            "" if kind.confirmed else NOT_CONFIRMED,
        )
        for kind in kinds
    ]
    headings = (
        "Item", "Id", "Group", "Keep between", "Freezing", "Where", "Trust",
    )  # fmt: skip
    return frame(headings, rows)


def card_frame(card: KindCard) -> pd.DataFrame:
    """List the facts of one kind with source, country of the source, trust."""
    rows: list[tuple[Cell, ...]] = [
        (
            one.what,
            one.value,
            f"{one.source} ({one.jurisdiction})" if one.source else "",
            one.trust,
        )
        for one in card.facts
    ]
    return frame(("What", "Value", "Source and its country", "Trust"), rows)


def defaults_frame(
    rows: Iterable[EquipmentDefault | TextDefault],
) -> pd.DataFrame:
    """List values that stand in for blank cells of equipment and conditions."""
    cells: list[tuple[Cell, ...]] = [
        (
            row.key.replace(".", ", ").replace("_", " "),
            default_value(row),
            f"{row.source} ({row.jurisdiction})",
            row.flag.value
            if row.flag.confirmed
            else f"not confirmed: {row.flag.value}",
        )
        for row in rows
    ]
    return frame(("What", "Value used", "Source and its country", "Trust"), cells)


def cards(kinds: Iterable[ItemKind]) -> tuple[KindCard, ...]:
    """Kinds as cards."""
    return tuple(kind_card(kind) for kind in kinds)
