"""Whole schedules of batteries: exact for one, and never against the plug model.

The best schedule of a battery is held to a search over all of them; what is
said of a whole site to the exact model of plugs, which shares none of it.
"""

import itertools
import math
import operator
import random
import time
from dataclasses import replace

import numpy as np
import pytest

from planner.decide.blocks import rota_levels
from planner.decide.board import Board
from planner.decide.carriers import Carriers
from planner.decide.carry import Carrier
from planner.decide.conflict import with_twins
from planner.decide.cuts import Cut
from planner.decide.hookup import fed_by_modes
from planner.decide.instance import Fed, consumer_of_unit
from planner.decide.ladder import best_supply
from planner.decide.mixed import alike_panels
from planner.decide.narrow import SOURCE, Halves, Narrow, Shared, halves
from planner.decide.one_site import _solve
from planner.decide.power_check import PowerCheck
from planner.decide.simulate import thin_hours
from planner.decide.solver import Answer
from planner.decide.supplies import Supply
from planner.scenario import SunCase
from tests import builders as b
from tests.decide_cases import instance, plain_world, some_modes
from tests.test_decide_never_refused import site
from tests.test_decide_trial import SEEDS, one_place

WORK = 5_000_000
THREE_PARTS = b.conditions(
    start=b.START.replace(hour=0),
    window_h=36,
    swap_hours=(0, 12),
    sun_case=SunCase.NONE,
)


def drawn_places():
    """Every place of the drawn sites, with what is to be fed there."""
    for seed in SEEDS:
        draw = random.Random(seed)
        inst = instance(site(draw))
        fed = fed_by_modes(inst, some_modes(inst, draw))
        for place in one_place(inst, fed):
            yield draw, place.instance, place.fed, rota_levels(place.instance)[-1]


class TestOneBattery:
    def test_no_schedule_is_worth_more_than_the_best(self):
        looked = 0
        for draw, inst, fed, periods in drawn_places():
            board = Board(inst, fed, periods)
            kinds = tuple((p,) for p in range(len(inst.panels)))
            for n in range(len(inst.batteries)):
                carrier = Carrier(board, n, kinds)
                if math.prod(len(some) for some in carrier.plugs) > 400:
                    continue
                worth = [draw.choice((0.0, 0.5, 1.0, 2.0)) for _ in board.tasks]
                earned = carrier.earned(worth)
                for supply in carrier.supplies.number:
                    most = by_hand(carrier, supply, worth)
                    past = carrier.before(supply, earned)
                    found = carrier.best(supply, earned, past)
                    assert most == pytest.approx(found.worth if found else 0.0)
                    # Asked for more than that there is none.
                    assert carrier.best(supply, earned, past, most) is None
                    looked += most > 0
        assert looked > 30

    @pytest.mark.parametrize("seed", range(4))
    def test_the_supply_that_gains_most_is_found_without_trying_all(self, seed):
        draw = random.Random(seed)
        sun = [draw.choice((40.0, 70.0, 120.0)) for _ in range(5)]
        day = {f"P{i}": [0.0] * 8 + [w] * 8 + [0.0] * 20 for i, w in enumerate(sun)}
        with plain_world({"U1": 45.0}, day):
            inst = instance(
                units=(b.unit(),),
                batteries=(b.battery(charge_now=0.1, solar_input_max_w=300.0),),
                panels=tuple(b.panel(id=i) for i in day),
                conditions=replace(THREE_PARTS, sun_case=SunCase.MEAN),
            )
        carrier = Carrier(
            Board(inst, (fed_of(inst, 45.0),), rota_levels(inst)[-1]),
            0,
            alike_panels(inst),
        )
        looked = 0
        for _ in range(30):
            prices = [draw.choice((0.0, 0.1, 0.3)) for _ in carrier.supplies.kinds]

            def price_of(supply, prices=prices):
                return sum(map(operator.mul, supply.panels, prices))

            earned = carrier.earned([draw.choice((0.2, 0.6, 1.0)) for _ in range(3)])
            (ladder,) = carrier.supplies.ladders
            asked = np.array([price_of(supply) for supply in ladder.supplies])
            gains = [0.0]
            for supply in carrier.supplies.number:
                past = carrier.before(supply, earned)
                best = carrier.best(supply, earned, past)
                gains += [best.worth - price_of(supply)] if best else []
            most = max(gains)
            found = best_supply(carrier, ladder, earned, asked, 0.0)
            assert (found is not None) is (most > 1e-9)
            if found is not None:
                supply, schedule, price = found
                assert price == price_of(supply)
                assert schedule.worth - price == pytest.approx(most)
            # Asked for more than that there is none, nor of what is left out.
            assert best_supply(carrier, ladder, earned, asked, most) is None
            none = np.full(len(asked), np.inf)
            assert best_supply(carrier, ladder, earned, none, 0.0) is None
            looked += len(set(gains)) > 2
        assert looked > 10

    def test_a_supply_left_out_gives_no_more_than_a_smaller_one(self):
        """A 200 W panel on a 150 W input: the second one adds nothing at noon,

        so of two equal panels that shine at noon alone only one is a supply.
        """
        sun_w = [0.0] * 12 + [200.0] * 2 + [0.0] * 22
        with plain_world({"U1": 20.0}, {"P1": sun_w, "P2": sun_w}):
            inst = instance(
                units=(b.unit(),),
                batteries=(b.battery(),),
                panels=(b.panel(id="P1"), b.panel(id="P2")),
                conditions=b.conditions(
                    start=b.START.replace(hour=0), window_h=36, sun_case=SunCase.MEAN
                ),
            )
        fed = (fed_of(inst, 20.0),)
        carrier = Carrier(Board(inst, fed, rota_levels(inst)[-1]), 0, ((0, 1),))
        assert [s.panels for s in carrier.supplies.number] == [(0,), (1,)]
        (ladder,) = carrier.supplies.ladders
        assert ladder.panels.tolist() == [[0], [1]]
        assert [list(ladder.near(i)) for i in (0, 1)] == [[1], [0]]


