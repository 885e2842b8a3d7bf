"""Hourly numbers of whole units, batteries and panels (R1, R2, R3, R8, R10, R11)."""

from dataclasses import replace
from datetime import datetime

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.errors import UsageError
from planner.physics.profiles import (
    battery_limits,
    cold_after_h,
    held_band,
    ice_kg_day,
    panel_w,
    reach,
    room_temp_c,
    start_surge_w,
    unit_load_w,
    usable_l,
)
from planner.scenario import (
    Availability,
    Battery,
    Chemistry,
    ColdUnit,
    Conditions,
    Controller,
    Panel,
    Place,
    Status,
    SunCase,
    UnitType,
)

START = datetime(2024, 7, 2, 8, 0)
ROOM_32 = np.full(72, 32.0)
FRIDGE = ColdUnit(
    id="u1",
    name="box fridge",
    place="hall",
    kind=UnitType.COMPRESSOR,
    gross_volume_l=40,
    usable_share=0.65,
    running_w=45,
    rated_wh_day=300,
)
CHEST = ColdUnit(
    id="c1",
    name="chest",
    place="hall",
    kind=UnitType.ICE_CHEST,
    gross_volume_l=45,
    usable_share=0.7,
    ua_w_per_k=1.0,
)
PACK = Battery(
    id="b1",
    name="pack",
    place="hall",
    capacity_wh=1000,
    chemistry=Chemistry.LFP,
    charge_now=0.8,
    usable_share=0.9,
    max_out_w=500,
    ports_12v=2,
    port_12v_max_w=120,
    outlets_ac=2,
    ac_idle_w=10,
    max_charge_w=300,
    solar_input_max_w=100,
)
PANEL = Panel(
    id="p1",
    name="panel",
    place="",
    rated_w=100,
    controller=Controller.MPPT,
    tilt_deg=26,
    azimuth_deg=180,
)
SUNNY = Conditions(start=START, peak_sun_hours=5.0)


def unit(kind: UnitType, **changes) -> ColdUnit:
    return replace(FRIDGE, kind=kind, **changes)


def at_hours(ready: int, back: int | None) -> Availability:
    return Availability(status=Status.OFFERED, ready_h=ready, back_h=back)


# ---- rooms ----------------------------------------------------------------------


def test_room_follows_the_clock():
    place = Place(name="hall", temp_c_by_clock_hour=tuple(float(h) for h in range(24)))
    room = room_temp_c(place, Conditions(start=START, window_h=48))
    assert room[:3].tolist() == [8, 9, 10]
    assert room[16] == 0
    assert room.shape == (48,)


def test_room_of_a_window_that_starts_off_the_hour():
    place = Place(name="hall", temp_c_by_clock_hour=tuple(float(h) for h in range(24)))
    start = datetime(2024, 7, 2, 22, 30)
    room = room_temp_c(place, Conditions(start=start, window_h=3))
    assert room.tolist() == [22.5, 11.5, 0.5]


# ---- held band (R1) -------------------------------------------------------------


@pytest.mark.parametrize(
    "kind",
    [
        UnitType.COMPRESSOR,
        UnitType.HOUSEHOLD,
        UnitType.ABSORPTION,
        UnitType.ELSEWHERE,
        UnitType.THERMOELECTRIC,
    ],
)
def test_r1_set_point_and_swing(kind):
    band = held_band(unit(kind, swing_c=1.5), 5.0, np.full(72, 24.0))
    assert (band.low_c, band.high_c) == (3.5, 6.5)


def test_r1_a_fridge_does_not_heat():
    band = held_band(FRIDGE, 5.0, np.array([10.0, -1.0, 4.0]))
    assert (band.low_c, band.high_c) == (-1.0, 7.0)


def test_r1_a_thermoelectric_box_runs_on_in_a_cool_night():
    band = held_band(unit(UnitType.THERMOELECTRIC), 5.0, np.array([22.0, 18.0]))
    assert (band.low_c, band.high_c) == (-2.0, 7.0)


