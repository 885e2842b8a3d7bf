"""The replay against sums made by hand, to the watt-hour.

Loads and harvest are given, so that only the account is under test.  The
battery is 200 Wh LFP at 25 C (no cold loss): usable share 0.9, so the floor
is 20 Wh; half charged, so it starts at 100 Wh; charge cap 120 W; a watt-hour
out on 12 V costs 1 / 0.8 = 1.25 Wh, a watt-hour in stores 0.9 Wh.
"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.check import replay
from planner.check.ground import Claim, lay_ground, load_hours
from planner.check.hours import dark_from, run_hours
from planner.errors import UsageError
from planner.physics import profiles
from planner.result import Link, PortType, Replay
from planner.scenario import Battery, Status, SunCase, Supply, UnitType
from tests import builders as b
from tests.check_cases import plain_hours

LOAD_W = [60, 40, 20, 20, 20, 20]
SUN_W = [0, 50, 100, 200, 100, 0]


def small_battery(**fields: object) -> Battery:
    values: dict[str, object] = {
        "capacity_wh": 200.0,
        "charge_now": 0.5,
        "dc_efficiency": 0.8,
        "ac_efficiency": 0.8,
        "charge_efficiency": 0.9,
        "max_charge_w": 120.0,
    }
    return b.battery(**(values | fields))


def run(
    battery: Battery,
    *,
    loads: dict[str, list[float]] | None = None,
    hookups: tuple = (b.hookup(), b.sun_plug()),
    case: SunCase = SunCase.MEAN,
    **world: object,
) -> Replay:
    scene = b.scenario(batteries=(battery,), **world)
    uses = tuple(b.use(unit_id=unit.id) for unit in scene.units)
    with plain_hours(loads or {"U1": LOAD_W}, {"P1": SUN_W}):
        return replay(scene, uses, hookups, case)


class TestSixHoursByHand:
    def test_every_hour_to_the_watt_hour(self):
        # out: 60, 40, 20 ... / 0.8 = 75, 50, 25, 25, 25, 25
        # in:  0, 50, 100, min(200, 120 cap) = 120, 100, 0, times 0.9
        # 100 - 75 = 25; 25 + 45 - 50 = 20 (the floor, still fed);
        # 20 + 90 - 25 = 85; 85 + 108 - 25 = 168; 168 + 90 - 25 = 233 > 200 full;
        # 200 - 25 = 175
        out = run(small_battery())
        trace = out.batteries[0]

        assert trace.start_wh == pytest.approx(100)
        assert trace.floor_wh == pytest.approx(20)
        assert trace.full_wh == pytest.approx(200)
        assert trace.load_wh == pytest.approx((75, 50, 25, 25, 25, 25))
        assert trace.harvest_wh == pytest.approx((0, 50, 100, 120, 100, 0))
        assert trace.charge_wh == pytest.approx((25, 20, 85, 168, 200, 175))
        assert out.unit_load_wh == (("U1", tuple(map(float, LOAD_W))),)
        assert out.endurance[0].dark_from_h is None
        assert out.endurance[0].held_h == 6

    def test_one_watt_hour_less_and_hour_one_is_dark(self):
        # start 99: 99 - 75 = 24; 24 + 45 - 50 = 19 < 20: dark, the charge
        # still comes in: 24 + 45 = 69; 69 + 90 - 25 = 134; 134 + 108 - 25 = 217
        # > 200; 200 + 90 - 25 > 200; 200 - 25 = 175
        out = run(small_battery(charge_now=0.495))

        assert out.batteries[0].charge_wh == pytest.approx((24, 69, 134, 200, 200, 175))
        assert out.batteries[0].load_wh == pytest.approx((75, 0, 25, 25, 25, 25))
        assert out.unit_load_wh[0][1] == (60, 0, 20, 20, 20, 20)
        assert out.endurance[0].dark_from_h == 1
        assert out.endurance[0].held_h == 5

    def test_without_sun_it_is_dark_from_the_hour_the_floor_stops(self):
        # 100 - 75 = 25; 50 do not come out of 25 above 20; nor do 25
        out = run(small_battery(), case=SunCase.NONE)

        assert out.batteries[0].charge_wh == pytest.approx((25,) * 6)
        assert out.endurance[0].dark_from_h == 1
        assert out.endurance[0].held_h == 1

    def test_poor_sun_gives_half(self):
        out = run(small_battery(), case=SunCase.POOR)

        assert out.batteries[0].harvest_wh == pytest.approx((0, 25, 50, 100, 50, 0))

    def test_the_reserve_may_be_used(self):
        # usable 180 Wh, reserve share 0.5: floor + reserve = 110 > 100 at start
        out = run(small_battery(), conditions=b.conditions(reserve_share=0.5))

        assert out.endurance[0].dark_from_h is None


class TestWhatBatteriesTakeIn:
    def test_solar_input_cap_comes_before_the_charge_cap(self):
        out = run(small_battery(solar_input_max_w=80.0))

        assert out.batteries[0].harvest_wh == pytest.approx((0, 50, 80, 80, 80, 0))

    def test_a_charger_gets_what_the_sun_leaves_of_the_cap(self):
        # generator 100 W beside sun 0, 50, 100, 120 (capped), 100, 0:
        # charger 100, 70, 20, 0, 20, 100
        out = run(
            small_battery(),
            sources=(b.source(max_w=100.0),),
            hookups=(b.hookup(), b.sun_plug(), b.charger_plug()),
        )

        assert out.batteries[0].harvest_wh == pytest.approx(
            (100, 120, 120, 120, 120, 100)
        )

    def test_units_on_the_source_come_before_the_charger(self):
        # 100 W generator, 45 W of it taken by a unit that is there from hour 2:
        # 100, 100, 55, 55, 55, 55 for the charger
        out = run(
            small_battery(),
            loads={"U1": LOAD_W, "U2": [0, 0, 9, 9, 9, 9]},
            units=(
                b.unit(),
                b.unit(id="U2", supply=Supply.AC, availability=b.loan(ready_h=2)),
            ),
            sources=(b.source(max_w=100.0),),
            hookups=(
                b.hookup(),
                b.charger_plug(),
                b.source_plug(to_id="U2", from_h=2),
            ),
        )

        assert out.batteries[0].harvest_wh == pytest.approx((100, 100, 55, 55, 55, 55))
        assert out.unit_load_wh[1] == ("U2", (0, 0, 9, 9, 9, 9))
        assert out.endurance[1].dark_from_h is None
        assert out.endurance[1].held_h == 4

    def test_two_batteries_share_a_source_in_their_order(self):
        # 150 W: the first takes its cap of 120, the second the other 30
        scene = b.scenario(
            batteries=(small_battery(), small_battery(id="B2")),
            sources=(b.source(max_w=150.0),),
        )
        plugs = (b.charger_plug(), b.charger_plug(to_id="B2"))
        with plain_hours({"U1": LOAD_W}):
            out = replay(scene, (), plugs, SunCase.NONE)

        assert out.batteries[0].harvest_wh == pytest.approx((120,) * 6)
        assert out.batteries[1].harvest_wh == pytest.approx((30,) * 6)

    def test_a_charger_serves_only_its_own_battery(self):
        scene = b.scenario(
            batteries=(small_battery(), small_battery(id="B2")),
            sources=(b.source(),),
        )
        with plain_hours({"U1": LOAD_W}):
            out = replay(scene, (), (b.charger_plug(to_id="B2"),), SunCase.NONE)

        assert out.batteries[0].harvest_wh == (0,) * 6

    def test_a_source_that_is_off_neither_charges_nor_feeds(self):
        # on 09:00-11:00 of a window from 08:00: hours 1 and 2
        out = run(
            small_battery(),
            loads={"U1": LOAD_W, "U2": [9.0] * 6},
            units=(b.unit(), b.unit(id="U2", supply=Supply.AC)),
            sources=(b.source(max_w=1000.0, from_hour=9, to_hour=11),),
            hookups=(b.hookup(), b.charger_plug(), b.source_plug(to_id="U2")),
        )

        assert out.batteries[0].harvest_wh == pytest.approx((0, 120, 120, 0, 0, 0))
        assert out.unit_load_wh[1][1] == (0, 9, 9, 0, 0, 0)
        assert out.endurance[1].dark_from_h == 0
        assert out.endurance[1].held_h == 2

    def test_two_panels_add_up_on_one_battery(self):
        scene = b.scenario(
            batteries=(small_battery(),), panels=(b.panel(), b.panel(id="P2"))
        )
        plugs = (b.hookup(), b.sun_plug(), b.sun_plug(from_id="P2"))
        with plain_hours({"U1": LOAD_W}, {"P1": [10.0] * 6, "P2": [15.0] * 6}):
            out = replay(scene, (b.use(),), plugs, SunCase.MEAN)

        assert out.batteries[0].harvest_wh == pytest.approx((25,) * 6)

    def test_lithium_takes_no_charge_in_a_room_below_freezing(self):
        # charge window of lithium cells 0-40 C, see the energy facts in docs
        out = run(small_battery(), places=(b.place(-5.0),), hookups=(b.sun_plug(),))

        assert out.batteries[0].harvest_wh == (0,) * 6


class TestWhereBatteriesStand:
    """A shed below freezing, in which lithium cells take no charge."""

    places = (b.place(), b.place(-10.0, name="Shed"))

    def harvest(self, battery, *hookups):
        panels = (b.panel(), b.panel(id="P2", place="Shed"))
        scene = b.scenario(places=self.places, batteries=(battery,), panels=panels)
        with plain_hours({"U1": LOAD_W}, {"P1": [10.0] * 6, "P2": [10.0] * 6}):
            return replay(scene, (), hookups, SunCase.MEAN).batteries[0]

    def test_a_battery_carried_to_the_shed_stops_charging_there(self):
        moved = b.sun_plug(from_id="P2", place="Shed", from_h=2, to_h=4)
        back = b.sun_plug(from_h=4)
        trace = self.harvest(small_battery(), b.sun_plug(to_h=2), moved, back)
        assert trace.harvest_wh == pytest.approx((10, 10, 0, 0, 10, 10))

    def test_it_stays_where_it_was_last(self):
        # Back in the hall only by its next plug there.
        moved = b.sun_plug(place="Shed", to_h=2)
        trace = self.harvest(small_battery(), moved)
        assert trace.full_wh < 200

    def test_a_fixed_battery_stays_at_home(self):
        plug = b.sun_plug(from_id="P2", place="Shed")
        trace = self.harvest(small_battery(movable=False), plug)
        assert trace.harvest_wh == pytest.approx((10,) * 6)

    def test_a_battery_at_home_in_the_shed(self):
        trace = self.harvest(small_battery(place="Shed", movable=False), b.sun_plug())
        assert trace.harvest_wh == (0,) * 6

    def test_limits_are_the_cautious_ones_of_all_its_places(self):
        battery = small_battery()
        cond = b.conditions()
        warm, cold = (
            profiles.battery_limits(battery, profiles.room_temp_c(one, cond), cond)
            for one in self.places
        )
        moved = b.sun_plug(from_id="P2", place="Shed", from_h=2)
        trace = self.harvest(battery, b.sun_plug(to_h=2), moved)

        assert cold.full_wh < warm.full_wh
        assert trace.full_wh == cold.full_wh
        assert trace.start_wh == cold.start_wh
        assert trace.floor_wh == warm.floor_wh
        ground = lay_ground(
            b.scenario(places=self.places, batteries=(battery,), panels=(b.panel(),))
        )
        claim = Claim(hookups=(b.sun_plug(to_h=2), b.sun_plug(place="Shed", from_h=2)))
        cell = run_hours(ground, claim, SunCase.NONE).cells["B1"]
        assert cold.reserve_wh < warm.reserve_wh == cell.reserve_wh


class TestWhatBatteriesGive:
    def test_inverter_idle_counts_once_while_an_outlet_is_in_use(self):
        # two units of 20 W on AC: 2 * 20 / 0.8 + 10 idle = 60, hours 1 to 2 only
        out = run(
            small_battery(outlets_ac=2),
            loads={"U1": [20.0] * 6, "U2": [20.0] * 6},
            units=(b.unit(supply=Supply.AC), b.unit(id="U2", supply=Supply.AC)),
            hookups=(
                b.hookup(port=PortType.AC, from_h=1, to_h=2),
                b.hookup(port=PortType.AC, to_id="U2", port_number=2, from_h=1, to_h=2),
            ),
        )

        assert out.batteries[0].load_wh == pytest.approx((0, 60, 0, 0, 0, 0))

    def test_priority_load_is_taken_out_in_its_own_hours(self):
        # 40 W on AC from 10:00 to 12:00: 40 / 0.8 + 10 idle = 60 in hours 2, 3;
        # plugged in all day the inverter idles in the other hours
        out = run(
            small_battery(charge_now=1.0),
            loads={"U1": [0.0] * 6},
            sources=(b.life_support(max_w=40.0, from_hour=10, to_hour=12),),
            hookups=(b.hookup(to_id="V1", port=PortType.AC),),
        )

        assert out.batteries[0].load_wh == pytest.approx((10, 10, 60, 60, 10, 10))

    @pytest.mark.parametrize(
        ("charge", "dark_h", "held_h"), [(0.8, None, 2), (0.6, 3, 1)]
    )
    def test_priority_load_is_told_with_the_hour_at_which_it_goes_dark(
        self, charge, dark_h, held_h
    ):
        # Needed in hours 2 and 3: 160 - 10 - 10 - 60 - 60 = 20, the floor, still
        # fed; 120 - 10 - 10 - 60 = 40, and 40 - 60 < 20.
        out = run(
            small_battery(charge_now=charge),
            loads={"U1": [0.0] * 6},
            sources=(b.life_support(max_w=40.0, from_hour=10, to_hour=12),),
            hookups=(b.hookup(to_id="V1", port=PortType.AC),),
        )
        assert [(one.unit_id, one.dark_from_h, one.held_h) for one in out.loads] == [
            ("V1", dark_h, held_h)
        ]

    def test_all_loads_of_a_battery_go_dark_together(self):
        # 100 - (60 + 10) / 0.8 = 12.5 < 20
        out = run(
            small_battery(),
            loads={"U1": [60.0] * 6, "U2": [10.0] * 6},
            units=(b.unit(), b.unit(id="U2")),
            hookups=(b.hookup(), b.hookup(to_id="U2", port_number=2)),
        )

        assert [one.dark_from_h for one in out.endurance] == [0, 0]
        assert out.batteries[0].charge_wh == pytest.approx((100,) * 6)

    def test_a_battery_on_loan_counts_from_ready_to_back(self):
        # there in hours 2 and 3: 100, 100, 100 - 25, 75 - 25, 50, 50
        out = run(small_battery(availability=b.loan(ready_h=2, back_h=4)))

        assert out.batteries[0].harvest_wh == pytest.approx((0, 0, 100, 120, 0, 0))
        assert out.batteries[0].load_wh == pytest.approx((0, 0, 25, 25, 0, 0))
        assert out.endurance[0].dark_from_h == 0
        assert out.endurance[0].held_h == 2

    def test_a_battery_out_of_order_gives_nothing(self):
        out = run(small_battery(availability=b.loan(status=Status.OUT)))

        assert out.endurance[0].held_h == 0

    def test_plugs_count_from_their_first_hour_and_not_in_their_last(self):
        out = run(small_battery(), hookups=(b.hookup(from_h=2, to_h=4),))

        assert out.batteries[0].load_wh == pytest.approx((0, 0, 25, 25, 0, 0))


class TestEndurance:
    def test_units_without_plug_hold_while_they_are_there(self):
        out = run(
            small_battery(),
            loads={"U1": [0.0] * 6},
            units=(b.unit(kind=UnitType.ELSEWHERE, availability=b.loan(back_h=4)),),
            hookups=(),
        )

        assert out.endurance[0].held_h == 4
        assert out.endurance[0].dark_from_h == 4

    def test_powered_units_count_from_their_ready_hour(self):
        out = run(
            small_battery(charge_now=1.0),
            loads={"U1": [0, 0, 20, 20, 20, 20]},
            units=(b.unit(availability=b.loan(ready_h=2)),),
            hookups=(b.hookup(from_h=2),),
        )

        assert out.endurance[0].dark_from_h is None
        assert out.endurance[0].held_h == 4


class TestPriorityHours:
    def test_any_part_of_an_hour_counts(self):
        # start 08:30: hours begin 08:30, 09:30, ...; 10:00-11:15 touches
        # 09:30-10:30, 10:30-11:30: hours 1 and 2
        cond = b.conditions(start=b.START.replace(minute=30))
        load = b.life_support(from_hour=10, to_hour=11.25)

        assert [h for h, on in enumerate(load_hours(load, cond)) if on] == [1, 2]

    def test_seconds_count_too(self):
        # 08:00:30-09:00:30 touches 09:00-10:00, and so does the next hour
        cond = b.conditions(start=b.START.replace(second=30))
        load = b.life_support(from_hour=9, to_hour=10)

        assert [h for h, on in enumerate(load_hours(load, cond)) if on] == [0, 1]

    def test_a_window_over_midnight_on_one_day(self):
        # start Monday 08:00; 22:00-06:00 of day 0: hours 14 to 21
        cond = b.conditions(window_h=48)
        load = b.life_support(from_hour=22, to_hour=6, days=(0,))

        assert [h for h, on in enumerate(load_hours(load, cond)) if on] == list(
            range(14, 22)
        )


class TestWrongUse:
    @pytest.mark.parametrize(
        "plug",
        [
            b.hookup(from_id="B9"),
            b.hookup(to_id="U9"),
            b.hookup(from_id="U1", to_id="B1"),
            b.hookup(link=Link.SOURCE_TO_UNIT),
            b.sun_plug(to_id="U1"),
            b.charger_plug(to_id="U1"),
            b.charger_plug(),
            b.hookup(place="Attic"),
        ],
    )
    def test_unknown_ends_are_refused(self, plug):
        with pytest.raises(UsageError):
            run(small_battery(), hookups=(plug,))

    def test_unknown_units_are_refused(self):
        with pytest.raises(UsageError, match="U9"):
            replay(b.scenario(), (b.use(unit_id="U9"),), (), SunCase.NONE)


HOURS = 12
WATTS = st.lists(st.floats(0, 120, allow_nan=False), min_size=HOURS, max_size=HOURS)
CHARGE = st.floats(0, 1, allow_nan=False)


def twelve_hours(load_w, sun_w, charge, ac):
    """One unit on one battery and panel from the first hour to the last."""
    scene = b.scenario(
        batteries=(small_battery(charge_now=charge),),
        units=(b.unit(supply=Supply.BOTH),),
        conditions=b.conditions(window_h=HOURS),
    )
    port = PortType.AC if ac else PortType.DC_12V
    claim = Claim(
        units_on=(b.use(),),
        hookups=(b.hookup(to_h=HOURS, port=port), b.sun_plug(to_h=HOURS)),
    )
    ground = lay_ground(scene)
    with plain_hours({"U1": load_w}, {"P1": sun_w}):
        done = run_hours(ground, claim, SunCase.MEAN)
    dark = dark_from(ground, done, "U1")
    return done.cells["B1"], HOURS if dark is None else dark


@settings(max_examples=60, deadline=None)
@given(load_w=WATTS, sun_w=WATTS, more_w=WATTS, charge=CHARGE, ac=st.booleans())
def test_more_harvest_never_makes_a_unit_go_dark_earlier(
    load_w, sun_w, more_w, charge, ac
):
    _, before = twelve_hours(load_w, sun_w, charge, ac)
    richer = [a + c for a, c in zip(sun_w, more_w, strict=True)]
    _, after = twelve_hours(load_w, richer, charge, ac)

    assert after >= before


@settings(max_examples=60, deadline=None)
@given(load_w=WATTS, sun_w=WATTS, more_w=WATTS, charge=CHARGE, ac=st.booleans())
def test_more_load_never_makes_a_unit_go_dark_later(load_w, sun_w, more_w, charge, ac):
    _, before = twelve_hours(load_w, sun_w, charge, ac)
    heavier = [a + c for a, c in zip(load_w, more_w, strict=True)]
    _, after = twelve_hours(heavier, sun_w, charge, ac)

    assert after <= before


@settings(max_examples=60, deadline=None)
@given(load_w=WATTS, sun_w=WATTS, charge=CHARGE, ac=st.booleans())
def test_the_energy_balance_closes(load_w, sun_w, charge, ac):
    cell, _ = twelve_hours(load_w, sun_w, charge, ac)
    stored = 0.9 * sum(cell.harvest_wh)
    end = cell.start_wh + stored - sum(cell.load_wh) - sum(cell.spilled_wh)

    assert cell.charge_wh[-1] == pytest.approx(end, abs=1e-6)
    for hour, spilled_wh in enumerate(cell.spilled_wh):
        # Energy is thrown away only by a battery that is full.
        assert spilled_wh >= 0
        assert spilled_wh == 0 or cell.charge_wh[hour] == cell.full_wh
        assert cell.harvest_wh[hour] <= 120 + 1e-9
        assert cell.charge_wh[hour] >= min(cell.start_wh, cell.floor_wh) - 2e-3
