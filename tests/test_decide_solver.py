"""The one adapter to the solvers: typed outcomes, limits, warm starts, silence.

Optima are by hand, or from SciPy's own solver on the same numbers.
"""

import itertools
import operator
import random
import subprocess
import sys
import time
from functools import partial
from pathlib import Path

import numpy as np
import pulp
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from planner.decide import highs, solver
from planner.decide.solver import Answer, Model, total, value, weighted, whole
from planner.errors import SolverError
from planner.pipeline import make_plan
from planner.result import PlanStatus
from tests.test_decide_never_refused import site

ROOT = Path(__file__).parents[1]
CBC = [n for n in ("COIN_CMD", "PULP_CBC_CMD") if n in pulp.listSolvers(True)]


def knapsack(weights, capacity):
    """Model of one knapsack, and its 0/1 variables."""
    model = Model("knapsack")
    picks = [model.binary() for _ in weights]
    model.add(
        "R3", total(w * v for w, v in zip(weights, picks, strict=True)) <= capacity
    )
    return model, picks


def hard_model(items=60, seed=3):
    """Several knapsacks at once that no solver proves in a moment."""
    rng = random.Random(seed)
    model = Model("hard")
    picks = [model.binary() for _ in range(items)]
    for _ in range(30):
        weights = [rng.randint(1000, 9999) for _ in picks]
        room = sum(weights) // 2
        model.add(
            "R3", total(w * v for w, v in zip(weights, picks, strict=True)) <= room
        )
    worth = [rng.randint(1000, 9999) for _ in picks]
    return model, -total(w * v for w, v in zip(worth, picks, strict=True))


class TestAnswers:
    def test_optimal(self):
        model, picks = knapsack([3, 4, 5], 8)
        found = model.minimise(-total(picks), time_limit_s=5, whole_objective=True)
        assert (found.answer, found.found) == (Answer.OPTIMAL, True)
        assert (found.objective, found.bound) == (-2.0, -2.0)
        assert sum(whole(v) for v in picks) == 2

    def test_infeasible(self):
        model, picks = knapsack([3, 4, 5], 8)
        model.add("T", total(picks) >= 3)
        found = model.minimise(0, time_limit_s=5)
        assert (found.answer, found.found) == (Answer.INFEASIBLE, False)
        assert found.bound == float("inf")

    def test_no_time_at_all(self):
        model, picks = knapsack([3, 4, 5], 8)
        for limit_s in (0.0, -1.0):
            found = model.minimise(-total(picks), time_limit_s=limit_s)
            assert (found.answer, found.found) == (Answer.UNKNOWN, False)
            assert found.bound == -float("inf")

    def test_stopped_with_a_solution_in_hand(self):
        model, objective = hard_model()
        found = model.minimise(objective, time_limit_s=60, node_limit=1)
        assert found.answer is Answer.FEASIBLE
        assert found.found
        assert found.bound < found.objective - 1
        assert value(objective) == pytest.approx(found.objective)

    def test_stopped_by_the_clock(self):
        model, objective = hard_model(items=200)
        found = model.minimise(objective, time_limit_s=0.3)
        assert found.answer in (Answer.FEASIBLE, Answer.UNKNOWN)
        assert found.bound <= found.objective

    def test_an_objective_with_a_constant(self):
        model, picks = knapsack([3, 4, 5], 8)
        found = model.minimise(10 - total(picks), time_limit_s=5)
        assert (found.objective, found.bound) == (8.0, 8.0)

    def test_nothing_to_decide(self):
        assert Model("empty").minimise(0, time_limit_s=5).answer is Answer.OPTIMAL
        model, _ = knapsack([3], 8)
        found = model.minimise(0, time_limit_s=5)
        assert (found.answer, found.objective) == (Answer.OPTIMAL, 0.0)

    def test_no_integers_at_all(self):
        model = Model("line")
        x = model.var(1.5, 9.0)
        found = model.minimise(x, time_limit_s=5)
        assert found.answer is Answer.OPTIMAL
        assert (found.objective, found.bound) == (1.5, 1.5)


