"""How many packs: from the quantity cell, else from the item's own text."""

import math
import re
from dataclasses import dataclass

from planner.catalogue import ItemKind
from planner.intake.item_details import without_amounts
from planner.intake.item_words import BOX_WORDS, INNER_WORDS, PIECE_WORDS
from planner.intake.units import factor
from planner.intake.words import clean, key
from planner.scenario import StockClass

_BOX = "|".join(BOX_WORDS)
_PIECE = "|".join(PIECE_WORDS)
_SINGLE = (
    "pens?|syringes?|syr|(?:auto)?injectors?|autoinj|vials?|cartridges?|amp(?:oule)?s?"
)
_BOXES_OF = re.compile(
    rf"\b(\d{{1,3}})\s*(?:{_BOX}|pack)\s*(?:of|x|de|a)\s*(\d{{1,3}})\b"
)
_BOXES_AND = re.compile(
    rf"\b(\d{{1,3}})\s*(?:{_BOX})\s*(?:\+|&|and|plus)\s*(\d{{1,3}})\s*(?:{_PIECE})\b"
)
_BOXES = re.compile(rf"\b(\d{{1,3}})\s*({_BOX})\b")
_BOX_HALF = re.compile(rf"\b(?:half (?:a |of a )?|1/2 (?:a )?)(?:{_BOX}|pack)\b")
_PIECE_HALF = re.compile(rf"\b(?:half (?:a |of a )?|1/2 (?:a )?)(?:{_PIECE})\b")
_FOUR_PACK = re.compile(r"\b(\d{1,3})[ -]?pack\b")
_RANGE = re.compile(
    rf"\b(\d{{1,2}})\s*(?:-|to|or|/)\s*(\d{{1,2}})\s*(?:{_PIECE}|{_BOX})\b"
)
_PIECES = re.compile(rf"\b(\d{{1,3}})\s*({_PIECE})\b")
_PIECES_AFTER = re.compile(rf"\b({_PIECE})\s*:?\s*(\d{{1,3}})(?=$|\s*[(,;+])")
_BOX_OF = re.compile(rf"\b(?:{_BOX}|pack)\s*(?:of|de|a)\s*(\d{{1,3}})\b")
_TIMES_SIZE = re.compile(r"\b(\d{1,3})\s*x\s*\d+(?:\.\d+)?\s*(?:ml|cl|l|oz)\b")
_LEFT = re.compile(r"(?<![\d./])\b(\d{1,3})\s+(?:left|remaining)\b")
_TIMES = re.compile(r"(?:\bx\s*|#\s*|\()(\d{1,3})\)?(?![\w./%])")
_TIMES_AFTER = re.compile(r"^(\d{1,3})\s*x\b")
_EACH = re.compile(rf"\b(\d{{1,3}})\s*(?:{_PIECE}|{_BOX})?\s*(?:ea|each)\b")
_QTY = re.compile(r"\b(?:qty|quantity|count|total|no\.)\s*[:=.]?\s*(\d{1,3})\b")
_DOZEN = re.compile(r"\b(\d{1,2})\s*doz(?:en)?\b")
_DECIMAL = re.compile(rf"\b(\d{{1,2}})[.,](\d)\s*(?:({_BOX})|({_PIECE}))\b")
_PEOPLE = re.compile(
    r"\b(\d{1,2}|both|the) (?:kids|children|people|residents|twins|babies|persons)\b"
)
_LAST = re.compile(r"^\D*\s(\d{1,2})$")
_LEADING = re.compile(r"^(\d{1,2})\s+(?=[^\W\d]{3})")
_OF_LEFT = re.compile(
    rf"\b(\d{{1,3}})\s*(?:/|of|out of)\s*(\d{{1,3}})\s*({_PIECE})?\s*(?:left|remain\w*)\b"
)
_TAKEN = re.compile(
    r"\b(?:took|used|minus|less|gave away)\s+(\d{1,2})\b"
    r"|(?:^|[-,(])\s*(\d{1,2})\s+(?:used|taken|gone|given)\b"
)
_LIQUID = re.compile(
    r"(?:(\d+(?:\.\d+)?)\s*-\s*)?(\d+(?:\.\d+)?)\s*(fl\s*oz|oz|onzas?|ml|cl|l|lit(?:re|er)s?)\b"
)
_NUMBER_WORDS = {"one": "1", "two": "2", "three": "3", "four": "4", "five": "5",
                 "six": "6", "seven": "7", "eight": "8", "nine": "9", "ten": "10",
                 "twelve": "12", "dozen": "12", "un": "1", "una": "1", "une": "1",
                 "dos": "2", "deux": "2", "tres": "3", "trois": "3"}  # fmt: skip
