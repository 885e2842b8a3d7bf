"""Some places together, with where their kit stands as part of the question."""

import time
from dataclasses import replace

import pytest

from planner.decide.cuts import EnergyCut, mode_key
from planner.decide.grow import feed_in_place
from planner.decide.hookup import Sites, fed_by_modes, wire
from planner.decide.instance import build
from planner.decide.kit_cuts import KitCut, hold_to_kit, need_able_battery, need_kit
from planner.decide.placement import PlacementModel
from planner.decide.power_check import PowerCheck
from planner.decide.simulate import thin_hours
from planner.decide.stage_values import got, in_full
from planner.decide.stations import sites
from planner.decide.together import parties, together
from planner.decide.triage import demands
from planner.pipeline import search_s
from planner.scenario import Consequence, SourceKind, Supply
from tests import builders as b
from tests.bench.town import town
from tests.decide_cases import instance, plain_world
from tests.test_decide_town import DARK, PLACES, empty, pack, planned, two_halls, values

LONG_S = 30.0


def both_needed(batteries):
    """Bags for more than one fridge of 16 litres."""
    return two_halls(batteries=batteries, lines=(b.line(quantity=60),))


def asked(inst):
    """The model of both halls, in which every pack stands in one of them."""
    return PlacementModel(inst, stationed=True)


def most_bags(pm):
    """Units on in the placement of most bags, and where each pack stands in it."""
    bags = sum(v for mine in pm.bags_of.values() for v in mine)
    assert pm.model.minimise(-bags + 0.01 * pm.load_cost(), time_limit_s=LONG_S).found
    placed = pm.read((), proven=False)
    on = {c.mode.unit_id for c in placed.choices}
    return on, pm.stations()


class TestParties:
    def test_few_places_are_one_party(self):
        assert parties(["a", "b", "c"], 4) == [frozenset("abc")]

    def test_every_place_is_in_exactly_one(self):
        found = parties(list("abcdefghi"), 4)
        assert [len(some) for some in found] == [3, 3, 3]
        assert frozenset().union(*found) == frozenset("abcdefghi")


class TestKitCuts:
    """Twenty watts take 480 Wh in a day; a pack of 1,000 Wh carries one fridge."""

    def test_without_a_cut_each_fridge_gets_a_pack(self):
        on, stands = most_bags(asked(both_needed((pack(1), pack(2)))))
        assert on == {"U1", "U2"}
        assert set(stands.values()) == {"Hall", "Shed"}

    @pytest.mark.parametrize(("least_kwh", "runs"), [(1.5, True), (2.5, False)])
    def test_a_place_may_need_more_kit_than_one_pack(self, least_kwh, runs):
        """Both packs are worth 2 kWh: enough for 1.5 kWh, not for 2.5."""
        inst = two_halls(batteries=(pack(1), pack(2)), lines=(b.line(place="Hall"),))
        pm = asked(inst)
        for place, unit_id in (("Hall", "U1"), ("Shed", "U2")):
            lightest = min(
                (m for mine in inst.modes for m in mine if m.unit_id == unit_id),
                key=lambda m: float(m.load_w.sum()),
            )
            cut = KitCut(place=place, modes=(lightest,), least_kwh=least_kwh)
            need_kit(pm, cut, {"B1": 1.0, "B2": 1.0})
        on, stands = most_bags(pm)
        assert bool(on) is runs
        if runs:
            assert len(on) == 1
            assert len(set(stands.values())) == 1

    @pytest.mark.parametrize(("room", "runs"), [(0.0, {"U1", "U2"}), (-1.0, {"U2"})])
    def test_what_the_kit_carries_in_shares(self, room, runs):
        """The pack gives one; the fridge of the hall weighs one."""
        inst = both_needed((pack(1), pack(2)))
        pm = asked(inst)
        modes = [m for mine in inst.modes for m in mine if m.unit_id == "U1"]
        weights = {mode_key(m): 1.0 for m in modes}
        cut = EnergyCut(weights=weights, offers={"B1": 1.0}, room=room)
        hold_to_kit(pm, "Hall", cut)
        on, stands = most_bags(pm)
        assert runs <= on
        if "U1" in on:
            assert stands["B1"] == "Hall"

    @pytest.mark.parametrize(("capacity_wh", "runs"), [(1000.0, True), (300.0, False)])
    def test_a_pack_that_cannot_carry_it_alone_is_no_help(self, capacity_wh, runs):
        """Two packs of 300 Wh hold 480 Wh together, and neither lasts a night."""
        inst = two_halls(
            batteries=(pack(1, capacity_wh), pack(2, capacity_wh)),
            lines=(b.line(place="Hall"),),
        )
        pm = asked(inst)
        need_able_battery(pm, PowerCheck(inst))
        on, _ = most_bags(pm)
        assert bool(on) is runs

    def test_what_is_split_may_be_part_of_a_bag(self):
        """The room of a fridge holds no whole number of the bags."""
        inst = two_halls(batteries=(pack(1),), lines=(b.line(place="Hall"),))
        good = inst.goods[0]
        whole = PlacementModel(inst, stationed=True)
        split = PlacementModel(inst, stationed=True, split=(good.tier, good.surplus))
        assert {v.cat for (g, _), v in whole.bags.items() if g == 0} == {"Integer"}
        assert {v.cat for (g, _), v in split.bags.items() if g == 0} == {"Continuous"}