def test_r1_ice_chests():
    raw = held_band(CHEST, 4.0, ROOM_32)
    assert (raw.low_c, raw.high_c) == (0, 4)
    packed = held_band(replace(CHEST, conditioned=True), 4.0, ROOM_32)
    assert (packed.low_c, packed.high_c) == (2, 8)
    frosty = held_band(replace(CHEST, conditioned=True), 4.0, np.array([-3.0, 9.0]))
    assert frosty.low_c == -3


def test_r1_cool_shelf_follows_the_room_while_it_is_here():
    room = np.array([35.0, 18.0, 24.0, 12.0])
    shelf = unit(UnitType.COOL_SHELF)
    band = held_band(shelf, 5.0, room)
    assert (band.low_c, band.high_c) == (12, 35)
    band = held_band(replace(shelf, availability=at_hours(1, 3)), 5.0, room)
    assert (band.low_c, band.high_c) == (18, 24)


def test_r1_evaporative_band_spans_dry_and_damp_air():
    """By hand from the wet bulbs 19.30 (20 %) and 31.93 (80 %) at 35 C."""
    band = held_band(unit(UnitType.EVAPORATIVE), 5.0, np.full(3, 35.0))
    assert band.low_c == pytest.approx(35 - 0.7 * (35 - 19.30), abs=0.01)
    assert band.high_c == pytest.approx(35 - 0.7 * (35 - 31.93), abs=0.01)


# ---- reach (R2) -----------------------------------------------------------------


def test_r2_duty_by_hand():
    """300 Wh at 25 C is 475.7 Wh at 32 C: 19.8 W of 45 W."""
    found = reach(FRIDGE, (5.0,), ROOM_32)
    assert found.ok
    assert found.peak_duty == pytest.approx(300 * 1.586 / 24 / 45, rel=0.001)
    assert "5 °C (41 °F)" in found.reason
    assert "32 °C (89.6 °F)" in found.reason
    assert "20 W" in found.reason
    assert "45 W" in found.reason


def test_r2_the_hottest_hour_decides():
    room = np.full(72, 25.0)
    weak = replace(FRIDGE, running_w=19)
    assert reach(weak, (5.0,), room).ok
    room[40] = 32.0
    found = reach(weak, (5.0,), room)
    assert not found.ok
    assert found.peak_duty > 1
    assert found.reason.startswith("Cannot hold")
    assert reach(replace(weak, availability=at_hours(41, None)), (5.0,), room).ok


def test_r2_a_freezer_zone_counts_by_its_share():
    two = replace(FRIDGE, zone_shares=(0.5, 0.5))
    both_warm = reach(two, (5.0, 5.0), ROOM_32).peak_duty
    one_cold = reach(two, (5.0, -18.0), ROOM_32).peak_duty
    assert both_warm == pytest.approx(reach(FRIDGE, (5.0,), ROOM_32).peak_duty)
    assert one_cold == pytest.approx(both_warm * (1 + 3.017) / 2, rel=0.001)


def test_r2_no_running_watts_is_refused():
    found = reach(replace(FRIDGE, running_w=0), (5.0,), ROOM_32)
    assert not found.ok
    assert np.isinf(found.peak_duty)


@pytest.mark.parametrize(("room_c", "ok"), [(23.0, True), (23.1, False), (35.0, False)])
def test_r2_thermoelectric(room_c, ok):
    found = reach(unit(UnitType.THERMOELECTRIC), (5.0,), np.full(24, room_c))
    assert found.ok is ok
    assert found.peak_duty == 1.0
    if not ok:
        assert f"{room_c - 18:g} °C" in found.reason


@pytest.mark.parametrize(
    ("kind", "set_c"),
    [
        (UnitType.THERMOELECTRIC, 5.0),
        (UnitType.ABSORPTION, 5.0),
        (UnitType.EVAPORATIVE, 15.0),
    ],
)
def test_r2_one_hot_hour_is_enough_to_refuse(kind, set_c):
    room = np.full(72, 22.0)
    assert reach(unit(kind), (set_c,), room).ok
    room[50] = 33.0
    assert not reach(unit(kind), (set_c,), room).ok


