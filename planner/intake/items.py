"""Match the text of an item to a kind of the catalogue.

The longest name found in the text wins.  Nothing is guessed silently: a
likeness, a tie and words left over are reported with the match.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from types import MappingProxyType

from planner.catalogue import ItemKind, item_kind, item_kinds
from planner.intake.item_words import HARMLESS, TRANSLATED
from planner.intake.words import clean, key
from planner.scenario import Gate

UNKNOWN_KIND = "unknown-cold"
_GAP = 2
_LIKE_FROM = 6
_SPLIT = re.compile(r"\s*(?:\n|;|\+|&|/|,|\band\b|\by\b|\bet\b|\bund\b)\s*", re.I)
_NUMBERED = re.compile(r"(?:^|\s)\(?\d{1,2}[.)]\s+")
_NEW_AND_OPEN = re.compile(
    r"\b(\d{1,3}) (new|unopened|sealed|open|opened|in use) (?:and )?"
    r"(\d{1,3}) (new|unopened|sealed|open|opened|in use)\b"
)
_STATE = re.compile(
    r"^(\d{1,3})\s+(?:more\s+)?(open|opened|in use|new|unopened|sealed)\b", re.I
)


@dataclass(frozen=True, slots=True)
class Match:
    """A kind, and how it was found.

    ``guessed`` marks a likeness; ``rivals`` are other kinds that fit as
    well; ``left`` are words that were not understood; ``used`` the tokens
    of the name.
    """

    kind: ItemKind
    known: bool = True
    guessed: bool = False
    rivals: tuple[str, ...] = ()
    left: tuple[str, ...] = ()
    used: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Part:
    """One item of a cell: its text, its match, and a count read with it."""

    text: str
    match: Match
    opened: bool = False
    count: int | None = None


@dataclass(frozen=True, slots=True)
class _Found:
    kind_id: str
    places: tuple[int, ...]
    letters: int

    @property
    def joined(self) -> bool:
        return self.places[-1] - self.places[0] == len(self.places) - 1

    @property
    def rank(self) -> tuple[int, bool, int]:
        return (len(self.places), self.joined, self.letters)


def tokens_of(text: str) -> tuple[str, ...]:
    """Words of a text, translated and without plural endings."""
    plain = key(text)
    for foreign, ours in TRANSLATED:
        plain = re.sub(rf"\b{foreign}\b", ours, plain)
    return tuple(_singular(word) for word in plain.split())


def _singular(word: str) -> str:
    if len(word) > 3 and word.endswith("s") and not word.endswith("ss"):
        return word[:-1]
    return word


@cache
def _phrases() -> Mapping[str, tuple[tuple[tuple[str, ...], str], ...]]:
    """Names as tokens with their kind, by first token."""
    table: dict[str, dict[tuple[tuple[str, ...], str], None]] = {}
    for kind in item_kinds():
        for word in (kind.name, *kind.words):
            phrase = tokens_of(word)
            if phrase:
                table.setdefault(phrase[0], {})[(phrase, kind.id)] = None
    return MappingProxyType({first: tuple(rows) for first, rows in table.items()})


@cache
def _vocabulary() -> Mapping[str, frozenset[str]]:
    """Long words of all names, with the kinds they stand in."""
    words: dict[str, set[str]] = {}
    for rows in _phrases().values():
        for phrase, kind_id in rows:
            for token in phrase:
                if len(token) >= _LIKE_FROM and token.isalpha():
                    words.setdefault(token, set()).add(kind_id)
    return MappingProxyType({word: frozenset(words[word]) for word in sorted(words)})


@lru_cache(maxsize=4096)
def match_item(text: str) -> Match:
    """Give the kind that a text names; the unknown kind when there is none.

    >>> match_item("2 insulin glargine pens").kind.group
    'insulin'
    """
    tokens = tokens_of(text)
    found = _find(tokens)
    likely = tuple(_alike(token) for token in tokens)
    guessed = likely != tokens and _best(_find(likely)) > _best(found)
    if guessed:
        found, tokens = _find(likely), likely
    if not found:
        return Match(kind=item_kind(UNKNOWN_KIND), known=False)
    found = [one for one in found if len(one.places) == len(tokens)] or _named(found)
    best = _best(found)
    ties = _cold_first(sorted({one.kind_id for one in found if one.rank == best}))
    if len(ties) > 1:
        names = tuple(item_kind(kind_id).name for kind_id in ties)
        return Match(kind=item_kind(UNKNOWN_KIND), known=False, rivals=names)
    winner = next(one for one in found if (one.rank, one.kind_id) == (best, ties[0]))
    used = tuple(tokens[at] for at in winner.places)
    kind = item_kind(winner.kind_id)
    taken = {at for one in found for at in one.places}
    left = tuple(
        token
        for at, token in enumerate(tokens)
        if at not in taken and len(token) > 3 and token.isalpha()
        and token not in HARMLESS
    )  # fmt: skip
    return Match(kind=kind, guessed=guessed, left=left, used=used)


def _find(tokens: tuple[str, ...]) -> list[_Found]:
    found = []
    for start, token in enumerate(tokens):
        for phrase, kind_id in _phrases().get(token, ()):
            places = _places(tokens, start, phrase)
            if places:
                letters = sum(len(word) for word in phrase)
                found.append(_Found(kind_id, places, letters))
    return [
        one for one in found if one.joined or item_kind(one.kind_id).gate is Gate.POOL
    ]


def _named(found: list[_Found]) -> list[_Found]:
    """Leave out group names (``insulin pen``) where a cold member is named too."""
    named = {
        item_kind(one.kind_id).group
        for one in found
        if not _is_vague(one.kind_id) and item_kind(one.kind_id).gate is Gate.POOL
    }
    return [
        one
        for one in found
        if not (_is_vague(one.kind_id) and item_kind(one.kind_id).group in named)
    ]


def _cold_first(ties: list[str]) -> list[str]:
    """Settle a tie inside one group by its one kind that stays cold.

    ``opened insulin lispro`` is lispro; that it is open is read elsewhere.
    """
    cold = [kind_id for kind_id in ties if item_kind(kind_id).gate is Gate.POOL]
    one_group = len({item_kind(kind_id).group for kind_id in ties}) == 1
    return cold if one_group and len(cold) == 1 else ties


def _is_vague(kind_id: str) -> bool:
    return kind_id.endswith("-unknown")


def _best(found: list[_Found]) -> tuple[int, bool, int]:
    return max((one.rank for one in found), default=(0, False, 0))


def _places(
    tokens: tuple[str, ...], start: int, phrase: tuple[str, ...]
) -> tuple[int, ...]:
    """Where the words of a name stand in order, few other words between."""
    places = [start]
    for word in phrase[1:]:
        after = places[-1] + 1
        reach = tokens[after : after + _GAP + 1]
        if word not in reach:
            return ()
        places.append(after + reach.index(word))
    return tuple(places)


@cache
def _alike(token: str) -> str:
    """Give the known word a single slip away, else the token itself.

    Several words are near only when they name the same thing, as in two
    languages; else the token stays unknown.
    """
    known = _vocabulary()
    short = len(token) < _LIKE_FROM or not token.isalpha()
    if short or token in known or token in HARMLESS:
        return token
    near = [word for word in known if _one_slip(token, word)]
    if not near or not frozenset.intersection(*(known[word] for word in near)):
        return token
    return max(near, key=lambda word: (len(known[word]), word))


def _one_slip(first: str, second: str) -> bool:
    """Tell whether one letter was changed, left out, added or swapped."""
    if first == second or abs(len(first) - len(second)) > 1:
        return first == second
    short, long = sorted((first, second), key=len)
    at = next((i for i, sign in enumerate(short) if sign != long[i]), len(short))
    if len(short) < len(long):
        return short[at:] == long[at + 1 :]
    swapped = short[at : at + 2] == long[at : at + 2][::-1]
    return short[at + 1 :] == long[at + 1 :] or (
        swapped and short[at + 2 :] == long[at + 2 :]
    )


def split_items(text: str) -> tuple[Part, ...]:
    """Give the items of one cell; one part unless every part names an item.

    A name that spans the separator (``amoxicillin / clavulanate``) keeps
    the cell whole.
    """
    whole = Part(text=text, match=match_item(text), opened=is_opened(text))
    if states := _two_states(whole):
        return states
    pieces = _pieces(text)
    if len(pieces) < 2:
        return (whole,)
    parts: list[Part] = []
    for piece in pieces:
        state = _STATE.match(piece)
        if state and parts:
            opened = is_opened(piece)
            parts.append(Part(text=piece, match=parts[-1].match, opened=opened))
            continue
        match = match_item(piece)
        if not match.known:
            return (whole,)
        parts.append(Part(text=piece, match=match, opened=is_opened(piece)))
    return (whole,) if _is_one(whole, parts) else tuple(parts)


def _is_one(whole: Part, parts: list[Part]) -> bool:
    """Tell one item told in pieces: a spanning name, or a group and a member."""
    used = whole.match.used
    if whole.match.known and all(len(part.match.used) < len(used) for part in parts):
        return True
    if len({(part.match.used, part.opened) for part in parts}) == 1:
        return True
    groups = {part.match.kind.group for part in parts}
    vague = [part for part in parts if _is_vague(part.match.kind.id)]
    listed = re.search(r"[\n;+&/]|\band\b", whole.text)
    return len(groups) == 1 and 0 < len(vague) < len(parts) and not listed


def _two_states(whole: Part) -> tuple[Part, ...]:
    """``1 new 1 open``: two lines of the same item, or nothing."""
    found = _NEW_AND_OPEN.search(key(whole.text))
    if not found or not whole.match.known:
        return ()
    name = whole.match.kind.words[0] if whole.match.kind.words else whole.text
    counts = [(int(found[1]), found[2]), (int(found[3]), found[4])]
    return tuple(
        Part(
            text=f"{whole.text} [{count} {state}]",
            match=match_item(f"{name} {state}" if is_opened(state) else whole.text),
            opened=is_opened(state),
            count=count,
        )
        for count, state in counts
    )


def _pieces(text: str) -> list[str]:
    lined = _NUMBERED.sub("\n", clean(text))
    bare = re.sub(r"(\d)\s*([/,])\s*(\d)", r"\1\2\3", lined)  # 70/30 and 1,5 stay
    bare = re.sub(r"(\d)\s*/\s*(day|d|week|wk|h)\b", r"\1 a \2", bare)
    held = re.sub(r"(?<=\d)[/,](?=\d)", lambda sign: f"\x00{ord(sign[0])}\x00", bare)
    back = (
        re.sub(r"\x00(\d+)\x00", lambda code: chr(int(code[1])), piece)
        for piece in _SPLIT.split(held)
    )
    return [piece.strip(" .:-") for piece in back if key(piece)]


def is_opened(text: str) -> bool:
    """Tell whether a text says that the pack is in use."""
    plain = key(text)
    return bool(
        re.search(
            r"\b(open|opened|in use|started|abierto|abierta|en uso|entame)\b", plain
        )
        and not re.search(r"\b(not|never|un|no) (open|opened|in use|started)\b", plain)
    )
