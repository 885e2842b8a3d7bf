"""Cuts from shares, sockets alone, and households matched to bags.

A cut must never take away what can be wired: on random sites every set of
modes that does have a wiring must satisfy every cut found on that site.
"""

import itertools
import random
import time

import numpy as np
import pytest
from scipy.optimize import linear_sum_assignment

from planner.decide import fewer, plan_so_far
from planner.decide.alone import Sockets
from planner.decide.assign import placements
from planner.decide.blocks import Block
from planner.decide.borrow_pool import offers
from planner.decide.cuts import mode_key
from planner.decide.hookup import fed_by_modes, wire
from planner.decide.instance import build, consumer_of_unit
from planner.decide.one_site import Wiring, cannot
from planner.decide.placed import Placed
from planner.decide.power_check import PowerCheck
from planner.decide.triage import demands
from planner.result import PlanStatus
from planner.scenario import Status, SunCase
from tests import builders as b
from tests.decide_cases import instance, plain_world, planned, some_modes
from tests.test_decide_never_refused import site

SEEDS = range(40)


def there(inst, taken):
    """The same site with the offers taken, and no others."""
    scene = inst.scenario
    return build(scene, demands(scene), loans=taken)


def keeps(cut, modes, taken):
    """Whether modes satisfy a cut."""
    used = sum(cut.weights.get(mode_key(m), 0.0) for m in modes)
    return used <= cut.room + sum(cut.offers.get(i, 0.0) for i in taken)


class TestEnergyCuts:
    def test_nothing_that_can_be_wired_is_cut_off(self):
        wired = cut_off = 0
        for seed in SEEDS:
            draw = random.Random(seed)
            scene = site(draw)
            on_offer = offers(scene)
            inst = build(scene, demands(scene), optional=on_offer)
            check = PowerCheck(inst)
            good = []
            for _ in range(8):
                modes = some_modes(inst, draw)
                taken = frozenset(i for i in sorted(on_offer) if draw.random() < 0.5)
                if any(m.unit_id in on_offer and m.unit_id not in taken for m in modes):
                    continue
                cut = check.new_cut(modes, taken)
                here = there(inst, taken)
                fed = fed_by_modes(here, modes_in(here, modes))
                found = wire(here, fed, ends=time.monotonic() + 20, polish=False)
                cut_off += cut is not None
                if found.hookups is None:
                    continue
                wired += 1
                assert cut is None
                assert not cannot(here, fed, ends=time.monotonic() + 20)
                good.append((modes, taken))
            for known, (modes, taken) in itertools.product(check.cuts, good):
                assert keeps(known, modes, taken)
        assert wired > 20
        assert cut_off > 20

    def test_a_cut_is_broken_by_the_modes_it_was_made_for(self):
        broken = 0
        for seed in SEEDS:
            draw = random.Random(seed)
            inst = instance(site(draw))
            check = PowerCheck(inst)
            for _ in range(6):
                modes = some_modes(inst, draw)
                cut = check.new_cut(modes, frozenset())
                if cut is not None:
                    broken += 1
                    assert not keeps(cut, modes, frozenset())
        assert broken > 20

    def test_two_half_batteries_do_not_make_a_whole_one_for_long(self):
        # 477 Wh of capacity carries 386 Wh; two packs of 240 Wh carry it only
        # in turns, which shares allow and one plug for the window does not.
        packs = tuple(b.battery(id=f"B{n}", name=f"P{n}") for n in (1, 2))
        with plain_world({"U1": 20.0}):
            inst = instance(batteries=packs, panels=())
            (mode, *_) = inst.modes[0]
            assert PowerCheck(inst).new_cut((mode,), frozenset()) is None


def modes_in(inst, modes):
    """The same modes as numbered in another instance."""
    known = {mode_key(m): m for some in inst.modes for m in some}
    return tuple(known[mode_key(m)] for m in modes)


