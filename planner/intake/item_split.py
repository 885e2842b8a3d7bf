"""Several items in one cell, and several states of one item, taken apart."""

import re
from dataclasses import dataclass, replace
from functools import lru_cache

from planner.intake.item_details import states_in
from planner.intake.items import Match, is_vague, match_item
from planner.intake.packs import Count, read_count
from planner.intake.site_words import SiteWords, current_words
from planner.intake.words import clean, key

_STRONG = r"\n|;|\+|&|/"
_SPLIT = re.compile(
    rf"\s*(?:({_STRONG})|(,|\band\b|\by\b|\bet\b|\bund\b|\be\b(?=\s\w{{4}})))\s*", re.I
)
_NUMBERED = re.compile(r"(?:^|\s)\(?\d{1,2}[.)]\s+")
_NAMED_STATE = (
    r"new|unopened|sealed|open|opened|in use|frozen|fresh|thawed|defrosted|"
    r"spare|unused|extra|closed|full|(?:in )?(?:the )?(?:fridge|freezer)"
)
_TWO_STATES = re.compile(
    rf"\b(\d{{1,3}}) (?:are |is )?({_NAMED_STATE}) (?:and )?(\d{{1,3}}) (?:are |is )?({_NAMED_STATE})\b"
)
_PACK = r"(?:pens?|vials?|bags?|bottles?|btls?|syringes?|cartridges?|packs?)"
_STATE = re.compile(
    rf"^(\d{{1,3}}|one|two|three)\s+(?:{_PACK}\s+)?(?:more\s+|are\s+|is\s+)?"
    rf"({_NAMED_STATE})\b",
    re.I,
)
_SOME = re.compile(
    r"\b(?:some|half|part|mostly)\b[^;+]*\b(?:fro?zen|thawed|fresh|freezer)\b"
    r"[^;+]*\b(?:some|not|rest|others?|half|fresh|thawed|fridge)\b"
)
_WITHIN = re.compile(
    r"(\S*)\s*\b(\d{1,2}|one|two|three) (?:of (?:them|these|which) )?(?:is |are |already )*"
    r"(?:open|opened|in use|started)\b"
)
_EACH = re.compile(
    r"\b(\d{1,3})\s*(?:pens?|vials?|bags?|bottles?|syringes?|box(?:es)?|packs?)?\s*"
    r"(?:ea|each)\b"
)
_WORDS = {"one": 1, "two": 2, "three": 3}
_OPEN_WORDS = frozenset({"open", "opened", "started", "use", "in"})
_HELD = "\x00"


@dataclass(frozen=True, slots=True)
class Part:
    """One item of a cell: its text, its match, and a count read with it.

    ``why`` says how ``count`` was reckoned, when it was; ``closed`` marks
    the packs left unopened when others of the same row are open; ``apart``
    a part whose state was told apart from the others'; ``mixed``
    marks packs in states that the text does not tell apart; ``left`` is a
    piece beside the item that was not understood.
    """

    text: str
    match: Match
    opened: bool = False
    count: int | None = None
    why: str = ""
    closed: bool = False
    apart: bool = False
    mixed: bool = False
    left: str = ""

    def stated(self) -> Count:
        """Packs stated for this part."""
        if self.count is not None:
            return Count(self.count, self.why)
        return read_count(self.text, self.match.kind, self.match.used)


def split_items(text: str, total: int | None = None) -> tuple[Part, ...]:
    """Give the items of one cell; ``total`` is the count of the quantity cell.

    Pieces between strong marks (line break ``;`` ``+`` ``&`` ``/``) that
    name nothing known become unknown items of their own; pieces between
    commas are told as not understood.  A name that spans a mark
    (``amoxicillin / clavulanate``) keeps the cell whole.
    """
    return _split(text, total, current_words())


@lru_cache(maxsize=4096)
def _split(text: str, total: int | None, _words: SiteWords) -> tuple[Part, ...]:
    """Split under the site's words in force; they are part of what is kept."""
    whole = Part(text=text, match=match_item(text), opened=is_opened(text))
    apart = (
        _two_states(whole) or _some_frozen(whole, total) or _one_within(whole, total)
    )
    if apart:
        return apart
    pieces = _pieces(text)
    if len(pieces) < 2:
        return (whole,)
    parts = _known_parts(pieces)
    named = [part for part in parts if part.match.known]
    if not named:
        return (whole,)
    if _is_one(whole, named):
        left = next(
            (part.text for part in parts if not part.match.known), named[0].left
        )
        return (replace(whole, left=left),)
    return _shared(text, parts)


