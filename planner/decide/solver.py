"""The only place that talks to PuLP and its solvers.

Models are minimised, variables are named by position, and the outcome is
typed: nobody outside this module compares solver codes.
"""

import math
import time
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

import highspy
import pulp

from planner.decide.highs import Highs, Problem
from planner.errors import SolverError

Expr = Any
"""A PuLP variable or affine expression (PuLP ships no types)."""

_LOOSE = 0.02
_LEFT_OUT = 0.001
_REACHED = 0.5
LEAN = {
    "mip_heuristic_run_rins": False,
    "mip_heuristic_run_rens": False,
    "mip_heuristic_run_root_reduced_cost": False,
    "mip_detect_symmetry": False,
}
"""HiGHS without its dearer habits: twice as fast on wiring models, where the
question is whether there is any answer, and slower on none measured."""


class Answer(StrEnum):
    """How a solve ended."""

    OPTIMAL = "optimal"
    FEASIBLE = "feasible, not proven"
    INFEASIBLE = "infeasible"
    UNKNOWN = "no answer within the limit"


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """Answer, objective value and proven lower bound of a minimisation."""

    answer: Answer
    objective: float
    bound: float

    @property
    def found(self) -> bool:
        """True when variable values may be read."""
        return self.answer in {Answer.OPTIMAL, Answer.FEASIBLE}


