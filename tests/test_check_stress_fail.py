"""One thing failing at its worst hour, worked out by hand.

Two fridges in a hall at a steady 25 C, each on a battery that lasts; the
first holds two half-litre bags for 2-8 C, the second has room.  The window is
a day from Monday 08:00, and somebody comes by at 08:00 and 20:00.
"""

from dataclasses import replace
from datetime import timedelta
from math import log

import pytest

from planner.check.stress_fail import fail_at, failures, may_fail
from planner.check.stress_site import visits
from planner.result import Link, PortType
from planner.scenario import (
    Segregation,
    Status,
    StockClass,
    SunCase,
    Supply,
    Tier,
)
from tests import builders as b
from tests.check_cases import plain_hours
from tests.stress_cases import base, site

DAY = {"conditions": b.conditions(window_h=24)}
TWO = {
    "units": (b.unit(), b.unit(id="U2", name="Fridge two")),
    "batteries": (
        b.battery(capacity_wh=4000.0, movable=False),
        b.battery(id="B2", name="Battery two", capacity_wh=4000.0, movable=False),
    ),
}
ON = {
    "units_on": (b.use(warm_fill=1.0), b.use(unit_id="U2", warm_fill=1.0)),
    "hookups": (
        b.hookup(to_h=24),
        b.hookup(from_id="B2", to_id="U2", to_h=24),
    ),
}
HOLD_OVER_H = 0.5 * 4190 / 1.0 * log((25 - 7) / (25 - 8)) / 3600
"""One packed litre is 0.5 kg; walls of 1 W/K; from 7 C (5 + 2) to 8 C."""


def by_thing(found):
    return {one.thing_id: one for one in found}


def two_fridges(line=None, **claim):
    lines = (line or b.line(),)
    return site(b.scenario(**(DAY | TWO | {"lines": lines})), **(ON | claim))