@pytest.mark.parametrize(("room_c", "ok"), [(32.0, True), (32.5, False)])
def test_r2_absorption(room_c, ok):
    found = reach(unit(UnitType.ABSORPTION), (5.0,), np.full(24, room_c))
    assert found.ok is ok
    assert ("level" in found.reason) is ok


@pytest.mark.parametrize(("set_c", "ok"), [(0.0, True), (4.0, True), (-0.5, False)])
def test_r2_water_ice_freezes_nothing(set_c, ok):
    found = reach(CHEST, (set_c,), ROOM_32)
    assert found.ok is ok
    assert found.peak_duty == 0


@pytest.mark.parametrize(("set_c", "ok"), [(24.0, True), (23.9, False), (5.0, False)])
def test_r2_evaporative_is_no_cold_store(set_c, ok):
    assert reach(unit(UnitType.EVAPORATIVE), (set_c,), ROOM_32).ok is ok


@pytest.mark.parametrize("kind", [UnitType.ELSEWHERE, UnitType.COOL_SHELF])
def test_r2_always_in_reach(kind):
    assert reach(unit(kind), (-18.0,), ROOM_32).ok


@pytest.mark.parametrize("kind", list(UnitType))
def test_r11_a_unit_that_never_comes_reaches_nothing(kind):
    late = unit(kind, availability=at_hours(72, None))
    assert not reach(late, (25.0,), ROOM_32).ok
    assert unit_load_w(late, (25.0,), ROOM_32, 1.0).sum() == 0


def test_one_set_point_a_zone():
    for call in (reach, usable_l):
        with pytest.raises(UsageError, match="u1"):
            call(FRIDGE, (5.0, 5.0), ROOM_32)
    for call in (unit_load_w, cold_after_h, ice_kg_day):
        with pytest.raises(UsageError, match="u1"):
            call(FRIDGE, (), ROOM_32, 0.5)


# ---- litres (R3) and ice (R10) --------------------------------------------------


def test_r3_usable_litres_by_zone():
    two = replace(FRIDGE, zone_shares=(0.75, 0.25))
    assert usable_l(two, (5.0, 5.0), ROOM_32) == pytest.approx((19.5, 6.5))


def test_r3_ice_takes_its_room():
    """45 L x 0.7 = 31.5 L; 8.278 kg of ice a day at 1.8 L/kg are 14.9 L."""
    (litres,) = usable_l(CHEST, (4.0,), ROOM_32)
    assert litres == pytest.approx(31.5 - 14.9, abs=0.01)
    leaky = replace(CHEST, ua_w_per_k=3.0)
    assert usable_l(leaky, (4.0,), ROOM_32) == (0,)


def test_r10_ice_of_the_first_day():
    """By hand: 8.278 kg through the walls, 16.6 L x 0.5 kg/L from 32 to 4 C."""
    walls = 0.2587 * 32
    goods = 16.6 * 0.5 * 4.19 * 28 / 334
    assert ice_kg_day(CHEST, (4.0,), ROOM_32, 0.0) == pytest.approx(walls, abs=0.01)
    assert ice_kg_day(CHEST, (4.0,), ROOM_32, 1.0) == pytest.approx(
        walls + goods, abs=0.02
    )
    assert ice_kg_day(CHEST, (4.0,), ROOM_32, 0.5) == pytest.approx(
        walls + goods / 2, abs=0.02
    )
    assert ice_kg_day(FRIDGE, (4.0,), ROOM_32, 1.0) == 0


def test_r10_a_later_day_can_be_the_worst():
    room = np.concatenate((np.full(24, 15.0), np.full(24, 35.0), np.full(24, 25.0)))
    found = ice_kg_day(CHEST, (4.0,), room, 0.25)
    assert found == pytest.approx(9.05, rel=0.005)


# ---- load (R8) ------------------------------------------------------------------


