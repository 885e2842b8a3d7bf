"""The temperature range of a line: the sheet's, checked, else the catalogue's."""

from dataclasses import dataclass
from datetime import datetime, time

from planner.catalogue import ItemKind
from planner.intake import values
from planner.intake.items import UNKNOWN_KIND
from planner.intake.origins import origin_from
from planner.intake.reading import flag, skip
from planner.intake.table import Row
from planner.intake.temps import Band, band, in_celsius, temps_in
from planner.intake.units import temp_unit
from planner.intake.values import is_blank
from planner.intake.words import key
from planner.scenario import CameFrom, Gate, Origin

_ROOM_FROM_C = 8.0
_COLD_TO_C = 15.0
_FREEZER = ("freezer", "frozen", "deep freeze", "congelador", "congelateur", "freeze",
            "gefrierschrank", "tiefkuhler", "congelado", "congele")  # fmt: skip
_ROOM = ("room", "rt", "room temp", "room temperature", "shelf", "ambient", "cupboard",
         "ambiente", "temperatura ambiente", "temperature ambiante", "raumtemperatur",
         "no fridge", "not fridge", "no cold", "dry", "counter", "table", "drawer")  # fmt: skip
_FRIDGE = ("fridge", "frige", "refrigerator", "refrigerate", "refrigerated", "refrig",
           "keep refrigerated", "keep cold", "in fridge", "cold", "chilled", "nevera",
           "frigo", "refrigerateur", "kuhlschrank", "geladeira", "heladera", "tu lanh",
           "\u51b0\u7bb1", "\u51b7\u85cf", "frigider")  # fmt: skip
_NOT_ICE = ("do not freeze", "dont freeze", "don t freeze", "not frozen", "never freeze",
            "do not put in freezer", "not freezer", "no freezer", "not in freezer")  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Storage:
    """How a line is kept; ``given`` when the sheet itself gave the range."""

    low_c: float
    high_c: float
    given: bool
    gate: Gate
    provisional: bool
    origin: Origin


def storage_words(row: Row) -> str:
    """``frozen`` when the row's storage cells say so, else nothing."""
    if values.yes_no(row.cell("frozen")).value:
        return "frozen"
    for field_key in ("storage", "band", "cold"):
        plain = f" {key(row.text(field_key))} "
        refused = " not " in plain or " no " in plain or " do not " in plain
        if not refused and any(f" {word} " in plain for word in _FREEZER):
            return "frozen"
    return ""


def thawed_word(row: Row) -> str:
    """``thawed`` when the row's own column says so, else nothing.

    A day or a clock time in that column is when it thawed.
    """
    cell = row.cell("thawed")
    if isinstance(cell.value, datetime | time) or values.yes_no(cell).value:
        return "thawed"
    unclear = values.yes_no(cell).wrong == "yes-no-unclear"
    dated = unclear and any(sign.isdigit() for sign in cell.text)
    return "thawed" if dated else ""


def read_storage(row: Row, kind: ItemKind) -> Storage:
    """Range and gate of a line, with issues where row and catalogue differ."""
    used = f"{kind.keep_from_c:g} to {kind.keep_to_c:g} C"
    found = _two_cells(row, kind, used) or _one_cell(row, kind, used)
    frozen = found is not None and found[0] < 0 and kind.id != UNKNOWN_KIND
    if frozen and kind.never_freeze:
        row.say("freezer-conflict", "item", name=kind.name, used=used)
        found = None
    low, high = found or (kind.keep_from_c, kind.keep_to_c)
    gate, provisional = kind.gate, frozen and kind.never_freeze
    if found:
        gate, provisional = _gate_of_given(row, kind, low, high)
    elif not provisional:
        provisional = _words_conflict(row, kind, used)
    return Storage(
        low_c=low,
        high_c=high,
        given=found is not None,
        gate=gate,
        provisional=provisional,
        origin=_origin(kind, found),
    )


def _origin(kind: ItemKind, found: tuple[float, float] | None) -> Origin:
    if found:
        value = f"{found[0]:g} to {found[1]:g} C"
        return Origin(field="band", came_from=CameFrom.SHEET, value=value)
    fact = kind.band_fact
    return origin_from(
        fact,
        "band",
        f"{kind.keep_from_c:g} to {kind.keep_to_c:g} C",
        CameFrom.CATALOGUE,
    )


def _gate_of_given(
    row: Row, kind: ItemKind, low: float, high: float
) -> tuple[Gate, bool]:
    shown = f"{low:g} to {high:g} C"
    if kind.gate is not Gate.POOL:
        if high > _COLD_TO_C:
            return kind.gate, False
        row.say(
            "pool-conflict", "item", name=kind.name, gate=kind.gate.value, used=shown
        )
        return Gate.POOL, True
    if low >= _ROOM_FROM_C:
        row.say("room-band", "item", used=shown)
        return Gate.COOL_SHELF, True
    if low < kind.keep_from_c or high > kind.keep_to_c:
        usual = f"{kind.keep_from_c:g} to {kind.keep_to_c:g} C"
        row.say("band-wider", "item", value=shown, range=shown, used=usual)
    return kind.gate, False