class TestEnough:
    """A bound that is known already spares the proof."""

    def test_what_reaches_it_is_optimal(self):
        """Of 3, 4 and 5 kg into 8 go two, constant or not."""
        model, picks = knapsack([3, 4, 5], 8)
        for known in (0, 10):
            found = model.minimise(
                known - total(picks), time_limit_s=5, enough=known - 2.0
            )
            assert (found.answer, found.objective) == (Answer.OPTIMAL, known - 2.0)
            assert found.bound == known - 2.0
            assert sum(whole(v) for v in picks) == 2

    def test_what_does_not_is_searched_on_and_proven(self):
        model, picks = knapsack([3, 4, 5], 8)
        found = model.minimise(
            -total(picks), time_limit_s=5, whole_objective=True, enough=-3.0
        )
        assert (found.answer, found.objective, found.bound) == (
            Answer.OPTIMAL,
            -2.0,
            -2.0,
        )

    def test_the_search_ends_there(self):
        """What one node finds in the hard model is enough: nothing is proven."""
        model, objective = hard_model()
        first = model.minimise(objective, time_limit_s=60, node_limit=1)
        again, objective = hard_model()
        began = time.monotonic()
        found = again.minimise(
            objective, time_limit_s=60, enough=round(first.objective)
        )
        assert found.answer is Answer.OPTIMAL
        assert found.objective <= first.objective
        assert time.monotonic() - began < 30


class TestWithout:
    def test_what_is_left_out_stays_out_for_one_solve(self):
        """Of 3, 4 and 5 kg into 8: 3 + 5; without the 5 it is 3 + 4."""
        model, picks = knapsack([3, 4, 5], 8)
        kilos = -total(w * v for w, v in zip((3, 4, 5), picks, strict=True))
        less = model.minimise(kilos, time_limit_s=5, without=picks[2:])
        assert (less.objective, less.answer) == (-7.0, Answer.FEASIBLE)
        assert less.bound <= -8.0
        again = model.minimise(kilos, time_limit_s=5)
        assert (again.objective, again.answer) == (-8.0, Answer.OPTIMAL)


class TestNear:
    """A good answer soon: what the relaxed model leaves out stays out."""

    def test_it_lies_between_the_best_and_the_bound_of_the_relaxed_model(self):
        """Optima by SciPy's own solver, over twenty drawn knapsacks."""
        below = 0
        for seed in range(20):
            rng = random.Random(seed)
            weights = [rng.randint(10, 60) for _ in range(12)]
            worth = [rng.randint(10, 60) for _ in range(12)]
            room = sum(weights) // 2
            model, picks = knapsack(weights, room)
            aim = -total(w * v for w, v in zip(worth, picks, strict=True))
            found = model.minimise_near(aim, picks, time_limit_s=10, slack=0.0)
            rows = LinearConstraint(np.array([weights]), -np.inf, room)
            exact, relaxed = (
                milp(
                    -np.array(worth),
                    constraints=rows,
                    bounds=Bounds(0, 1),
                    integrality=np.full(12, kind),
                ).fun
                for kind in (1, 0)
            )
            assert found.bound == pytest.approx(relaxed)
            assert found.objective >= exact - 1e-6
            assert found.bound <= exact + 1e-6
            below += found.objective > exact + 1e-6
        # What is left out was wrong somewhere, else nothing here is tested.
        assert below

    def test_a_choice_left_out_is_open_again_afterwards(self):
        model, picks = knapsack([6, 4, 7, 3], 10)
        aim = -total(w * v for w, v in zip([6, 4, 7, 3], picks, strict=True))
        model.minimise_near(aim, picks, time_limit_s=5, slack=0.0)
        assert [v.upBound for v in picks] == [1, 1, 1, 1]
        best = model.minimise(-picks[2] - picks[3], time_limit_s=5)
        assert best.objective == pytest.approx(-2.0)

    def test_an_answer_in_hand_is_never_lost(self):
        """The start picks what the relaxed model leaves out."""
        model, picks = knapsack([10, 9, 2], 10)
        model.start_from({picks[1]: 1})
        aim = -total(w * v for w, v in zip([10, 8, 1], picks, strict=True))
        found = model.minimise_near(aim, picks, time_limit_s=5, slack=0.0)
        assert found.found
        assert found.objective <= -8.0

    @pytest.mark.parametrize("limit_s", [-1.0, 0.0])
    def test_without_time_the_values_in_hand_stay(self, limit_s):
        """Nor may the shares of the relaxed model be read as an answer."""
        model, picks = knapsack([3, 4, 5], 8)
        kilos = -total(w * v for w, v in zip((3, 4, 5), picks, strict=True))
        assert model.minimise(kilos, time_limit_s=5).objective == -8.0
        late = model.minimise_near(
            -total(picks), picks, time_limit_s=limit_s, slack=0.0
        )
        assert (late.answer, late.found) == (Answer.UNKNOWN, False)
        assert [value(v) for v in picks] == [1, 0, 1]

    def test_no_answer_is_told_as_such(self):
        model, picks = knapsack([3, 4], 8)
        model.add("R1", total(picks) >= 3)
        found = model.minimise_near(-total(picks), picks, time_limit_s=5, slack=0.0)
        assert found.answer is Answer.INFEASIBLE


