"""A model in whole numbers that any solver can be handed.

Watt-hours are counted in thousandths, litres in millionths, so that every
solver sees the same coefficients, rounded to the cautious side.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field

ROUNDING = 1e-3
"""Units of a row by which solvers in floats may be off."""

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

    def holds(self, values: list[int]) -> bool:
        """True when every bound and row holds, but for the rounding of floats.

        A solver that is stopped at its limit may hand back values that are no
        solution.
        """
        for low, value, top in zip(self.lows, values, self.tops, strict=True):
            if not low - 1 <= value <= top + 1:
                return False
        for row in self.rows:
            value, slack = self.value(row.terms, values), ROUNDING * row.scale
            if row.scale > 1:
                slack += len(row.terms)
            if row.low is not None and value < row.low - slack:
                return False
            if row.top is not None and value > row.top + slack:
                return False
        return True