def _words_conflict(row: Row, kind: ItemKind, used: str) -> bool:
    """Yes/no and word columns against the catalogue; True when in doubt."""
    if storage_words(row) and kind.keep_from_c >= 0:
        row.say("freezer-conflict", "item", name=kind.name, used=used)
        return True
    if storage_words(row):
        cold: bool | None = True
    elif not row.text("cold"):
        cold = None
    else:
        cold = flag(row, "cold", f"the catalogue's {used} is used")
    said = _said_in_words(row, used)
    if cold is None:
        cold = said
    if cold and kind.gate is not Gate.POOL:
        row.say("pool-conflict", "item", name=kind.name, gate=kind.gate.value)
        return True
    if cold is False and kind.gate is Gate.POOL:
        row.say("cold-not-wanted", "item", name=kind.name, used=used)
        return True
    return False


def unit_of(row: Row, field_key: str) -> str:
    """Unit of a temperature: the row's own column, else the heading's."""
    return temp_unit(row.text("temp_unit")) or row.unit(field_key)


def _said_in_words(row: Row, used: str) -> bool | None:
    """Cold or not, by the words of a storage or temperature cell.

    ``cool`` is asked about: some mean the fridge, USP <659> means 8-15 C.
    """
    for field_key in ("storage", "band"):
        words = key(row.text(field_key))
        if not words or temps_in(row.text(field_key)) or is_blank(row.cell(field_key)):
            continue
        if storage_words(row):
            return True
        if (
            words.startswith(_NOT_ICE)
            and not words.removeprefix("do not freeze").strip()
        ):
            continue
        if words.startswith(_ROOM):
            return False
        if words.startswith(_FRIDGE):
            return True
        if not words.startswith(_NOT_ICE):
            row.say("storage-word-unclear", field_key, used=used)
    return None


def _one_cell(row: Row, kind: ItemKind, used: str) -> tuple[float, float] | None:
    for field_key in ("band", "storage"):
        cell = row.cell(field_key)
        if skip(row, field_key):
            continue
        if isinstance(cell.value, str) and not temps_in(cell.text):
            continue
        got = band(cell, unit_of(row, field_key))
        if got.value is None:
            if got.wrong:
                row.say(got.wrong, field_key, used=used)
            return None
        low = kind.keep_from_c if got.value.low_c is None else got.value.low_c
        _say_how(row, field_key, got.value)
        return (low, got.value.high_c) if low <= got.value.high_c else None
    return None


def _say_how(row: Row, field_key: str, found: Band) -> None:
    if found.note:
        low = "" if found.low_c is None else f"{found.low_c:g} to "
        row.say(found.note, field_key, used=f"{low}{found.high_c:g} C")


def _two_cells(row: Row, kind: ItemKind, used: str) -> tuple[float, float] | None:
    """Keep from and Keep to; one range may stand in either of them."""
    keys = [
        name
        for name in ("keep_from", "keep_to")
        if not skip(row, name) and not is_blank(row.cell(name))
    ]
    edges: dict[str, tuple[float, str]] = {}
    for name in keys:
        cell = row.cell(name)
        found = temps_in(cell.text) if isinstance(cell.value, str | float) else ()
        if len(found) != 1:
            return _range_in(row, name, kind, used)
        edges[name] = found[0]
    if not edges:
        return None
    units = {unit for _, unit in edges.values() if unit}
    heading = unit_of(row, keys[0]) or "C"
    typed = units.pop() if len(units) == 1 else ""
    got = in_celsius([edges[name][0] for name in keys], typed, heading)
    if got.value is None or units:
        row.say("band-not-usable", keys[0], used=used)
        return None
    celsius = dict(zip(keys, got.value, strict=True))
    low = celsius.get("keep_from", kind.keep_from_c)
    high = celsius.get("keep_to", kind.keep_to_c)
    if low > high:
        row.say("band-upside-down", keys[0], value=f"{low:g} to {high:g}", used=used)
        return None
    if got.wrong:
        row.say(got.wrong, keys[0], used=f"{low:g} to {high:g} C")
    return low, high


def _range_in(
    row: Row, field_key: str, kind: ItemKind, used: str
) -> tuple[float, float] | None:
    got = band(row.cell(field_key), unit_of(row, field_key))
    if got.value is None:
        row.say(got.wrong or "band-not-usable", field_key, used=used)
        return None
    _say_how(row, field_key, got.value)
    low = kind.keep_from_c if got.value.low_c is None else got.value.low_c
    return (low, got.value.high_c) if low <= got.value.high_c else None