class TestRows:
    def test_a_row_that_is_true_or_false_by_itself(self):
        # An empty sum compared to a number has no variable to bind.
        for bound, answer in ((0, Answer.OPTIMAL), (-1, Answer.INFEASIBLE)):
            model, picks = knapsack([3, 4, 5], 8)
            model.add("R7", total([]) <= bound)
            found = model.minimise(-total(picks), time_limit_s=5)
            assert found.answer is answer
        model, _ = knapsack([3, 4, 5], 8)
        model.add("R7", True)
        assert model.minimise(0, time_limit_s=5).found
        model.add("R7", False)
        assert model.minimise(0, time_limit_s=5).answer is Answer.INFEASIBLE

    def test_rows_carry_the_number_of_their_rule(self):
        model, picks = knapsack([3, 4, 5], 8)
        model.add("R10", total(picks) <= 2)
        rows = model._problem.constraints
        names = [row.name for row in rows()] if callable(rows) else list(rows)
        assert [name.split("_")[0] for name in names] == ["R3", "R10"]
        assert model.size == (3, 2)


class TestWarmStarts:
    """One model solved again and again, as the tiers do."""

    # Seeds at which HiGHS 1.16 hands back the values it was started from,
    # beside the objective of better ones, and a few at which it does not.
    SEEDS = (0, 1, 2, 3, 35, 109, 229, 289, 331, 459, 625, 648)

    def again(self, seed):
        """Stages over units with modes; yields what was told and the goal."""
        rng = random.Random(seed)
        model = Model("stages")
        units, modes, items = rng.randint(1, 3), rng.randint(1, 4), rng.randint(2, 5)
        spots = [(u, k) for u in range(units) for k in range(modes)]
        pick = {spot: model.binary() for spot in spots}
        count = [rng.randint(1, 3) for _ in range(items)]
        put = {
            (i, u, k): model.var(0, count[i], whole=True)
            for i in range(items)
            for u, k in spots
            if rng.random() < 0.7
        }
        home = [model.var(0, 1, whole=True) for _ in range(items)]
        mine = [total(v for key, v in put.items() if key[0] == i) for i in range(items)]
        for i in range(items):
            model.add("N", mine[i] <= count[i])
            model.add("N", home[i] <= mine[i])
        for u in range(units):
            model.add("R1", total(pick[u, k] for k in range(modes)) <= 1)
            room = rng.choice((1.2, 1.92, 3.2))
            for k in range(modes):
                inside = total(0.5 * v for key, v in put.items() if key[1:] == (u, k))
                model.add("R3", inside <= room * pick[u, k])
        for i in range(items):
            goal = -mine[i] - (count[i] + 1) * home[i]
            found = model.minimise(goal, time_limit_s=10, whole_objective=True)
            assert found.answer is Answer.OPTIMAL
            yield found, goal
            model.add("T", mine[i] >= whole(mine[i]))
            model.add("T", home[i] >= whole(home[i]))

    @pytest.mark.parametrize("seed", SEEDS)
    def test_values_always_give_the_objective_told(self, seed):
        for found, goal in self.again(seed):
            assert value(goal) == pytest.approx(found.objective)

    def test_values_beside_the_wrong_objective_are_thrown_away(self, monkeypatch):
        # As if the solver handed its start values back with another objective.
        model, picks = knapsack([3, 4, 5], 8)
        runs = []
        real = Model._run_highs

        def stale(self, *args, **kwargs):
            found = real(self, *args, **kwargs)
            runs.append(self._problem.warm_values)
            if len(runs) == 2:
                for v in picks:
                    v.varValue = 0
            return found

        monkeypatch.setattr(Model, "_run_highs", stale)
        model.minimise(total(picks), time_limit_s=5)
        found = model.minimise(-total(picks), time_limit_s=5)
        assert (found.objective, value(-total(picks))) == (-2.0, -2.0)
        # the third run is a cold one
        assert [warm is None for warm in runs] == [True, False, True]

    def test_an_answer_that_stays_wrong_is_none(self, monkeypatch):
        model, picks = knapsack([3, 4, 5], 8)
        real = Model._run_highs

        def stale(self, *args, **kwargs):
            found = real(self, *args, **kwargs)
            for v in picks:
                v.varValue = 0
            return found

        monkeypatch.setattr(Model, "_run_highs", stale)
        found = model.minimise(-total(picks), time_limit_s=5)
        assert (found.answer, found.found) == (Answer.UNKNOWN, False)

    def test_without_an_answer_the_last_values_found_stay(self):
        model, picks = knapsack([3, 4, 5], 8)
        model.minimise(-total(picks), time_limit_s=5)
        before = [whole(v) for v in picks]
        model.add("T", total(picks) >= 3)
        found = model.minimise(total(picks), time_limit_s=5)
        assert found.answer is Answer.INFEASIBLE
        assert [whole(v) for v in picks] == before
        assert sum(before) == 2