def test_r8_load_by_hand():
    """Cabinet 40 L x 0.4 kJ/K and 13 kg from 32 to 5 C at COP 1.5."""
    steady = 300 * 1.35 * 47 / 40 / 24
    pull = (40 * 0.4 + 13 * 4.19) * 27 / 3.6 / 1.5
    load = unit_load_w(FRIDGE, (5.0,), ROOM_32, 1.0)
    assert load.sum() == pytest.approx(72 * steady + pull, rel=0.001)
    hours = pull / (45 - steady)
    assert cold_after_h(FRIDGE, (5.0,), ROOM_32, 1.0) == int(np.ceil(hours))
    full, rest = int(hours), hours - int(hours)
    assert load[:full] == pytest.approx(np.full(full, 45.0))
    assert load[full] == pytest.approx(steady + rest * (45 - steady), rel=0.001)
    assert load[full + 1 :] == pytest.approx(
        np.full(71 - full, float(load[-1])), rel=1e-12
    )
    assert load[-1] == pytest.approx(steady, rel=0.001)


def test_r8_contents_of_a_freezer_arrive_frozen():
    """By hand: 13 kg of ice from -5 to -18 C, cabinet from 32 C, COP 0.9."""
    cold = replace(FRIDGE, running_w=120)
    load = unit_load_w(cold, (-18.0,), ROOM_32, 1.0)
    pull = (13 * 2.09 * 13 + 40 * 0.4 * 50) / 3.6 / 0.9
    assert load.sum() - 72 * load[-1] == pytest.approx(pull, rel=0.001)


def test_r8_two_zones_alike_pull_down_as_one():
    two = replace(FRIDGE, zone_shares=(0.7, 0.3))
    one_load = unit_load_w(FRIDGE, (5.0,), ROOM_32, 1.0)
    assert unit_load_w(two, (5.0, 5.0), ROOM_32, 1.0) == pytest.approx(one_load)


def test_r8_a_unit_without_spare_power_never_gets_cold():
    steady = float(unit_load_w(FRIDGE, (5.0,), ROOM_32, 0.0)[-1])
    tight = replace(FRIDGE, running_w=steady)
    assert cold_after_h(tight, (5.0,), ROOM_32, 0.25) == 72
    assert unit_load_w(tight, (5.0,), ROOM_32, 0.25) == pytest.approx(
        np.full(72, steady)
    )


def test_r8_nothing_to_cool_in_a_cold_room():
    cold_room = np.full(72, 4.0)
    assert cold_after_h(FRIDGE, (5.0,), cold_room, 1.0) == 0
    assert unit_load_w(FRIDGE, (5.0,), cold_room, 1.0).sum() == 0


def test_r11_load_only_while_the_unit_is_here():
    loan = replace(FRIDGE, availability=at_hours(10, 60))
    load = unit_load_w(loan, (5.0,), ROOM_32, 1.0)
    assert not load[:10].any()
    assert not load[60:].any()
    assert load[10:60].all()
    whole = unit_load_w(FRIDGE, (5.0,), ROOM_32, 1.0)
    assert load[10:60] == pytest.approx(whole[:50])
    assert cold_after_h(loan, (5.0,), ROOM_32, 1.0) == cold_after_h(
        FRIDGE, (5.0,), ROOM_32, 1.0
    )


def test_pull_down_starts_from_the_room_at_the_ready_hour():
    room = np.where(np.arange(72) < 20, 20.0, 35.0)
    early = unit_load_w(FRIDGE, (5.0,), room, 1.0)
    late = unit_load_w(
        replace(FRIDGE, availability=at_hours(30, None)), (5.0,), room, 1
    )
    assert late.sum() - 42 * late[-1] > 1.5 * (early[:20].sum() - 20 * early[19])


