"""Wirings found for given loads: sums by hand, sockets, swaps, sources.

Units draw plain watts.  A battery of 1,000 Wh gives 95 % of its cells on
12 V and 90 % on AC; 81 % of its capacity lie above floor and reserve.
Windows start on Monday at 08:00, hour 0; plugs can be moved at 08:00 and
20:00, so the first swap time is hour 12.
"""

import time

import numpy as np
import pytest

from planner.decide.hookup import wire
from planner.decide.instance import (
    Fed,
    build,
    consumer_of_load,
    consumer_of_unit,
)
from planner.decide.simulate import thin_hours
from planner.result import Link, PortType
from planner.scenario import SourceKind, SunCase, Supply
from tests import builders as b
from tests.decide_cases import feeds, plain_world


def try_wiring(watts, *, sun=None, hours=24, sun_case=SunCase.NONE, **fields):
    """Wire units that draw ``watts`` each; the scenario's loads as they are."""
    cond = {"window_h": hours, "sun_case": sun_case} | fields.pop("conditions", {})
    scene = b.scenario(**({"panels": ()} | fields), conditions=b.conditions(**cond))
    sun = {p.id: (sun or [0.0] * hours) for p in scene.panels}
    with plain_world({}, sun):
        inst = build(scene, ())
    loads = tuple(
        Fed(consumer=consumer_of_load(load), load_w=load.load_w) for load in inst.loads
    )
    units = tuple(
        Fed(consumer=consumer_of_unit(unit, hours), load_w=np.full(hours, watts))
        for unit in inst.units
    )
    found = wire(inst, loads + units, ends=time.monotonic() + 20.0)
    if found.hookups is not None:
        assert thin_hours(inst, loads + units, found.hookups) == ()
    return found


def pack(n, capacity_wh=1000.0, **fields):
    return b.battery(id=f"B{n}", name=f"Pack {n}", capacity_wh=capacity_wh, **fields)


def fridge(n, **fields):
    return b.unit(id=f"U{n}", name=f"Fridge {n}", **fields)


class TestPlugAndLeave:
    def test_one_plug_for_the_whole_window(self):
        # 20 W x 24 h / 0.95 = 505 Wh of 810 Wh
        found = try_wiring(20.0)
        assert feeds(found.hookups) == [("B1", "U1", 0, 24)]

    def test_the_battery_that_is_enough_is_found_among_weaker_ones(self):
        # 630 Wh of capacity give 510 Wh, 620 Wh only 502 Wh.
        packs = (pack(1, 620.0), pack(2, 630.0), pack(3, 620.0))
        found = try_wiring(20.0, batteries=packs)
        assert feeds(found.hookups) == [("B2", "U1", 0, 24)]

    def test_each_unit_on_the_battery_that_suits(self):
        # Two like fridges; two packs that carry one each.
        found = try_wiring(
            20.0,
            units=(fridge(1), fridge(2)),
            batteries=(pack(1, 630.0), pack(2, 630.0)),
        )
        plugs = feeds(found.hookups)
        assert [(p[2], p[3]) for p in plugs] == [(0, 24), (0, 24)]
        assert {p[0] for p in plugs} == {"B1", "B2"}

    def test_nothing_to_feed_is_wired_at_once(self):
        scene = b.scenario()
        assert wire(build(scene, ()), (), ends=0.0).hookups == ()

    def test_an_impossible_wiring_is_proven_so(self):
        found = try_wiring(20.0, batteries=(pack(1, 300.0), pack(2, 300.0)))
        assert (found.hookups, found.proven) == (None, True)

    def test_a_loan_is_fed_only_while_it_is_here(self):
        lent = fridge(1, availability=b.loan(ready_h=3, back_h=20))
        assert feeds(try_wiring(20.0, units=(lent,)).hookups) == [("B1", "U1", 3, 20)]

    def test_a_battery_that_comes_too_late(self):
        late = pack(1, availability=b.loan(ready_h=1))
        assert try_wiring(20.0, batteries=(late,)).hookups is None