def test_a_weighted_sum_is_the_sum_of_its_products():
    """What is named twice counts twice, and plain numbers are numbers."""
    model = Model("sum")
    x, y = model.var(3, 3), model.var(5, 5)
    terms = [(2.0, x), (0.5, x), (4.0, 1), (0.0, y), (-1.0, y)]
    told = weighted(terms)
    model.add("x", x + y >= 8)
    assert model.minimise(told, time_limit_s=5).objective == 2.5 * 3 + 4 - 5
    assert value(told) == value(total(n * v for n, v in terms)) == 6.5
    assert value(weighted([])) == 0.0


def test_no_solve_begins_again_at_the_root():
    """HiGHS 1.16 restarts for ever on a part of a town, whatever the limit."""
    model, picks = knapsack([3, 4, 5], 8)
    limits = {"time_limit_s": 5.0, "slack": 0.0}
    for minimise in (model.minimise, partial(model.minimise_near, choices=picks)):
        highs._THREAD.highs = highs.new_highs()
        assert highs._THREAD.highs.getOptionValue("mip_allow_restart")[1]
        assert minimise(-sum(picks), **limits).found
        assert not highs._THREAD.highs.getOptionValue("mip_allow_restart")[1]


class TestPresolve:
    SEED = 1660
    """A site at which one presolve rule of HiGHS 1.16 loses a constraint."""

    def status(self):
        return make_plan(site(random.Random(self.SEED)), borrow=False).status

    def test_the_faulty_rule_is_left_out(self, monkeypatch):
        runs = []
        real = Model._sound
        monkeypatch.setattr(
            Model, "_sound", lambda *a: runs.append(real(*a)) or runs[-1]
        )
        assert self.status() is PlanStatus.PROVEN
        assert runs
        assert all(runs)

    def test_and_a_solve_that_it_spoils_is_done_again(self, monkeypatch):
        monkeypatch.setattr(highs, "_NO_ENUMERATION", 0)
        assert self.status() is PlanStatus.PROVEN

    def test_a_failure_is_mended(self, monkeypatch):
        model, picks = knapsack([3, 4, 5], 8)
        tried = []
        real = Model._run_highs

        def fails_once(self, time_limit_s, gap, node_limit, options):
            found = real(self, time_limit_s, gap, node_limit, options)
            tried.append(options.get("presolve"))
            if len(tried) == 1:
                for v in picks:
                    v.varValue = 0
            return found

        monkeypatch.setattr(Model, "_run_highs", fails_once)
        found = model.minimise(-total(picks), time_limit_s=5)
        assert (found.answer, found.objective) == (Answer.OPTIMAL, -2.0)
        assert tried == [None, "off"]


