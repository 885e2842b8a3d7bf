"""Cleaning of typed text, and the keys by which texts are compared."""

import re
import unicodedata
from functools import lru_cache

_SAME_SIGN = {
    "\u2018": "'", "\u2019": "'", "\u201b": "'", "\u2032": "'",
    "\u201c": '"', "\u201d": '"', "\u2033": '"',
    "\u2010": "-", "\u2011": "-", "\u2012": "-", "\u2013": "-", "\u2014": "-",
    "\u2212": "-", "\u00d7": "x", "\u2044": "/",
}  # fmt: skip
_ASCII_WORD = re.compile(r"[a-z0-9]+")
_SIGNS = str.maketrans(_SAME_SIGN)
_FOLDED = str.maketrans({"\u00f8": "o", "\u0142": "l", "\u0111": "d", "\u0131": "i"})

DITTO = frozenset(
    {'"', "''", "//", "\u3003", "ditto", "idem", "same", "same as above", "as above"}
    | {"do.", "- \" -", "-\"-", "igual", "lo mismo", "dito"}
)  # fmt: skip


@lru_cache(maxsize=16384)
def clean(text: str) -> str:
    """Typed text without invisible signs, with plain quotes, dashes and spaces.

    Line breaks stay, because several items may stand in one cell.
    """
    if text.isascii() and text.isprintable():
        return " ".join(text.split())
    plain = unicodedata.normalize("NFKC", text).translate(_SIGNS)
    kept = [
        sign
        for sign in plain
        if sign in "\n\t " or unicodedata.category(sign) not in {"Cc", "Cf", "Cs", "Co"}
    ]
    lines = (re.sub(r"\s+", " ", line).strip() for line in "".join(kept).split("\n"))
    return "\n".join(line for line in lines if line)


@lru_cache(maxsize=16384)
def key(text: str) -> str:
    """Case, accents, punctuation and spacing taken out, for comparing texts."""
    if text.isascii() and text.isprintable():
        return " ".join(_ASCII_WORD.findall(text.lower()))
    bare = unicodedata.normalize("NFKD", clean(text).casefold().translate(_FOLDED))
    kept = "".join(
        sign if sign.isalnum() else " "
        for sign in bare
        if unicodedata.category(sign) != "Mn"
    )
    return " ".join(kept.split())


def is_ditto(text: str) -> bool:
    """Tell marks that mean: the same as the cell above."""
    return clean(text).casefold() in DITTO