class Model:
    """A minimisation under construction."""

    def __init__(self, name: str) -> None:
        self._problem = Problem(name, pulp.LpMinimize)
        self._problem.warm_values = None
        self._count = 0
        self._rows = 0

    def var(
        self, low: float = 0.0, high: float | None = None, *, whole: bool = False
    ) -> Expr:
        """Add a variable; ``whole`` makes it an integer."""
        self._count += 1
        kind = pulp.LpInteger if whole else pulp.LpContinuous
        return self._problem.add_variable(f"v{self._count:07d}", low, high, kind)

    def binary(self) -> Expr:
        """Add a 0/1 variable."""
        return self.var(0, 1, whole=True)

    def add(self, rule: str, constraint: Expr) -> None:
        """Add a constraint; its name starts with the rule's number."""
        if isinstance(constraint, bool):
            if not constraint:
                self._add_never(rule)
            return
        self._rows += 1
        self._problem.addConstraint(constraint, f"{rule}_{self._rows:07d}")

    def _add_never(self, rule: str) -> None:
        """State that a rule cannot be met, so that the model is infeasible."""
        self.add(rule, self.var(0, 0) >= 1)

    def minimise(
        self,
        objective: Expr,
        *,
        time_limit_s: float,
        whole_objective: bool = False,
        slack: float = 0.0,
        loose: bool = False,
        node_limit: int | None = None,
        lean: bool = False,
        without: Sequence[Expr] = (),
        enough: float | None = None,
    ) -> Outcome:
        """Solve; ``whole_objective`` says every value of it is an integer.

        ``slack`` is how far from the bound the search may end.
        ``loose`` ends the search within some percent of the bound.
        ``lean`` leaves out the solver's dearer heuristics, ``without`` 0/1
        variables, and the outcome is then no more than feasible.  ``enough`` is a
        proven bound of a whole objective: what reaches it is optimal.
        """
        if time_limit_s <= 0:
            return Outcome(answer=Answer.UNKNOWN, objective=0.0, bound=-math.inf)
        self._problem.setObjective(pulp.lpSum([objective]))
        gap = max(slack, 0.999 if whole_objective else 1e-9)
        last = self._problem.warm_values
        options: dict[str, Any] = dict(LEAN) if lean else {}
        if loose:
            options["mip_rel_gap"] = _LOOSE
        if enough is not None:
            # HiGHS knows nothing of a constant.
            shift = float(self._problem.objective.constant or 0.0)
            options["objective_target"] = enough + _REACHED - shift
        with _left_out(without):
            outcome = self._solved(time_limit_s, gap, node_limit, options)
        self._keep_values(last, found=outcome.found)
        if (
            enough is not None
            and outcome.found
            and outcome.objective < enough + _REACHED
        ):
            return replace(outcome, answer=Answer.OPTIMAL, bound=enough)
        if not without:
            return outcome
        # It says nothing about what was left out.
        answer = Answer.FEASIBLE if outcome.found else Answer.UNKNOWN
        return replace(outcome, answer=answer, bound=-math.inf)

    def _solved(
        self,
        time_limit_s: float,
        gap: float,
        node_limit: int | None,
        options: dict[str, Any],
    ) -> Outcome:
        """Solve; once more without presolve where that went wrong."""
        try:
            outcome = self._run_highs(time_limit_s, gap, node_limit, options)
            if not self._sound(outcome):
                self._problem.warm_values = None
                options["presolve"] = "off"
                outcome = self._run_highs(time_limit_s, gap, node_limit, options)
            if not self._sound(outcome):
                outcome = replace(outcome, answer=Answer.UNKNOWN)
        except (ImportError, pulp.PulpSolverError):
            outcome = self._run_cbc(time_limit_s, gap)
        return outcome

    def minimise_near(
        self,
        objective: Expr,
        choices: Iterable[Expr],
        *,
        time_limit_s: float,
        slack: float,
        whole_objective: bool = True,
    ) -> Outcome:
        """A good answer soon, and the bound of the relaxed model.

        Solved without whole numbers first; of the 0/1 ``choices`` those left
        out there stay out (relaxation induced neighbourhood, without a known
        answer; Danna, Rothberg and Le Pape, Mathematical Programming 102, 2005).
        """
        if time_limit_s <= 0:
            return Outcome(answer=Answer.UNKNOWN, objective=0.0, bound=-math.inf)
        self._problem.setObjective(pulp.lpSum([objective]))
        last = self._problem.warm_values
        began = time.monotonic()
        try:
            relaxed = self._run_highs(
                time_limit_s / 2, 0.0, None, {"solve_relaxation": True}
            )
        except (ImportError, pulp.PulpSolverError):
            relaxed = Outcome(answer=Answer.UNKNOWN, objective=0.0, bound=-math.inf)
        self._problem.warm_values = last
        if relaxed.answer is not Answer.OPTIMAL:
            return self.minimise(
                objective,
                time_limit_s=time_limit_s,
                whole_objective=whole_objective,
                slack=slack,
            )
        known = last or {}
        out = [
            v for v in choices if value(v) < _LEFT_OUT and known.get(v.name, 0.0) < 0.5
        ]
        left_s = max(time_limit_s / 2, time_limit_s - (time.monotonic() - began))
        found = self.minimise(
            objective,
            time_limit_s=left_s,
            whole_objective=whole_objective,
            slack=slack,
            without=out,
        )
        bound = relaxed.objective
        if not found.found:
            # The shares of the relaxed model are no placement.
            self._keep_values(last, found=False)
            return replace(found, answer=Answer.UNKNOWN, bound=bound)
        near = found.objective - bound < max(slack, 1.0 - 1e-6)
        answer = Answer.OPTIMAL if near else Answer.FEASIBLE
        return replace(found, answer=answer, bound=bound)

    def start_from(self, values: dict[Expr, int]) -> None:
        """Begin the next solve at these values of whole variables, others at 0."""
        self._problem.warm_values = {v.name: float(n) for v, n in values.items()}

    def _keep_values(self, last: dict[str, float] | None, *, found: bool) -> None:
        """Start the next solve from these values, or from the last found."""
        variables = self._problem.variables()
        if found:
            last = {v.name: v.varValue for v in variables}
        elif last is not None:
            for v in variables:
                v.varValue = last.get(v.name)
        self._problem.warm_values = last

    def _run_highs(
        self,
        time_limit_s: float,
        gap: float,
        node_limit: int | None,
        options: dict[str, Any],
    ) -> Outcome:
        if node_limit is not None:
            options["mip_max_nodes"] = node_limit
        solver = Highs(
            msg=False, gapRel=0.0, gapAbs=gap, timeLimit=time_limit_s, **options
        )
        # PuLP has no word for HiGHS stopping at its node limit; the status is
        # read from HiGHS itself below.
        with suppress(KeyError):
            self._problem.solve(solver)
        highs = self._problem.solverModel
        status = highs.getModelStatus()
        info = highs.getInfo()
        kinds = highspy.HighsModelStatus
        if status in {kinds.kInfeasible, kinds.kUnboundedOrInfeasible}:
            return Outcome(answer=Answer.INFEASIBLE, objective=0.0, bound=math.inf)
        primal = (
            info.primal_solution_status
            == highspy.SolutionStatus.kSolutionStatusFeasible
        )
        shift = float(self._problem.objective.constant or 0.0)
        mixed = any(v.cat == pulp.LpInteger for v in self._problem.variables())
        bound = float(info.mip_dual_bound) + shift if mixed else -math.inf
        if status in {kinds.kOptimal, kinds.kModelEmpty}:
            value = float(info.objective_function_value) + shift
            return Outcome(
                answer=Answer.OPTIMAL,
                objective=value,
                bound=bound if mixed else value,
            )
        if primal and math.isfinite(info.objective_function_value):
            value = float(info.objective_function_value) + shift
            return Outcome(answer=Answer.FEASIBLE, objective=value, bound=bound)
        return Outcome(answer=Answer.UNKNOWN, objective=0.0, bound=bound)

    def _sound(self, outcome: Outcome) -> bool:
        """False when HiGHS failed, or its values do not give its objective.

        When started from values, HiGHS 1.16 may hand those back beside the
        objective of better ones.
        """
        if outcome.answer is Answer.UNKNOWN:
            kinds = highspy.HighsModelStatus
            status = self._problem.solverModel.getModelStatus()
            return status not in {
                kinds.kSolveError,
                kinds.kPresolveError,
                kinds.kPostsolveError,
            }
        if not outcome.found:
            return True
        told, given = outcome.objective, value(self._problem.objective)
        return abs(told - given) <= 1e-5 * max(1.0, abs(told))

    def _run_cbc(self, time_limit_s: float, gap: float) -> Outcome:
        """Fallback when HiGHS cannot be started on this machine."""
        names = [n for n in ("COIN_CMD", "PULP_CBC_CMD") if _available(n)]
        if not names:
            raise SolverError("neither HiGHS nor CBC can be started here")
        solver = pulp.getSolver(
            names[0], msg=False, timeLimit=time_limit_s, gapAbs=gap, gapRel=0.0
        )
        self._problem.solve(solver)
        code = self._problem.sol_status
        if code == pulp.LpSolutionInfeasible:
            return Outcome(answer=Answer.INFEASIBLE, objective=0.0, bound=math.inf)
        if code not in {pulp.LpSolutionOptimal, pulp.LpSolutionIntegerFeasible}:
            return Outcome(answer=Answer.UNKNOWN, objective=0.0, bound=-math.inf)
        value = float(pulp.value(self._problem.objective))
        if code == pulp.LpSolutionOptimal:
            return Outcome(answer=Answer.OPTIMAL, objective=value, bound=value)
        return Outcome(answer=Answer.FEASIBLE, objective=value, bound=-math.inf)

    @property
    def size(self) -> tuple[int, int]:
        """Columns and rows."""
        return self._count, self._rows


