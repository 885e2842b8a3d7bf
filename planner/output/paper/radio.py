"""One line a unit, short enough for a text message and plain enough to read out."""

import unicodedata

from planner.output.paper.door import dial_key
from planner.output.paper.facts import Facts
from planner.output.paper.goods import held_in, limits
from planner.output.paper.phrases import clock, dark_at, socket
from planner.output.words import Units, number, to_fahrenheit
from planner.scenario import ColdUnit, SunCase

RADIO_LETTERS = 160
"""Letters of one text message (GSM 7-bit alphabet, 3GPP TS 23.038)."""

_NAME_LETTERS = (24, 16, 10)
# ASCII signs that take two places in that alphabet, or have none.
_COSTLY = str.maketrans(dict.fromkeys("[]{}\\^~|`", "-"))


def radio_line(facts: Facts, unit: ColdUnit) -> str:
    """Say mark, unit, set point, limits, feed, dark time and bags of a unit.

    Only plain letters, so that the line costs one text message.  Names get
    shorter before anything is left out; then the limits go, then the feed.
    """
    first = "radio.set" if dial_key(unit) == "set" else "radio.aim"
    parts = (first, "radio.limit", "radio.feed", "radio.dark", "radio.bags")
    for letters in _NAME_LETTERS:
        line = _written(facts, unit, parts, letters)
        if len(line) <= RADIO_LETTERS:
            return line
    for fewer in (
        (first, "radio.feed", "radio.dark", "radio.bags"),
        (first, "radio.dark", "radio.bags"),
    ):
        line = _written(facts, unit, fewer, _NAME_LETTERS[-1])
        if len(line) <= RADIO_LETTERS:
            return line
    return line[:RADIO_LETTERS]


def plain_letters(text: str) -> str:
    """Text in letters every phone and radio operator has."""
    bare = "".join(
        char
        for char in unicodedata.normalize("NFKD", text)
        if not unicodedata.combining(char)
    )
    ascii_text = bare.encode("ascii", "replace").decode("ascii")
    return " ".join(ascii_text.translate(_COSTLY).split())


def _written(facts: Facts, unit: ColdUnit, parts: tuple[str, ...], letters: int) -> str:
    fields = _fields(facts, unit, letters)
    said = [
        facts.say("radio.unit", mark=facts.mark, unit=_name(facts, unit.id, letters))
    ]
    said += [facts.say(key, **fields[key]) for key in parts if key in fields]
    return plain_letters(" ".join(said))


def _fields(facts: Facts, unit: ColdUnit, letters: int) -> dict[str, dict[str, object]]:
    use = facts.index.uses[unit.id]
    shown = limits(facts, unit)
    plugs = sorted(
        (one for one in facts.plan.hookups if one.to_id == unit.id),
        key=lambda one: one.from_h,
    )
    points: dict[str, object] = {
        "temp": "; ".join(_both(facts, one) for one in use.set_points_c)
    }
    found: dict[str, dict[str, object]] = {
        "radio.set": points,
        "radio.aim": points,
        "radio.bags": {"count": sum(one.count for one in held_in(facts, unit))},
    }
    if shown:
        found["radio.limit"] = {
            "low": "; ".join(_both(facts, one.low_c) for one in shown),
            "high": "; ".join(_both(facts, one.high_c) for one in shown),
        }
    if plugs:
        last = plugs[-1]
        more = len(plugs) - 1
        feed = f"{_name(facts, plugs[0].from_id, letters)} {socket(facts, plugs[0])}"
        found["radio.feed"] = {
            "feed": f"{feed} +{more}" if more else feed,
            "until": clock(facts, last.to_h),
        }
    dark = dark_at(facts, unit, SunCase.NONE)
    if dark is not None:
        found["radio.dark"] = {"when": clock(facts, dark)}
    return found


def _name(facts: Facts, thing_id: str, letters: int) -> str:
    name = plain_letters(facts.name(thing_id))
    if len(name) <= letters:
        return name
    # What tells two names apart stands at the end, in brackets.
    tail = name[name.rindex("(") :] if name.endswith(")") and "(" in name else ""
    return f"{name[: max(4, letters - len(tail))].rstrip()}{tail}"


def _both(facts: Facts, temp_c: float) -> str:
    both = [f"{number(temp_c)}C", f"{number(to_fahrenheit(temp_c), 0)}F"]
    if facts.how.units is Units.US:
        both.reverse()
    shown = "/".join(both)
    # A lone minus sign is not heard over the radio.
    return shown.replace("-", facts.say("unit.minus") + " ")
