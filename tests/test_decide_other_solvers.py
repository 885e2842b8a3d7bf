"""The placement against other solvers.

The rules are written a second time, once with arrays for SciPy's MILP solver
and once for the CP-SAT solver of OR-Tools; tier by tier, each holding what
the tiers before got.
"""

import itertools
import random
from dataclasses import dataclass

import numpy as np
import pytest
from ortools.sat.python import cp_model
from scipy.optimize import Bounds, LinearConstraint, milp

from planner.pipeline import make_plan
from planner.result import PlanStatus
from planner.scenario import StockClass, Supply, Tier, UnitType
from tests import builders as b
from tests.decide_cases import plain_world

HOURS = 6
DC = 0.95


@dataclass(frozen=True)
class Bag:
    """Like bags of one household: what the rules look at, in decilitres."""

    home: str
    tier: str
    count: int
    volume_dl: int
    band: tuple[float, float]
    feed: bool
    locked: bool


@dataclass(frozen=True)
class Fridge:
    """A unit with +/- 2 C around each setting; watts at no and at full fill."""

    room_dl: int
    settings: tuple[float, ...]
    locks: bool
    base_w: int = 0
    fill_w: int = 0


BANDS = ((2.0, 8.0), (2.0, 8.0), (8.0, 15.0), (2.0, 15.0), (-25.0, -10.0))


def draw(seed, *, powered):
    """Draw bags for more room than there is, in bands that few units hold."""
    rng = random.Random(seed)
    goods = [
        Bag(
            home=f"H{rng.randint(1, 6)}",
            tier=rng.choice("ABC"),
            count=rng.randint(1, 4),
            volume_dl=rng.choice((3, 5, 8)),
            band=rng.choice(BANDS),
            feed=rng.random() < 0.4,
            locked=rng.random() < 0.2,
        )
        for _ in range(rng.randint(8, 14))
    ]
    fridges = [
        Fridge(
            room_dl=rng.choice((20, 40, 60)),
            settings=rng.choice(((5.0,), (5.0, 11.0), (11.0, -18.0), (5.0, -18.0))),
            locks=rng.random() < 0.5,
            base_w=rng.choice((4, 8)) if powered else 0,
            fill_w=rng.choice((4, 12)) if powered else 0,
        )
        for _ in range(rng.randint(3, 4))
    ]
    return goods, fridges


def ways(fridges):
    """Every way to run each unit: unit, setting, class, fill, watts."""
    found = []
    for u, fridge in enumerate(fridges):
        fills = (0.25, 0.5, 0.75, 1.0) if fridge.base_w else (1.0,)
        for set_c, feed, fill in itertools.product(
            fridge.settings, (False, True), fills
        ):
            watts = fridge.base_w + fill * fridge.fill_w
            found.append((u, set_c, feed, fill, watts))
    return found


def may(bag, fridge, set_c, feed):
    """Band, class and lock of one bag at one setting."""
    low_c, high_c = bag.band
    inside = set_c - 2.0 >= low_c and set_c + 2.0 <= high_c
    return inside and bag.feed is feed and (fridge.locks or not bag.locked)


class Arrays:
    """The rules as rows over bags by way, ways switched on, homes served."""

    def __init__(self, goods, fridges):
        self.goods, self.fridges = goods, fridges
        self.runs = ways(fridges)
        self.homes = sorted({(bag.tier, bag.home) for bag in goods})
        self.first_run = len(goods) * len(self.runs)
        self.first_home = self.first_run + len(self.runs)
        self.size = self.first_home + len(self.homes)
        self.rows, self.lows, self.tops = [], [], []

    def bags_of(self, g):
        return slice(g * len(self.runs), (g + 1) * len(self.runs))

    def add(self, row, low, top):
        self.rows.append(row)
        self.lows.append(low)
        self.tops.append(top)

    def zeros(self):
        return np.zeros(self.size)

    def add_rules(self):
        for g, bag in enumerate(self.goods):
            row = self.zeros()
            row[self.bags_of(g)] = 1
            self.add(row, 0, bag.count)
        for u in range(len(self.fridges)):
            row = self.zeros()
            for r, run in enumerate(self.runs):
                row[self.first_run + r] = run[0] == u
            self.add(row, 0, 1)
        for r, (u, _, _, fill, _) in enumerate(self.runs):
            row = self.zeros()
            for g, bag in enumerate(self.goods):
                row[g * len(self.runs) + r] = bag.volume_dl
            row[self.first_run + r] = -fill * self.fridges[u].room_dl
            self.add(row, -np.inf, 0)
        for h, home in enumerate(self.homes):
            row = self.zeros()
            row[self.first_home + h] = 1
            for g, bag in enumerate(self.goods):
                if (bag.tier, bag.home) == home:
                    row[self.bags_of(g)] = -1
            self.add(row, -np.inf, 0)

    def add_energy(self, energy_wh):
        row = self.zeros()
        drawn_wh = [run[4] * HOURS / DC for run in self.runs]
        row[self.first_run : self.first_home] = drawn_wh
        self.add(row, 0, energy_wh)

    def top(self):
        """Upper bounds: none where a bag may not go."""
        top = np.ones(self.size)
        for g, bag in enumerate(self.goods):
            top[self.bags_of(g)] = [
                bag.count if may(bag, self.fridges[u], set_c, feed) else 0
                for u, set_c, feed, _, _ in self.runs
            ]
        return top

    def goals(self, tier):
        of_homes, of_bags = self.zeros(), self.zeros()
        for h, (at, _) in enumerate(self.homes):
            of_homes[self.first_home + h] = at == tier
        for g, bag in enumerate(self.goods):
            of_bags[self.bags_of(g)] = bag.tier == tier
        return of_homes, of_bags