class TestWorstHour:
    def test_it_is_the_hour_after_everybody_left(self):
        found = two_fridges()
        worst = by_thing(failures(found, base(found)))["B1"]

        # At 08:00 somebody is there and carries the bags over; from 09:00 on
        # they are out of their band by the next visit, and no time is known.
        assert worst.at_h == 1
        (outage,) = worst.outages
        assert (outage.thing_id, outage.from_h, outage.found_h) == ("U1", 1, 12)
        assert outage.warm_from_h == pytest.approx(1 + HOLD_OVER_H)
        assert worst.moves == ()
        assert worst.lost == ((Tier.A, 2),)
        assert worst.stranded[0].until_h == pytest.approx(1 + HOLD_OVER_H)

    def test_with_time_left_on_the_label_they_are_carried_at_the_next_visit(self):
        found = two_fridges(
            b.line(warm_hours=11.5, warm_max_c=30.0),
            demands=(b.demand(allowance_h=11.5),),
        )
        worst = fail_at(found, base(found), "B1", 1)
        assert worst.lost == ()
        (move,) = worst.moves
        assert (move.to_unit_id, move.count, move.at_h) == ("U2", 2, 12)

    def test_with_a_little_less_they_are_not(self):
        # Warm from 1.03, so 10.9 h last to 11.93 and the visit is at 12.
        found = two_fridges(
            b.line(warm_hours=10.9, warm_max_c=30.0),
            demands=(b.demand(allowance_h=10.9),),
        )
        assert fail_at(found, base(found), "B1", 1).lost == ((Tier.A, 2),)

    def test_a_room_above_the_labels_maximum_gives_no_time(self):
        found = two_fridges(
            b.line(warm_hours=100.0, warm_max_c=24.0),
            demands=(b.demand(allowance_h=100.0),),
        )
        assert fail_at(found, base(found), "B1", 1).lost == ((Tier.A, 2),)

    def test_the_keep_by_date_ends_it_too(self):
        last = b.START + timedelta(hours=11)
        timed = {"warm_hours": 99.0, "warm_max_c": 30.0}
        found = two_fridges(
            b.line(keep_by=last, **timed), demands=(b.demand(allowance_h=99.0),)
        )
        assert fail_at(found, base(found), "B1", 1).lost == ((Tier.A, 2),)
        assert fail_at(found, base(found), "B1", 1).stranded[0].until_h == 11

    def test_bags_of_one_zone_leave_their_own_bands_at_their_own_times(self):
        # 2 x 0.5 L of each: 1 kg behind 1 W/K, from 7 C to 8 and to 12 C.
        lines = (b.line(), b.line(id="L2", row=3, keep_to_c=12.0))
        world = b.scenario(**(DAY | TWO | {"lines": lines}))
        puts = (b.placement(), b.placement(line_id="L2"))
        found = site(world, placements=puts, **ON)
        clocks = {
            s.line_id: s.until_h for s in fail_at(found, base(found), "B1", 1).stranded
        }
        hours = {"L1": log(18 / 17), "L2": log(18 / 13)}
        for line_id, ratio in hours.items():
            assert clocks[line_id] == pytest.approx(1 + 4190 / 3600 * ratio)

    def test_what_has_warmed_before_the_keep_by_date_is_told_when_it_warms(self):
        timed = {"warm_hours": 99.0, "warm_max_c": 30.0}
        found = two_fridges(
            b.line(keep_by=b.START, **timed), demands=(b.demand(allowance_h=99.0),)
        )
        (bags,) = fail_at(found, base(found), "B1", 1).stranded
        assert bags.until_h == pytest.approx(1 + HOLD_OVER_H)

    def test_frozen_goods_warm_as_ice_and_have_no_time_outside(self):
        # 1 L is 0.5 kg of 2.09 kJ/(kg K); from -16 C (-18 + 2) to -15 C at 25 C.
        ice = b.line(
            keep_from_c=-25.0, keep_to_c=-15.0, never_freeze=False,
            warm_hours=99.0, warm_max_c=30.0,
        )  # fmt: skip
        cold = b.unit(set_points_c=(-18.0,), running_w=90.0)
        use = b.use(set_points_c=(-18.0,), warm_fill=1.0)
        world = b.scenario(
            **(DAY | TWO | {"lines": (ice,), "units": (cold, TWO["units"][1])})
        )
        found = site(
            world,
            demands=(b.demand(allowance_h=99.0),),
            **(ON | {"units_on": (use, ON["units_on"][1])}),
        )
        (bags,) = fail_at(found, base(found), "B1", 1).stranded
        warm_h = 1 + 0.5 * 2090 / 3600 * log((25 + 16) / (25 + 15))
        assert bags.until_h == pytest.approx(warm_h)

    def test_a_zone_warms_behind_its_share_of_the_walls(self):
        halves = b.unit(zone_shares=(0.5, 0.5))
        use = b.use(
            set_points_c=(5.0, 5.0), stock_classes=(StockClass.MEDICINE, None),
            warm_fill=1.0,
        )  # fmt: skip
        world = b.scenario(**(DAY | TWO | {"units": (halves, TWO["units"][1])}))
        found = site(world, **(ON | {"units_on": (use, ON["units_on"][1])}))
        (outage,) = fail_at(found, base(found), "B1", 1).outages
        assert outage.warm_from_h == pytest.approx(1 + 2 * HOLD_OVER_H)

    def test_when_nobody_is_needed_the_earliest_hour_is_worst(self):
        found = two_fridges(
            b.line(warm_hours=99.0, warm_max_c=30.0),
            demands=(b.demand(allowance_h=99.0),),
        )
        assert by_thing(failures(found, base(found)))["B1"].at_h == 0

    def test_a_unit_that_fails_takes_its_own_bags_only(self):
        found = two_fridges()
        worst = by_thing(failures(found, base(found)))
        assert [one.thing_id for one in worst["U1"].outages] == ["U1"]
        assert worst["U2"].lost == ()
        assert [one.thing_id for one in worst["U2"].outages] == ["U2"]

    def test_a_thing_nobody_misses_is_told_too(self):
        found = two_fridges()
        assert set(by_thing(failures(found, base(found)))) == {"U1", "U2", "B1", "B2"}

    def test_the_gravest_failure_comes_first(self):
        found = two_fridges()
        ids = [one.thing_id for one in failures(found, base(found))]
        assert ids == ["U1", "B1", "U2", "B2"]