class TestRota:
    """Two packs of 380 Wh: 307.8 Wh each, 615.6 Wh together.

    20 W for 24 h take 505 Wh from the cells, 252.6 Wh in each half day: one
    pack is too little, one after the other with one swap at 20:00 is enough.
    """

    PACKS = (pack(1, 380.0), pack(2, 380.0))

    def test_one_swap_carries_what_no_single_pack_does(self):
        plugs = feeds(try_wiring(20.0, batteries=self.PACKS).hookups)
        assert sorted((p[2], p[3]) for p in plugs) == [(0, 12), (12, 24)]
        assert {p[0] for p in plugs} == {"B1", "B2"}

    def test_no_rota_without_a_swap_time_in_the_window(self):
        nobody = {"swap_hours": ()}
        found = try_wiring(20.0, batteries=self.PACKS, conditions=nobody)
        assert (found.hookups, found.proven) == (None, True)
        # A window from 08:00 to 20:00 has no swap time inside.
        short = try_wiring(40.0, batteries=self.PACKS, hours=12)
        assert short.hookups is None

    def test_no_rota_at_the_wrong_time(self):
        # At 14:00 the second pack would still have 18 h to go: 379 Wh.
        early = {"swap_hours": (14,)}
        found = try_wiring(20.0, batteries=self.PACKS, conditions=early)
        assert (found.hookups, found.proven) == (None, True)

    def test_no_swap_when_one_pack_is_enough(self):
        found = try_wiring(20.0, batteries=(*self.PACKS, pack(3, 630.0)))
        assert feeds(found.hookups) == [("B3", "U1", 0, 24)]

    def test_the_fewest_swaps(self):
        # Swap times every two hours; still a single one is made.
        often = {"swap_hours": tuple(range(0, 24, 2))}
        found = try_wiring(20.0, batteries=self.PACKS, conditions=often)
        assert len(feeds(found.hookups)) == 2

    def test_three_packs_in_turn(self):
        # 260 Wh give 210.6 Wh: ten hours of 21.05 Wh.  24 h need three packs
        # and two swaps, each pack at most ten hours.
        packs = tuple(pack(n, 260.0) for n in (1, 2, 3))
        times = {"swap_hours": (2, 14, 16, 20, 0)}
        plugs = feeds(try_wiring(20.0, batteries=packs, conditions=times).hookups)
        assert len(plugs) == 3
        assert len({p[0] for p in plugs}) == 3
        assert all(p[3] - p[2] <= 10 for p in plugs)


class TestSockets:
    def test_numbers_count_from_one_without_repeats(self):
        units = tuple(fridge(n) for n in (1, 2, 3))
        found = try_wiring(5.0, units=units, batteries=(b.battery(ports_12v=3),))
        ports = sorted((p.port, p.port_number) for p in found.hookups)
        assert ports == [(PortType.DC_12V, n) for n in (1, 2, 3)]

    def test_ports_and_outlets_are_numbered_apart(self):
        units = (
            fridge(1),
            fridge(2, supply=Supply.AC),
            fridge(3),
            fridge(4, supply=Supply.AC),
        )
        found = try_wiring(5.0, units=units, batteries=(b.battery(outlets_ac=2),))
        ports = {(p.port, p.port_number) for p in found.hookups}
        assert ports == {(k, n) for k in (PortType.DC_12V, PortType.AC) for n in (1, 2)}

    def test_a_socket_that_falls_free_is_used_again(self):
        # One port: the second fridge comes when the first goes back.
        units = (
            fridge(1, availability=b.loan(back_h=12)),
            fridge(2, availability=b.loan(ready_h=12)),
        )
        found = try_wiring(5.0, units=units, batteries=(b.battery(ports_12v=1),))
        assert [p.port_number for p in found.hookups] == [1, 1]

    @pytest.mark.parametrize(
        ("supply", "battery", "fits"),
        [
            (Supply.DC, {"ports_12v": 0}, False),
            (Supply.AC, {"outlets_ac": 0}, False),
            (Supply.BOTH, {"ports_12v": 0}, True),
            (Supply.BOTH, {"outlets_ac": 0}, True),
            (Supply.BOTH, {"ports_12v": 0, "outlets_ac": 0}, False),
        ],
    )
    def test_a_plug_needs_its_kind_of_socket(self, supply, battery, fits):
        found = try_wiring(
            5.0, units=(fridge(1, supply=supply),), batteries=(b.battery(**battery),)
        )
        assert (found.hookups is not None) is fits

    def test_12v_is_taken_where_the_inverter_would_cost_too_much(self):
        # 20 W: 505 Wh on 12 V; on AC 533 Wh and 240 Wh of idle.
        both = (fridge(1, supply=Supply.BOTH),)
        found = try_wiring(20.0, units=both, batteries=(pack(1, 630.0),))
        assert [p.port for p in found.hookups] == [PortType.DC_12V]