_SPELT = (
    (re.compile(r"\bviall?s?\b"), "vials"),
    (re.compile(r"\bcart?rid?ges?\b"), "cartridges"),
)
_LOOSE = ("dose", "vial", "pen", "syringe", "ampoule", "cartridge")
_BARE_TOP = 12
_MANY = 60
MAX_PACKS = 500


@dataclass(frozen=True, slots=True)
class Count:
    """Packs stated in a text, and how the number came about.

    ``packs`` is ``None`` when no count was found or two counts differ.
    ``why`` is empty for a plain statement; else it says what was reckoned,
    and the count must be shown and asked about.
    """

    packs: int | None = None
    why: str = ""


def count_in(text: str, kind: ItemKind, used: tuple[str, ...] = ()) -> int | None:
    """Packs stated in a text; ``None`` when none or when two counts differ."""
    return read_count(text, kind, used).packs


def read_count(text: str, kind: ItemKind, used: tuple[str, ...] = ()) -> Count:
    """Packs stated in a text; strengths and doses are never counted.

    Boxes are turned into the pieces that the catalogue's volume is for, and
    inner pieces (ampoules of a box) into boxes.

    Parameters
    ----------
    text
        Item or quantity text.
    kind
        Kind of item, for the pieces of a carton.
    used
        Tokens of the name, whose numbers are no counts (``factor 8``).
    """
    sized = _TIMES_SIZE.search(" ".join(clean(text).casefold().split()))
    if sized:
        return Count(int(sized[1]))
    plain = _without_name(without_amounts(text), used)
    plain = _DOZEN.sub(lambda match: str(int(match[1]) * 12), plain)
    for word, digit in _NUMBER_WORDS.items():
        plain = re.sub(rf"\b{word}\b", digit, plain)
    for pattern, word in _SPELT:
        plain = pattern.sub(word, plain)
    several = _PEOPLE.search(plain)
    each = _EACH.search(plain)
    if several and each:
        people = int(several[1]) if several[1].isdigit() else 2
        return Count(people * int(each[1]), f"{each[1]} each for {people}")
    if each:
        return Count(int(each[1]), "each of several")
    if part := _DECIMAL.search(plain):
        packs = float(f"{part[1]}.{part[2]}") * (kind.per_carton if part[3] else 1)
        return Count(math.ceil(packs), "a part of a pack takes a whole place")
    taken = _TAKEN.search(plain)
    bare = _TAKEN.sub(" ", plain) if taken else plain
    found = _left_of(bare, kind) or _boxes(bare, kind) or _singles(bare, kind)
    if kind.stock_class is StockClass.MEDICINE and (found.packs or 0) > _MANY:
        found = Count(found.packs, found.why or "an unusually large number")
    if not taken or found.packs is None:
        return found
    gone = int(taken[1] or taken[2])
    if gone >= found.packs:
        return Count(None)
    return Count(found.packs - gone, found.why)


def _left_of(plain: str, kind: ItemKind) -> Count | None:
    """``3/4 left``: three of a pack of four, or most of one bottle."""
    if match := _OF_LEFT.search(plain):
        number, whole = int(match[1]), int(match[2])
        if (
            match[3]
            or whole == kind.per_carton
            or re.search(rf"\b(?:{_SINGLE})\b", plain)
        ):
            return Count(number) if number <= whole else Count(None)
        if kind.per_carton == 1 and number < whole:
            return Count(1, f"{number}/{whole} of one pack")
        return Count(number, f"{number} of {whole} left")
    if match := _LEFT.search(plain):
        return Count(int(match[1]))
    return None


