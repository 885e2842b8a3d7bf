"""Solvers for the models of ``rows.py``; each maximises, on one thread."""

import math
import re
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import Protocol

import highspy
import pulp
from ortools.sat.python import cp_model

from tests.bench.rows import Row, Rows, Terms

SEED = 7
NO_ENUMERATION = 1 << 16
"""Presolve rule of HiGHS that loses constraints up to 1.16 (its issue 3216)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """Best values found, and what no solution can be better than.

    ``values`` is ``None`` when nothing was found; ``never`` is True when
    there is nothing to find.
    """

    values: list[int] | None
    bound: float
    proven: bool
    never: bool = False


class Backend(Protocol):
    """Maximises a goal over rows, from values where it knows some."""

    def maximise(
        self, rows: Rows, goal: Terms, limit_s: float, start: list[int] | None
    ) -> Found:
        """Solve for at most ``limit_s`` seconds."""


class _Highs(pulp.HiGHS):
    """PuLP's HiGHS interface, which starts from given values."""

    def callSolver(self, lp):  # noqa: N802 - PuLP's name
        lp.solverModel.setOptionValue("presolve_rule_off", NO_ENUMERATION)
        if lp.start_values is not None:
            solution = highspy.HighsSolution()
            solution.col_value = [float(v) for v in lp.start_values]
            lp.solverModel.setSolution(solution)
        lp.solverModel.run()


@dataclass(slots=True)
class PulpHighs:
    """PuLP with HiGHS."""

    def maximise(
        self, rows: Rows, goal: Terms, limit_s: float, start: list[int] | None
    ) -> Found:
        """Solve for at most ``limit_s`` seconds."""
        began = time.monotonic()
        problem, variables = _problem(rows, goal)
        for presolve, begin in (("choose", start), ("off", None)):
            problem.start_values = _by_name(problem, variables, begin)
            left_s = limit_s - (time.monotonic() - began)
            if left_s <= 0:
                break
            solver = _Highs(
                msg=False,
                threads=1,
                random_seed=SEED,
                timeLimit=left_s,
                gapRel=0.0,
                gapAbs=0.999,
                presolve=presolve,
            )
            found = _read_highs(problem, variables, goal, solver)
            if found is not None and (found.values is None or rows.holds(found.values)):
                return found
        return Found(values=None, bound=math.inf, proven=False)


def _by_name(problem, variables, start):
    """Values in the order in which PuLP hands over its variables."""
    if start is None:
        return None
    number = {v.name: i for i, v in enumerate(variables)}
    return [start[number[v.name]] for v in problem.variables()]


def _read_highs(problem, variables, goal, solver) -> Found | None:
    """Read an answer; ``None`` when its values do not give its objective."""
    problem.solve(solver)
    highs = problem.solverModel
    info = highs.getInfo()
    kinds = highspy.HighsModelStatus
    status = highs.getModelStatus()
    if status in (kinds.kInfeasible, kinds.kUnboundedOrInfeasible):
        return Found(values=None, bound=-math.inf, proven=True, never=True)
    feasible = highspy.SolutionStatus.kSolutionStatusFeasible
    # PuLP hands a maximisation on as the minimum of its negative.
    bound = -float(info.mip_dual_bound)
    if info.primal_solution_status != feasible:
        return Found(values=None, bound=bound, proven=False)
    values = [round(v.varValue or 0.0) for v in variables]
    told = -info.objective_function_value
    if abs(sum(c * values[v] for c, v in goal) - told) > 1e-4 * max(1.0, abs(told)):
        return None
    return Found(values=values, bound=bound, proven=status == kinds.kOptimal)


@dataclass(slots=True)
class PulpCbc:
    """PuLP with the CBC that comes with it."""

    def maximise(
        self, rows: Rows, goal: Terms, limit_s: float, start: list[int] | None
    ) -> Found:
        """Solve for at most ``limit_s`` seconds."""
        problem, variables = _problem(rows, goal)
        if start is not None:
            for var, value in zip(variables, start, strict=True):
                var.setInitialValue(value, check=False)
        with tempfile.TemporaryDirectory() as folder:
            log = Path(folder) / "log"
            solver = pulp.PULP_CBC_CMD(
                msg=False,
                timeLimit=max(1.0, limit_s),
                gapRel=0.0,
                warmStart=start is not None,
                logPath=str(log),
                options=[f"randomSeed {SEED}"],
            )
            problem.solve(solver)
            text = log.read_text() if log.exists() else ""
        code = problem.sol_status
        if code == pulp.LpSolutionInfeasible:
            return Found(values=None, bound=-math.inf, proven=True, never=True)
        bound = _cbc_bound(text)
        if code not in (pulp.LpSolutionOptimal, pulp.LpSolutionIntegerFeasible):
            return Found(values=None, bound=bound, proven=False)
        values = [round(v.varValue or 0.0) for v in variables]
        if not rows.holds(values):
            return Found(values=None, bound=bound, proven=False)
        proven = code == pulp.LpSolutionOptimal and "Optimal solution found" in text
        if proven:
            bound = float(sum(c * values[v] for c, v in goal))
        return Found(values=values, bound=bound, proven=proven)