class TestSocketsAlone:
    """810 Wh of a 1,000 Wh pack lie above floor and reserve; 95 % reach 12 V."""

    @pytest.mark.parametrize(("watts", "able"), [(32.0, True), (32.2, False)])
    def test_a_full_battery_must_last_the_period(self, watts, able):
        # 32 W x 24 h / 0.95 = 808 Wh; 32.2 W need 813 Wh.
        cond = b.conditions(window_h=24, sun_case=SunCase.NONE)
        scene = b.scenario(panels=(), conditions=cond)
        with plain_world({}):
            inst = build(scene, ())
        who = consumer_of_unit(inst.units[0], 24)
        ways = np.full((1, 24), watts)
        dc, ac = Sockets(inst).of_batteries(who, ways, Block(0, 24))
        assert bool(dc[0, 0]) is able
        assert not ac[0].any()

    def test_what_comes_in_first_fills_the_battery_and_no_more(self):
        cond = b.conditions(window_h=24, sun_case=SunCase.MEAN)
        scene = b.scenario(conditions=cond)
        with plain_world({}, {p.id: [100.0] * 24 for p in scene.panels}):
            inst = build(scene, ())
        charge = Sockets(inst).charge_wh[0]
        assert (np.diff(charge) >= -1e-9).all()
        assert charge[-1] == pytest.approx(inst.limits[0].full_wh)


class TestFirstBags:
    def test_as_many_households_get_a_bag_as_a_matching_can_serve(self):
        # Against SciPy's assignment solver on random holdings and totals.
        for seed in range(60):
            draw = random.Random(seed)
            kinds = draw.randint(1, 4)
            lines = []
            for home in range(draw.randint(1, 7)):
                mine = draw.sample(range(kinds), draw.randint(1, kinds))
                lines += [
                    b.line(
                        id=f"L{home}.{k}",
                        row=2 + len(lines) + i,
                        household=f"H{home}",
                        volume_l=0.5 + 0.1 * k,
                        quantity=draw.randint(1, 3),
                    )
                    for i, k in enumerate(sorted(mine))
                ]
            inst = instance(lines=tuple(lines))
            totals = [draw.randint(0, good.count) for good in inst.goods]
            counts = {(g, inst.goods[g].slots[0]): n for g, n in enumerate(totals) if n}
            placed = Placed(
                counts=counts, choices=(), stages=(), taken=frozenset(), proven=True
            )
            found = placements(inst, placed)
            home_of = {line.id: line.household for line in lines}
            served = {home_of[p.line_id] for p in found}
            assert sum(p.count for p in found) == sum(totals)
            assert len(served) == most_served(inst, totals)


def most_served(inst, totals):
    """Most households with a bag, one column a bag."""
    bags = [g for g, n in enumerate(totals) for _ in range(n)]
    homes = sorted({p.household for good in inst.goods for p in good.parts})
    if not bags:
        return 0
    may = np.array(
        [
            [any(p.household == home for p in inst.goods[g].parts) for g in bags]
            for home in homes
        ],
        dtype=float,
    )
    rows, columns = linear_sum_assignment(may, maximize=True)
    return int(may[rows, columns].sum())


class TestAlwaysAPlan:
    """20 W x 24 h / 0.95 = 505 Wh: the pack's 810 Wh carry one fridge of two.

    A fridge takes 1.6 L, three half-litre bags.  The search for a wiring is
    made to give up on any unit.
    """

    def plan(self, monkeypatch):
        def gives_up(inst, fed, **limits):
            if fed:
                return Wiring(hookups=None, proven=False)
            return wire(inst, fed, **limits)

        for room in (plan_so_far, fewer):
            monkeypatch.setattr(room, "wire", gives_up)
        units = tuple(
            b.unit(id=f"U{n}", name=f"F{n}", gross_volume_l=2.0) for n in (1, 2)
        )
        cond = b.conditions(window_h=24, sun_case=SunCase.NONE)
        with plain_world({"U1": 20.0, "U2": 20.0}):
            return planned(
                units=units, lines=(b.line(quantity=6),), panels=(), conditions=cond
            )

    def test_what_is_made_do_with_is_proven_where_it_reaches_the_bound(
        self, monkeypatch
    ):
        plan = self.plan(monkeypatch)
        assert [(t.met, t.bound, t.needed) for t in plan.tiers] == [(3, 3, 6)]
        assert plan.status is PlanStatus.PROVEN
        assert len(plan.units_on) == 1

    def test_else_the_bound_stays_beside_it(self, monkeypatch):
        monkeypatch.setattr(fewer, "grow", lambda *_a, **_k: None)
        plan = self.plan(monkeypatch)
        assert [(t.met, t.bound, t.needed) for t in plan.tiers] == [(0, 3, 6)]
        assert plan.status is PlanStatus.UNPROVEN


def test_offers_are_what_can_be_borrowed():
    lent = b.unit(id="U9", availability=b.loan(status=Status.OFFERED))
    assert offers(b.scenario(units=(b.unit(), lent))) == {"U9"}
