"""Hotter rooms and open doors: who loses the set point, who goes dark earlier."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.check.stress_hard import hard_cases, harder
from planner.physics import cooling, profiles
from planner.physics.warming import warm_after_h
from planner.result_stress import Hardship
from planner.scenario import Status, SunCase, Supply, UnitType
from tests import builders as b
from tests.stress_cases import site

DAY = 24


def units(found, hardship, case=SunCase.NONE):
    cases = {one.hardship: one for one in hard_cases(found.ground, found.claim)}
    return {u.unit_id: u for u in cases[hardship].units if u.sun_case is case}


def faults(found, hardship):
    cases = {one.hardship: one for one in hard_cases(found.ground, found.claim)}
    return [(one.rule, one.subject) for one in cases[hardship].faults]


class TestTheKindsThatLoseTheirBand:
    def box(self, room_c):
        unit = b.unit(kind=UnitType.THERMOELECTRIC, set_points_c=(8.0,), swing_c=0.0)
        world = b.scenario(units=(unit,), places=(b.place(room_c),))
        return site(world, units_on=(b.use(set_points_c=(8.0,)),), placements=())

    def test_a_thermoelectric_box_reaches_the_room_less_18_k(self):
        # 26 - 18 = 8 C is just reached; at 29 C it gets no colder than 11 C.
        found = self.box(26.0)
        assert units(found, Hardship.ROOM_3)["U1"].too_warm_from_h == 0
        assert faults(found, Hardship.ROOM_3) == [("R2", "U1")]

    def test_in_a_room_three_degrees_cooler_it_still_does(self):
        found = self.box(23.0)
        assert units(found, Hardship.ROOM_3)["U1"].too_warm_from_h is None
        assert faults(found, Hardship.ROOM_3) == []
        assert units(found, Hardship.ROOM_6)["U1"].too_warm_from_h == 0

    @pytest.mark.parametrize(("room_c", "fails"), [(29.0, False), (29.5, True)])
    def test_an_absorption_unit_holds_up_to_32_c(self, room_c, fails):
        unit = b.unit(kind=UnitType.ABSORPTION, supply=Supply.BOTH)
        world = b.scenario(units=(unit,), places=(b.place(room_c),))
        hours = units(site(world, placements=()), Hardship.ROOM_3)
        assert (hours["U1"].too_warm_from_h is not None) is fails

    def test_the_first_hot_hour_is_told(self):
        # 33 C plus 3 K is hot for a thermoelectric box at 16 C from 12:00 on.
        warm = tuple(33.0 if 12 <= h < 18 else 20.0 for h in range(24))
        unit = b.unit(kind=UnitType.THERMOELECTRIC, set_points_c=(16.0,))
        world = b.scenario(
            units=(unit,),
            places=(b.place(temp_c_by_clock_hour=warm),),
            conditions=b.conditions(window_h=DAY),
        )
        found = site(world, units_on=(b.use(set_points_c=(16.0,)),), placements=())
        assert units(found, Hardship.ROOM_3)["U1"].too_warm_from_h == 12 - 8


def test_more_load_shows_in_clock_times():
    # 240 Wh a day at 25 / 5 C is 10 W; 1.3 times that 13 W. On 12 V at 0.95
    # with 100 Wh above the floor: hours until they are gone.
    world = b.scenario(
        batteries=(b.battery(capacity_wh=1000.0, charge_now=0.2),),
        conditions=b.conditions(window_h=DAY),
    )
    found = site(
        world,
        hookups=(b.hookup(to_h=DAY),),
        units_on=(b.use(warm_fill=0.0),),
        placements=(),
    )
    load = {
        name: profiles.unit_load_w(
            harder(world, one).units[0],
            (5.0,),
            profiles.room_temp_c(harder(world, one).places[0], world.conditions),
            0.0,
        )
        for name, one in (("doors", Hardship.DOORS), ("hot", Hardship.ROOM_3))
    }
    for hardship, watts in (
        (Hardship.DOORS, load["doors"]),
        (Hardship.ROOM_3, load["hot"]),
    ):
        used_wh, hour = 0.0, 0
        while used_wh + watts[hour] / 0.95 <= 100.0:
            used_wh += watts[hour] / 0.95
            hour += 1
        assert units(found, hardship)["U1"].dark_from_h == hour


def test_doors_cost_as_much_as_measured_and_no_more():
    world = b.scenario(units=(b.unit(), b.unit(id="U2", kind=UnitType.THERMOELECTRIC)))
    warm, box = harder(world, Hardship.DOORS).units
    assert warm.rated_wh_day == pytest.approx(240 * 1.3)
    assert box.rated_wh_day == 240.0


def test_a_hotter_room_melts_more_ice_than_there_is():
    chest = b.unit(kind=UnitType.ICE_CHEST, supply=Supply.NONE, conditioned=True)
    # 0.2587 x 1 W/K x 25 C = 6.5 kg a day, 7.2 kg at 28 C; the first day also
    # cools what goes in.
    need = profiles.ice_kg_day(
        chest, (5.0,), profiles.room_temp_c(b.place(), b.conditions()), 0.25
    )
    for ice_kg, broken in ((need + 0.1, True), (need + 3.0, False)):
        world = b.scenario(units=(chest,), conditions=b.conditions(ice_kg_day=ice_kg))
        found = site(world, hookups=(), placements=())
        assert (("R10", "ice") in faults(found, Hardship.ROOM_3)) is broken


def test_a_site_of_unknown_sun_is_replayed_without_any():
    world = b.scenario(conditions=b.conditions(peak_sun_hours=None))
    found = site(world, hookups=(b.hookup(), b.sun_plug()))
    (first, *_) = hard_cases(found.ground, found.claim)
    assert {one.sun_case for one in first.units} == {SunCase.NONE}


@settings(max_examples=40, deadline=None)
@given(
    room_c=st.floats(27.0, 40.0),
    charge=st.floats(0.15, 1.0),
    kind=st.sampled_from(
        (UnitType.COMPRESSOR, UnitType.THERMOELECTRIC, UnitType.ABSORPTION)
    ),
    set_c=st.sampled_from((-18.0, 4.0, 8.0, 16.0)),
)
def test_a_hotter_room_never_holds_longer(room_c, charge, kind, set_c):
    # From 27 C on no battery gains by warmth (lithium 25 C, lead 26.7 C).
    world = b.scenario(
        units=(b.unit(kind=kind, set_points_c=(set_c,), supply=Supply.BOTH),),
        places=(b.place(room_c),),
        batteries=(b.battery(charge_now=charge),),
        conditions=b.conditions(window_h=DAY),
    )
    found = site(
        world,
        hookups=(b.hookup(to_h=DAY), b.sun_plug(to_h=DAY)),
        units_on=(b.use(set_points_c=(set_c,)),),
        placements=(),
    )
    for case in SunCase:
        warm = units(found, Hardship.ROOM_3, case)["U1"].ends_h
        hot = units(found, Hardship.ROOM_6, case)["U1"].ends_h
        assert hot is None or warm is None or hot <= warm
        assert hot is not None or warm is None


class TestWarming:
    def test_a_steady_room_is_the_handbook_formula(self):
        # 10 kg, 0.7 W/K, 32 C, 5 to 8 C: 1.958 h (lumped contents, textbook).
        steady = profiles.room_temp_c(b.place(32.0), b.conditions())
        assert warm_after_h(10.0, 0.7, steady, 5.0, 8.0) == pytest.approx(
            1.958, abs=5e-4
        )
        assert warm_after_h(10.0, 0.7, steady, 5.0, 8.0) == pytest.approx(
            cooling.hold_over_h(10.0, 0.7, 32.0, 5.0, 8.0)
        )

    def test_changing_rooms_are_the_integral(self):
        from scipy.integrate import solve_ivp

        temps = [20.0, 34.0, 28.0, 38.0, 25.0, 31.0]
        room = profiles.room_temp_c(b.place(0.0), b.conditions()) + temps
        rate = 0.7 / (10.0 * 4190.0) * 3600
        end = solve_ivp(
            lambda t, y: rate * (temps[min(int(t), 5)] - y[0]),
            (0, 6), [3.0], max_step=0.01,
            events=[_crosses(9.0)], rtol=1e-8,
        ).t_events[0][0]  # fmt: skip
        assert warm_after_h(10.0, 0.7, room, 3.0, 9.0) == pytest.approx(end, abs=2e-3)

    def test_never_when_the_room_stays_cold(self):
        cool = profiles.room_temp_c(b.place(7.0), b.conditions())
        assert warm_after_h(1.0, 1.0, cool, 5.0, 8.0) == float("inf")

    @pytest.mark.parametrize(("mass_kg", "from_c"), [(1.0, 8.0), (0.0, 5.0)])
    def test_at_once_when_there_is_nothing_to_warm(self, mass_kg, from_c):
        warm = profiles.room_temp_c(b.place(25.0), b.conditions())
        assert warm_after_h(mass_kg, 1.0, warm, from_c, 8.0) == 0.0

    def test_ice_warms_twice_as_fast_as_water(self):
        warm = profiles.room_temp_c(b.place(25.0), b.conditions())
        water = warm_after_h(1.0, 1.0, warm, -18.0, -15.0)
        ice = warm_after_h(1.0, 1.0, warm, -18.0, -15.0, frozen=True)
        assert ice == pytest.approx(water * 2.09 / 4.19)

    def test_a_night_that_cools_is_not_credited(self):
        cold_night = profiles.room_temp_c(b.place(0.0), b.conditions())
        cold_night[3:] = 25.0
        warm = warm_after_h(10.0, 1.0, cold_night, 5.0, 8.0)
        steady = profiles.room_temp_c(b.place(25.0), b.conditions())
        assert warm == pytest.approx(3 + warm_after_h(10.0, 1.0, steady, 5.0, 8.0))


def _crosses(limit_c):
    def event(_t, y):
        return y[0] - limit_c

    event.terminal = True
    return event


def test_statuses_are_not_touched():
    world = b.scenario()
    assert all(
        u.availability.status is Status.HERE
        for u in harder(world, Hardship.DOORS).units
    )
    assert harder(world, Hardship.ROOM_6).places[0].temp_c_by_clock_hour == (31.0,) * 24