class TestClock:
    """HiGHS keeps one clock for models without integers, another for each with."""

    def small(self, *, integers):
        model = Model("small")
        x, y = (model.var(0, 4, whole=integers) for _ in range(2))
        model.add("R3", 2 * x + 2 * y <= 7)
        return model.minimise(-x - y, time_limit_s=0.5)

    def test_short_solves_after_a_long_one_still_get_their_time(self):
        model, objective = hard_model(items=200)
        model.minimise(objective, time_limit_s=0.7)
        for _ in range(20):
            assert self.small(integers=True).objective == -3.0
            assert self.small(integers=False).objective == -3.5

    def test_a_limit_does_not_grow_with_the_time_already_spent(self):
        spent_s = []
        for _ in range(5):
            model, objective = hard_model(items=200)
            began = time.process_time()
            model.minimise(objective, time_limit_s=0.3)
            spent_s.append(time.process_time() - began)
        # Limits that add up would double from one solve to the next.
        assert spent_s[-1] < 2 * 0.3 + 2 * spent_s[0]
        assert spent_s[-1] < 2.0

    def test_a_start_is_kept_after_much_time_was_spent_before(self):
        """Rows that only the planted answer meets; nobody else finds one soon.

        Half of the columns are not whole, so that the start has to be completed
        (market split; Cornuejols and Dawande, INFORMS Journal on Computing 11, 1999).
        """
        for _ in range(4):
            model, objective = hard_model(items=200)
            model.minimise(objective, time_limit_s=0.4)
        draw = random.Random(4)
        model = Model("split")
        picks = [model.binary() for _ in range(40)]
        planted = [draw.random() < 0.5 for _ in picks]
        for _ in range(5):
            worth = [draw.randrange(100) for _ in picks]
            part = model.var(0, 1000)
            model.add("R3", total(map(operator.mul, worth, picks)) == part)
            model.add("R3", part == sum(itertools.compress(worth, planted)))
        assert not model.minimise(total(picks), time_limit_s=0.4).found
        model.start_from(dict(zip(picks, map(int, planted), strict=True)))
        outcome = model.minimise(total(picks), time_limit_s=0.4)
        assert outcome.found
        assert outcome.objective == sum(planted)


def printed(code):
    """What a new process prints, where the banner of HiGHS would come."""
    ran = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        cwd=ROOT,
    )
    return ran.stdout


class TestSilence:
    def test_standard_output_stays_clean(self, capfd):
        model, picks = knapsack([3, 4, 5], 8)
        model.minimise(-total(picks), time_limit_s=5)
        assert capfd.readouterr() == ("", "")

    def test_even_when_the_solver_is_first_made(self):
        code = (
            "from planner.decide.solver import Model;"
            "m = Model('x'); x = m.binary();"
            "print(m.minimise(-x, time_limit_s=5).objective)"
        )
        assert printed(code) == "-1.0\n"

    def test_even_when_many_are_made_at_once(self):
        """Each would take another's sink for standard output, and put it back."""
        code = (
            "from concurrent.futures import ThreadPoolExecutor;"
            "from planner.decide.highs import new_highs;"
            "pool = ThreadPoolExecutor(8);"
            "made = list(pool.map(lambda _: new_highs(), range(200)));"
            "print(len(made))"
        )
        assert printed(code) == "200\n"


