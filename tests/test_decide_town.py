"""Large towns: some places of a plan by themselves, put back, and kit spared."""

import time
from dataclasses import replace

import pytest

from planner.decide import by_place
from planner.decide import town as towns
from planner.decide.allocate import allocate, plan_again
from planner.decide.allocation import Allocation
from planner.decide.by_place import Looks, place_by_place, spare_all
from planner.decide.first_bags import served
from planner.decide.goods import Family
from planner.decide.instance import build
from planner.decide.placed import as_placed, nothing_placed
from planner.decide.power_check import PowerCheck
from planner.decide.some_places import some_places
from planner.decide.spare import spared
from planner.decide.stage_values import got, stage_order
from planner.decide.stations import may_stand, stands_in
from planner.decide.town import is_town
from planner.decide.triage import demands
from planner.pipeline import checked
from planner.scenario import SunCase, Tier
from tests import builders as b
from tests.bench.town import town
from tests.decide_cases import instance, plain_world

HOURS = 24
DARK = b.conditions(window_h=HOURS, sun_case=SunCase.NONE, swap_hours=(8, 20))
PLACES = (b.place(), b.place(name="Shed"))


def two_halls(*, batteries, lines=None, watts=20.0):
    """A fridge in the hall and one in the shed, and packs that can be carried.

    Twenty watts take 480 Wh in a day.
    """
    units = (
        b.unit(id="U1", name="Fridge 1"),
        b.unit(id="U2", name="Fridge 2", place="Shed"),
    )
    scene = {"panels": (), "conditions": DARK, "places": PLACES}
    if lines is not None:
        scene["lines"] = lines
    with plain_world({"U1": watts, "U2": watts}):
        return instance(units=units, batteries=batteries, **scene)


def pack(n, capacity_wh=1000.0, **fields):
    return b.battery(id=f"B{n}", name=f"Pack {n}", capacity_wh=capacity_wh, **fields)


def planned(inst):
    found = allocate(inst, time_limit_s=30)
    assert found is not None
    return found


def plan_of(inst, placed, hookups=()):
    """A plan with what each stage has in it."""
    stages = tuple(
        as_placed(inst, placed, tier, surplus=surplus)
        for tier, surplus in stage_order(inst.goods)
    )
    return Allocation(
        instance=inst,
        placed=replace(placed, stages=stages, proven=False),
        hookups=hookups,
        proven=False,
        loads_fed=True,
        cuts=(),
        check=PowerCheck(inst),
    )


def empty(inst):
    """A plan with nothing in it."""
    none = (0,) * len(inst.families)
    return plan_of(inst, replace(nothing_placed(), served=none))


def values(plan):
    return [got(stage) for stage in plan.placed.stages]


class TestFirstBags:
    """Three households by hand: two with either good, one with the second alone."""

    def served(self, bags, rather):
        inst = two_halls(batteries=(pack(1),))
        families = (
            Family(tier=Tier.A, goods=(0, 1), households=2),
            Family(tier=Tier.A, goods=(1,), households=1),
        )
        inst.families = families
        return served(inst, bags, rather)

    def test_as_many_as_there_are_bags(self):
        assert [n for n, _ in self.served({0: 1, 1: 1}, {})] == [1, 1]

    def test_the_one_with_no_choice_is_not_robbed(self):
        # The second good's only bag goes to the household that has no other.
        assert [n for n, _ in self.served({0: 2, 1: 1}, {})] == [2, 1]

    def test_no_bag_no_household(self):
        assert self.served({}, {}) == ((0, 0), (0, 0))

    def test_some_bags_are_taken_first(self):
        # Two households, two bags of the first good and one of the second: the
        # bag that is rather taken serves one of them.
        found = self.served({0: 2, 1: 2}, {0: 1})
        assert [n for n, _ in found] == [2, 1]
        assert found[0][1] == 1

    def test_what_is_rather_taken_never_costs_a_household(self):
        # The second good's bag would serve the first family as well.
        found = self.served({0: 2, 1: 1}, {1: 1})
        assert sum(n for n, _ in found) == 3
        assert found[1] == (1, 1)


