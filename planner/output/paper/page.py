"""Sheets of paper, and the marks that are put on them.

All lengths are in points (1/72 inch); y counts upwards from the lower edge.
"""

import unicodedata
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from reportlab.pdfbase.pdfmetrics import stringWidth

BODY_PT = 12.0
"""Smallest type on any sheet; what is smaller is not read by a torch."""

LEADING = 1.22
MARGIN_PT = 36.0
HEADER_PT = 34.0
FOOTER_PT = 46.0
_PLAIN, _BOLD = "Helvetica", "Helvetica-Bold"
# The letters that the fonts every PDF reader carries can draw.
_LETTERS = "cp1252"
# A new line and a space that holds its words together are no letters.
TIE = "\u00a0"
"""A space at which no line breaks, unless it must."""

_KEPT = ("\n", TIE)


class PaperSize(StrEnum):
    """Paper the sheets are made for."""

    A4 = "a4"
    LETTER = "letter"

    @property
    def width_pt(self) -> float:
        """Width: 210 mm (ISO 216) or 8.5 in (ANSI Letter)."""
        return 210 / 25.4 * 72 if self is PaperSize.A4 else 8.5 * 72

    @property
    def height_pt(self) -> float:
        """Height: 297 mm (ISO 216) or 11 in (ANSI Letter)."""
        return 297 / 25.4 * 72 if self is PaperSize.A4 else 11.0 * 72

    @property
    def inner_pt(self) -> float:
        """Width between the margins."""
        return self.width_pt - 2 * MARGIN_PT


@dataclass(frozen=True, slots=True)
class Words:
    """One line of type, its left end at x on the base line y."""

    x: float
    y: float
    text: str
    size: float = BODY_PT
    bold: bool = False

    @property
    def font(self) -> str:
        """Name of the font."""
        return _BOLD if self.bold else _PLAIN


@dataclass(frozen=True, slots=True)
class Stroke:
    """A straight line; a dashed one is for scissors."""

    x1: float
    y1: float
    x2: float
    y2: float
    width: float = 0.7
    dashed: bool = False


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle; ``shade`` is its grey, 1 for paper white."""

    x: float
    y: float
    width: float
    height: float
    line: float = 0.7
    shade: float = 1.0


Mark = Words | Stroke | Box


@lru_cache(maxsize=20000)
def width_pt(text: str, size: float = BODY_PT, *, bold: bool = False) -> float:
    """Width of a line of type."""
    return float(stringWidth(text, _BOLD if bold else _PLAIN, size))


def drawable(text: str) -> str:
    """Text in letters that the fonts have.

    An accented letter they lack loses its accent; any other letter they lack
    becomes a question mark, so that its loss can be seen.
    """
    drawn = ""
    for char in unicodedata.normalize("NFC", text):
        if char in _KEPT:
            drawn += char
            continue
        if unicodedata.category(char) in {"Cf", "Mn"}:
            continue
        drawn += char if _has(char) else _nearest(char)
    return drawn


def _nearest(char: str) -> str:
    bare = "".join(
        one
        for one in unicodedata.normalize("NFKD", char)
        if not unicodedata.combining(one)
    )
    return bare if bare and all(_has(one) for one in bare) else "?"


def _has(char: str) -> bool:
    try:
        char.encode(_LETTERS)
    except UnicodeEncodeError:
        return False
    return char.isprintable()


def wrap(
    text: str, room_pt: float, size: float = BODY_PT, *, bold: bool = False
) -> list[str]:
    """Break text into lines that fit; a word too long for a line is cut up."""
    lines: list[str] = []
    for part in text.split("\n"):
        line = ""
        for word in _words(part, room_pt, size, bold=bold):
            longer = f"{line} {word}" if line else word
            if width_pt(longer, size, bold=bold) <= room_pt:
                line = longer
                continue
            if line:
                lines.append(line)
            *full, line = _cut_up(word, room_pt, size, bold=bold)
            lines += full
        lines.append(line)
    return lines


def _words(text: str, room_pt: float, size: float, *, bold: bool) -> list[str]:
    """Words of a line; those tied together come apart when they need to."""
    words: list[str] = []
    for word in text.split(" "):
        fits = width_pt(word, size, bold=bold) <= room_pt
        words += [word] if fits else word.split(TIE)
    return words


def _cut_up(word: str, room_pt: float, size: float, *, bold: bool) -> list[str]:
    pieces = [""]
    for char in word:
        if pieces[-1] and width_pt(pieces[-1] + char, size, bold=bold) > room_pt:
            pieces.append("")
        pieces[-1] += char
    return pieces