class TestPanelsAndSources:
    def test_a_panel_that_fails_shows_hours_later(self):
        # 200 Wh at 30 % charge = 60 Wh, floor 20 Wh: about four hours of the
        # fridge; the panel carries it on through the day.
        world = b.scenario(
            batteries=(b.battery(capacity_wh=200.0, charge_now=0.5),),
            conditions=b.conditions(window_h=8),
        )
        found = site(world, hookups=(b.hookup(to_h=8), b.sun_plug(to_h=8)))
        run = base(found, SunCase.MEAN)
        assert "P1" in may_fail(found.ground, found.claim)
        gone = fail_at(found, run, "P1", 0)
        alone = fail_at(found, run, "B1", 0)
        (outage,) = gone.outages
        assert outage.from_h > alone.outages[0].from_h == 0

    def test_life_support_in_the_dark_is_the_gravest_of_all(self):
        world = b.scenario(sources=(b.life_support(),), **TWO)
        load = b.hookup(from_id="B2", to_id="V1", port=PortType.AC)
        found = site(world, hookups=(b.hookup(), load))
        first = failures(found, base(found))[0]
        assert (first.thing_id, first.at_h) == ("B2", 0)
        assert [one.thing_id for one in first.outages] == ["V1"]
        assert first.outages[0].found_h is None

    def test_life_support_counts_in_its_own_hours(self):
        load = b.life_support(from_hour=20, to_hour=23)
        world = b.scenario(sources=(load,), **DAY, **TWO)
        plug = b.hookup(from_id="B2", to_id="V1", port=PortType.AC, to_h=24)
        found = site(world, **(ON | {"hookups": (*ON["hookups"], plug)}))
        outages = {
            o.thing_id: o.from_h for o in fail_at(found, base(found), "B2", 1).outages
        }
        assert outages == {"U2": 1, "V1": 12}
        assert "V1" not in {
            o.thing_id for o in fail_at(found, base(found), "B2", 15).outages
        }

    def test_life_support_itself_is_no_thing_that_fails(self):
        world = b.scenario(sources=(b.life_support(), b.source()))
        found = site(world, hookups=(b.hookup(), b.charger_plug()))
        assert may_fail(found.ground, found.claim) == ("U1", "B1", "S1")


