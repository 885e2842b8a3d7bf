"""A drawing in SVG, put together from numbers and escaped words only.

It is shown as an image, in which a browser runs no script; words are
escaped all the same, and control letters are taken out.
"""

import re
from collections.abc import Sequence
from xml.sax.saxutils import escape

from planner.output.words import clean, cut

INK, GREY, PALE = "#111111", "#555555", "#e4e4e0"
FONT_PX = 14
LINE_PX = 19
_NOT_XML = re.compile(r"[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


class Drawing:
    """Shapes on a white sheet, in pixels from the upper left corner."""

    def __init__(self, width: float) -> None:
        self.width = width
        self.bottom = 0.0
        self._parts: list[str] = []
        self._patterns: list[str] = []

    def box(
        self,
        x: float,
        y: float,
        wide: float,
        high: float,
        *,
        fill: str = "#ffffff",
        stroke: float = 1.5,
    ) -> None:
        """Draw a box; ``fill`` is a colour or the name of a pattern."""
        self._parts.append(
            f'<rect x="{x:.1f}" y="{y:.1f}" width="{wide:.1f}" height="{high:.1f}" '
            f'fill="{fill}" stroke="{INK}" stroke-width="{stroke:g}"/>'
        )
        self.bottom = max(self.bottom, y + high)

    def line(
        self,
        points: Sequence[tuple[float, float]],
        *,
        stroke: float = 1.5,
        dash: str = "",
        colour: str = INK,
    ) -> None:
        """Draw a line from point to point."""
        where = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
        dashes = f' stroke-dasharray="{dash}"' if dash else ""
        self._parts.append(
            f'<polyline points="{where}" fill="none" stroke="{colour}" '
            f'stroke-width="{stroke:g}"{dashes}/>'
        )
        self.bottom = max(self.bottom, *(y for _, y in points))

    def arrow(self, x: float, y: float, *, down: bool) -> None:
        """Draw the head of an arrow that ends here, downwards or to the right."""
        points = (
            [(x - 5, y - 8), (x + 5, y - 8), (x, y)]
            if down
            else [(x - 8, y - 5), (x - 8, y + 5), (x, y)]
        )
        where = " ".join(f"{a:.1f},{b:.1f}" for a, b in points)
        self._parts.append(f'<polygon points="{where}" fill="{INK}"/>')

    def dot(self, x: float, y: float, radius: float = 4.0) -> None:
        """Draw a dot."""
        self._parts.append(
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:g}" fill="{INK}"/>'
        )

    def text(
        self,
        x: float,
        y: float,
        words: str,
        *,
        columns: int = 40,
        bold: bool = False,
        size: int = FONT_PX,
        colour: str = INK,
    ) -> None:
        """Write one line of words, cut to a number of columns; y is its foot."""
        shown = escape(_NOT_XML.sub("", cut(clean(words), columns)))
        weight = ' font-weight="bold"' if bold else ""
        self._parts.append(
            f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size}" fill="{colour}"{weight}>'
            f"{shown}</text>"
        )
        self.bottom = max(self.bottom, y + 4)

    def pattern(self, name: str, body: str, step: int) -> str:
        """Add a pattern once, made here and never of data; give its fill."""
        made = (
            f'<pattern id="{name}" width="{step}" height="{step}" '
            f'patternUnits="userSpaceOnUse"><rect width="{step}" height="{step}" '
            f'fill="#ffffff"/>{body}</pattern>'
        )
        if made not in self._patterns:
            self._patterns.append(made)
        return f"url(#{name})"

    def done(self, margin: float = 6.0) -> str:
        """Give the drawing as SVG text."""
        high = self.bottom + margin
        patterns = "".join(self._patterns)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{self.width:.0f}" '
            f'height="{high:.0f}" viewBox="0 0 {self.width:.0f} {high:.0f}" '
            'font-family="sans-serif"><defs>'
            f'{patterns}</defs><rect width="100%" height="100%" fill="#ffffff"/>'
            f"{''.join(self._parts)}</svg>"
        )


def spread(wanted: Sequence[float], gap: float, lowest: float) -> tuple[float, ...]:
    """Places as near as may be to those wanted, in order, ``gap`` apart or more.

    >>> spread([10, 12, 40], 10, 0)
    (10, 20, 40)
    """
    found: list[float] = []
    for one in wanted:
        least = found[-1] + gap if found else lowest
        found.append(max(one, least))
    return tuple(found)
