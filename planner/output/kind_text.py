"""The catalogue of item kinds as plain text, each fact with its source."""

from collections.abc import Iterable

from planner.catalogue import Fact, ItemKind, item_kinds, plain_word
from planner.output.words import at_most, band, number, plural, volume
from planner.scenario import Gate


def find_kinds(word: str) -> tuple[ItemKind, ...]:
    """Kinds whose name, group, id or everyday names contain a word."""
    wanted = plain_word(word)
    return tuple(
        kind
        for kind in item_kinds()
        if not wanted
        or any(
            wanted in plain_word(text)
            for text in (kind.name, kind.group, kind.id, *kind.words)
        )
    )


def kinds_text(kinds: Iterable[ItemKind]) -> str:
    """Describe kinds with band, freeze rule, allowance, volume and sources."""
    return "\n".join("\n".join(_kind_lines(kind)) for kind in kinds)


def _kind_lines(kind: ItemKind) -> list[str]:
    keep = band(kind.keep_from_c, kind.keep_to_c)
    freeze = ", NEVER FREEZE" if kind.never_freeze else ""
    lines = [
        f"{kind.name}  [{kind.group}]",
        f"  Keep: {keep}{freeze}{_source(kind.band_fact)}",
        f"  Out of the cold: {_allowance(kind)}{_source(kind.warm_fact)}",
        f"  Room: {volume(kind.volume_l)} for one {kind.pack}{_source(kind.volume_fact)}",
    ]
    if kind.gate is not Gate.POOL:
        lines.insert(1, f"  Where: {kind.gate.value}")
    if kind.words:
        lines.append(f"  Also called: {', '.join(kind.words[:6])}")
    if kind.note:
        lines.append(f"  Note: {kind.note}")
    return [*lines, ""]


def _allowance(kind: ItemKind) -> str:
    if kind.warm_hours is None:
        return "not known, counts as none"
    whole_days = kind.warm_hours % 24 == 0 and kind.warm_hours >= 48
    length = (
        plural(int(kind.warm_hours // 24), "day")
        if whole_days
        else plural(int(kind.warm_hours), "hour")
        if kind.warm_hours == int(kind.warm_hours)
        else f"{number(kind.warm_hours)} hours"
    )
    limit = f" up to {at_most(kind.warm_max_c)}" if kind.warm_max_c is not None else ""
    return f"{length}{limit}, {kind.clock.value}"


def _source(fact: Fact) -> str:
    trust = (
        fact.flag.value if fact.flag.confirmed else f"not confirmed: {fact.flag.value}"
    )
    source = f"{fact.source}; " if fact.source else ""
    return f"\n      ({source}{fact.jurisdiction}; {trust})"
