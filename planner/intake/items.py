"""Match the text of an item to a kind of the catalogue.

The longest name found in the text wins.  Nothing is guessed silently: a
likeness, a tie and words left over are reported with the match.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

from planner.catalogue import ItemKind, item_kind, item_kinds
from planner.intake.item_details import details_of, said_state
from planner.intake.item_words import HARMLESS, TRANSLATED
from planner.intake.site_words import SiteWords, current_words
from planner.intake.words import clean, key
from planner.scenario import Gate

UNKNOWN_KIND = "unknown-cold"
_GAP = 2
_LIKE_FROM = 6
_GENERIC = frozenset(
    {"compounded-liquid-nonpreserved", "unknown-cold", "unknown-frozen"}
)
_HUMAN = (
    ("slushy", "human-milk-slushy"),
    ("thawed", "human-milk-thawed"),
    ("frozen", "human-milk-frozen"),
    ("fresh", "human-milk-fresh"),
)
_DONOR = (("thawed", "donor-milk-thawed"), ("frozen", "donor-milk-frozen"))
_MILK = MappingProxyType(
    dict.fromkeys(("human-milk-unknown", *(kind_id for _, kind_id in _HUMAN)), _HUMAN)
    | dict.fromkeys((kind_id for _, kind_id in _DONOR), _DONOR)
)
PET_INSULIN = "insulin-pet"


@dataclass(frozen=True, slots=True)
class Match:
    """A kind, and how it was found.

    ``guessed`` marks a likeness; ``rivals`` are other kinds that fit as
    well; ``left`` are words that were not understood; ``used`` the tokens
    of the name; ``others`` are kinds that the text names besides.  ``own``
    marks a name from the site's own word list.
    """

    kind: ItemKind
    known: bool = True
    guessed: bool = False
    rivals: tuple[str, ...] = ()
    left: tuple[str, ...] = ()
    used: tuple[str, ...] = ()
    others: tuple[str, ...] = ()
    own: bool = False


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
    plain = key(said_state(" ".join(clean(text).casefold().split())))
    plain = re.sub(r"\b(\d+)([a-z]{3,})\b", r"\1 \2", plain)
    for foreign, ours in TRANSLATED:
        plain = re.sub(rf"\b{foreign}\b", ours, plain)
    return tuple(_singular(word) for word in plain.split())


def _singular(word: str) -> str:
    if len(word) > 3 and word.endswith("s") and not word.endswith("ss"):
        return word[:-1]
    return word


@lru_cache(maxsize=4)
def _phrases(site: SiteWords) -> Mapping[str, tuple[tuple[tuple[str, ...], str], ...]]:
    """Names as tokens with their kind, by first token."""
    table: dict[str, dict[tuple[tuple[str, ...], str], None]] = {}
    named = [
        (word, kind.id) for kind in item_kinds() for word in (kind.name, *kind.words)
    ]
    for word, kind_id in (*named, *site.pairs):
        phrase = tokens_of(word)
        if phrase:
            table.setdefault(phrase[0], {})[(phrase, kind_id)] = None
    return MappingProxyType({first: tuple(rows) for first, rows in table.items()})


@lru_cache(maxsize=4)
def _own_phrases(site: SiteWords) -> frozenset[tuple[tuple[str, ...], str]]:
    return frozenset((tokens_of(word), kind_id) for word, kind_id in site.pairs)


@lru_cache(maxsize=4)
def _vocabulary(site: SiteWords) -> Mapping[str, frozenset[str]]:
    """Long words of all names, with the kinds they stand in."""
    words: dict[str, set[str]] = {}
    for rows in _phrases(site).values():
        for phrase, kind_id in rows:
            for token in phrase:
                if len(token) >= _LIKE_FROM and token.isalpha():
                    words.setdefault(token, set()).add(kind_id)
    return MappingProxyType({word: frozenset(words[word]) for word in sorted(words)})


def match_item(text: str) -> Match:
    """Give the kind that a text names; the unknown kind when there is none.

    >>> match_item("2 insulin glargine pens").kind.group
    'insulin'
    """
    return _matched(text, current_words())


@lru_cache(maxsize=4096)
def _matched(text: str, site: SiteWords) -> Match:
    tokens = tokens_of(text)
    found = _find(tokens, site)
    likely = tuple(_alike(token, site) for token in tokens)
    guessed = likely != tokens and _best(_find(likely, site)) > _best(found)
    if guessed:
        found, tokens = _find(likely, site), likely
    if not found:
        left = _left_over(tokens, frozenset())
        return Match(kind=item_kind(UNKNOWN_KIND), known=False, left=left)
    found = [one for one in found if len(one.places) == len(tokens)] or _named(found)
    best = _best(found)
    ties = _cold_first(sorted({one.kind_id for one in found if one.rank == best}))
    if len(ties) > 1:
        names = tuple(item_kind(kind_id).name for kind_id in ties)
        return Match(kind=item_kind(UNKNOWN_KIND), known=False, rivals=names)
    winner = next(one for one in found if (one.rank, one.kind_id) == (best, ties[0]))
    winner = _cold_one(winner, found)
    used = tuple(tokens[at] for at in winner.places)
    own = (used, winner.kind_id) in _own_phrases(site)
    kind = item_kind(winner.kind_id)
    if kind.group == "insulin" and details_of(text).pet == "yes":
        kind = item_kind(PET_INSULIN)
    kind = _in_form(_milk_in_state(kind, frozenset(tokens)), frozenset(tokens))
    left = _left_over(tokens, frozenset(at for one in found for at in one.places))
    others = _besides(winner, found)
    return Match(
        kind=kind, guessed=guessed, left=left, used=used, others=others, own=own
    )


def _left_over(tokens: tuple[str, ...], taken: frozenset[int]) -> tuple[str, ...]:
    """Words outside the names that may name something else."""
    return tuple(
        token
        for at, token in enumerate(tokens)
        if at not in taken
        and len(token) > 3
        and token.isalpha()
        and token not in HARMLESS
    )


def _cold_one(winner: _Found, found: list[_Found]) -> _Found:
    """Of two products in one text the one that must be cold is planned."""
    if item_kind(winner.kind_id).gate is Gate.POOL:
        return winner
    cold = [
        one
        for one in found
        if not set(one.places) & set(winner.places)
        and item_kind(one.kind_id).gate is Gate.POOL
        and not is_vague(one.kind_id)
    ]
    return max(cold, key=lambda one: one.rank, default=winner)


def _besides(winner: _Found, found: list[_Found]) -> tuple[str, ...]:
    """Names of products at other places of the text than the winner's."""
    milk = _MILK.get(winner.kind_id)
    apart = {
        one.kind_id
        for one in found
        if not set(one.places) & set(winner.places)
        and one.kind_id != winner.kind_id
        and (not is_vague(one.kind_id) or _told_apart(one.kind_id, winner.kind_id))
        and (milk is None or _MILK.get(one.kind_id) is not milk)
        and item_kind(one.kind_id).gate is not Gate.FOOD
    }
    return tuple(item_kind(kind_id).name for kind_id in sorted(apart))