@pytest.mark.parametrize("kind", [UnitType.THERMOELECTRIC, UnitType.ABSORPTION])
def test_units_that_always_run(kind):
    always = unit(kind, availability=at_hours(5, 30))
    load = unit_load_w(always, (5.0,), ROOM_32, 1.0)
    assert load[5:30].tolist() == [45.0] * 25
    assert load.sum() == 45 * 25
    assert cold_after_h(always, (5.0,), ROOM_32, 0.5) == 72
    assert cold_after_h(always, (5.0,), ROOM_32, 0.0) == 0


@pytest.mark.parametrize(
    "kind",
    [
        UnitType.ICE_CHEST,
        UnitType.ELSEWHERE,
        UnitType.COOL_SHELF,
        UnitType.EVAPORATIVE,
    ],
)
def test_units_that_need_no_power(kind):
    assert unit_load_w(unit(kind), (5.0,), ROOM_32, 1.0).tolist() == [0] * 72
    assert cold_after_h(unit(kind), (5.0,), ROOM_32, 1.0) == 0
    assert start_surge_w(unit(kind)) == 0


def test_start_surge():
    """Trade pages: household compressors start at 3 to 6 times running."""
    assert start_surge_w(unit(UnitType.HOUSEHOLD, running_w=120)) == 720
    assert start_surge_w(FRIDGE) == 90
    assert start_surge_w(unit(UnitType.THERMOELECTRIC)) == 45
    assert start_surge_w(unit(UnitType.ABSORPTION)) == 45


# ---- batteries ------------------------------------------------------------------


def test_battery_limits_by_hand():
    """LFP at 25 C: all of 1000 Wh, 100 Wh floor, a tenth of 900 Wh in reserve."""
    limits = battery_limits(PACK, np.full(72, 25.0), SUNNY)
    assert limits.full_wh == 1000
    assert limits.floor_wh == pytest.approx(100)
    assert limits.start_wh == pytest.approx(800)
    assert limits.reserve_wh == pytest.approx(90)
    assert limits.charge_limit_w.tolist() == [300] * 72
    assert limits.solar_limit_w == 100
    assert (limits.dc_efficiency, limits.ac_efficiency) == (0.95, 0.90)
    assert (limits.max_out_w, limits.ac_idle_w) == (500, 10)
    assert limits.charge_efficiency == 0.95


def test_battery_in_the_cold_is_smaller_by_its_coldest_hour():
    room = np.full(72, 25.0)
    room[30] = 0.0
    limits = battery_limits(PACK, room, SUNNY)
    assert limits.full_wh == pytest.approx(800)
    assert limits.floor_wh == pytest.approx(80)
    assert limits.start_wh == pytest.approx(640)
    before = replace(PACK, availability=at_hours(0, 30))
    assert battery_limits(before, room, SUNNY).full_wh == pytest.approx(1000)
    lead = replace(PACK, chemistry=Chemistry.AGM)
    room[30] = 10.0
    assert battery_limits(lead, room, SUNNY).full_wh == pytest.approx(1000 / 1.19)


def test_lithium_takes_no_charge_outside_0_to_40_c():
    room = np.full(72, 25.0)
    room[:3] = (-2.0, 42.0, 40.0)
    limits = battery_limits(PACK, room, SUNNY)
    assert limits.charge_limit_w[:4].tolist() == [0, 0, 300, 300]
    lead = battery_limits(replace(PACK, chemistry=Chemistry.FLOODED), room, SUNNY)
    assert lead.charge_limit_w.tolist() == [300] * 72


def test_r11_a_borrowed_battery_charges_only_while_it_is_here():
    loan = replace(PACK, availability=at_hours(10, 20))
    limits = battery_limits(loan, np.full(72, 25.0), SUNNY)
    assert np.flatnonzero(limits.charge_limit_w).tolist() == list(range(10, 20))


def test_solar_input_is_capped_by_the_charge_rate_too():
    slow = replace(PACK, max_charge_w=60)
    assert battery_limits(slow, ROOM_32, SUNNY).solar_limit_w == 60


# ---- panels (R9) ----------------------------------------------------------------