def random_pack(seed):
    """Items, their worth and several rooms."""
    rng = random.Random(seed)
    size = [rng.randint(3, 40) for _ in range(12)]
    worth = [rng.randint(1, 9) for _ in size]
    room = [rng.randint(30, 70) for _ in range(3)]
    return size, worth, room


def pack_model(size, worth, room):
    model = Model("pack")
    put = {(i, b): model.binary() for i in range(len(size)) for b in range(len(room))}
    for i in range(len(size)):
        model.add("N", total(put[i, b] for b in range(len(room))) <= 1)
    for b, litres in enumerate(room):
        inside = total(size[i] * put[i, b] for i in range(len(size)))
        model.add("R3", inside <= litres)
    return model, -total(worth[i] * v for (i, _), v in put.items())


def scipy_pack(size, worth, room):
    """Same problem for SciPy's solver, written with arrays."""
    n, m = len(size), len(room)
    once = np.kron(np.eye(n), np.ones((1, m)))
    fill = np.kron(np.array(size, dtype=float)[None, :], np.eye(m))
    found = milp(
        c=-np.repeat(worth, m),
        constraints=[LinearConstraint(once, ub=1), LinearConstraint(fill, ub=room)],
        integrality=np.ones(n * m),
        bounds=Bounds(0, 1),
    )
    return found.fun


class TestOtherSolvers:
    @pytest.mark.parametrize("seed", range(5))
    def test_scipy_finds_the_same_optimum(self, seed):
        model, goal = pack_model(*random_pack(seed))
        found = model.minimise(goal, time_limit_s=20, whole_objective=True)
        assert found.answer is Answer.OPTIMAL
        assert found.objective == pytest.approx(scipy_pack(*random_pack(seed)))


def without_highs(self, *_args, **_kwargs):
    raise ImportError("no HiGHS on this machine")


@pytest.mark.filterwarnings("ignore:PULP_CBC_CMD is deprecated")
class TestFallback:
    @pytest.mark.skipif(not CBC, reason="no CBC solver comes with this PuLP")
    @pytest.mark.parametrize("seed", range(3))
    def test_cbc_gives_the_same_value(self, seed, monkeypatch, capfd):
        model, goal = pack_model(*random_pack(seed))
        by_highs = model.minimise(goal, time_limit_s=20, whole_objective=True)
        monkeypatch.setattr(Model, "_run_highs", without_highs)
        other, goal = pack_model(*random_pack(seed))
        by_cbc = other.minimise(goal, time_limit_s=20, whole_objective=True)
        assert by_cbc.answer is Answer.OPTIMAL
        assert by_cbc.objective == pytest.approx(by_highs.objective)
        assert value(goal) == pytest.approx(by_cbc.objective)
        assert capfd.readouterr().out == ""

    @pytest.mark.skipif(not CBC, reason="no CBC solver comes with this PuLP")
    def test_cbc_says_infeasible(self, monkeypatch):
        monkeypatch.setattr(Model, "_run_highs", without_highs)
        model, picks = knapsack([3, 4, 5], 8)
        model.add("T", total(picks) >= 3)
        assert model.minimise(0, time_limit_s=5).answer is Answer.INFEASIBLE

    def test_neither_is_there(self, monkeypatch):
        monkeypatch.setattr(Model, "_run_highs", without_highs)
        monkeypatch.setattr(solver, "_available", lambda _name: False)
        model, picks = knapsack([3, 4, 5], 8)
        with pytest.raises(SolverError, match="neither HiGHS nor CBC"):
            model.minimise(-total(picks), time_limit_s=5)


def test_whole_values_are_rounded():
    model, picks = knapsack([3], 8)
    model.minimise(-total(picks), time_limit_s=5)
    for nearly, exact in ((0.9999999, 1), (1e-9, 0), (-0.0, 0), (None, 0)):
        picks[0].varValue = nearly
        assert whole(picks[0]) == exact
