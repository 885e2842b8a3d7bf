"""A pen that fills the pages of one sheet from top to bottom.

Nothing that is written ever leaves the page: lines wrap, what does not fit
goes to the next page, and a table repeats its headings there.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from planner.output.paper.page import (
    BODY_PT,
    FOOTER_PT,
    HEADER_PT,
    LEADING,
    MARGIN_PT,
    Box,
    Mark,
    PaperSize,
    Stroke,
    Words,
    drawable,
    width_pt,
    wrap,
)

TICK = "\x00tick"
"""A table cell that is a box to tick."""

_PAD = 4.0
_GAP = 6.0
_TITLE_PT = 18.0
_HEADING_PT = 14.0
_SHADE = 0.9
_TICK_PT = 12.0


@dataclass(frozen=True, slots=True)
class Column:
    """Heading of a table's column, its share of the width, and its type."""

    heading: str
    share: float
    bold: bool = False


@dataclass(frozen=True, slots=True)
class Type:
    """One paragraph of a card to cut out."""

    text: str
    size: float = BODY_PT
    bold: bool = False


class Pen:
    """Writes one sheet; ``pages`` are its marks, page by page."""

    def __init__(self, size: PaperSize, title: str, continued: str) -> None:
        self.size = size
        self.pages: list[list[Mark]] = []
        self._title = drawable(title)
        self._continued = drawable(continued)
        self._y = 0.0
        self.new_page()

    @property
    def title(self) -> str:
        """Title of the sheet."""
        return self._title

    @property
    def room_pt(self) -> float:
        """Height left on this page."""
        return self._y - MARGIN_PT - FOOTER_PT

    def new_page(self) -> None:
        """Begin a page with the title of the sheet."""
        self.pages.append([])
        self._y = self.size.height_pt - MARGIN_PT
        title = f"{self._title} {self._continued}" if self.pages[1:] else self._title
        for line in wrap(title, self.size.inner_pt, _TITLE_PT, bold=True):
            self._line(line, MARGIN_PT, _TITLE_PT, bold=True)
        self._y -= 4
        right = self.size.width_pt - MARGIN_PT
        self._put(Stroke(MARGIN_PT, self._y, right, self._y, 1.5))
        self._y -= _GAP + 2

    def need(self, height_pt: float) -> None:
        """Go to the next page unless so much height is left on this one."""
        if self.room_pt < height_pt:
            self.new_page()

    def gap(self, height_pt: float = _GAP) -> None:
        """Leave some height empty."""
        self._y -= height_pt

    def text(
        self,
        text: str,
        size: float = BODY_PT,
        *,
        bold: bool = False,
        indent_pt: float = 0,
    ) -> None:
        """Write a paragraph."""
        room = self.size.inner_pt - indent_pt
        for line in wrap(drawable(text), room, size, bold=bold):
            self.need(size * LEADING)
            self._line(line, MARGIN_PT + indent_pt, size, bold=bold)
        self._y -= _GAP / 2

    def heading(self, text: str, keep_pt: float = 60) -> None:
        """Write a heading that stays with what follows it."""
        self.need(keep_pt)
        self._y -= _GAP
        self.text(text, _HEADING_PT, bold=True)

    def points(self, lines: Sequence[str], *, numbered: bool = False) -> None:
        """List lines with dots, or with numbers when their order matters."""
        for number, text in enumerate(lines, start=1):
            shown = wrap(drawable(text), self.size.inner_pt - 20)
            self.need(len(shown) * BODY_PT * LEADING)
            sign = f"{number}." if numbered else "\u2022"
            self._put(
                Words(MARGIN_PT + 2, self._y - BODY_PT, sign, BODY_PT, bold=numbered)
            )
            for line in shown:
                self._line(line, MARGIN_PT + 20, BODY_PT)
            self._y -= 3

    def height_of(self, lines: Sequence[str]) -> float:
        """Height that :meth:`points` takes for these lines."""
        room = self.size.inner_pt - 20
        return sum(
            len(wrap(drawable(one), room)) * BODY_PT * LEADING + 3 for one in lines
        )

    def notice(self, text: str, size: float = BODY_PT + 2) -> None:
        """Write bold words in a thick box: what must not be missed."""
        shown = wrap(drawable(text), self.size.inner_pt - 20, size, bold=True)
        height = len(shown) * size * LEADING + 12
        self.need(height + _GAP)
        self._put(Box(MARGIN_PT, self._y - height, self.size.inner_pt, height, 2.2))
        self._y -= 5
        for line in shown:
            self._line(line, MARGIN_PT + 10, size, bold=True)
        self._y -= 7 + _GAP

    def fields(self, labels: Sequence[str]) -> None:
        """Write labels, each followed by a line to write on."""
        for label in labels:
            self.need(26)
            self._y -= 8
            self._line(drawable(label), MARGIN_PT, BODY_PT)
            lines = wrap(drawable(label), self.size.inner_pt)
            begin = MARGIN_PT + 8 + width_pt(lines[-1])
            right = self.size.width_pt - MARGIN_PT
            self._put(Stroke(min(begin, right - 60), self._y, right, self._y))
        self._y -= _GAP

    def table(
        self,
        columns: Sequence[Column],
        rows: Sequence[Sequence[str]],
        *,
        row_pt: float = 0,
    ) -> None:
        """Write a ruled table; ``row_pt`` is the least height of a row."""
        total = sum(one.share for one in columns)
        widths = [one.share / total * self.size.inner_pt for one in columns]
        heads = [
            wrap(drawable(one.heading), width - 2 * _PAD, bold=True)
            for one, width in zip(columns, widths, strict=True)
        ]
        cells = [
            [
                [text] if text == TICK
                else wrap(drawable(text), width - 2 * _PAD, bold=column.bold)
                for text, column, width in zip(row, columns, widths, strict=True)
            ]
            for row in rows
        ]  # fmt: skip
        bold = [one.bold for one in columns]
        first = _height(cells[0], row_pt) if cells else 0
        self.need(_height(heads, 0) + first)
        self._row(heads, widths, [True] * len(columns), 0, shade=_SHADE)
        for row_cells in cells:
            if self.room_pt < _height(row_cells, row_pt):
                self.new_page()
                self._row(heads, widths, [True] * len(columns), 0, shade=_SHADE)
            self._row(row_cells, widths, bold, row_pt)
        self._y -= _GAP

    def cards(
        self, cards: Sequence[Sequence[Type]], *, columns: int, least_pt: float
    ) -> None:
        """Write cards to cut out, side by side, with lines for the scissors."""
        width = self.size.inner_pt / columns
        for first in range(0, len(cards), columns):
            beside = [
                [(wrap(drawable(one.text), width - 20, one.size, bold=one.bold), one) for one in card]
                for card in cards[first : first + columns]
            ]  # fmt: skip
            height = max(
                least_pt,
                *(
                    sum(len(lines) * one.size * LEADING + 2 for lines, one in card) + 14
                    for card in beside
                ),
            )
            self.need(height)
            top = self._y
            for at, card in enumerate(beside):
                x = MARGIN_PT + at * width
                self._scissors(x, top, width, height)
                self._y = top - 6
                for lines, one in card:
                    for line in lines:
                        self._line(line, x + 10, one.size, bold=one.bold)
                    self._y -= 2
            self._y = top - height

    def _scissors(self, x: float, top: float, width: float, height: float) -> None:
        low, right = top - height, x + width
        for x1, y1, x2, y2 in (
            (x, top, right, top), (x, low, right, low), (x, top, x, low), (right, top, right, low)
        ):  # fmt: skip
            self._put(Stroke(x1, y1, x2, y2, 0.7, dashed=True))

    def _row(
        self,
        cells: Sequence[Sequence[str]],
        widths: Sequence[float],
        bold: Sequence[bool],
        least_pt: float,
        shade: float = 1.0,
    ) -> None:
        height = _height(cells, least_pt)
        top, x = self._y, MARGIN_PT
        for lines, width, heavy in zip(cells, widths, bold, strict=True):
            self._put(Box(x, top - height, width, height, 0.7, shade))
            self._y = top - _PAD / 2
            if list(lines) == [TICK]:
                middle = top - height / 2 - _TICK_PT / 2
                self._put(
                    Box(x + width / 2 - _TICK_PT / 2, middle, _TICK_PT, _TICK_PT, 1.2)
                )
            else:
                for line in lines:
                    self._line(line, x + _PAD, BODY_PT, bold=heavy)
            x += width
        self._y = top - height

    def _line(self, text: str, x: float, size: float, *, bold: bool = False) -> None:
        if text:
            self._put(Words(x, self._y - size, text, size, bold))
        self._y -= size * LEADING

    def _put(self, mark: Mark) -> None:
        self.pages[-1].append(mark)


def usable_pt(size: PaperSize) -> float:
    """Height of a page between its header and its footer."""
    return size.height_pt - 2 * MARGIN_PT - HEADER_PT - FOOTER_PT


def _height(cells: Sequence[Sequence[str]], least_pt: float) -> float:
    lines = max((len(one) for one in cells), default=1)
    return max(least_pt, lines * BODY_PT * LEADING + 2 * _PAD)