class TestWhereBagsGo:
    """Each case passes, then its neighbour breaks one rule."""

    def moved(self, line=None, world=None, **claim) -> int:
        scene = b.scenario(
            **(DAY | TWO | {"lines": (line or b.line(),)} | (world or {}))
        )
        found = site(scene, **(ON | claim))
        failure = fail_at(found, base(found), "U1", 0)
        return sum(move.count for move in failure.moves)

    def test_they_go_where_there_is_room(self):
        assert self.moved() == 2

    def test_r1_not_into_another_band(self):
        cold = b.use(unit_id="U2", set_points_c=(3.0,), warm_fill=1.0)
        world = {"units": (b.unit(), b.unit(id="U2", set_points_c=(3.0,)))}
        assert self.moved(world=world, units_on=(ON["units_on"][0], cold)) == 0

    @pytest.mark.parametrize(("share", "count"), [(0.05, 2), (0.04, 1), (0.02, 0)])
    def test_r3_only_whole_bags_into_litres_that_are_left(self, share, count):
        # 20 L x 0.05 = 1.0 L takes two bags of half a litre, 0.8 L takes one.
        world = {"units": (b.unit(), b.unit(id="U2", usable_share=share))}
        assert self.moved(world=world) == count

    def test_r3_tubs_take_a_tenth(self):
        world = {
            "units": (b.unit(), b.unit(id="U2", usable_share=0.05)),
            "conditions": b.conditions(window_h=24, segregation=Segregation.TUBS),
        }
        assert self.moved(world=world) == 1

    def test_r4_not_to_another_class(self):
        feed = b.line(id="L2", row=3, stock_class=StockClass.FEED)
        world = {"lines": (b.line(), feed)}
        there = b.placement(line_id="L2", unit_id="U2")
        use = b.use(unit_id="U2", warm_fill=1.0, stock_classes=(None,))
        puts = (b.placement(), there)
        uses = (ON["units_on"][0], use)
        assert self.moved(world=world, placements=puts, units_on=uses) == 0
        like = {"lines": (b.line(), replace(feed, stock_class=StockClass.MEDICINE))}
        assert self.moved(world=like, placements=puts, units_on=uses) == 2

    def test_r5_only_behind_a_lock(self):
        line = b.line(locked=True)
        assert self.moved(line) == 0
        locks = {"units": (b.unit(lockable=True), b.unit(id="U2", lockable=True))}
        assert self.moved(line, world=locks) == 2

    def test_r6_only_where_the_door_is_open_at_night(self):
        line = b.line(night_need=True)
        shed = {
            "places": (b.place(), b.place(name="Shed", open_at_night=False)),
            "units": (b.unit(), b.unit(id="U2", place="Shed")),
        }
        plugs = (ON["hookups"][0], replace(ON["hookups"][1], place="Shed"))
        assert self.moved(line, world=shed, hookups=plugs) == 0
        assert self.moved(world=shed, hookups=plugs) == 2

    def test_r8_no_more_than_was_planned_to_go_in_warm(self):
        # A quarter of 20 L x 0.1 is 0.5 L: one bag.
        world = {"units": (b.unit(), b.unit(id="U2", usable_share=0.1))}
        uses = (ON["units_on"][0], b.use(unit_id="U2", warm_fill=0.25))
        assert self.moved(world=world, units_on=uses) == 1

    def test_r4_what_was_carried_first_decides(self):
        feed = b.line(id="L2", row=3, code="Z9Z", stock_class=StockClass.FEED)
        empty = b.use(unit_id="U2", warm_fill=1.0, stock_classes=(None,))
        puts = (b.placement(), b.placement(line_id="L2"))
        assert (
            self.moved(
                world={"lines": (b.line(), feed)},
                placements=puts,
                units_on=(ON["units_on"][0], empty),
            )
            == 2
        )

    def test_r5_asks_every_line_for_itself(self):
        lines = (b.line(), b.line(id="L2", row=3, locked=True))
        puts = (b.placement(), b.placement(line_id="L2"))
        assert self.moved(world={"lines": lines}, placements=puts) == 2

    def test_r8_counts_what_was_carried_before(self):
        # Room for one bag by the warm share, asked for by two lines.
        world = {
            "lines": (b.line(), b.line(id="L2", row=3)),
            "units": (b.unit(), b.unit(id="U2", usable_share=0.1)),
        }
        puts = (b.placement(count=1), b.placement(line_id="L2", count=1))
        uses = (ON["units_on"][0], b.use(unit_id="U2", warm_fill=0.25))
        assert self.moved(world=world, placements=puts, units_on=uses) == 1

    @pytest.mark.parametrize(("ready_h", "count"), [(0, 2), (1, 0)])
    def test_r11_not_into_a_loan_that_is_not_here_yet(self, ready_h, count):
        late = b.unit(id="U2", availability=b.loan(ready_h=ready_h))
        assert self.moved(world={"units": (b.unit(), late)}) == count

    def test_r11_not_into_a_loan_that_goes_back(self):
        back = b.unit(id="U2", availability=b.loan(back_h=20))
        assert self.moved(world={"units": (b.unit(), back)}) == 0

    def test_r12_nothing_thawed_is_frozen_again(self):
        milk = b.line(keep_from_c=-25.0, keep_to_c=8.0, never_freeze=False, thawed=True)
        cold = {
            "units": (b.unit(), b.unit(id="U2", set_points_c=(-18.0,), running_w=90.0))
        }
        uses = (
            ON["units_on"][0],
            b.use(unit_id="U2", set_points_c=(-18.0,), warm_fill=1.0),
        )
        assert self.moved(milk, world=cold, units_on=uses) == 0
        fresh = replace(milk, thawed=False)
        assert self.moved(fresh, world=cold, units_on=uses) == 2

    def test_not_into_a_unit_that_goes_dark_as_well(self):
        one = replace(ON["hookups"][1], from_id="B1", port_number=2)
        found = site(
            b.scenario(**DAY, **TWO), **(ON | {"hookups": (ON["hookups"][0], one)})
        )
        failure = fail_at(found, base(found), "B1", 0)
        assert [one.thing_id for one in failure.outages] == ["U1", "U2"]
        assert failure.moves == ()


