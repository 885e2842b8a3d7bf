"""The placement on published packing instances, and as a matching.

Items are bags and bins are units that need no power.  The planner places
bags by tier and by count, so an item's value other than "one more item" has
no counterpart here; nor has the generalised assignment problem, because a
bag takes the same litres wherever it stands.  What is compared is the number
of items, with the published value checked by another solver beside it.
"""

import random

import pytest
from ortools.sat.python import cp_model
from scipy.sparse import csr_array
from scipy.sparse.csgraph import maximum_bipartite_matching

from planner.pipeline import make_plan
from planner.result import PlanStatus
from planner.scenario import Tier, UnitType
from tests import builders as b
from tests.decide_cases import bags


def packed(weights, capacities):
    """Plan of items of these sizes in units of these capacities."""
    units = tuple(
        b.unit(
            id=f"U{u:02}",
            name=f"Unit {u}",
            kind=UnitType.ELSEWHERE,
            gross_volume_l=capacity / 5,
            usable_share=0.5,
            set_points_c=(5.0,),
        )
        for u, capacity in enumerate(capacities)
    )
    lines = tuple(
        b.line(
            id=f"L{i:02}",
            row=i + 2,
            code=f"K{i}",
            household=f"H{i:02}",
            quantity=1,
            volume_l=w / 10,
        )
        for i, w in enumerate(weights)
    )
    plan = make_plan(
        b.scenario(units=units, lines=lines, batteries=(), panels=()), borrow=False
    )
    assert plan.status is PlanStatus.PROVEN
    return plan


def knapsacks(weights, values, capacities):
    """Greatest packed value by CP-SAT."""
    model = cp_model.CpModel()
    items, bins = range(len(weights)), range(len(capacities))
    put = {(i, k): model.new_bool_var(f"{i}_{k}") for i in items for k in bins}
    for i in items:
        model.add_at_most_one(put[i, k] for k in bins)
    for k in bins:
        model.add(sum(weights[i] * put[i, k] for i in items) <= capacities[k])
    model.maximize(sum(values[i] * v for (i, _), v in put.items()))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return round(solver.objective_value)


class TestPublishedPackings:
    # OR-Tools documentation, "Solving a Multiple Knapsacks Problem"
    # (developers.google.com/optimization/pack/multiple_knapsack): 15 items,
    # five bins of 100, greatest packed value 395.
    WEIGHTS = (48, 30, 42, 36, 36, 48, 42, 42, 36, 24, 30, 30, 42, 36, 36)
    VALUES = (10, 30, 25, 50, 35, 30, 15, 40, 30, 35, 45, 10, 20, 30, 25)
    BEST_VALUE = 395

    def test_multiple_knapsacks(self):
        # The other solver reaches the published value on these numbers, and
        # with every item worth the same as many items as the planner.
        # A bin of three items needs the one of 24 or two of the three of 30:
        # two bins hold three items, the others two, so no more than 12.
        room = (100,) * 5
        assert knapsacks(self.WEIGHTS, self.VALUES, room) == self.BEST_VALUE
        most = knapsacks(self.WEIGHTS, (1,) * 15, room)
        assert bags(packed(self.WEIGHTS, room)) == most == 12

    def test_fewer_and_unequal_knapsacks(self):
        for room in ((100,) * 4, (100,) * 2, (100, 70, 50, 30), (47, 35, 23)):
            most = knapsacks(self.WEIGHTS, (1,) * 15, room)
            assert bags(packed(self.WEIGHTS, room)) == most

    # Martello and Toth, Knapsack Problems (1990), routine MTM, as in the
    # published test output of its Fortran library: knapsacks of 70 and 127,
    # greatest profit 333 with items 1 and 4, and 2, 3 and 7.
    MTM_WEIGHTS = (23, 31, 29, 44, 53, 38, 63, 85, 89, 82)
    MTM_PROFITS = (92, 57, 49, 68, 60, 43, 67, 84, 87, 72)

    def test_two_knapsacks_of_different_size(self):
        published = (1, 4, 2, 3, 7)
        assert sum(self.MTM_PROFITS[i - 1] for i in published) == 333
        assert knapsacks(self.MTM_WEIGHTS, self.MTM_PROFITS, (70, 127)) == 333
        # Five items; the six lightest weigh 218 and the knapsacks hold 197.
        assert sum(sorted(self.MTM_WEIGHTS)[:6]) > 70 + 127
        assert bags(packed(self.MTM_WEIGHTS, (70, 127))) == len(published)

    # OR-Tools documentation, "The Bin Packing Problem"
    # (developers.google.com/optimization/pack/bin_packing): 11 items, bins of
    # 100, four bins are the fewest.
    BIN_WEIGHTS = (48, 30, 19, 36, 36, 27, 42, 42, 36, 24, 30)

    def test_bin_packing_in_the_fewest_bins(self):
        assert bags(packed(self.BIN_WEIGHTS, (100,) * 4)) == 11
        assert bags(packed(self.BIN_WEIGHTS, (100,) * 3)) < 11
        # With a unit for each item, no more than four are switched on.
        plan = packed(self.BIN_WEIGHTS, (100,) * 11)
        assert (bags(plan), len(plan.units_on)) == (11, 4)

    def test_bin_packing_where_the_volume_alone_would_mislead(self):
        # Martello and Toth, routine MTP (bins of 100; from memory: four bins).
        # The items fill exactly three bins by volume, but not one by one.
        weights = (70, 60, 50, 33, 33, 33, 11, 7, 3)
        assert sum(weights) == 300
        assert bags(packed(weights, (100,) * 4)) == 9
        assert bags(packed(weights, (100,) * 3)) == 8