def test_r9_sun_cases():
    none = panel_w(PANEL, SUNNY, ROOM_32, SunCase.NONE)
    mean = panel_w(PANEL, SUNNY, ROOM_32, SunCase.MEAN)
    poor = panel_w(PANEL, SUNNY, ROOM_32, SunCase.POOR)
    assert none.tolist() == [0] * 72
    assert poor == pytest.approx(0.5 * mean)
    darker = replace(SUNNY, poor_share=0.2)
    assert panel_w(PANEL, darker, ROOM_32, SunCase.POOR) == pytest.approx(0.2 * mean)


def test_r9_peak_sun_day_by_hand():
    """5 kWh/m2 on 100 W through PWM: 500 x 0.88582 x 0.75 = 332.2 Wh a day."""
    pwm = replace(PANEL, controller=Controller.PWM)
    found = panel_w(pwm, SUNNY, ROOM_32, SunCase.MEAN)
    assert found.reshape(3, 24).sum(axis=1) == pytest.approx([332.2] * 3, rel=0.001)
    assert found[10:22].sum() == 0


def test_r9_clear_day_scaled_by_the_sky():
    """Miami, clear day of 6.436 kWh/m2 in the plane, sky factor 0.7, PWM."""
    miami = Conditions(
        start=datetime(2023, 7, 15),
        window_h=24,
        latitude=25.77,
        longitude=-80.19,
        utc_offset_h=-5,
    )
    pwm = replace(PANEL, controller=Controller.PWM, tilt_deg=25.77)
    found = panel_w(pwm, miami, np.full(24, 30.0), SunCase.MEAN).sum()
    assert found == pytest.approx(643.6 * 0.7 * 0.88582 * 0.75, rel=0.01)
    half = panel_w(
        pwm, replace(miami, sky_factor=0.35), np.full(24, 30.0), SunCase.MEAN
    )
    assert half.sum() == pytest.approx(found / 2)


def test_r9_sun_that_is_not_known_is_not_zero():
    nowhere = Conditions(start=START)
    with pytest.raises(UsageError, match="peak sun hours"):
        panel_w(PANEL, nowhere, ROOM_32, SunCase.MEAN)
    with pytest.raises(UsageError, match="longitude"):
        panel_w(PANEL, replace(nowhere, latitude=26.0), ROOM_32, SunCase.MEAN)
    dark = replace(nowhere, peak_sun_hours=0.0)
    assert panel_w(PANEL, dark, ROOM_32, SunCase.MEAN).sum() == 0


def test_panel_needs_a_temperature_for_every_hour():
    with pytest.raises(UsageError, match="71 values for 72 hours"):
        panel_w(PANEL, SUNNY, ROOM_32[:71], SunCase.MEAN)


def test_r11_a_borrowed_panel_harvests_only_while_it_is_here():
    loan = replace(PANEL, availability=at_hours(2, 5))
    whole = panel_w(PANEL, SUNNY, ROOM_32, SunCase.MEAN)
    found = panel_w(loan, SUNNY, ROOM_32, SunCase.MEAN)
    assert found[2:5] == pytest.approx(whole[2:5])
    assert found.sum() == pytest.approx(whole[2:5].sum())


def test_harvest_can_be_changed_by_its_caller():
    found = panel_w(PANEL, replace(SUNNY, peak_sun_hours=0.0), ROOM_32, SunCase.MEAN)
    found += 1.0
    again = panel_w(PANEL, replace(SUNNY, peak_sun_hours=0.0), ROOM_32, SunCase.MEAN)
    assert again.sum() == 0


# ---- properties -----------------------------------------------------------------

rooms = st.lists(st.floats(-5, 48), min_size=24, max_size=24).map(np.array)
fills = st.sampled_from([0.0, 0.25, 0.5, 0.75, 1.0])
sets = st.floats(-20, 10)