def test_the_highest_tier_is_carried_first():
    lines = (
        b.line(quantity=1),
        b.line(id="L2", row=3, code="B22", quantity=1),
        b.line(id="L3", row=4, code="A11", quantity=1),
    )
    world = b.scenario(
        **(DAY | TWO | {
            "lines": lines,
            "units": (b.unit(), b.unit(id="U2", usable_share=0.025)),
        })
    )  # fmt: skip
    puts = (
        b.placement(count=1, tier=Tier.B),
        b.placement(line_id="L2", count=1, tier=Tier.A),
        b.placement(line_id="L3", count=1, tier=Tier.D, surplus=True),
    )
    found = site(world, placements=puts, **ON)
    failure = fail_at(found, base(found), "U1", 0)
    assert [move.line_id for move in failure.moves] == ["L2"]
    assert failure.lost == ((Tier.B, 1), (Tier.D, 1))


def test_visits_are_the_start_and_the_sites_own_hours():
    world = b.scenario(conditions=b.conditions(window_h=24, swap_hours=(9, 21)))
    assert visits(site(world).ground) == (0, 1, 13)
    world = b.scenario(conditions=b.conditions(window_h=24, swap_hours=()))
    assert visits(site(world).ground) == (0, 12)


def test_a_plug_that_comes_later_is_gone_too():
    world = b.scenario(
        batteries=(b.battery(), b.battery(id="B2", name="Battery two")),
    )
    plugs = (b.hookup(to_h=3), b.hookup(from_id="B2", from_h=3))
    found = site(world, hookups=plugs)
    assert [p.link for p in plugs] == [Link.BATTERY_TO_UNIT] * 2
    assert fail_at(found, base(found), "B2", 1).outages[0].from_h == 3
    assert fail_at(found, base(found), "B1", 1).outages[0].from_h == 1
    assert fail_at(found, base(found), "B1", 4).outages == ()


