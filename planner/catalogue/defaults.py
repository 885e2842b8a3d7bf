"""Equipment defaults: the value used when the sheet leaves a cell blank."""

from dataclasses import dataclass

from planner.scenario import Flag


@dataclass(frozen=True, slots=True, kw_only=True)
class EquipmentDefault:
    """One default with its unit and source; ``key`` is "kind.field"."""

    key: str
    value: float
    unit: str
    source: str
    jurisdiction: str
    flag: Flag


def equipment_defaults() -> tuple[EquipmentDefault, ...]:
    """All defaults, in file order."""
    raise NotImplementedError


def default(key: str) -> EquipmentDefault:
    """One default by key; raises ``CatalogueError`` when there is none."""
    raise NotImplementedError