def _cbc_bound(text: str) -> float:
    """Bound that CBC wrote into its log; it minimises the goal's negative."""
    found = re.search(r"^(?:Lower|Upper) bound:\s+(-?[\d.e+]+)", text, re.M)
    return abs(float(found.group(1))) if found else math.inf


def _problem(rows: Rows, goal: Terms):
    """The model in PuLP, rows in the units of their scale."""
    problem = pulp.LpProblem("monolith", pulp.LpMaximize)
    variables = [
        problem.add_variable(
            f"v{i:07d}", low, top, pulp.LpInteger if whole else pulp.LpContinuous
        )
        for i, (low, top, whole) in enumerate(
            zip(rows.lows, rows.tops, rows.wholes, strict=True)
        )
    ]
    for row in rows.rows:
        _add_row(problem, variables, row)
    problem.setObjective(
        pulp.LpAffineExpression({variables[v]: c for c, v in _joined(goal)})
    )
    return problem, variables


def _add_row(problem, variables, row: Row) -> None:
    expression = pulp.LpAffineExpression(
        {variables[v]: c / row.scale for c, v in _joined(row.terms)}
    )
    if row.low is not None and row.low == row.top:
        problem.addConstraint(expression == row.low / row.scale)
        return
    if row.low is not None:
        problem.addConstraint(expression >= row.low / row.scale)
    if row.top is not None:
        problem.addConstraint(expression <= row.top / row.scale)


def _joined(terms: Terms) -> Terms:
    """Each variable once."""
    by_var: dict[int, int] = {}
    for c, v in terms:
        by_var[v] = by_var.get(v, 0) + c
    return [(c, v) for v, c in by_var.items()]


@dataclass(slots=True)
class CpSat:
    """The CP-SAT solver of OR-Tools, on one worker."""

    rows_done: int = 0
    model: cp_model.CpModel = field(default_factory=cp_model.CpModel)
    variables: list[cp_model.IntVar] = field(default_factory=list)

    def maximise(
        self, rows: Rows, goal: Terms, limit_s: float, start: list[int] | None
    ) -> Found:
        """Solve for at most ``limit_s`` seconds; rows are added, never dropped."""
        self._add_new(rows)
        model = self.model
        model.maximize(_weighted(self.variables, goal))
        model.clear_hints()
        for var, value in zip(self.variables, start or [], strict=False):
            model.add_hint(var, value)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = SEED
        solver.parameters.max_time_in_seconds = max(0.1, limit_s)
        status = solver.solve(model)
        if status == cp_model.INFEASIBLE:
            return Found(values=None, bound=-math.inf, proven=True, never=True)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return Found(values=None, bound=math.inf, proven=False)
        return Found(
            values=[solver.value(v) for v in self.variables],
            bound=solver.best_objective_bound,
            proven=status == cp_model.OPTIMAL,
        )

    def _add_new(self, rows: Rows) -> None:
        known = len(self.variables)
        for i in range(known, len(rows.lows)):
            self.variables.append(
                self.model.new_int_var(rows.lows[i], rows.tops[i], f"v{i}")
            )
        for row in rows.rows[self.rows_done :]:
            low = cp_model.INT32_MIN if row.low is None else row.low
            top = cp_model.INT32_MAX if row.top is None else row.top
            if row.low is None:
                self.model.add(_weighted(self.variables, row.terms) <= top)
            elif row.top is None:
                self.model.add(_weighted(self.variables, row.terms) >= low)
            else:
                self.model.add_linear_constraint(
                    _weighted(self.variables, row.terms), low, top
                )
        self.rows_done = len(rows.rows)


def _weighted(variables, terms: Terms):
    return cp_model.LinearExpr.weighted_sum(
        [variables[v] for _, v in terms], [c for c, _ in terms]
    )