class TestSun:
    def test_a_charge_cap_of_100_w_holds_in_sun_but_not_round_the_clock(self):
        # Common practice, no source: a big panel behind an input of 100 W.
        # The fridge takes 63.2 Wh an hour; each of six sunny hours brings
        # 95 Wh at the cap.  110 Wh lie above reserve at the start.
        values = {
            "batteries": (pack(1, 1000.0, charge_now=0.3, solar_input_max_w=100.0),),
            "panels": (b.panel(rated_w=400.0),),
            "sun_case": SunCase.MEAN,
        }
        by_day = try_wiring(60.0, sun=[400.0] * 6, hours=6, **values)
        assert by_day.hookups is not None
        # 110 + 6 x 95 Wh against 1,516 Wh: the night is too long
        sunny = [400.0] * 6 + [0.0] * 18
        assert try_wiring(60.0, sun=sunny, **values).hookups is None
        # 200 W bring 190 Wh: 1,000 Wh full at 14:00 still bear no night of
        # 1,137 Wh, 2,000 Wh do with the whole sun taken in
        wide = {"charge_now": 0.3, "max_charge_w": 400.0, "solar_input_max_w": 400.0}
        for capacity_wh, holds in ((1000.0, False), (2000.0, True)):
            packs = (pack(1, capacity_wh, **wide),)
            found = try_wiring(60.0, sun=sunny, **(values | {"batteries": packs}))
            assert (found.hookups is not None) is holds

    def test_a_short_sunny_step_must_not_hide_a_thin_hour(self):
        # No sun for three hours: 63 Wh are needed before it shines, then
        # there is plenty.  Seen six hours at a time it would look enough.
        sun = [0.0, 0.0, 0.0] + [200.0] * 3
        values = {
            "panels": (b.panel(),),
            "sun_case": SunCase.MEAN,
            "sun": sun,
            "hours": 6,
        }
        for capacity_wh, holds in ((80.0, True), (75.0, False)):
            packs = (pack(1, capacity_wh),)
            found = try_wiring(20.0, batteries=packs, **values)
            assert (found.hookups is not None) is holds

    def test_the_panel_goes_to_the_battery_that_needs_it(self):
        # Two like fridges; pack 1 is too small for the day without sun.
        sun = [60.0] * 8 + [0.0] * 16
        found = try_wiring(
            20.0,
            units=(fridge(1), fridge(2)),
            batteries=(pack(1, 630.0), pack(2, 450.0)),
            panels=(b.panel(),),
            sun=sun,
            sun_case=SunCase.MEAN,
        )
        panel = [p for p in found.hookups if p.link is Link.PANEL_TO_BATTERY]
        assert [(p.to_id, p.port) for p in panel] == [("B2", PortType.SOLAR)]


class TestSources:
    def test_a_source_that_is_always_on_feeds_directly(self):
        found = try_wiring(
            20.0,
            units=(fridge(1, supply=Supply.AC),),
            batteries=(),
            sources=(b.source(),),
        )
        assert feeds(found.hookups) == [("S1", "U1", 0, 24)]

    def test_not_in_another_place(self):
        found = try_wiring(
            20.0,
            units=(fridge(1, supply=Supply.AC),),
            batteries=(),
            places=(b.place(), b.place(name="Shed")),
            sources=(b.source(place="Shed"),),
        )
        assert found.hookups is None

    def test_a_generator_window_charges_the_battery(self):
        # 250 Wh of capacity give 202 Wh, the fridge takes 505 Wh.  From 18:00
        # to 20:00 the generator fills it; the ten hours before take 210.5 Wh.
        values = {"sources": (b.source(from_hour=18.0, to_hour=20.0),)}
        small = try_wiring(20.0, batteries=(pack(1, 250.0),), **values)
        assert small.hookups is None
        # 320 Wh give 259 Wh: enough for ten hours, and full again for twelve
        found = try_wiring(20.0, batteries=(pack(1, 320.0),), **values)
        chargers = [p for p in found.hookups if p.link is Link.SOURCE_TO_BATTERY]
        assert [(p.from_id, p.to_id, p.port) for p in chargers] == [
            ("S1", "B1", PortType.CHARGER)
        ]
        off = {"sources": ()}
        assert try_wiring(20.0, batteries=(pack(1, 320.0),), **off).hookups is None

    def test_a_window_of_two_part_hours_gives_one_whole_hour(self):
        # 18:30 to 20:30 holds the hour from 19:00 only: 190 Wh at most.  Then
        # eleven hours before (231.6 Wh) and twelve after (252.6 Wh).
        values = {"sources": (b.source(from_hour=18.5, to_hour=20.5),)}
        for capacity_wh, holds in ((400.0, True), (380.0, False)):
            found = try_wiring(20.0, batteries=(pack(1, capacity_wh),), **values)
            assert (found.hookups is not None) is holds

    def test_a_charger_that_asks_for_more_than_the_source_gives(self):
        for max_w, holds in ((200.0, True), (199.0, False)):
            found = try_wiring(
                20.0,
                batteries=(pack(1, 320.0),),
                sources=(b.source(from_hour=18.0, to_hour=20.0, max_w=max_w),),
            )
            assert (found.hookups is not None) is holds

    def test_fridge_and_charger_share_the_watts_of_the_source(self):
        # 45 W running and a charger of 200 W; the pack has no outlet.
        mains = {"kind": SourceKind.MAINS}
        units = (fridge(1, supply=Supply.AC), fridge(2))
        packs = (pack(1, 100.0, outlets_ac=0),)
        for max_w, holds in ((245.0, True), (244.0, False)):
            found = try_wiring(
                20.0,
                units=units,
                batteries=packs,
                sources=(b.source(**mains, max_w=max_w),),
            )
            assert (found.hookups is not None) is holds