def _told_apart(first: str, second: str) -> bool:
    """Long acting beside short acting: two groups, both named."""
    groups = {f"{item_kind(one).group}-unknown" for one in (first, second)}
    return is_vague(first) and is_vague(second) and not groups & {first, second}


def _in_form(kind: ItemKind, words: frozenset[str]) -> ItemKind:
    """A pen or a vial, where the catalogue has both and the text says which."""
    if kind.id in ("rtf-opened", "enteral-opened") and words & {"sealed", "unopened"}:
        return item_kind(kind.id.replace("-opened", "-sealed"))
    for said, other in (("vial", "pen"), ("pen", "vial")):
        twin = kind.id.removesuffix(f"-{other}") + f"-{said}"
        if kind.id.endswith(f"-{other}") and said in words and other not in words:
            return next((one for one in item_kinds() if one.id == twin), kind)
    return kind


def _milk_in_state(kind: ItemKind, words: frozenset[str]) -> ItemKind:
    """Milk in the state that is said; thawed wins over frozen (R12)."""
    states = _MILK.get(kind.id, ())
    if states is _HUMAN and "donor" in words:
        kind, states = item_kind("donor-milk-thawed"), _DONOR
    if (
        "frozen" in words
        and words & {"fresh", "fridge"}
        and not words & {"thawed", "slushy"}
    ):
        return item_kind("human-milk-unknown") if states is _HUMAN else kind
    for word, kind_id in states:
        if word in words:
            return item_kind(kind_id)
    return kind


def _find(tokens: tuple[str, ...], site: SiteWords) -> list[_Found]:
    found = []
    for start, token in enumerate(tokens):
        for phrase, kind_id in _phrases(site).get(token, ()):
            places = _places(tokens, start, phrase)
            if places:
                letters = sum(len(word) for word in phrase)
                found.append(_Found(kind_id, places, letters))
    return [
        one for one in found if one.joined or item_kind(one.kind_id).gate is Gate.POOL
    ]


def _named(found: list[_Found]) -> list[_Found]:
    """Leave out group names (``insulin pen``) where a cold member is named too.

    Words that only say how a thing is made or kept give way to any name:
    compounded parenteral nutrition is no compounded liquid.
    """
    specific = [one for one in found if one.kind_id not in _GENERIC]
    found = specific or found
    named = {
        item_kind(one.kind_id).group
        for one in found
        if not is_vague(one.kind_id) and item_kind(one.kind_id).gate is Gate.POOL
    }
    return [
        one
        for one in found
        if not (is_vague(one.kind_id) and item_kind(one.kind_id).group in named)
    ]


def _cold_first(ties: list[str]) -> list[str]:
    """Settle a tie inside one group by its one kind that stays cold.

    ``opened insulin lispro`` is lispro; that it is open is read elsewhere.
    """
    cold = [kind_id for kind_id in ties if item_kind(kind_id).gate is Gate.POOL]
    if all(_MILK.get(kind_id) is _HUMAN for kind_id in ties):
        return ties[:1]  # its state is read apart
    one_group = len({item_kind(kind_id).group for kind_id in ties}) == 1
    return cold if one_group and len(cold) == 1 else ties


def is_vague(kind_id: str) -> bool:
    """Tell kinds that name a group, not a product."""
    return kind_id.endswith("-unknown") or kind_id in _GENERIC


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


@lru_cache(maxsize=16384)
def _alike(token: str, site: SiteWords) -> str:
    """Give the known word a single slip away, else the token itself.

    Several words are near only when they name the same thing, as in two
    languages; else the token stays unknown.
    """
    known = _vocabulary(site)
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