def by_scipy(goods, fridges, energy_wh=None):
    """Households and bags met, tier by tier, by SciPy's solver."""
    arrays = Arrays(goods, fridges)
    arrays.add_rules()
    if energy_wh is not None:
        arrays.add_energy(energy_wh)
    found = []
    for goal in (goal for tier in "ABC" for goal in arrays.goals(tier)):
        answer = milp(
            -goal,
            constraints=LinearConstraint(
                np.array(arrays.rows), arrays.lows, arrays.tops
            ),
            integrality=np.ones(arrays.size),
            bounds=Bounds(0, arrays.top()),
        )
        assert answer.status == 0
        found.append(round(-answer.fun))
        arrays.add(goal, found[-1], np.inf)
    return tuple(found)


def by_cp_sat(goods, fridges, energy_wh=None):
    """Households and bags met, tier by tier, by CP-SAT; whole numbers only."""
    model = cp_model.CpModel()
    runs = ways(fridges)
    on = [model.new_bool_var(f"on{r}") for r in range(len(runs))]
    put = {
        (g, r): model.new_int_var(0, bag.count, f"put{g}_{r}")
        for g, bag in enumerate(goods)
        for r, (u, set_c, feed, _, _) in enumerate(runs)
        if may(bag, fridges[u], set_c, feed)
    }
    for u in range(len(fridges)):
        model.add_at_most_one(on[r] for r, run in enumerate(runs) if run[0] == u)
    for g, bag in enumerate(goods):
        model.add(sum(v for (i, _), v in put.items() if i == g) <= bag.count)
    for r, (u, _, _, fill, _) in enumerate(runs):
        # quarters of decilitres
        inside = sum(4 * goods[g].volume_dl * v for (g, i), v in put.items() if i == r)
        model.add(inside <= round(4 * fill) * fridges[u].room_dl * on[r])
    if energy_wh is not None:
        drawn = sum(round(run[4] * HOURS * 100) * on[r] for r, run in enumerate(runs))
        model.add(drawn <= int(energy_wh * DC * 100))
    found = []
    for tier in "ABC":
        mine = [v for (g, _), v in put.items() if goods[g].tier == tier]
        homes = []
        for home in sorted({bag.home for bag in goods if bag.tier == tier}):
            served = model.new_bool_var(f"{tier}{home}")
            theirs = [
                v
                for (g, _), v in put.items()
                if (goods[g].tier, goods[g].home) == (tier, home)
            ]
            model.add(served <= sum(theirs))
            homes.append(served)
        for goal in (sum(homes), sum(mine)):
            solver = cp_model.CpSolver()
            solver.parameters.num_workers = 1
            model.maximize(goal)
            assert solver.solve(model) == cp_model.OPTIMAL
            found.append(round(solver.objective_value))
            model.add(goal >= found[-1])
    return tuple(found)


def by_planner(goods, fridges, energy_wh=None):
    """The same numbers from a plan."""
    kind = UnitType.ELSEWHERE if energy_wh is None else UnitType.COMPRESSOR
    units = tuple(
        b.unit(
            id=f"U{u}",
            name=f"Unit {u}",
            kind=kind,
            gross_volume_l=fridge.room_dl / 5,
            usable_share=0.5,
            set_points_c=fridge.settings,
            rated_wh_day=24.0,
            lockable=fridge.locks,
            supply=Supply.DC,
        )
        for u, fridge in enumerate(fridges)
    )
    lines = tuple(
        b.line(
            id=f"L{g:02}",
            row=g + 2,
            code=f"K{g}",
            household=bag.home,
            tier_given=Tier(bag.tier),
            quantity=bag.count,
            volume_l=bag.volume_dl / 10,
            keep_from_c=bag.band[0],
            keep_to_c=bag.band[1],
            never_freeze=False,
            stock_class=StockClass.FEED if bag.feed else StockClass.MEDICINE,
            locked=bag.locked,
        )
        for g, bag in enumerate(goods)
    )
    # 81 % of the capacity lie above floor and reserve
    capacity_wh = 1.0 if energy_wh is None else energy_wh / 0.81
    battery = b.battery(capacity_wh=capacity_wh, ports_12v=9, max_out_w=9000.0)
    loads = {
        f"U{u}": lambda fill, one=fridge: one.base_w + fill * one.fill_w
        for u, fridge in enumerate(fridges)
    }
    with plain_world(loads):
        plan = make_plan(
            b.scenario(units=units, lines=lines, batteries=(battery,), panels=()),
            borrow=False,
        )
    assert plan.status is PlanStatus.PROVEN
    found = {t.tier.value: (t.households_met, t.met) for t in plan.tiers}
    return tuple(n for tier in "ABC" for n in found.get(tier, (0, 0)))


@pytest.mark.parametrize("seed", range(10))
def test_placement_without_power(seed):
    goods, fridges = draw(seed, powered=False)
    found = by_planner(goods, fridges)
    assert found == by_scipy(goods, fridges)
    assert found == by_cp_sat(goods, fridges)


@pytest.mark.parametrize("seed", range(10))
def test_placement_with_one_pool_of_energy(seed):
    # One battery with sockets enough: the pool is the whole power question.
    goods, fridges = draw(100 + seed, powered=True)
    full_w = sum(one.base_w + one.fill_w for one in fridges)
    # Scarce, and half a watt-hour off every whole sum of loads.
    energy_wh = (round(0.5 * full_w * HOURS) + 0.5) / DC
    found = by_planner(goods, fridges, energy_wh)
    assert found == by_scipy(goods, fridges, energy_wh)
    assert found == by_cp_sat(goods, fridges, energy_wh)
    plenty = by_planner(goods, fridges, 10 * energy_wh)
    assert plenty >= found
