"""What is missing for a short line, and what would place it, in words.

The same sentences stand on the screen, in the workbook and on paper; who
speaks brings the names, the clock and the language.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from planner.output.index import Index, index_plan
from planner.output.manner import PLAIN, Manner
from planner.output.wording import Wording
from planner.output.words import energy, power
from planner.result import Plan, Shortfall
from planner.result_reasons import Change, ChangeKind, Proof
from planner.scenario import Battery, Line, Supply

_AMOUNTS = {
    ChangeKind.ENERGY,
    ChangeKind.BATTERY,
    ChangeKind.ICE,
    ChangeKind.ROOM_IN,
    ChangeKind.ROOM_AT,
    ChangeKind.WATTS,
}
"""Kinds of which less could do."""
_BY_SOCKET = {ChangeKind.SOCKET, ChangeKind.WATTS, ChangeKind.BATTERY}
_SEVERAL = 2
_ROOM = {ChangeKind.ROOM_IN, ChangeKind.ROOM_AT}


@dataclass(frozen=True, slots=True, kw_only=True)
class Speaker:
    """How one kind of page says, names and times things."""

    words: Wording
    name: Callable[[str], str]
    place: Callable[[str], str]
    clock: Callable[[float], str]
    volume: Callable[[float], str]
    ice: Callable[[float], str]
    band: Callable[[float, float], str]
    temperature: Callable[[float], str]
    at_most: Callable[[float], str]
    lines: Mapping[str, Line]
    batteries: Mapping[str, Battery]

    def say(self, key: str, **fields: object) -> str:
        """Message of an id."""
        return self.words.say(key, **fields)

    def count(self, key: str, number: int, **fields: object) -> str:
        """Message for one thing or several."""
        return self.words.count(key, number, **fields)

    def bags(self, count: int) -> str:
        """Count of bags with its noun."""
        return self.count("bags", count)


def speaker(index: Index) -> Speaker:
    """Speaker of screens, tables and the terminal."""
    how = index.how
    return Speaker(
        words=how.words,
        name=index.name,
        place=str,
        clock=index.clock,
        volume=how.volume,
        ice=how.ice,
        band=how.band,
        temperature=how.temperature,
        at_most=how.at_most,
        lines=index.lines,
        batteries=index.batteries,
    )


def missing_words(who: Speaker, short: Shortfall) -> str:
    """How much of what is missing; empty when no single thing would do."""
    if not short.changes:
        return ""
    change = short.changes[0]
    key = change.kind.name.lower()
    if change.kind in _ROOM:
        key = "room"
    elif change.kind is ChangeKind.SOCKET:
        key = f"socket_{_port(change)}"
    elif change.kind is ChangeKind.ENERGY:
        key += _energy_form(who, change)
    return who.say(f"tell.missing.{key}", **_fields(who, short, change))


def change_words(who: Speaker, short: Shortfall) -> str:
    """The smallest change that places it, and another way; empty when none is known."""
    said = first_change_words(who, short)
    if len(short.changes) < 2:
        return said
    other = what_changes(who, short, short.changes[1])
    return who.say("tell.change.then_or", change=said, other=other)


def first_change_words(who: Speaker, short: Shortfall) -> str:
    """The smallest change alone."""
    return _sentence(who, short, short.changes[0]) if short.changes else ""


def brief_change_words(who: Speaker, short: Shortfall) -> str:
    """The smallest change in as few words as a narrow column has room for."""
    if not short.changes:
        return ""
    change = short.changes[0]
    said = capital(what_changes(who, short, change))
    if change.bags >= short.count:
        return f"{said}."
    return who.say(
        "tell.change.places_some",
        change=said,
        count=change.bags,
        all=who.bags(short.count),
    )


def shared_changes(plan: Plan, how: Manner = PLAIN) -> tuple[str, ...]:
    """Changes that would place several short lines, each by itself, most lines first.

    The amount said is the largest of them.
    """
    index = index_plan(plan, how)
    who = speaker(index)
    groups: dict[tuple[str, ...], list[Shortfall]] = {}
    for short in plan.shortfalls:
        for one in short.changes[:1]:
            key = (one.kind, one.item_id, one.place, one.to_place, one.supply)
            groups.setdefault(key, []).append(short)
    told: list[tuple[int, str]] = []
    for mine in groups.values():
        if len(mine) < _SEVERAL:
            continue
        most = max(mine, key=lambda short: short.changes[0].amount)
        codes = dict.fromkeys(who.lines[short.line_id].code for short in mine)
        said = who.say(
            "tell.change.shared",
            change=capital(what_changes(who, most, most.changes[0])),
            lines=who.count("tell.change.lines", len(mine)),
            codes=", ".join(sorted(codes)),
        )
        told.append((-len(mine), said))
    return tuple(said for _, said in sorted(told))


def _sentence(who: Speaker, short: Shortfall, change: Change) -> str:
    all_of_them = change.bags >= short.count
    said = who.say(
        "tell.change.places" if all_of_them else "tell.change.places_some",
        change=capital(what_changes(who, short, change)),
        bags=who.bags(change.bags),
        count=change.bags,
        all=who.bags(short.count),
    )
    if change.kind in _AMOUNTS:
        exact = change.proof is Proof.EXACT
        said += " " + who.say(f"tell.change.{'exact' if exact else 'enough'}")
    return said


def what_changes(who: Speaker, short: Shortfall, change: Change) -> str:
    """The change itself, in a few words."""
    fields = _fields(who, short, change)
    key = f"tell.change.{change.kind.name.lower()}"
    match change.kind:
        case ChangeKind.SOCKET:
            return who.count(f"{key}_{_port(change)}", round(change.amount), **fields)
        case ChangeKind.ENERGY:
            key += _energy_form(who, change)
        case ChangeKind.ROOM_AT if change.lockable:
            key += "_lock"
        case _ if change.kind in _BY_SOCKET:
            key += f"_{_port(change)}"
    said = who.say(key, **fields)
    return who.say("tell.change.open_too", change=said) if change.night else said


def _fields(who: Speaker, short: Shortfall, change: Change) -> dict[str, object]:
    line = who.lines[short.line_id]
    low, high = line.keep_from_c, line.keep_to_c
    if change.low_c is not None and change.high_c is not None:
        low, high = change.low_c, change.high_c
    watts = change.amount if change.kind is ChangeKind.WATTS else change.watts
    return {
        "item": who.name(change.item_id),
        "place": who.place(change.place),
        "to_place": who.place(change.to_place),
        "volume": who.volume(change.amount),
        "energy": energy(change.amount),
        "ice": who.ice(change.amount),
        "hours": who.count("tell.change.hours", round(change.amount)),
        "watts": power(watts),
        "when": who.clock(change.by_h),
        "percent": math.ceil(100 * _charged(who, change) - 1e-6),
        "band": who.band(low, high),
        "temp": _temp(who, change),
    }


def capital(text: str) -> str:
    """Words with a capital in front."""
    return text[:1].upper() + text[1:]


def _temp(who: Speaker, change: Change) -> str:
    if change.high_c is not None:
        return who.at_most(change.high_c)
    if change.set_point_c is not None:
        return who.temperature(change.set_point_c)
    return ""


def _charged(who: Speaker, change: Change) -> float:
    """Charge of a battery with that much more in it, over 1 when it is too small."""
    battery = who.batteries.get(change.item_id)
    if battery is None or battery.capacity_wh <= 0:
        return 0.0
    return battery.charge_now + change.amount / battery.capacity_wh


def _energy_form(who: Speaker, change: Change) -> str:
    """End of an id: the battery holds it or not, needed by a time or from the start.

    What it cannot hold is drawn little by little, so a clock time alone would mislead.
    """
    fits = "_charge" if _charged(who, change) <= 1.0 else "_larger"
    return fits if change.by_h else f"{fits}_start"


def _port(change: Change) -> str:
    return "ac" if change.supply is Supply.AC else "dc"
