"""Item kinds: storage band, freeze rule, warm allowance and pack volume.

Data: the ``kinds_*.csv`` files of this package, one kind a row.  Enum
columns hold the member's name in lower case (``cool_shelf``, ``memory``);
an empty ``warm_hours`` or ``cold_hours`` means not known or none given,
which is not 0.
"""

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from planner.catalogue.table import Cell, read_table
from planner.errors import CatalogueError
from planner.scenario import Clock, Consequence, Flag, Gate, StockClass

FILES = (
    "kinds_insulins.csv",
    "kinds_metabolic.csv",
    "kinds_biologics.csv",
    "kinds_haematology.csv",
    "kinds_eye_nasal_rectal_inhaled.csv",
    "kinds_oral_liquids.csv",
    "kinds_injectables.csv",
    "kinds_vaccines.csv",
    "kinds_feeds.csv",
    "kinds_room_items.csv",
    "kinds_food_and_unknown.csv",
)
COLUMNS = (
    "id",
    "name",
    "group",
    "words",
    "stock_class",
    "gate",
    "consequence",
    "keep_from_c",
    "keep_to_c",
    "never_freeze",
    "freeze_note",
    "warm_hours",
    "warm_max_c",
    "clock",
    "cold_hours",
    "thawed",
    "pack",
    "volume_l",
    "per_carton",
    "pieces",
    "controlled",
    "band_source",
    "band_jurisdiction",
    "band_flag",
    "warm_source",
    "warm_jurisdiction",
    "warm_flag",
    "cold_source",
    "cold_jurisdiction",
    "cold_flag",
    "volume_source",
    "volume_jurisdiction",
    "volume_flag",
    "note",
)
UNKNOWN_COLD = "unknown-cold"
"""Id of the kind for a cold item nobody could name."""


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

    ``pack`` says what one of the quantity is; ``per_carton`` packs make the
    usual box (a box of pens is 5 packs), ``pieces`` single pieces are in
    one pack (30 ampoules in one box).  ``cold_hours`` is the published life
    in the cold once mixed, opened or thawed, sourced in ``cold_fact``.
    ``thawed`` marks stock that was frozen once (R12).
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
    per_carton: int = 1
    pieces: int = 1
    cold_hours: float | None = None
    cold_fact: Fact | None = None
    thawed: bool = False

    @property
    def confirmed(self) -> bool:
        """True when band and warm allowance were both read in print."""
        return self.band_fact.flag.confirmed and self.warm_fact.flag.confirmed

    @property
    def facts(self) -> tuple[Fact, ...]:
        """All facts of the row."""
        cold = (self.cold_fact,) if self.cold_fact else ()
        return (self.band_fact, self.warm_fact, *cold, self.volume_fact)


@cache
def item_kinds() -> tuple[ItemKind, ...]:
    """All kinds, in file order; raises ``CatalogueError`` on a bad file."""
    rows = (row for file in FILES for row in read_table(file, COLUMNS))
    return parse_kinds(rows)


def item_kind(kind_id: str) -> ItemKind:
    """One kind by id; raises ``CatalogueError`` when there is none."""
    try:
        return _by_id()[kind_id]
    except KeyError:
        raise CatalogueError(f"no item kind {kind_id!r} in the catalogue") from None


def plain_word(text: str) -> str:
    """Lower case, without accents and doubled blanks, for comparing words."""
    spread = unicodedata.normalize("NFKD", text.casefold())
    kept = "".join(c for c in spread if not unicodedata.combining(c))
    return " ".join(kept.split())


@cache
def _by_id() -> dict[str, ItemKind]:
    return {kind.id: kind for kind in item_kinds()}


def parse_kinds(rows: Iterable[dict[str, Cell]]) -> tuple[ItemKind, ...]:
    """Turn read rows into kinds; raises ``CatalogueError`` on a bad cell.

    Ids are unique, and so are words once accents are dropped: one word
    never means two kinds.
    """
    out: list[ItemKind] = []
    ids: dict[str, str] = {}
    words: dict[str, str] = {}
    for row in rows:
        kind = _one(row)
        _once(ids, kind.id, row["id"])
        for word in kind.words:
            _once(words, plain_word(word), row["words"])
        out.append(kind)
    if not out:
        raise CatalogueError("the catalogue holds no item kinds")
    return tuple(out)


def _once(seen: dict[str, str], key: str, cell: Cell) -> None:
    if key in seen:
        raise cell.error(f"{key!r} is already on {seen[key]}")
    seen[key] = f"{cell.file} line {cell.line}"


def _one(row: dict[str, Cell]) -> ItemKind:
    _check_band(row)
    _check_warm(row)
    cold = row["cold_hours"].number_or_none()
    return ItemKind(
        id=row["id"].required(),
        name=row["name"].required(),
        group=row["group"].required(),
        words=_words(row["words"]),
        stock_class=row["stock_class"].member(StockClass),
        gate=row["gate"].member(Gate),
        consequence=row["consequence"].member(Consequence),
        keep_from_c=row["keep_from_c"].number(),
        keep_to_c=row["keep_to_c"].number(),
        never_freeze=row["never_freeze"].yes_no(),
        freeze_note=row["freeze_note"].required(),
        warm_hours=row["warm_hours"].number_or_none(),
        warm_max_c=row["warm_max_c"].number_or_none(),
        clock=row["clock"].member(Clock),
        pack=row["pack"].required(),
        volume_l=_positive(row["volume_l"]),
        controlled=row["controlled"].yes_no(),
        band_fact=_fact(row, "band"),
        warm_fact=_fact(row, "warm"),
        volume_fact=_fact(row, "volume"),
        note=row["note"].text,
        per_carton=row["per_carton"].count(),
        pieces=row["pieces"].count(),
        cold_hours=cold,
        cold_fact=None if cold is None else _fact(row, "cold"),
        thawed=row["thawed"].yes_no(),
    )


def _words(cell: Cell) -> tuple[str, ...]:
    words = tuple(word.strip() for word in cell.required().split(";"))
    for word in words:
        if not word or word != word.lower():
            raise cell.error(f"{word!r} is empty or not in lower case")
    return words


def _positive(cell: Cell) -> float:
    value = cell.number()
    if value <= 0:
        raise cell.error(f"{cell.text!r} is not above 0")
    return value


def _fact(row: dict[str, Cell], what: str) -> Fact:
    return Fact(
        source=row[f"{what}_source"].required(),
        jurisdiction=row[f"{what}_jurisdiction"].jurisdiction(),
        flag=row[f"{what}_flag"].member(Flag),
    )


def _check_band(row: dict[str, Cell]) -> None:
    low, high = row["keep_from_c"].number(), row["keep_to_c"].number()
    if low >= high:
        raise row["keep_to_c"].error(f"{high} is not above keep_from_c {low}")
    if row["never_freeze"].yes_no() and low < 0:
        raise row["never_freeze"].error("never freeze, but the band goes below 0 C")


def _check_warm(row: dict[str, Cell]) -> None:
    hours, limit = row["warm_hours"], row["warm_max_c"]
    if bool(hours.text) != bool(limit.text):
        raise limit.error("warm_hours and warm_max_c are given together or not at all")
    if hours.text:
        _positive(hours)
        if limit.number() < row["keep_to_c"].number():
            raise limit.error("is below the upper end of the band")
    cold = row["cold_hours"]
    if cold.text:
        _positive(cold)
    elif row["cold_source"].text:
        raise cold.error("is empty although cold_source is given")
