"""Names of the site that hold a resident's name, and what stands there instead.

A fridge may be called after its owner, an oxygen concentrator after the cot
that is the resident's name on the list.  What leaves the computer carries the
code instead.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any, TypeVar

from planner.intake.codes import is_code
from planner.scenario import Scenario

T = TypeVar("T")
_SHORTEST_NAME = 3
_WITH_THINGS = frozenset({"units", "hookups", "placements", "replay"})
_THINGS = ("unit", "name", "place", "panel", "battery", "source", "load")
"""Keys of a saved plan under which a thing or a place is named."""
_CODE = re.compile(r"\b[A-Z]-[A-Z0-9]{5}\b")


@dataclass(frozen=True, slots=True)
class Masks:
    """Finds the names of residents in a text, and puts their codes there."""

    residents: "re.Pattern[str] | None"
    codes: Mapping[str, str]

    def masked(self, text: str) -> str:
        """Text with the code in place of every resident's whole name."""
        if self.residents is None:
            return text
        return self.residents.sub(lambda found: self.codes[_plain(found[0])], text)


def masks_of(scenario: Scenario) -> Masks:
    """Masks of all residents of a scenario; the longest name is found first.

    Part of a name is not found, nor one of one or two letters.
    """
    pairs = sorted(
        {
            (line.code, " ".join(line.resident.split()))
            for line in scenario.lines
            if len(" ".join(line.resident.split())) >= _SHORTEST_NAME
        }
    )
    codes = {_plain(resident): code for code, resident in reversed(pairs)}
    if not codes:
        return Masks(None, codes)
    return Masks(_any_of(codes, re.IGNORECASE), codes)


def coded_names(scenario: Scenario) -> Mapping[str, str]:
    """Names of things, places, lenders and sheets that hold a resident's name.

    By the name as it stands, what it is called with the code; two names never
    become one.
    """
    masks = masks_of(scenario)
    names = sorted(_names(scenario))
    found: dict[str, str] = {}
    taken = {name for name in names if masks.masked(name) == name}
    for name in names:
        coded = shown = masks.masked(name)
        if coded == name:
            continue
        number = 1
        while shown in taken:
            number += 1
            shown = f"{coded} ({number})"
        taken.add(shown)
        found[name] = shown
    return found


def with_names(value: T, names: Mapping[str, str]) -> T:
    """A plan, a report or a document with some names put in place of others.

    Names are replaced in ids and sentences too, so that the parts still
    belong together.
    """
    if not names:
        return value
    pattern = _any_of(names)

    def renamed(found: "re.Match[str]") -> str:
        return names[" ".join(found[0].split())]

    changed: Any = _changed(value, lambda text: pattern.sub(renamed, text))
    return changed  # type: ignore[no-any-return]


def as_today(document: dict[str, Any], scenario: Scenario) -> dict[str, Any]:
    """A saved plan in which things and places are called as they are today.

    Only what names a thing or a place is changed: a code that stands for a
    person stays.  Where the resident has left, the one name of today that
    differs only in the code is meant.
    """
    back = {coded: name for name, coded in coded_names(scenario).items()}
    today = _names(scenario)
    for name in sorted(_site_names(document) - set(back) - today):
        codes = [one for one in _CODE.findall(name) if is_code(one)]
        if not codes:
            continue
        like = ".+".join(re.escape(part) for part in re.split("|".join(codes), name))
        fits = sorted(one for one in today if re.fullmatch(like, one))
        if len(fits) == 1 and fits[0] not in back.values():
            back[name] = fits[0]
    if not back:
        return document
    return {
        key: _called(value, back) if key in _WITH_THINGS else value
        for key, value in document.items()
    }


def _called(value: Any, names: Mapping[str, str]) -> Any:
    """Entries of a document with the names of things changed, and nothing else."""
    if isinstance(value, list):
        return [_called(one, names) for one in value]
    if not isinstance(value, dict):
        return value
    return {
        key: with_names(one, names)
        if key in _THINGS and isinstance(one, str)
        else _called(one, names)
        for key, one in value.items()
    }


def _names(scenario: Scenario) -> frozenset[str]:
    """All names that somebody at the site gave to a thing, a place or a sheet."""
    kit = scenario.equipment
    names = {one.name for one in kit} | {one.availability.lender for one in kit}
    names |= {one.place for one in kit} | {one.place for one in scenario.lines}
    names |= {one.sheet for one in kit} | {one.sheet for one in scenario.lines}
    names |= {one.name for one in scenario.places}
    return frozenset(" ".join(one.split()) for one in names if one.strip())


def _site_names(document: dict[str, Any]) -> frozenset[str]:
    """Names and places of the units and plugs of a saved plan."""
    found: set[str] = set()
    for key in ("units", "hookups"):
        rows = document.get(key)
        for row in rows if isinstance(rows, list) else []:
            texts = [row.get(one) for one in _THINGS] if isinstance(row, dict) else []
            # An id is the kind of thing, a colon and its name.
            found |= {t.partition(":")[2] or t for t in texts if isinstance(t, str)}
    return frozenset(found)


def _any_of(names: Iterable[str], flags: int = 0) -> "re.Pattern[str]":
    """Pattern of whole names, the longest first, however they are spaced."""
    ordered = sorted(names, key=lambda one: (-len(one), one))
    wide = [r"\s+".join(map(re.escape, one.split())) for one in ordered]
    return re.compile(rf"(?<!\w)(?:{'|'.join(wide)})(?!\w)", flags)


def _plain(name: str) -> str:
    return " ".join(name.split()).casefold()


def _changed(value: Any, change: Any) -> Any:
    """The same value with each text changed; what did not change stays itself."""
    if isinstance(value, str):
        # A word of a fixed set is no text of the site.
        return change(value) if type(value) is str else value
    if isinstance(value, tuple | list):
        if value and all(isinstance(one, float | int) for one in value):
            return value
        parts = [_changed(one, change) for one in value]
        same = all(new is old for new, old in zip(parts, value, strict=True))
        return value if same else type(value)(parts)
    if isinstance(value, dict):
        return {
            _changed(key, change): _changed(one, change) for key, one in value.items()
        }
    if is_dataclass(value) and not isinstance(value, type):
        news = {}
        for field in fields(value):
            old = getattr(value, field.name)
            new = _changed(old, change)
            if new is not old and new != old:
                news[field.name] = new
        return replace(value, **news) if news else value
    return value
