"""Item kinds: storage band, freeze rule, warm allowance and pack volume."""

from dataclasses import dataclass

from planner.scenario import Clock, Consequence, Flag, Gate, StockClass


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """Where one fact of a catalogue row was read, and how sure it is."""

    source: str
    jurisdiction: str
    flag: Flag


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemKind:
    """One kind of item, under its generic name.

    Bands in degrees Celsius, ``volume_l`` in litres per pack (packed, with
    its carton), ``warm_hours`` at or below ``warm_max_c`` (``None`` = no
    allowance known).  ``words`` are lower-case names people use for it.
    """

    id: str
    name: str
    group: str
    words: tuple[str, ...]
    stock_class: StockClass
    gate: Gate
    consequence: Consequence
    keep_from_c: float
    keep_to_c: float
    never_freeze: bool
    freeze_note: str
    warm_hours: float | None
    warm_max_c: float | None
    clock: Clock
    pack: str
    volume_l: float
    controlled: bool
    band_fact: Fact
    warm_fact: Fact
    volume_fact: Fact
    note: str


def item_kinds() -> tuple[ItemKind, ...]:
    """All kinds, in file order; raises ``CatalogueError`` on a bad file."""
    raise NotImplementedError


def item_kind(kind_id: str) -> ItemKind:
    """One kind by id; raises ``CatalogueError`` when there is none."""
    raise NotImplementedError
