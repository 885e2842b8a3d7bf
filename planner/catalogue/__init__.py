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
from planner.catalogue.kinds import Fact, ItemKind, item_kind, item_kinds

__all__ = [
    "ASK_INSTEAD",
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
    "text_default",
    "text_defaults",
    "unit_default",
]