def matching(lines, units, reach):
    """Size of a maximum matching by SciPy's augmenting paths."""
    if not lines:
        return 0
    graph = csr_array([[int(reach[i, u]) for u in units] for i in lines])
    return int((maximum_bipartite_matching(graph, perm_type="column") >= 0).sum())


@pytest.mark.parametrize("seed", range(8))
def test_one_bag_a_unit_is_a_matching_tier_by_tier(seed):
    """Each unit takes one bag and stands where only some residents reach.

    Sets of bags that can all be placed form a transversal matroid, so tier
    by tier the planner must reach the largest matching of all tiers so far
    (D. Gale, Optimal assignments in an ordered set, 1968).
    """
    rng = random.Random(seed)
    units, lines = range(6), range(9)
    reach = {(i, u): rng.random() < 0.25 for i in lines for u in units}
    tier = [rng.choice("ABC") for _ in lines]
    rooms = tuple(b.place(name=f"Room {i}", reached_from=()) for i in lines)
    halls = tuple(
        b.place(
            name=f"Hall {u}",
            reached_from=tuple(f"Room {i}" for i in lines if reach[i, u]),
        )
        for u in units
    )
    plan = make_plan(
        b.scenario(
            places=rooms + halls,
            lines=tuple(
                b.line(
                    id=f"L{i}",
                    row=i + 2,
                    code=f"K{i}",
                    household=f"H{i}",
                    place=f"Room {i}",
                    quantity=1,
                    volume_l=0.7,
                    tier_given=Tier(tier[i]),
                )
                for i in lines
            ),
            units=tuple(
                b.unit(
                    id=f"U{u}",
                    name=f"Unit {u}",
                    place=f"Hall {u}",
                    kind=UnitType.ELSEWHERE,
                    gross_volume_l=2.0,
                    usable_share=0.5,
                    set_points_c=(5.0,),
                )
                for u in units
            ),
            batteries=(),
            panels=(),
        ),
        borrow=False,
    )
    met = {t.tier.value: t.met for t in plan.tiers}
    for upto in ("A", "AB", "ABC"):
        mine = [i for i in lines if tier[i] in upto]
        assert sum(met.get(t, 0) for t in upto) == matching(mine, units, reach)