class TestSomePlaces:
    """Two halls with a pack each: one is looked at, the other stays."""

    def plan(self):
        return planned(two_halls(batteries=(pack(1), pack(2))))

    def test_the_part_has_only_what_is_there(self):
        plan = self.plan()
        part = some_places(plan, frozenset({"Hall"})).plan
        assert {u.place for u in part.instance.able} == {"Hall"}
        slots = {slot for good in part.instance.goods for slot in good.slots}
        assert {part.instance.units[u].place for u, _, _ in slots} <= {"Hall"}

    def test_bags_elsewhere_are_not_planned_again(self):
        plan = self.plan()
        inst = plan.instance
        elsewhere = sum(
            n
            for (_, (u, _, _)), n in plan.placed.counts.items()
            if inst.units[u].place != "Hall"
        )
        part = some_places(plan, frozenset({"Hall"})).plan
        all_bags = sum(good.count for good in inst.goods)
        assert sum(g.count for g in part.instance.goods) == all_bags - elsewhere

    def test_put_back_as_it_was_nothing_changes(self):
        plan = self.plan()
        for names in ({"Hall"}, {"Shed"}, {"Hall", "Shed"}):
            mine = some_places(plan, frozenset(names))
            again = mine.put_back(mine.plan)
            assert again.placed.counts == plan.placed.counts
            assert set(again.hookups) == set(plan.hookups)
            assert values(again) == values(plan)

    def test_idle_kit_may_be_used_and_used_kit_may_not(self):
        inst = two_halls(batteries=(pack(1), pack(2), pack(3)))
        plan = planned(inst)
        for place, other in (("Hall", "Shed"), ("Shed", "Hall")):
            taken = stands_in(inst, tuple(h for h in plan.hookups if h.place == other))
            part = some_places(plan, frozenset({place})).plan
            there = {x.id for x in part.instance.batteries}
            assert there == {"B1", "B2", "B3"} - taken.keys()

    def test_kit_used_in_both_cannot_be_split(self):
        plan = self.plan()
        here = b.hookup(from_id="B1", place="Hall", to_id="U1")
        there = b.hookup(from_id="B1", place="Shed", to_id="U2")
        both = replace(plan, hookups=(here, there))
        assert some_places(both, frozenset({"Hall"})) is None

    def test_a_fixed_pack_stays_in_its_place(self):
        inst = two_halls(batteries=(pack(1, movable=False, place="Shed"),))
        assert may_stand(inst, frozenset({"Shed"})) == {"B1"}
        assert may_stand(inst, frozenset({"Hall"})) == frozenset()


class TestSpared:
    """A fridge takes 480 Wh of a pack of 1,000; two are plugged in by hand."""

    def with_two(self, capacity_wh):
        inst = two_halls(
            batteries=(pack(1, capacity_wh), pack(2, capacity_wh)),
            lines=(b.line(place="Hall"),),
        )
        plan = planned(inst)
        first = plan.hookups[0]
        turns = (
            replace(first, from_id="B1", from_h=0, to_h=14),
            replace(first, from_id="B2", from_h=14, to_h=HOURS),
        )
        mine = some_places(plan, frozenset({first.place})).plan
        return replace(mine, hookups=turns)

    def test_one_pack_is_enough(self):
        kit = {h.from_id for h in spared(self.with_two(1000.0)).hookups}
        assert len(kit) == 1

    def test_both_stay_where_both_are_needed(self):
        # 300 Wh each above the reserve do not last a day alone.
        inst = two_halls(batteries=(pack(1, 400.0), pack(2, 400.0)), watts=20.0)
        plan = planned(inst)
        assert plan.hookups
        places = {h.place for h in plan.hookups}
        found = spare_all(plan, places, ends=time.monotonic() + 30)
        assert {h.from_id for h in found.hookups} == {h.from_id for h in plan.hookups}

    def test_only_in_the_places_that_are_named(self):
        plan = self.with_two(1000.0)
        ends = time.monotonic() + 30
        assert spare_all(plan, {"Elsewhere"}, ends=ends).hookups == plan.hookups
        here = {plan.hookups[0].place}
        kit = {h.from_id for h in spare_all(plan, here, ends=ends).hookups}
        assert len(kit) == 1


def looked(plan, again, looks, names=()):
    """The plan after looks for which there is time enough."""
    return place_by_place(
        plan,
        again,
        looks,
        ends=time.monotonic() + 30,
        tell=lambda _what: None,
        names=names,
    )


