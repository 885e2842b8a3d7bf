"""Sourced facts as data files, and the loader that reads them."""

from planner.catalogue.defaults import (
    ASK_INSTEAD,
    EquipmentDefault,
    TextDefault,
    default,
    equipment_defaults,
    member_default,
    number_list,
    text_default,
    text_defaults,
    unit_default,
)
from planner.catalogue.kinds import (
    UNKNOWN_COLD,
    Fact,
    ItemKind,
    item_kind,
    item_kinds,
    plain_word,
)

__all__ = [
    "ASK_INSTEAD",
    "UNKNOWN_COLD",
    "EquipmentDefault",
    "Fact",
    "ItemKind",
    "TextDefault",
    "default",
    "equipment_defaults",
    "item_kind",
    "item_kinds",
    "member_default",
    "number_list",
    "plain_word",
    "text_default",
    "text_defaults",
    "unit_default",
]