class TestSpareBatteries:
    """2,000 Wh at 0.3 above a floor of a tenth: 400 Wh of life for a fridge."""

    def spares(self, battery, *, fails="B1", plugs=None, **world):
        scene = b.scenario(
            batteries=(b.battery(capacity_wh=4000.0, movable=False), battery),
            conditions=b.conditions(window_h=24),
            **world,
        )
        found = site(scene, hookups=plugs or (b.hookup(to_h=24),))
        with plain_hours({"U1": [38.0] * 24}):
            return fail_at(found, base(found), fails, 3).spares

    def spare(self, **fields):
        values = {"id": "B2", "name": "Spare", "capacity_wh": 2000.0, "charge_now": 0.3}
        return b.battery(**(values | fields))

    def test_an_idle_battery_feeds_on_from_the_hour_it_goes_dark(self):
        # 38 W at 0.95 are 40 Wh an hour: ten hours from hour 3.
        (one,) = self.spares(self.spare())
        assert (one.plug.from_id, one.plug.to_id, one.plug.port) == (
            "B2",
            "U1",
            PortType.DC_12V,
        )
        assert (one.plug.from_h, one.until_h) == (3, 13)

    def test_one_that_lasts_has_no_end(self):
        (one,) = self.spares(self.spare(charge_now=1.0))
        assert one.until_h is None

    @pytest.mark.parametrize(
        "fields",
        [
            {"ports_12v": 0},
            {"port_12v_max_w": 40.0},
            {"charge_now": 0.1},
            {"availability": b.loan(status=Status.OFFERED)},
            {"availability": b.loan(ready_h=4)},
        ],
    )
    def test_one_that_does_not_fit_is_empty_or_not_here_is_none(self, fields):
        fields = {"outlets_ac": 0} | fields
        assert self.spares(self.spare(**fields)) == ()

    def test_one_that_stands_elsewhere_has_to_be_one_that_can_be_carried(self):
        places = (b.place(), b.place(name="Shed"))
        carried = self.spare(place="Shed")
        assert len(self.spares(carried, places=places)) == 1
        fixed = self.spare(place="Shed", movable=False)
        assert self.spares(fixed, places=places) == ()

    def test_a_battery_in_use_is_shared_only_where_it_lasts_for_both(self):
        load = b.hookup(
            from_id="B2", to_id="V1", port_number=1, to_h=24
        )  # 1.9 W at 0.95: 2 Wh an hour, 48 Wh in all
        small = b.life_support(max_w=1.9, supply=Supply.BOTH)
        sources = (small, b.source())
        plugs = (b.hookup(to_h=24), load)
        # Above the floor 400 Wh: not enough for both. 1,800 Wh are.
        assert self.spares(self.spare(), plugs=plugs, sources=sources) == ()
        full = self.spare(charge_now=1.0, outlets_ac=0)
        (one,) = self.spares(full, plugs=plugs, sources=sources)
        assert (one.plug.port_number, one.until_h) == (2, None)
        one_port = self.spare(charge_now=1.0, outlets_ac=0, ports_12v=1)
        assert self.spares(one_port, plugs=plugs, sources=sources) == ()

    def test_a_battery_on_a_charger_is_at_hand(self):
        sources = (b.source(),)
        charged = (b.hookup(to_h=24), b.charger_plug(to_id="B2", to_h=24))
        (one,) = self.spares(self.spare(), plugs=charged, sources=sources)
        assert one.until_h is None

    def test_a_unit_that_fails_is_not_mended_by_a_battery(self):
        assert self.spares(self.spare(), fails="U1") == ()

    def test_life_support_gets_the_spare_before_a_fridge(self):
        load = b.hookup(to_id="V1", port=PortType.AC, to_h=24)
        (one,) = self.spares(
            self.spare(),
            plugs=(b.hookup(to_h=24), load),
            sources=(b.life_support(),),
        )
        assert one.plug.to_id == "V1"

    def test_the_one_that_feeds_longest_is_told(self):
        scene = b.scenario(
            batteries=(
                b.battery(capacity_wh=4000.0),
                self.spare(),
                self.spare(id="B3", name="Better", charge_now=0.4),
            ),
            conditions=b.conditions(window_h=24),
        )
        found = site(scene, hookups=(b.hookup(to_h=24),))
        with plain_hours({"U1": [38.0] * 24}):
            (one,) = fail_at(found, base(found), "B1", 3).spares
        assert (one.plug.from_id, one.until_h) == ("B3", 18)

    def test_of_equals_one_that_feeds_nothing_is_told(self):
        load = b.hookup(from_id="B2", to_id="V1", port_number=1, to_h=24)
        scene = b.scenario(
            batteries=(
                b.battery(capacity_wh=4000.0),
                self.spare(charge_now=1.0),
                self.spare(id="B3", name="Idle", charge_now=1.0),
            ),
            sources=(b.life_support(max_w=1.9, supply=Supply.BOTH),),
            conditions=b.conditions(window_h=24),
        )
        found = site(scene, hookups=(b.hookup(to_h=24), load))
        with plain_hours({"U1": [38.0] * 24}):
            (one,) = fail_at(found, base(found), "B1", 3).spares
        assert (one.plug.from_id, one.until_h) == ("B3", None)