class TestPlaceByPlace:
    """Looks that change nothing end, and what comes out is never worse."""

    def test_from_nothing_to_all_that_the_whole_finds(self):
        inst = two_halls(batteries=(pack(1), pack(2)))
        best = planned(inst)
        found = looked(empty(inst), plan_again, Looks(last=False))
        assert values(found) == values(best)

    def test_every_place_is_looked_at_once_where_nothing_is_gained(self):
        seen = []

        def again(now, **_limits):
            seen.append({u.place for u in now.instance.able})

        plan = empty(two_halls(batteries=(pack(1),)))
        assert looked(plan, again, Looks()) is plan
        assert sorted(map(sorted, seen)) == [["Hall"], ["Shed"]]

    def test_some_places_alone(self):
        seen = []

        def again(now, **_limits):
            seen.extend({u.place for u in now.instance.able})

        plan = empty(two_halls(batteries=(pack(1),)))
        looked(plan, again, Looks(), names={"Shed"})
        assert seen == ["Shed"]

    @pytest.mark.parametrize("leaves_kit", [True, False])
    def test_a_place_is_looked_at_again_when_another_left_kit(
        self, monkeypatch, leaves_kit
    ):
        inst = two_halls(batteries=(pack(1), pack(2)))
        plugs = tuple(
            b.hookup(from_id=f"B{n}", place="Hall", to_id="U1") for n in (1, 2)
        )
        plan = plan_of(inst, empty(inst).placed, plugs)
        seen = []

        def anew(now, name, *_others, **_limits):
            seen.append(name)
            gains = name == "Shed" and seen.count(name) == 1
            return replace(now, hookups=plugs[leaves_kit:]) if gains else None

        monkeypatch.setattr(by_place, "_planned_anew", anew)
        looked(plan, plan_again, Looks(last=False))
        assert seen == ["Hall", "Shed"] + ["Hall"] * leaves_kit

    def test_a_worse_part_is_not_taken(self):
        plan = planned(two_halls(batteries=(pack(1), pack(2))))
        short = plan_of(plan.instance, plan.placed, plan.hookups)

        def again(now, **_limits):
            return empty(now.instance)

        found = looked(short, again, Looks())
        assert values(found) == values(short)


class TestTown:
    """Whole plans: small ones against the proven best, a large one checked."""

    def test_what_counts_as_a_town(self):
        assert is_town(build(town("L", 0), demands(town("L", 0))))
        assert not is_town(build(spread(town("M", 0)), demands(spread(town("M", 0)))))
        assert not is_town(two_halls(batteries=(pack(1), pack(2))))

    @pytest.mark.parametrize("packs", [0, 1, 2, 3])
    def test_never_above_the_proven_best_and_equal_where_it_is_easy(
        self, monkeypatch, packs
    ):
        batteries = tuple(pack(n) for n in range(packs))
        best = planned(two_halls(batteries=batteries))
        assert best.proven
        monkeypatch.setattr(towns, "_FEW", -1)
        inst = two_halls(batteries=batteries)
        if not is_town(inst):
            assert packs == 0
            return
        found = planned(inst)
        assert values(found) == values(best)
        for mine, other in zip(found.placed.stages, best.placed.stages, strict=True):
            assert (mine.household_bound, mine.bound) >= got(other)

    def test_drawn_towns_are_checked_and_never_above_what_is_proven(self, monkeypatch):
        """Towns of size S, spread over two places by hand."""
        compared = 0
        for seed in range(2):
            scene = spread(town("S", seed))
            demand = demands(scene)
            best = allocate(build(scene, demand), time_limit_s=30)
            with monkeypatch.context() as patch:
                patch.setattr(towns, "_FEW", -1)
                assert is_town(build(scene, demand))
                found = allocate(build(scene, demand), time_limit_s=5)
            checked(scene, demand, found, changes=False)
            # The first tier's first bags are worth most; none may be lost.
            assert got(found.placed.stages[0])[0] >= 1
            if best.proven:
                assert values(found) <= values(best)
                compared += 1
            for stage in found.placed.stages:
                assert got(stage) <= (stage.household_bound, stage.needed)
        assert compared > 0


def spread(scene):
    """The same town with every other unit in a second place."""
    first = scene.places[0]
    units = tuple(
        replace(unit, place="Annex" if n % 2 else unit.place)
        for n, unit in enumerate(scene.units)
    )
    return replace(
        scene, places=(*scene.places, replace(first, name="Annex")), units=units
    )
