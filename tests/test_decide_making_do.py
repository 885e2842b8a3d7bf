"""Making do: short tiers served again, and what was looked for in vain."""

import math
import time

import numpy as np
import pytest

from planner.decide import hookup, plan_so_far
from planner.decide.fewer import Budgets
from planner.decide.hookup import fed_by_modes, wire
from planner.decide.instance import Fed, consumer_of_unit
from planner.decide.one_site import Wiring
from planner.decide.placed import nothing_placed
from planner.decide.power_check import PowerCheck
from planner.decide.serving import Serving
from planner.decide.stage_values import StageValue, at_bound, got
from planner.scenario import Tier
from tests import builders as b
from tests.decide_cases import instance


def search_with(inst, wired, wired_for, met):
    """A search at its end: tier A has got ``met`` of two bags so far."""
    now = time.monotonic() + 60
    search = Serving(
        instance=inst,
        cuts=[],
        ends=now,
        soft_end=now,
        grow_end=now,
        tell=lambda _: None,
        check=PowerCheck(inst),
        level=False,
    )
    search.stages = [
        StageValue(
            tier=Tier.A,
            surplus=False,
            needed=2,
            met=met,
            bound=2,
            households=1,
            households_met=min(met, 1),
            household_bound=1,
            lateness=None,
        )
    ]
    search.wired, search.wired_for = wired, [wired_for]
    search.placed = nothing_placed()
    return search


class TestServedAgain:
    """The default scenario: two bags of one household, one fridge."""

    def fed(self):
        inst = instance(b.scenario())
        assert [g.tier for g in inst.goods] == [Tier.A]
        assert sum(g.count for g in inst.goods) == 2
        return inst, fed_by_modes(inst, tuple(mine[-1] for mine in inst.modes))

    def test_a_wiring_made_later_serves_a_tier_that_fell_short(self):
        inst, fed = self.fed()
        search = search_with(inst, fed, (), met=1)
        search._finish()
        assert got(search.stages[0]) == (1, 2)
        assert (search.stages[0].household_bound, search.stages[0].bound) == (1, 2)
        assert search.placed is not None
        assert sum(search.placed.counts.values()) == 2

    def test_nothing_is_asked_where_the_wiring_is_the_same(self):
        inst, fed = self.fed()
        search = search_with(inst, fed, fed, met=1)
        search._finish()
        assert got(search.stages[0]) == (1, 1)

    def test_what_would_serve_less_is_not_taken(self):
        inst, fed = self.fed()
        search = search_with(inst, (), fed, met=1)
        search._finish()
        assert got(search.stages[0]) == (1, 1)


class TestBudgets:
    """A place that took 10 kWh in vain, after 4 kWh that held."""

    def lowered(self, missing_wh, share, held_kwh=4.0):
        budgets = Budgets(held={"Hall": held_kwh})
        who = consumer_of_unit(b.unit(), 10)
        fed = (Fed(consumer=who, load_w=np.full(10, 1000.0)),)
        lacks = Wiring(hookups=None, proven=False, missing={"Hall": missing_wh})
        budgets.lower(fed, lacks, at_least=share)
        return budgets

    @pytest.mark.parametrize(
        ("missing_wh", "share", "asked_kwh"),
        [
            (500.0, 0.01, 9.5),  # what was missing
            (500.0, 0.08, 9.2),  # more, once it failed some times
            (7000.0, 0.01, 7.0),  # below what held: half way to it
        ],
    )
    def test_less_is_asked_for(self, missing_wh, share, asked_kwh):
        budgets = self.lowered(missing_wh, share)
        assert budgets.now == {"Hall": pytest.approx(asked_kwh)}

    def test_what_gained_nothing_counts_as_held(self):
        budgets = self.lowered(2000.0, 0.01)
        assert budgets.now == {"Hall": pytest.approx(8.0)}
        assert budgets.more()
        assert budgets.now == {"Hall": pytest.approx(9.0)}

    def test_there_is_an_end_to_asking(self):
        budgets = self.lowered(100.0, 0.001, held_kwh=9.95)
        assert not budgets.more()


class TestOtherWays:
    """Two fridges that could each hold both bags; one draws a little more."""

    LIGHT, HEAVY = "U1", "U2"

    def served(self, monkeypatch, unseen):
        """Tier A where no wiring of the ``unseen`` units is found, nor ruled out."""
        scene = b.scenario(
            units=(b.unit(), b.unit(id=self.HEAVY, name="Two", rated_wh_day=260.0))
        )
        inst = instance(scene)
        looks = []

        def half_blind(inst, fed, **how):
            ids = {f.consumer.id for f in fed}
            looks.append((ids, how["quick"]))
            if ids & unseen:
                return Wiring(hookups=None, proven=False, missing={"Hall": 5.0})
            return wire(inst, fed, **how)

        monkeypatch.setattr(plan_so_far, "wire", half_blind)
        monkeypatch.setattr(plan_so_far, "wire_at_last", lambda *_: None)
        search = search_with(inst, (), (), 0)
        search.level, search.stages, search.placed = True, [], None
        assert search.serve(Tier.A, surplus=False)
        return search, [ids for ids, _ in looks]

    def test_other_units_that_give_as_much_are_looked_at(self, monkeypatch):
        search, looks = self.served(monkeypatch, {self.LIGHT})
        assert looks == [{self.LIGHT}, {self.HEAVY}]
        assert got(search.stages[0]) == (1, 2)
        assert at_bound(search.stages[0])
        assert {f.consumer.id for f in search.wired} == {self.HEAVY}
        assert search.level

    def test_what_was_asked_first_is_what_failed_when_none_is_found(self, monkeypatch):
        search, looks = self.served(monkeypatch, {self.LIGHT, self.HEAVY})
        assert looks[:2] == [{self.LIGHT}, {self.HEAVY}]
        # Making do begins from that.
        assert {f.consumer.id for f in search.failed[0]} == {self.LIGHT}

    def test_none_is_looked_at_where_the_first_is_wired(self, monkeypatch):
        search, looks = self.served(monkeypatch, {self.HEAVY})
        assert looks == [{self.LIGHT}]
        assert at_bound(search.stages[0])


class TestInVain:
    @pytest.mark.parametrize(
        ("first", "second", "proven", "looks"),
        [
            (True, True, False, 2),  # a proof may be found by another look
            (False, False, False, 1),
            (True, False, False, 1),
            (False, True, True, 1),  # that there is none is known
        ],
    )
    def test_what_was_looked_for_in_vain_is_not_looked_for_again(
        self, monkeypatch, first, second, proven, looks
    ):
        asked = []

        def in_vain(*_args, **how):
            asked.append(how["prove"])
            return Wiring(hookups=None, proven=proven, missing={"Hall": 5.0})

        monkeypatch.setattr(hookup, "_wire", in_vain)
        inst = instance(b.scenario())
        fed = fed_by_modes(inst, tuple(mine[0] for mine in inst.modes))
        found = [
            wire(inst, fed, ends=math.inf, prove=prove) for prove in (first, second)
        ]
        assert found[0] == found[1]
        assert len(asked) == looks

    def test_a_look_that_ran_out_of_time_is_not_remembered(self, monkeypatch):
        asked = []

        def too_late(*_args, **_how):
            asked.append(1)
            return Wiring(hookups=None, proven=False)

        monkeypatch.setattr(hookup, "_wire", too_late)
        inst = instance(b.scenario())
        fed = fed_by_modes(inst, tuple(mine[0] for mine in inst.modes))
        for _ in range(2):
            wire(inst, fed, ends=time.monotonic() - 1, prove=False)
        assert len(asked) == 2