def by_hand(carrier, supply, worth):
    """Worth of the best schedule, by trying all of them."""
    board = carrier.board
    panels = tuple(
        p
        for kind, n in zip(carrier.supplies.kinds, supply.panels, strict=True)
        for p in [q for q in kind if carrier.battery in board.panel_choices[q]][:n]
    )
    most = 0.0
    for some in itertools.product(*carrier.plugs):
        on = [bits for bits, _ in some]
        short = board.packs.missing_wh(carrier.battery, panels, supply.charger, on)
        if short <= 1e-6:
            most = max(most, sum(worth[t] for _, tasks in some for t in tasks))
    return most


def fed_of(inst, load_w, unit=0):
    who = consumer_of_unit(inst.units[unit], inst.hours)
    return Fed(consumer=who, load_w=np.full(inst.hours, load_w))


class TestSite:
    @pytest.mark.parametrize(("share", "holds"), [(1.5, False), (2.01, True)])
    def test_one_and_a_half_nights_are_one(self, share, holds):
        """Three nights, two packs: with one night and a half each, two are fed.

        In shares of plugs 1.5 + 1.5 = 3 nights could be; with two nights in each
        pack all three are.
        """
        packs = tuple(b.battery(id=f"B{n}", name=f"P{n}") for n in (1, 2))
        with plain_world({"U1": 30.0}):
            inst = instance(batteries=packs, panels=(), conditions=THREE_PARTS)
        limits = inst.limits[0]
        spare_wh = limits.start_wh - limits.floor_wh - limits.reserve_wh
        fed = (fed_of(inst, spare_wh * limits.dc_efficiency / 12 / share),)
        periods = rota_levels(inst)[-1]
        assert [p.hours for p in periods] == [12, 12, 12]
        seen = Carriers(inst, fed, periods).look(WORK, math.inf)
        assert (seen.hookups is not None) is holds
        assert (seen.answer is Answer.INFEASIBLE) is not holds

    def test_shares_of_plugs_do_not_see_it(self):
        """The same three nights: the cut in shares finds nothing missing."""
        packs = tuple(b.battery(id=f"B{n}", name=f"P{n}") for n in (1, 2))
        with plain_world({"U1": 30.0}):
            inst = instance(batteries=packs, panels=(), conditions=THREE_PARTS)
            limits = inst.limits[0]
        spare_wh = limits.start_wh - limits.floor_wh - limits.reserve_wh
        load_w = 0.99 * spare_wh * limits.dc_efficiency / 12 / 1.5
        with plain_world({"U1": load_w}):
            inst = instance(batteries=packs, panels=(), conditions=THREE_PARTS)
        modes = tuple(mine[0] for mine in inst.modes)
        assert PowerCheck(inst).new_cut(modes, frozenset()) is None
        fed = fed_by_modes(inst, modes)
        seen = Carriers(inst, fed, rota_levels(inst)[-1]).look(WORK, math.inf)
        assert seen.answer is Answer.INFEASIBLE

    def test_the_exact_model_never_says_otherwise(self):
        none = some = unknown = 0
        for _, inst, fed, periods in drawn_places():
            carriers = Carriers(inst, fed, periods)
            seen = carriers.look(WORK, math.inf)
            if seen.answer is Answer.FEASIBLE and seen.hookups is None:
                # In two goes: the second one goes on from the first.
                seen = carriers.halve(1)
                if seen.answer is Answer.UNKNOWN:
                    seen = carriers.halve(200)
            hookups = seen.hookups
            ends = time.monotonic() + 20
            exact = _solve(inst, fed, periods, ends=ends, polish=False)
            if seen.answer is Answer.INFEASIBLE:
                assert exact.hookups is None
                none += 1
            elif hookups is not None:
                assert thin_hours(inst, fed, hookups) == ()
                assert not exact.proven or exact.hookups is not None
                some += 1
            else:
                unknown += 1
        assert none > 5
        assert some > 10
        assert unknown <= (none + some) / 10

    def test_the_same_input_gives_the_same_answer(self):
        inst = instance(b.scenario())
        fed = fed_by_modes(inst, tuple(mine[0] for mine in inst.modes))
        periods = rota_levels(inst)[-1]
        one, two = (Carriers(inst, fed, periods).look(WORK, math.inf) for _ in (1, 2))
        assert one == two
        assert one.hookups

    def test_a_site_with_too_many_ways_is_left_alone(self):
        """Thirteen unlike panels: 8,192 ways to share them out to one battery."""
        panels = tuple(
            b.panel(id=f"P{n:02}", name=f"Panel {n}", rated_w=50.0 + n)
            for n in range(13)
        )
        inst = instance(panels=panels, conditions=b.conditions(sun_case=SunCase.MEAN))
        fed = fed_by_modes(inst, tuple(mine[0] for mine in inst.modes))
        seen = Carriers(inst, fed, rota_levels(inst)[-1]).look(WORK, math.inf)
        assert seen.answer is Answer.UNKNOWN


