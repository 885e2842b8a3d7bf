"""The catalogue for people: any row as lines, each fact with its source."""

from collections.abc import Iterable
from dataclasses import dataclass

from planner.catalogue import (
    EquipmentDefault,
    Fact,
    ItemKind,
    TextDefault,
    equipment_defaults,
    item_kinds,
    plain_word,
    text_defaults,
)
from planner.output.manner import PLAIN, Manner
from planner.output.words import at_most, band, number, plural, volume
from planner.scenario import Flag, Gate

NOT_CONFIRMED = "not confirmed, check the label"
"""Stands at every fact that nobody here read in print."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FactLine:
    """One fact of a row: what, its value, and where it comes from."""

    what: str
    value: str
    source: str = ""
    jurisdiction: str = ""
    trust: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class KindCard:
    """One row of the catalogue as lines; ``words`` are names people use."""

    name: str
    kind_id: str
    group: str
    confirmed: bool
    facts: tuple[FactLine, ...]
    words: tuple[str, ...]
    note: str


def find_kinds(word: str, how: Manner = PLAIN) -> tuple[ItemKind, ...]:
    """Kinds whose name, group, id or everyday names contain a word."""
    wanted = plain_word(word)
    return tuple(
        kind
        for kind in item_kinds()
        if not wanted
        or any(
            wanted in plain_word(text)
            for text in (
                kind.name,
                how.told(kind.name),
                kind.group,
                kind.id,
                *kind.words,
            )
        )
    )


def find_defaults(word: str) -> tuple[EquipmentDefault | TextDefault, ...]:
    """Equipment defaults whose key, spaces or dots between its words, matches."""
    wanted = _plain_key(word)
    rows: list[EquipmentDefault | TextDefault] = [*equipment_defaults()]
    rows += text_defaults()
    return tuple(row for row in rows if wanted in _plain_key(row.key))


def kind_card(kind: ItemKind) -> KindCard:
    """Put one kind into words."""
    return KindCard(
        name=kind.name,
        kind_id=kind.id,
        group=kind.group,
        confirmed=kind.confirmed,
        facts=tuple(_facts(kind)),
        words=kind.words,
        note=kind.note,
    )


def trust(flag: Flag) -> str:
    """Say how far a fact can be trusted."""
    return flag.value if flag.confirmed else f"{NOT_CONFIRMED}: {flag.value}"


def kinds_text(kinds: Iterable[ItemKind]) -> str:
    """Describe kinds with band, freeze rule, allowance, volume and sources."""
    return "\n".join("\n".join(_card_lines(kind_card(kind))) for kind in kinds)


def defaults_text(rows: Iterable[EquipmentDefault | TextDefault]) -> str:
    """List equipment defaults, each with its source."""
    lines: list[str] = []
    for row in rows:
        lines.append(f"{row.key}: {default_value(row)}")
        lines.append(f"      ({_origin(row.source, row.jurisdiction, row.flag)})")
    return "\n".join([*lines, ""])


def default_value(row: EquipmentDefault | TextDefault) -> str:
    """Value of a default with its unit."""
    if isinstance(row, TextDefault):
        unit = row.unit.removeprefix("list").strip()
        return row.text if row.unit == "word" else f"{row.text} {unit}"
    unit = "" if row.unit in {"share", "count", "1-5"} else f" {row.unit}"
    return f"{row.value:g}{unit}"


def _facts(kind: ItemKind) -> Iterable[FactLine]:
    if kind.gate is not Gate.POOL:
        yield FactLine(what="Where", value=kind.gate.value)
    freeze = ", NEVER FREEZE" if kind.never_freeze else ""
    keep = band(kind.keep_from_c, kind.keep_to_c)
    yield _sourced("Keep", f"{keep}{freeze}", kind.band_fact)
    yield FactLine(what="If it froze", value=kind.freeze_note)
    yield _sourced("Out of the cold", _allowance(kind), kind.warm_fact)
    if kind.cold_hours is not None and kind.cold_fact is not None:
        life = f"{_length(kind.cold_hours)} in the cold"
        yield _sourced("Once mixed, opened or thawed", life, kind.cold_fact)
    carton = "" if kind.per_carton == 1 else f", {kind.per_carton} in a carton"
    room = f"{volume(kind.volume_l)} for one {kind.pack}{carton}"
    yield _sourced("Room", room, kind.volume_fact)
    yield FactLine(what="If it is missed", value=kind.consequence.value)
    if kind.controlled:
        yield FactLine(what="Custody", value="controlled: locked units only")
    if kind.thawed:
        yield FactLine(what="Thawed", value="was frozen once; never freeze again")


def _sourced(what: str, value: str, fact: Fact) -> FactLine:
    return FactLine(
        what=what,
        value=value,
        source=fact.source,
        jurisdiction=fact.jurisdiction,
        trust=trust(fact.flag),
    )


def _card_lines(card: KindCard) -> list[str]:
    check = "" if card.confirmed else f"  ({NOT_CONFIRMED})"
    lines = [f"{card.name}  [{card.group}]  id {card.kind_id}{check}"]
    for one in card.facts:
        lines.append(f"  {one.what}: {one.value}")
        if one.trust:
            lines.append(f"      ({one.source}; {one.jurisdiction}; {one.trust})")
    lines.append(f"  Also called: {', '.join(card.words)}")
    if card.note:
        lines.append(f"  Note: {card.note}")
    return [*lines, ""]


def _allowance(kind: ItemKind) -> str:
    if kind.warm_hours is None:
        return "not known, counts as none"
    limit = f" up to {at_most(kind.warm_max_c)}" if kind.warm_max_c is not None else ""
    return f"{_length(kind.warm_hours)}{limit}, {kind.clock.value}"


def _length(hours_h: float) -> str:
    if hours_h % 24 == 0 and hours_h >= 48:
        return plural(int(hours_h // 24), "day")
    if hours_h == int(hours_h):
        return plural(int(hours_h), "hour")
    return f"{number(hours_h)} hours"


def _origin(source: str, jurisdiction: str, flag: Flag) -> str:
    sure = flag.value if flag.confirmed else f"not confirmed: {flag.value}"
    return f"{source}; {jurisdiction}; {sure}"


def _plain_key(text: str) -> str:
    return " ".join(plain_word(text).replace(".", " ").replace("_", " ").split())