def _boxes(plain: str, kind: ItemKind) -> Count | None:
    usual = kind.per_carton
    if match := _BOXES_OF.search(plain):
        return Count(int(match[1]) * int(match[2]))
    if match := _BOXES_AND.search(plain):
        total = int(match[1]) * usual + int(match[2])
        return Count(total, _usual(usual))
    if match := _BOX_OF.search(plain):
        boxes = _BOXES.search(plain)
        return Count(int(match[1]) * (int(boxes[1]) if boxes else 1))
    if _BOX_HALF.search(plain):
        return (
            Count(math.ceil(usual / 2), f"half of {_usual(usual)}")
            if usual > 1
            else Count(1)
        )
    if match := _RANGE.search(plain):
        return Count(max(int(match[1]), int(match[2])), "the larger of two numbers")
    if match := _BOXES.search(plain):
        return _whole_boxes(int(match[1]), plain, kind)
    if match := _FOUR_PACK.search(plain):
        return Count(int(match[1]))
    return None


def _usual(per_carton: int) -> str:
    return f"the usual box holds {per_carton}"


def _whole_boxes(boxes: int, plain: str, kind: ItemKind) -> Count:
    """Boxes, perhaps with the pieces they hold; the pieces win when they fit."""
    usual = kind.per_carton
    inside = {
        _of_pieces(int(number), word, kind)
        for number, word in _PIECES.findall(plain)
        if word not in BOX_WORDS
    }
    if len(inside) == 1:
        pieces = inside.pop()
        if pieces == boxes * usual or boxes == 1:
            return Count(pieces)
        if pieces == usual:
            return Count(boxes * usual, f"{boxes} boxes of {pieces}")
        return Count(max(pieces, boxes * usual), "boxes and pieces do not agree")
    if usual == 1:
        loose = kind.pack.startswith(_LOOSE)
        return Count(boxes, "how many are in a box is not known" if loose else "")
    return Count(boxes * usual, _usual(usual))


def _singles(plain: str, kind: ItemKind) -> Count:
    pieces = {
        _of_pieces(int(number), word, kind)
        for number, word in (
            *_PIECES.findall(plain),
            *((n, w) for w, n in _PIECES_AFTER.findall(plain)),
        )
        if not (word.startswith("dose") and kind.pieces == 1 and not _is_dose(kind))
    }
    if pieces:
        return Count(pieces.pop()) if len(pieces) == 1 else Count(None)
    if _PIECE_HALF.search(plain):
        return Count(1)
    for pattern in (_QTY, _TIMES, _TIMES_AFTER):
        counts = {int(number) for number in pattern.findall(plain)}
        if counts:
            return Count(counts.pop()) if len(counts) == 1 else Count(None)
    for pattern in (_LEADING, _LAST):
        match = pattern.search(plain)
        if match:
            return _bare(int(match[1]), kind, leads=pattern is _LEADING)
    return Count(None)


def _is_dose(kind: ItemKind) -> bool:
    """Tell kinds counted in doses; three doses left of a pen are one pen."""
    return kind.pack.startswith("dose") or kind.group == "vaccine"


def _bare(number: int, kind: ItemKind, *, leads: bool) -> Count:
    """A number without any word of a pack; after insulin it may be a dose."""
    if kind.group == "insulin" and not leads:
        return Count(None)
    if number > _BARE_TOP:
        return Count(None)
    return Count(number, "" if leads else "a bare number")


def _without_name(plain: str, used: tuple[str, ...]) -> str:
    for token in used:
        if any(sign.isdigit() for sign in token):
            plain = re.sub(rf"\b{re.escape(token)}\b", " ", plain, count=1)
    return plain.strip()


def _of_pieces(count: int, word: str, kind: ItemKind) -> int:
    inner = word in INNER_WORDS and kind.pieces > 1
    return math.ceil(count / kind.pieces) if inner else count


def liquid_l(text: str) -> float | None:
    """Largest liquid volume named in a text, in litres.

    >>> round(liquid_l("22 bags (4-6 oz)"), 3)
    0.177
    """
    found = []
    for _, number, unit in _LIQUID.findall(clean(text).casefold()):
        scale = factor("volume", key(unit))
        if scale is not None and 0.005 <= float(number) * scale <= 5:
            found.append(float(number) * scale)
    return max(found, default=None)