class TestHalving:
    def test_it_finds_what_there_is_and_rules_out_the_rest(self):
        """Only looked into by halves, without a look at whole ones first."""
        none = some = 0
        for _, inst, fed, periods in drawn_places():
            carriers = Carriers(inst, fed, periods)
            seen = carriers.halve(300)
            ends = time.monotonic() + 20
            exact = _solve(inst, fed, periods, ends=ends, polish=False)
            if seen.answer is Answer.INFEASIBLE:
                assert exact.hookups is None
                none += 1
            elif seen.hookups is not None:
                assert thin_hours(inst, fed, seen.hookups) == ()
                assert not exact.proven or exact.hookups is not None
                some += 1
        assert none > 5
        assert some > 10

    def test_a_task_is_done_by_one_or_by_another(self):
        """Battery 1 does three quarters of task 0: it does it, or it does not."""
        shared = Shared(
            tasks={(0, 1): 0.75, (0, SOURCE): 0.25, (1, 1): 1.0},
            panels={(1, 0): 1.5},
            chargers={(1, -1): 1.0},
        )
        able = {0: {SOURCE, 1, 2}, 1: {1}}
        so, not_so = halves(Narrow(), shared, able)
        assert so.allows(1, None, 1)
        assert not so.allows(2, None, 1)
        assert not so.allows(SOURCE, None, 1)
        assert not not_so.allows(1, None, 1)
        assert not_so.allows(2, None, 1)

    def test_then_panels_are_more_or_fewer_and_a_charger_is_in_or_not(self):
        shared = Shared(tasks={(0, 1): 1.0}, panels={(1, 0): 1.5}, chargers={})
        more, fewer = halves(Narrow(), shared, {0: {1}})
        for n in range(4):
            supply = Supply(panels=(n,), charger=-1)
            assert more.allows(1, supply, 0) is (n >= 2)
            assert fewer.allows(1, supply, 0) is (n <= 1)
            assert more.allows(0, supply, 0)
        shared = Shared(tasks={}, panels={}, chargers={(1, -1): 0.4, (1, 0): 0.6})
        charged, bare = halves(Narrow(), shared, {})
        for charger in (-1, 0):
            supply = Supply(panels=(0,), charger=charger)
            assert charged.allows(1, supply, 0) is (charger == 0)
            assert bare.allows(1, supply, 0) is (charger == -1)

    def test_what_is_whole_leaves_nothing_open(self):
        shared = Shared(
            tasks={(0, 1): 1.0}, panels={(1, 0): 2.0}, chargers={(1, 0): 1.0}
        )
        assert halves(Narrow(), shared, {0: {1}}) is None

    def test_every_part_is_looked_at_once_the_likely_ones_first(self):
        """A tree of three levels has eight ends; the first went against nothing."""
        left, ends = Halves(), []
        while (half := left.take()) is not None:
            if half.depth == 3:
                ends.append(half.against)
            else:
                left.put(half, (Narrow(), Narrow()))
        assert left.done
        assert len(ends) == 8
        assert ends[0] == 0
        assert sorted(ends) == [0, 1, 1, 1, 2, 2, 2, 3]
        assert left.take() is None


