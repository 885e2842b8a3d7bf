"""Ice chests against textbook problems and worked sums."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.errors import UsageError
from planner.physics import constants as k
from planner.physics import ice

BLOCK_L_KG = 1 / 0.9167
"""Density of ice, physics handbooks: 916.7 kg/m3."""


@pytest.mark.parametrize(
    ("ua", "row"),
    [
        # Worked table, melt = UA * T * 86400 / 334000, at 20 25 30 35 40 C.
        (0.6, (3.1, 3.9, 4.7, 5.4, 6.2)),
        (1.0, (5.2, 6.5, 7.8, 9.1, 10.3)),
        (1.5, (7.8, 9.7, 11.6, 13.6, 15.5)),
    ],
)
def test_melt_table(ua, row):
    for room_c, kg_day in zip((20, 25, 30, 35, 40), row, strict=True):
        assert ice.melt_kg_day(ua, room_c) == pytest.approx(kg_day, abs=0.051)


def test_melt_at_35_c():
    assert ice.melt_kg_day(1.0, 35) == pytest.approx(9.05, rel=0.005)


def test_a_week_of_ice():
    """Worked sum: UA 1.0 at 32 C needs 57.9 kg in 7 days, 63.2 L as blocks."""
    week_kg = 7 * ice.melt_kg_day(1.0, 32)
    assert week_kg == pytest.approx(57.9, rel=0.005)
    assert week_kg * BLOCK_L_KG == pytest.approx(63.2, rel=0.005)


def test_a_frosty_room_melts_nothing():
    assert ice.melt_kg_day(1.0, -3) == 0


def test_ice_chest_of_a_heat_transfer_textbook():
    """Heat transfer textbook, problem 3-162, after Cengel.

    Printed resistances 1.5927 + 0.07508 = 1.6678 C/W, 45 kg of ice,
    333.7 kJ/kg.  The air at 28 C is from memory; 16.79 W, 10.35 days.
    """
    ua = 1 / (1.5927 + 0.07508)
    heat_w = ua * 28
    assert heat_w == pytest.approx(16.79, rel=0.002)
    hours = ice.hold_h(45, heat_w, fusion_kj_kg=333.7)
    assert hours == pytest.approx(248.4, rel=0.002)
    assert 45 / ice.melt_kg_day(ua, 28) == pytest.approx(10.35, rel=0.002)


def test_ice_box_of_a_school_textbook():
    """NCERT Physics XI: 30 cm cube, 5 cm walls, K = 0.01, 45 C, 6 h, 4 kg.

    104 976 J flow in; 3.687 kg are left (the book prints 3.7, from memory).
    """
    ua = 0.01 * 6 * 0.3**2 / 0.05
    heat_w = ua * 45
    assert heat_w * 6 * 3600 == pytest.approx(104_976, rel=0.001)
    one_kg_h = ice.hold_h(1, heat_w, fusion_kj_kg=335)
    assert 4 - 6 / one_kg_h == pytest.approx(3.687, rel=0.001)
    ours = 4 - ice.melt_kg_day(ua, 45) * 6 / 24
    assert ours == pytest.approx(3.7, abs=0.05)


def test_ice_chest_with_a_base_ignored():
    """Textbook problem: 0.74 m2, 3 cm, k = 0.033, 30 kg, 25 C, 333.2 kJ/kg."""
    heat_w = 0.033 * 0.74 / 0.03 * 25
    assert heat_w == pytest.approx(20.35, rel=0.001)
    assert ice.hold_h(30, heat_w, fusion_kj_kg=333.2) == pytest.approx(136.4, rel=0.001)


def test_hold_of_five_kilograms():
    """Worked sum: UA 1, 35 C room, box at 0 C lasts 13.25 h."""
    assert ice.hold_h(5, 35.0) == pytest.approx(13.25, rel=0.005)


def test_two_kilograms_hold_a_small_box_for_a_night():
    """Worked sum: UA 0.7, 32 C, box held at 4 C lasts 9.5 h."""
    assert ice.hold_h(2, 0.7 * (32 - 4)) == pytest.approx(9.5, rel=0.005)


def test_hold_needs_heat():
    with pytest.raises(UsageError):
        ice.hold_h(5, 0)


def test_warm_contents_melt_ice():
    """Heat balance: 10 kg from 32 to 4 C give up 1173 kJ, 3.51 kg of ice."""
    assert ice.warm_contents_kg(10, 32, 4) == pytest.approx(3.51, abs=0.01)
    assert ice.warm_contents_kg(10, 3, 4) == 0


def test_ice_takes_its_room():
    assert ice.litres_left(30, 10) == pytest.approx(12)
    assert ice.litres_left(10, 10) == 0


def test_cubes_take_more_room_than_blocks():
    """Cubes pack at about 0.55 of solid ice; handbooks give 0.5 to 0.65."""
    assert 0.5 <= BLOCK_L_KG / k.CUBE_ICE_L_KG.value <= 0.65


def test_worst_day_is_any_24_hours_in_a_row():
    rooms = np.array([20.0] * 12 + [30.0] * 24 + [20.0] * 36)
    assert ice.worst_day_mean_c(rooms) == pytest.approx(30)
    assert ice.worst_day_mean_c(rooms[:18]) == pytest.approx((12 * 20 + 6 * 30) / 18)
    assert ice.worst_day_mean_c(np.array([-10.0, -5.0])) == 0
    assert ice.worst_day_mean_c(np.array([])) == 0


@given(
    ua=st.floats(0.2, 3),
    more_ua=st.floats(0, 2),
    room=st.floats(-10, 45),
    hotter=st.floats(0, 10),
)
def test_melt_never_falls_with_walls_or_room(ua, more_ua, room, hotter):
    base = ice.melt_kg_day(ua, room)
    assert ice.melt_kg_day(ua + more_ua, room) >= base
    assert ice.melt_kg_day(ua, room + hotter) >= base
