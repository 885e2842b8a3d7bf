"""Small linear programs solved for the price of each row.

The models that decide are written in PuLP (``solver.py``).  These are solved
many times for their dual values alone, which are read from HiGHS itself.
"""

import highspy
import numpy as np
from numpy.typing import NDArray

from planner.decide.highs import quiet_highs


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
