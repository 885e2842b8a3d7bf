"""Sourced facts as data files, and the loader that reads them."""

from planner.catalogue.kinds import Fact, ItemKind, item_kind, item_kinds
from planner.catalogue.defaults import EquipmentDefault, default, equipment_defaults

__all__ = [
    "EquipmentDefault",
    "Fact",
    "ItemKind",
    "default",
    "equipment_defaults",
    "item_kind",
    "item_kinds",
]