class TestStations:
    """What is usual is counted where kit stands, beside the kind pools of a bound."""

    def test_mains_for_an_hour_are_no_socket(self):
        """The only pack has no outlet; mains that stay do, for an hour they do not."""
        spans = {
            (("S1", 0.0, 24.0),): {"U1"},
            (("S1", 0.0, 1.0),): set(),
            (("S1", 0.0, 12.0), ("S2", 12.0, 24.0)): {"U1"},
        }
        for sources, runs in spans.items():
            mains = tuple(
                b.source(
                    id=name,
                    place="Hall",
                    kind=SourceKind.MAINS,
                    from_hour=from_hour,
                    to_hour=to_hour,
                    supply=Supply.AC,
                )
                for name, from_hour, to_hour in sources
            )
            unit = b.unit(id="U1", supply=Supply.AC)
            with plain_world({"U1": 1.0}):
                inst = instance(
                    units=(unit,),
                    batteries=(pack(1, outlets_ac=0),),
                    panels=(),
                    sources=mains,
                    conditions=DARK,
                    places=PLACES,
                )
            on, _ = most_bags(PlacementModel(inst, stationed=True))
            assert on == runs


class TestFeedInPlace:
    """One pack in each hall, or one for both."""

    def fed(self, inst, stands):
        placed = planned(both_needed((pack(1), pack(2)))).placed
        fed = fed_by_modes(inst, tuple(c.mode for c in placed.choices))
        apart = sites(inst, fed, stands)
        wired = Sites(ends=time.monotonic() + LONG_S)
        found = feed_in_place(inst, placed, apart, wired)
        assert found is not None
        return {f.consumer.id for f in found[0]}

    def test_both_where_each_has_a_pack(self):
        inst = both_needed((pack(1), pack(2)))
        assert self.fed(inst, {"B1": "Hall", "B2": "Shed"}) == {"U1", "U2"}

    def test_what_lacks_a_pack_goes_without(self):
        inst = both_needed((pack(1), pack(2)))
        assert self.fed(inst, {"B1": "Hall", "B2": "Hall"}) == {"U1"}


