"""Small linear programs solved for the price of each row.

The models that decide are written in PuLP (``solver.py``).  These are solved
many times for their dual values alone, which are read from HiGHS itself.
"""

from collections.abc import Iterable

import highspy
import numpy as np
from numpy.typing import NDArray

from planner.decide.highs import new_highs, quiet_highs


class LinearProgram:
    """Minimise the cost of columns at or above zero, rows at most their room.

    ``shares`` has the columns' values of the last solve.
    """

    def __init__(self) -> None:
        self._cost: list[float] = []
        self._room: list[float] = []
        self._starts: list[int] = [0]
        self._index: list[int] = []
        self._value: list[float] = []
        self.shares: NDArray[np.float64] = np.zeros(0)

    def column(self, cost: float = 0.0) -> int:
        """Add a column; returns its number."""
        self._cost.append(cost)
        return len(self._cost) - 1

    def row(self, terms: list[tuple[int, float]], room: float) -> int:
        """Add a row ``sum(value * column) <= room``; returns its number."""
        for column, value in terms:
            self._index.append(column)
            self._value.append(value)
        self._starts.append(len(self._index))
        self._room.append(room)
        return len(self._room) - 1

    def prices(self) -> tuple[float, NDArray[np.float64]] | None:
        """Least cost, and what each row's room is worth (all >= 0).

        ``None`` when the solver gave no answer.
        """
        rows, columns = len(self._room), len(self._cost)
        lp = highspy.HighsLp()
        lp.num_col_, lp.num_row_ = columns, rows
        lp.col_cost_ = np.array(self._cost)
        lp.col_lower_ = np.zeros(columns)
        lp.col_upper_ = np.full(columns, highspy.kHighsInf)
        lp.row_lower_ = np.full(rows, -highspy.kHighsInf)
        lp.row_upper_ = np.array(self._room)
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_ = np.array(self._starts, dtype=np.int32)
        lp.a_matrix_.index_ = np.array(self._index, dtype=np.int32)
        lp.a_matrix_.value_ = np.array(self._value)
        highs = quiet_highs()
        highs.setOptionValue("threads", 1)
        highs.passModel(lp)
        highs.run()
        if highs.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return None
        cost = float(highs.getInfo().objective_function_value)
        self.shares = np.array(highs.getSolution().col_value)
        duals = np.array(highs.getSolution().row_dual)
        return cost, np.maximum(0.0, -duals)


class GrowingProgram:
    """Minimise the cost of columns at or above zero; columns come as they are made.

    Every row is at most its room.  A solve begins where the last one ended.
    """

    def __init__(self, rooms: list[float]) -> None:
        self._highs = new_highs()
        self._highs.setOptionValue("threads", 1)
        rows, none = len(rooms), np.zeros(0)
        self._highs.addRows(
            rows,
            np.full(rows, -highspy.kHighsInf),
            np.array(rooms),
            0,
            np.zeros(rows, dtype=np.int32),
            np.zeros(0, dtype=np.int32),
            none,
        )
        self._closed: frozenset[int] = frozenset()
        self._columns = 0

    def add(self, cost: float, terms: list[tuple[int, float]]) -> int:
        """Add a column with its share of some rows; returns its number."""
        rows = np.array([row for row, _ in terms], dtype=np.int32)
        shares = np.array([share for _, share in terms], dtype=float)
        self._highs.addCol(cost, 0.0, highspy.kHighsInf, len(terms), rows, shares)
        self._columns += 1
        return self._columns - 1

    def close(self, columns: Iterable[int]) -> None:
        """Hold these columns at nothing, and no others."""
        closed = frozenset(columns)
        for column in sorted(self._closed ^ closed):
            most = 0.0 if column in closed else highspy.kHighsInf
            self._highs.changeColBounds(column, 0.0, most)
        self._closed = closed

    def solve(self) -> tuple[float, NDArray[np.float64], NDArray[np.float64]] | None:
        """Least cost, what each row's room is worth (all >= 0), values of columns.

        ``None`` when the solver gave no answer.
        """
        self._highs.run()
        if self._highs.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return None
        cost = float(self._highs.getInfo().objective_function_value)
        solution = self._highs.getSolution()
        worth = np.maximum(0.0, -np.array(solution.row_dual))
        return cost, worth, np.array(solution.col_value)
