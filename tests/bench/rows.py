"""A model in whole numbers that any solver can be handed.

Watt-hours are counted in thousandths, litres in millionths, so that every
solver sees the same coefficients, rounded to the cautious side.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field

Terms = list[tuple[int, int]]
"""Coefficient and variable number."""


@dataclass(frozen=True, slots=True)
class Row:
    """``low <= sum of terms <= top``; ``scale`` is for solvers in floats."""

    terms: Terms
    low: int | None
    top: int | None
    scale: float


@dataclass(slots=True)
class Rows:
    """Variables with bounds, and rows over them."""

    lows: list[int] = field(default_factory=list)
    tops: list[int] = field(default_factory=list)
    wholes: list[bool] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)

    def var(self, low: int, top: int, *, whole: bool = True) -> int:
        """Add a variable; one that is not ``whole`` may be a fraction."""
        self.lows.append(low)
        self.tops.append(top)
        self.wholes.append(whole)
        return len(self.lows) - 1

    def binary(self) -> int:
        """Add a 0/1 variable."""
        return self.var(0, 1)

    def add(
        self,
        terms: Iterable[tuple[int, int]],
        *,
        low: int | None = None,
        top: int | None = None,
        scale: float = 1.0,
    ) -> None:
        """Add a row."""
        self.rows.append(Row(list(terms), low, top, scale))

    def value(self, terms: Terms, values: list[int]) -> int:
        """Value of an expression."""
        return sum(c * values[v] for c, v in terms)