def _known_parts(pieces: list[tuple[str, bool]]) -> list[Part]:
    """Pieces as parts; small talk between marks belongs to the part before."""
    parts: list[Part] = []
    for piece, strong in pieces:
        state = _STATE.match(piece)
        before = next((part for part in reversed(parts) if part.match.known), None)
        if state and before is not None:
            parts.append(_in_state(before, piece, state[2].casefold()))
            continue
        match = match_item(piece)
        if match.known or match.rivals:
            parts.append(Part(text=piece, match=match, opened=is_opened(piece)))
        elif not match.left:
            _join(parts, piece)
        elif strong or not parts:
            parts.append(Part(text=piece, match=match, opened=is_opened(piece)))
        else:
            parts[-1] = replace(parts[-1], left=piece)
    return parts


def _join(parts: list[Part], piece: str) -> None:
    """Put a piece without any word of its own back to the part before it."""
    if not parts:
        return
    text = f"{parts[-1].text}, {piece}"
    again = match_item(text)
    if again.known and not parts[-1].match.rivals:
        parts[-1] = replace(
            parts[-1],
            text=text,
            match=again,
            opened=parts[-1].opened or is_opened(piece),
        )


def _in_state(before: Part, piece: str, state: str) -> Part:
    """``+ 1 open``, ``+ 4 frozen``: the item before, in another state."""
    opened = is_opened(piece)
    match = before.match
    if states_in(piece) or state == "fresh":
        again = match_item(f"{_bare_name(before.match)} {state}")
        match = again if again.known else match
    return Part(text=f"{before.text} [{piece}]", match=match, opened=opened, apart=True,
                count=_number(piece.split()[0]))  # fmt: skip


def _number(text: str) -> int:
    return _WORDS.get(text.casefold()) or int(text)


def _bare_name(match: Match) -> str:
    return " ".join(
        word
        for word in match.used
        if word not in {"frozen", "thawed", "fresh", "slushy"}
    )


def _shared(text: str, parts: list[Part]) -> tuple[Part, ...]:
    """``1 ea`` at the end of a cell counts for every item of it."""
    each = _EACH.search(text.casefold())
    if each is None:
        return tuple(parts)
    return tuple(replace(part, count=int(each[1])) for part in parts)


def _is_one(whole: Part, parts: list[Part]) -> bool:
    """Tell one item told in pieces: a spanning name, or a group and a member."""
    used = whole.match.used
    spans = whole.match.known and all(
        len(part.match.used) < len(used) for part in parts
    )
    counts = sum(1 for part in parts if part.stated().packs is not None)
    if spans and counts < 2 and not re.search(r"[\n;+&]", whole.text):
        return True
    if len(parts) == 1:
        return not re.search(r"[\n;+&]|\s/\s", whole.text)
    if len({(part.match.used, part.opened, part.count) for part in parts}) == 1:
        return True
    if any(part.apart for part in parts) or counts > 1:
        return False
    groups = {part.match.kind.group for part in parts}
    vague = [part for part in parts if is_vague(part.match.kind.id)]
    listed = re.search(r"[\n;+&/]|\band\b", whole.text)
    return len(groups) == 1 and 0 < len(vague) < len(parts) and not listed


def _two_states(whole: Part) -> tuple[Part, ...]:
    """``1 new 1 open``, ``6 frozen 4 fresh``: two lines of the same item."""
    found = _TWO_STATES.search(key(whole.text))
    if not found or not whole.match.known:
        return ()
    kind = whole.match.kind
    name = kind.words[0] if kind.words else whole.text
    parts = []
    for count, state in ((int(found[1]), found[2]), (int(found[3]), found[4])):
        match = whole.match
        if is_opened(state):
            match = match_item(f"{name} {state}")
        elif states_in(state) or state in {"fresh", "defrosted"}:
            match = match_item(f"{_bare_name(whole.match)} {state}")
        parts.append(
            Part(
                text=f"{whole.text} [{count} {state}]",
                match=match if match.known else whole.match,
                opened=is_opened(state),
                count=count,
                apart=True,
            )
        )
    return tuple(parts)