class TestTogether:
    def plans(self, inst, now=None):
        now = now or empty(inst)
        stages = now.placed.stages[:1]
        before = replace(now, placed=replace(now.placed, stages=stages))
        ends = time.monotonic() + LONG_S
        return before, list(together(before, ends=ends))

    def test_finds_where_the_packs_go(self):
        inst = both_needed((pack(1), pack(2)))
        best = planned(inst)
        _, found = self.plans(inst)
        assert values(found[-1]) == values(best)[:1]
        assert {h.place for h in found[-1].hookups} >= {h.place for h in best.hookups}

    def test_asks_for_more_than_there_is_or_for_nothing(self):
        inst = two_halls(batteries=(pack(1), pack(2)))
        best = planned(inst)
        before, found = self.plans(inst, best)
        assert got(before.placed.stages[-1]) > (0, 0)
        assert not found

    def test_a_later_tier_keeps_what_the_first_has(self):
        """Thirty bags that come first fill a fridge; the others need the second."""
        later = b.line(
            id="L2",
            row=3,
            code="K8M",
            household="H2",
            quantity=30,
            consequence=Consequence.REPLACEABLE,
        )
        inst = two_halls(
            batteries=(pack(1), pack(2)), lines=(b.line(quantity=30), later)
        )
        _, found = self.plans(inst)
        first = found[-1]
        assert in_full(first.placed.stages[0])
        order = [s for s in empty(inst).placed.stages if not s.surplus][:2]
        assert order[1].tier is not order[0].tier
        stages = (*first.placed.stages, order[1])
        before = replace(first, placed=replace(first.placed, stages=stages))
        plans = list(together(before, ends=time.monotonic() + LONG_S))
        assert plans
        assert all(in_full(plan.placed.stages[0]) for plan in plans)
        assert got(plans[-1].placed.stages[1])[1] > 0

    def test_what_comes_before_the_fridges_stays_fed(self):
        """A pump in the hall takes a pack for itself; a fridge gets the other."""
        pump = b.source(
            id="S1",
            place="Hall",
            kind=SourceKind.PRIORITY_LOAD,
            max_w=20.0,
            from_hour=0.0,
            to_hour=24.0,
            supply=Supply.DC,
        )
        with plain_world({"U1": 20.0, "U2": 20.0}):
            inst = instance(
                units=(b.unit(id="U1"), b.unit(id="U2", place="Shed")),
                batteries=(pack(1), pack(2)),
                panels=(),
                sources=(pump,),
                conditions=DARK,
                places=PLACES,
            )
        assert inst.loads
        fed = fed_by_modes(inst, ())
        plugs = wire(inst, fed, ends=time.monotonic() + LONG_S).hookups
        now = replace(empty(inst), hookups=plugs)
        _, found = self.plans(inst, now)
        assert found
        modes = tuple(c.mode for c in found[-1].placed.choices)
        assert len(modes) == 1
        assert not thin_hours(inst, fed_by_modes(inst, modes), found[-1].hookups)
        assert "S1" in {h.to_id for h in found[-1].hookups}

    def test_the_first_tier_gets_by_with_the_least_kit(self):
        """All bags fit into one fridge, which one pack carries."""
        inst = two_halls(batteries=(pack(1), pack(2)))
        _, found = self.plans(inst)
        assert in_full(found[-1].placed.stages[-1])
        assert len({h.from_id for h in found[-1].hookups}) == 1

    def test_a_pack_too_small_is_found_out_and_the_other_one_taken(self):
        """The small pack is nearest; one of 480 Wh above reserve is needed."""
        inst = two_halls(
            batteries=(pack(1, 300.0), pack(2, 1000.0)),
            lines=(b.line(place="Hall"),),
        )
        _, found = self.plans(inst)
        assert {h.from_id for h in found[-1].hookups} == {"B2"}

    def test_no_time_no_look(self):
        inst = two_halls(batteries=(pack(1), pack(2)))
        assert not list(together(empty(inst), ends=time.monotonic() - 1.0))


def test_a_town_leaves_time_for_reasons():
    """Of a minute two thirds; of five minutes all but one."""
    inst = build(town("L", 0), demands(town("L", 0)))
    assert search_s(inst, 60.0) == pytest.approx(39.6)
    assert search_s(inst, 300.0) == pytest.approx(240.0)
    assert search_s(two_halls(batteries=()), 60.0) == pytest.approx(51.0)
