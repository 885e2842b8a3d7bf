"""HiGHS as PuLP's solver: one quiet instance a thread, whole models at once."""

import os
import sys
import threading
from collections.abc import Iterable
from typing import Any

import highspy
import numpy as np
import pulp
from numpy.typing import NDArray

_THREAD = threading.local()
_MAKING = threading.Lock()
_SEED = 7
_INF = float("inf")
_OLD_S = 0.5
_NO_ENUMERATION = 1 << 16
"""Presolve rule of HiGHS that loses constraints up to 1.16 (its issue 3216)."""


def quiet_highs() -> Any:
    """One HiGHS instance a thread, cleared.

    One whose clock has run for a while is replaced: HiGHS completes a start from
    its whole variables within the limit of the solve, but by the clock of all
    solves, so that late ones would lose their start.
    """
    if not hasattr(_THREAD, "highs") or _THREAD.highs.getRunTime() > _OLD_S:
        _THREAD.highs = new_highs()
    _THREAD.highs.clear()
    _THREAD.highs.setOptionValue("output_flag", False)
    return _THREAD.highs


def new_highs() -> Any:
    """A HiGHS instance of its own, made without its banner.

    HiGHS prints a banner on standard output when it is created, whatever
    the options say; standard output belongs to the command line's caller.  One
    at a time: two would take each other's sink for standard output.
    """
    with _MAKING:
        sys.stdout.flush()
        saved = os.dup(1)
        sink = os.open(os.devnull, os.O_WRONLY)
        try:
            os.dup2(sink, 1)
            made = highspy.Highs()  # type: ignore[no-untyped-call]
        finally:
            os.dup2(saved, 1)
            os.close(sink)
            os.close(saved)
    made.setOptionValue("output_flag", False)
    return made


class Highs(pulp.HiGHS):  # type: ignore[misc]
    """PuLP's HiGHS interface on a quiet, reused instance."""

    def createAndConfigureSolver(self, lp: Any) -> None:  # noqa: N802 - PuLP's name
        """Configure the shared instance instead of making a new one."""
        lp.solverModel = quiet_highs()
        lp.solverModel.setOptionValue("threads", 1)
        lp.solverModel.setOptionValue("random_seed", _SEED)
        lp.solverModel.setOptionValue("presolve_rule_off", _NO_ENUMERATION)
        # One that HiGHS 1.16 made at the root never ended, whatever the limit.
        lp.solverModel.setOptionValue("mip_allow_restart", False)
        # HiGHS holds the limit of a model without integers against a clock that
        # runs on from solve to solve, and that of one with integers against its
        # own.
        mixed = any(v.cat == pulp.LpInteger for v in lp.variables())
        mixed = mixed and not self.optionsDict.get("solve_relaxation")
        spent_s = 0.0 if mixed else float(lp.solverModel.getRunTime())
        lp.solverModel.setOptionValue("time_limit", spent_s + float(self.timeLimit))
        lp.solverModel.setOptionValue("mip_rel_gap", float(self.gapRel))
        lp.solverModel.setOptionValue("mip_abs_gap", float(self.gapAbs))
        for key, value in self.optionsDict.items():
            lp.solverModel.setOptionValue(key, value)

    def callSolver(self, lp: Any) -> None:  # noqa: N802 - PuLP's name
        """Run, from the last solution when the model carries one."""
        start = getattr(lp, "warm_values", None)
        if start is not None:
            solution = highspy.HighsSolution()
            solution.col_value = [start.get(v.name, 0.0) for v in lp.variables()]
            lp.solverModel.setSolution(solution)
        lp.solverModel.run()

    def buildSolverModel(self, lp: Any) -> None:  # noqa: N802 - PuLP's name
        """Hand the whole model over at once; PuLP would do it row by row."""
        variables = lp.variables()
        for i, v in enumerate(variables):
            v.index = i
        columns = highspy.HighsLp()
        columns.num_col_ = len(variables)
        costs = [lp.objective.get(v, 0.0) for v in variables]
        columns.col_cost_ = np.array(costs, dtype=float)
        columns.col_lower_ = _bounds((v.lowBound for v in variables), -_INF)
        columns.col_upper_ = _bounds((v.upBound for v in variables), _INF)
        if any(v.cat == pulp.LpInteger for v in variables):
            kinds = highspy.HighsVarType
            columns.integrality_ = [
                kinds.kInteger if v.cat == pulp.LpInteger else kinds.kContinuous
                for v in variables
            ]
        lp.solverModel.passModel(columns)
        starts, index, values = [0], [], []
        for i, row in enumerate(lp.rows):
            row.index = i
            terms = [(v.index, value) for v, value in row.items() if value != 0]
            index += [at for at, _ in terms]
            values += [value for _, value in terms]
            starts.append(len(index))
        lp.solverModel.addRows(
            len(lp.rows),
            _bounds((row.getLb() for row in lp.rows), -_INF),
            _bounds((row.getUb() for row in lp.rows), _INF),
            len(index),
            np.array(starts[:-1], dtype=np.int32),
            np.array(index, dtype=np.int32),
            np.array(values, dtype=float),
        )


class Problem(pulp.LpProblem):  # type: ignore[misc]
    """PuLP's problem, which knows its variables.

    PuLP looks through every row for new ones, and sorts all, whenever it is
    asked for them; rows tell of theirs when they are added.
    """

    def __init__(self, *args: Any, **fields: Any) -> None:
        super().__init__(*args, **fields)
        self._in_order = 0

    def variables(self) -> list[Any]:
        """All variables in use, in the order of their names."""
        if self.objective:
            self._add_variables(self.objective.keys())
        if len(self._variables) > self._in_order:
            self._variables.sort(key=lambda v: v.name)
            self._in_order = len(self._variables)
        return list(self._variables)

    @property
    def rows(self) -> list[Any]:
        """All constraints in the order in which they were added."""
        return list(self._constraints.values())


def _bounds(given: Iterable[float | None], none: float) -> NDArray[np.float64]:
    return np.array([none if one is None else one for one in given], dtype=float)