class TestTwins:
    def test_a_cut_holds_for_every_unit_that_is_no_easier_to_feed(self):
        """U1 and its twin U2 draw 40 W, U3 draws 30 W: a cut on U1 holds for U2."""
        units = tuple(b.unit(id=f"U{n}", name=f"F{n}") for n in (1, 2, 3))
        with plain_world({"U1": 40.0, "U2": 40.0, "U3": 30.0}):
            inst = instance(units=units, panels=())
        cut = Cut(modes=(inst.modes[0][0],), absent=frozenset())
        held = {c.modes[0].unit_id for c in with_twins(inst, cut)}
        assert held == {"U1", "U2"}
        light = Cut(modes=(inst.modes[2][0],), absent=frozenset())
        held = {c.modes[0].unit_id for c in with_twins(inst, light)}
        assert held == {"U1", "U2", "U3"}

    def test_no_unit_stands_for_two(self):
        units = tuple(b.unit(id=f"U{n}", name=f"F{n}") for n in (1, 2, 3))
        inst = instance(units=units)
        modes = tuple(mine[0] for mine in inst.modes[:2])
        cuts = with_twins(inst, Cut(modes=modes, absent=frozenset()))
        pairs = {tuple(sorted(m.unit_id for m in c.modes)) for c in cuts}
        assert pairs == {("U1", "U2"), ("U1", "U3"), ("U2", "U3")}
        assert len(cuts) == len(pairs)

    def test_a_unit_in_another_place_is_no_twin(self):
        places = (b.place(name="Hall"), b.place(name="Annex"))
        units = (b.unit(id="U1", name="F1"), b.unit(id="U2", name="F2", place="Annex"))
        inst = instance(units=units, places=places)
        cut = Cut(modes=(inst.modes[0][0],), absent=frozenset())
        assert with_twins(inst, cut) == (cut,)
