"""Linear programs whose prices are wanted: by hand, and against SciPy's solver."""

import random

import numpy as np
import pytest
from scipy.optimize import linprog

from planner.decide.linear import GrowingProgram, LinearProgram


def drawn(seed, rows=5, columns=9):
    """Costs, a table of shares and rooms; nothing at all is always an answer."""
    draw = random.Random(seed)
    table = np.array(
        [[draw.randint(0, 5) for _ in range(columns)] for _ in range(rows)]
    )
    cost = -np.array([draw.randint(1, 9) for _ in range(columns)], dtype=float)
    table[0] += 1
    return cost, table.astype(float), [float(draw.randint(3, 20)) for _ in range(rows)]


def add(program, cost, table, n):
    """Add a column of a table."""
    program.add(float(cost[n]), list(enumerate(table[:, n].tolist())))


class TestGrowing:
    @pytest.mark.parametrize("seed", range(6))
    def test_columns_that_come_later_count_as_if_they_had_been_there(self, seed):
        cost, table, rooms = drawn(seed)
        program = GrowingProgram(rooms)
        for n in range(len(cost)):
            add(program, cost, table, n)
            got, worth, values = program.solve()
            held = linprog(cost[: n + 1], A_ub=table[:, : n + 1], b_ub=rooms)
            assert got == pytest.approx(held.fun)
            assert cost[: n + 1] @ values == pytest.approx(got)
            # Prices prove it: rooms at their prices give the same (strong duality).
            assert -worth @ np.array(rooms) == pytest.approx(got)

    @pytest.mark.parametrize("seed", range(6))
    def test_a_closed_column_is_held_at_nothing_until_it_is_opened(self, seed):
        cost, table, rooms = drawn(seed)
        program = GrowingProgram(rooms)
        for n in range(len(cost)):
            add(program, cost, table, n)
        whole = program.solve()[0]
        for closed in ([0, 3], [3, 4, 5], []):
            program.close(closed)
            got, _, values = program.solve()
            most = [0.0 if n in closed else None for n in range(len(cost))]
            held = linprog(
                cost, A_ub=table, b_ub=rooms, bounds=[(0, one) for one in most]
            )
            assert got == pytest.approx(held.fun)
            assert all(values[n] == 0 for n in closed)
        assert got == pytest.approx(whole)

    def test_what_cannot_be_is_no_answer(self):
        program = GrowingProgram([-1.0])
        program.add(1.0, [(0, 1.0)])
        assert program.solve() is None


@pytest.mark.parametrize("seed", range(6))
def test_all_at_once_gives_the_same(seed):
    cost, table, rooms = drawn(seed)
    program = LinearProgram()
    for one in cost:
        program.column(float(one))
    for row, room in zip(table, rooms, strict=True):
        program.row(list(enumerate(row.tolist())), room)
    got, _ = program.prices()
    assert got == pytest.approx(linprog(cost, A_ub=table, b_ub=rooms).fun)