def _some_frozen(whole: Part, total: int | None) -> tuple[Part, ...]:
    """``some frozen some not``: half and half until somebody has looked."""
    if not whole.match.known or not _SOME.search(whole.text.casefold()):
        return ()
    stated = whole.stated().packs or total or 2
    name = _bare_name(whole.match)
    frozen, rest = match_item(f"{name} frozen"), match_item(name)
    if not (frozen.known and rest.known) or frozen.kind.id == rest.kind.id:
        return (replace(whole, mixed=True),)
    half = max(1, stated // 2)
    return (
        Part(text=f"{whole.text} [frozen]", match=frozen, count=half, mixed=True),
        Part(text=f"{whole.text} [not frozen]", match=rest, mixed=True,
             count=max(1, stated - half)),
    )  # fmt: skip


def _one_within(whole: Part, stated: int | None) -> tuple[Part, ...]:
    """``vials (2) one opened``: one of the two, not one more."""
    plain = " ".join(clean(whole.text).casefold().split())
    found = _WITHIN.search(plain)
    if not found or not whole.match.known:
        return ()
    if re.search(r"(?:[+&/;]|\b(?:and|plus))$", plain[: found.start(2)].strip()):
        return ()
    opened = _number(found[2])
    rest = plain[: found.start(2)] + plain[found.end() :]
    total = read_count(rest, whole.match.kind, whole.match.used).packs or stated
    named = sum(1 for piece, _ in _pieces(rest) if match_item(piece).known)
    if total is None or total <= opened or named > 1:
        return ()
    return open_apart(replace(whole, text=rest), whole.text, opened, total)


def open_apart(part: Part, text: str, opened: int, total: int) -> tuple[Part, ...]:
    """Unopened packs and open ones of an item as two parts."""
    why = f"{opened} of the {total} open"
    name = " ".join(word for word in part.match.used if word not in _OPEN_WORDS)
    closed, open_match = match_item(name), match_item(f"{name} open")
    return (
        Part(text=f"{text} [{total - opened} unopened]", count=total - opened, why=why,
             closed=True, match=closed if closed.known else part.match),
        Part(text=f"{text} [{opened} open]", count=opened, opened=True, why=why,
             match=open_match if open_match.known else part.match),
    )  # fmt: skip


def _pieces(text: str) -> list[tuple[str, bool]]:
    """Pieces between marks, and whether the mark before was a strong one."""
    lined = _NUMBERED.sub("\n", clean(text))
    bare = re.sub(r"(\d)\s*([/,])\s*(\d)", r"\1\2\3", lined)  # 70/30 and 1,5 stay
    bare = re.sub(r"(\d)\s*/\s*(day|d|week|wk|h)\b", r"\1 a \2", bare)
    bare = re.sub(r"\b(w|c)/\s*", "with ", bare, flags=re.I)
    bare = re.sub(
        r"\([^()]*\)", lambda inside: re.sub(r"[/,;&+]", _hold, inside[0]), bare
    )
    held = re.sub(r"(?<=\d)[/,](?=\d)|(?<=\w)/(?=\d|[a-zA-Z]{1,3}\b)", _hold, bare)
    pieces: list[tuple[str, bool]] = []
    start, strong = 0, False
    for mark in _SPLIT.finditer(held):
        pieces.append((held[start : mark.start()], strong))
        start, strong = mark.end(), bool(mark[1]) or "\n" in mark[0]
    pieces.append((held[start:], strong))
    back = ((_unheld(piece).strip(" .:-"), how) for piece, how in pieces)
    return [(piece, how) for piece, how in back if key(piece)]


def _hold(sign: re.Match[str]) -> str:
    return f"{_HELD}{ord(sign[0])}{_HELD}"


def _unheld(piece: str) -> str:
    return re.sub(rf"{_HELD}(\d+){_HELD}", lambda code: chr(int(code[1])), piece)


def is_opened(text: str) -> bool:
    """Tell whether a text says that the pack is in use."""
    plain = key(text)
    return bool(
        re.search(
            r"\b(open|opened|in use|started|abiert[oa]s?|en uso|entamee?s?|ouverte?s?|"
            r"geoffnete?|abert[oa]s?|"
            r"day \d{1,3} of (?:a )?\d{1,3})\b",
            plain,
        )
        and not re.search(r"\b(not|never|un|no) (open|opened|in use|started)\b", plain)
    )