@settings(max_examples=60)
@given(room=rooms, hotter=st.floats(0, 10), set_c=sets, fill=fills)
def test_a_hotter_room_never_loads_less_nor_cools_sooner(room, hotter, set_c, fill):
    cool = unit_load_w(FRIDGE, (set_c,), room, fill)
    hot = unit_load_w(FRIDGE, (set_c,), room + hotter, fill)
    assert hot.sum() >= cool.sum() - 1e-6
    assert np.all(np.cumsum(hot) >= np.cumsum(cool) - 1e-6)
    assert cold_after_h(FRIDGE, (set_c,), room + hotter, fill) >= cold_after_h(
        FRIDGE, (set_c,), room, fill
    )
    assert (
        reach(FRIDGE, (set_c,), room + hotter).peak_duty
        >= reach(FRIDGE, (set_c,), room).peak_duty - 1e-9
    )


@settings(max_examples=60)
@given(room=rooms, set_c=sets, fill=fills, more=st.floats(0, 0.5))
def test_more_warm_contents_never_load_less(room, set_c, fill, more):
    fuller = min(1.0, fill + more)
    less = unit_load_w(FRIDGE, (set_c,), room, fill)
    load = unit_load_w(FRIDGE, (set_c,), room, fuller)
    assert np.all(np.cumsum(load) >= np.cumsum(less) - 1e-6)
    assert cold_after_h(FRIDGE, (set_c,), room, fuller) >= cold_after_h(
        FRIDGE, (set_c,), room, fill
    )


@settings(max_examples=60)
@given(room=rooms, set_c=sets, fill=fills)
def test_load_lies_between_nothing_and_running_watts_when_in_reach(room, set_c, fill):
    load = unit_load_w(FRIDGE, (set_c,), room, fill)
    assert np.all(load >= 0)
    if reach(FRIDGE, (set_c,), room).ok:
        assert np.all(load <= FRIDGE.running_w + 1e-6)


@settings(max_examples=60)
@given(
    room=rooms,
    ua=st.floats(0.2, 2),
    more=st.floats(0, 2),
    hotter=st.floats(0, 8),
    fill=fills,
)
def test_leakier_chests_and_hotter_rooms_leave_less_room(room, ua, more, hotter, fill):
    tight, leaky = replace(CHEST, ua_w_per_k=ua), replace(CHEST, ua_w_per_k=ua + more)
    for one, other, there in ((tight, leaky, room), (tight, tight, room + hotter)):
        assert usable_l(other, (4.0,), there) <= usable_l(one, (4.0,), room)
        assert (
            ice_kg_day(other, (4.0,), there, 0.0)
            >= ice_kg_day(one, (4.0,), room, 0.0) - 1e-9
        )


@settings(max_examples=40)
@given(
    psh=st.floats(0, 9),
    shade=st.floats(0, 1),
    more=st.floats(0, 1),
    poor=st.floats(0, 1),
    controller=st.sampled_from(list(Controller)),
)
def test_harvest_never_rises_with_shade_or_a_poorer_sky(
    psh, shade, more, poor, controller
):
    sky = Conditions(start=START, peak_sun_hours=psh, poor_share=poor)
    panel = replace(PANEL, shade_share=shade, controller=controller)
    shaded = replace(panel, shade_share=min(1.0, shade + more))
    mean = panel_w(panel, sky, ROOM_32, SunCase.MEAN)
    assert np.all(panel_w(shaded, sky, ROOM_32, SunCase.MEAN) <= mean + 1e-9)
    assert np.all(panel_w(panel, sky, ROOM_32, SunCase.POOR) <= mean + 1e-9)
    assert np.all(mean >= 0)
    assert mean.sum() <= 3 * psh * PANEL.rated_w + 1e-6


@settings(max_examples=40)
@given(cold=st.floats(-25, 45), warmer=st.floats(0, 20))
def test_a_colder_battery_never_holds_more(cold, warmer):
    for chemistry in Chemistry:
        pack = replace(PACK, chemistry=chemistry)
        low = battery_limits(pack, np.full(24, cold), SUNNY)
        high = battery_limits(pack, np.full(24, cold + warmer), SUNNY)
        assert low.full_wh <= high.full_wh + 1e-9
        assert 0 <= low.floor_wh <= low.full_wh <= pack.capacity_wh