@contextmanager
def _left_out(binaries: Sequence[Expr]) -> Iterator[None]:
    """Hold 0/1 variables at nothing for a while."""
    for v in binaries:
        v.upBound = 0
    try:
        yield
    finally:
        for v in binaries:
            v.upBound = 1


def _available(name: str) -> bool:
    try:
        return bool(pulp.getSolver(name, msg=False).available())
    except pulp.PulpError:
        return False


def total(terms: Iterable[Expr]) -> Expr:
    """Sum of terms, an affine expression even when empty."""
    return pulp.lpSum(terms)


def weighted(terms: Iterable[tuple[float, Expr]]) -> Expr:
    """Sum of numbers times variables, or times plain numbers.

    Made in one go: PuLP makes an expression of every single product.
    """
    sums: dict[Expr, float] = {}
    constant = 0.0
    for number, variable in terms:
        if isinstance(variable, (int, float)):
            constant += number * variable
        elif number:
            sums[variable] = sums.get(variable, 0.0) + number
    return pulp.LpAffineExpression(sums, constant=constant)


def value(variable: Expr) -> float:
    """Value of a variable or expression after a solve that found one."""
    return float(pulp.value(variable) or 0.0)


def whole(variable: Expr) -> int:
    """Value of an integer variable, rounded (solvers return 0.9999999)."""
    return round(value(variable))
