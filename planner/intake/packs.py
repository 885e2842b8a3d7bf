"""How many packs: from the quantity cell, else from the item's own text."""

import math
import re

from planner.catalogue import ItemKind
from planner.intake.item_words import BOX_WORDS, INNER_WORDS, PIECE_WORDS
from planner.intake.units import factor
from planner.intake.words import clean, key

_BOX = "|".join(BOX_WORDS)
_PIECE = "|".join(PIECE_WORDS)
_BOXES_OF = re.compile(
    rf"\b(\d{{1,3}})\s*(?:{_BOX}|pack)\s*(?:of|x|de|a)\s*(\d{{1,3}})\b"
)
_BOXES = re.compile(rf"\b(\d{{1,3}})\s*(?:{_BOX})\b")
_HALF = re.compile(rf"\bhalf (?:a )?(?:{_BOX}|pack)\b")
_FOUR_PACK = re.compile(r"\b(\d{1,3})[ -]?pack\b")
_PIECES = re.compile(rf"\b(\d{{1,3}})\s*({_PIECE})\b")
_PIECES_AFTER = re.compile(rf"\b({_PIECE})\s*:?\s*(\d{{1,3}})(?=$|\s*[(,;+])")
_BOX_OF = re.compile(rf"\b(?:{_BOX}|pack)\s*(?:of|de|a)\s*(\d{{1,3}})\b")
_TIMES_SIZE = re.compile(r"\b(\d{1,3})\s*x\s*\d+(?:\.\d+)?\s*(?:ml|cl|l|oz)\b")
_LEFT = re.compile(r"\b(\d{1,3})\s+left\b")
_TIMES = re.compile(r"(?:\bx\s*|#\s*|\()(\d{1,3})\)?(?![\w./%])")
_TIMES_AFTER = re.compile(r"^(\d{1,3})\s*x\b")
_LAST = re.compile(r"^\D*\s(\d{1,2})$")
_LEADING = re.compile(r"^(\d{1,2})\s+(?=[^\W\d]{3})")
_OF_LEFT = re.compile(r"\b(\d{1,3})\s*/\s*\d{1,3}\s+left\b")
_LIQUID = re.compile(
    r"(?:(\d+(?:\.\d+)?)\s*-\s*)?(\d+(?:\.\d+)?)\s*(fl\s*oz|oz|onzas?|ml|cl|l|lit(?:re|er)s?)\b"
)
_NUMBER_WORDS = {"one": "1", "two": "2", "three": "3", "four": "4", "five": "5",
                 "six": "6", "eight": "8", "ten": "10", "twelve": "12"}  # fmt: skip


def count_in(text: str, kind: ItemKind, used: tuple[str, ...] = ()) -> int | None:
    """Packs stated in a text; ``None`` when none or when two counts differ.

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
    plain = _without_name(clean(text).casefold().replace("\n", " "), used)
    for word, digit in _NUMBER_WORDS.items():
        plain = re.sub(rf"\b{word}\b", digit, plain)
    if match := _BOXES_OF.search(plain):
        return int(match[1]) * int(match[2])
    for pattern in (_OF_LEFT, _LEFT, _TIMES_SIZE, _BOX_OF):
        if match := pattern.search(plain):
            return int(match[1])
    return _boxes(plain, kind) or _singles(plain, kind)


def _boxes(plain: str, kind: ItemKind) -> int | None:
    if match := _BOXES.search(plain):
        return int(match[1]) * kind.per_carton
    if _HALF.search(plain):
        return math.ceil(kind.per_carton / 2)
    match = _FOUR_PACK.search(plain)
    return int(match[1]) if match else None


def _singles(plain: str, kind: ItemKind) -> int | None:
    pieces = {
        _of_pieces(int(number), word, kind)
        for number, word in (
            *_PIECES.findall(plain),
            *((n, w) for w, n in _PIECES_AFTER.findall(plain)),
        )
    }
    if pieces:
        return pieces.pop() if len(pieces) == 1 else None
    for pattern in (_TIMES, _TIMES_AFTER, _LEADING, _LAST):
        counts = {int(number) for number in pattern.findall(plain)}
        if counts:
            return counts.pop() if len(counts) == 1 else None
    return None


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