class TestPriorityLoads:
    def test_life_support_takes_its_outlet_first(self):
        # One outlet: the load has it, an AC fridge finds none.
        values = {"sources": (b.life_support(),), "hours": 6}
        ac = fridge(1, supply=Supply.AC)
        assert try_wiring(5.0, units=(ac,), **values).hookups is None
        two = (b.battery(outlets_ac=2),)
        found = try_wiring(5.0, units=(ac,), batteries=two, **values)
        assert {p.to_id for p in found.hookups} == {"V1", "U1"}

    def test_its_energy_counts(self):
        # (30 W / 0.9 + 10 W) x 6 h = 260 Wh and 20 W / 0.95 x 6 h = 126.3 Wh:
        # 386.3 Wh of 477 Wh of capacity.
        values = {"sources": (b.life_support(),), "hours": 6}
        assert try_wiring(20.0, batteries=(pack(1, 478.0),), **values).hookups
        few = try_wiring(20.0, batteries=(pack(1, 476.0),), **values)
        assert few.hookups is None


class TestTwoPlaces:
    PLACES = (b.place(), b.place(name="Shed"))
    UNITS = (fridge(1), fridge(2, place="Shed"))

    def test_a_fixed_battery_serves_its_own_place(self):
        packs = (pack(1, movable=False, place="Shed"), pack(2, place="Shed"))
        found = try_wiring(20.0, places=self.PLACES, units=self.UNITS, batteries=packs)
        assert feeds(found.hookups) == [("B1", "U2", 0, 24), ("B2", "U1", 0, 24)]
        assert {p.to_id: p.place for p in found.hookups} == {
            "U1": "Hall",
            "U2": "Shed",
        }

    def test_one_battery_does_not_stand_in_two_places(self):
        big = (pack(1, 5000.0),)
        found = try_wiring(5.0, places=self.PLACES, units=self.UNITS, batteries=big)
        assert (found.hookups, found.proven) == (None, True)
        same = (fridge(1), fridge(2))
        found = try_wiring(5.0, places=self.PLACES, units=same, batteries=big)
        assert found.hookups is not None

    def test_two_fixed_batteries_in_the_wrong_place(self):
        packs = (pack(1, movable=False), pack(2, movable=False))
        found = try_wiring(5.0, places=self.PLACES, units=self.UNITS, batteries=packs)
        assert found.hookups is None

    def test_a_panel_stays_where_it_is_fixed(self):
        # The shed's panel can only serve the battery that stands there.
        sun = [60.0] * 8 + [0.0] * 16
        for where, holds in (("Shed", True), ("Hall", False)):
            found = try_wiring(
                20.0,
                places=self.PLACES,
                units=(fridge(1, place="Shed"),),
                batteries=(pack(1, 450.0),),
                panels=(b.panel(place=where),),
                sun=sun,
                sun_case=SunCase.MEAN,
            )
            assert (found.hookups is not None) is holds


def test_the_same_input_gives_the_same_wiring():
    scene = {
        "units": tuple(fridge(n) for n in (1, 2, 3)),
        "batteries": tuple(pack(n, 700.0) for n in (1, 2, 3)),
    }
    assert try_wiring(20.0, **scene).hookups == try_wiring(20.0, **scene).hookups
