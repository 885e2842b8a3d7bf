"""Heat leak, performance and limits of powered cold units.

Plain formulas: degrees Celsius, watts, watt-hours, kilograms in; arrays
broadcast.  ``ambient`` is the room where the unit stands, not the weather.
"""

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from planner.errors import UsageError
from planner.physics import constants as k

Floats = NDArray[np.float64]

KJ_PER_WH = 3.6


def heat_leak_w(ua_w_per_k: float, ambient_c: ArrayLike, inside_c: float) -> Floats:
    """Heat through the walls [W]; never below 0 (a fridge does not heat)."""
    gap_k = np.asarray(ambient_c, dtype=np.float64) - inside_c
    return np.maximum(0.0, ua_w_per_k * gap_k)


def carnot_cop(inside_c: float, ambient_c: float) -> float:
    """Carnot performance between cabinet and room [W/W]."""
    if ambient_c <= inside_c:
        msg = "the Carnot figure needs a room warmer than the inside"
        raise UsageError(msg)
    return (inside_c + k.KELVIN.value) / (ambient_c - inside_c)


def cop_10(inside_c: float, ambient_c: ArrayLike) -> Floats:
    """Carnot performance with a 10 K approach at each exchanger [W/W].

    Defined while the room is less than 20 K colder than the inside.
    """
    approach = k.EXCHANGER_APPROACH_K.value
    evaporator_c = inside_c - approach
    condenser_c = np.asarray(ambient_c, dtype=np.float64) + approach
    return (evaporator_c + k.KELVIN.value) / (condenser_c - evaporator_c)


def scale_factor(
    rated_ambient_c: float,
    rated_inside_c: float,
    ambient_c: ArrayLike,
    inside_c: float,
) -> Floats:
    """Energy at (ambient, inside) over energy at the rating's temperatures.

    ``max(L, L * COP_10(rated) / COP_10)`` with ``L`` the ratio of the
    temperature gaps: hotter rooms also cost performance, cooler rooms are
    not credited with any.  0 where the room is not warmer than the inside.

    Raises
    ------
    UsageError
        If the rating's room is not warmer than its inside.
    """
    rated_gap_k = rated_ambient_c - rated_inside_c
    if rated_gap_k <= 0:
        msg = "a rating needs a room warmer than the inside"
        raise UsageError(msg)
    room_c = np.asarray(ambient_c, dtype=np.float64)
    linear = np.maximum(0.0, (room_c - inside_c) / rated_gap_k)
    # Below the inside temperature the factor is 0 whatever the performance.
    performance = cop_10(inside_c, np.maximum(room_c, inside_c))
    penalty = cop_10(rated_inside_c, rated_ambient_c) / performance
    return linear * np.maximum(1.0, penalty)


def scale_energy(
    rated_wh_day: float,
    rated_ambient_c: float,
    rated_inside_c: float,
    ambient_c: ArrayLike,
    inside_c: float,
) -> Floats:
    """Daily energy of a unit away from its rating's temperatures [Wh/day]."""
    return rated_wh_day * scale_factor(
        rated_ambient_c, rated_inside_c, ambient_c, inside_c
    )


def small_unit_cop(inside_c: float, ambient_c: float) -> float:
    """Estimate the performance of a small compressor unit [W/W], for pull-down.

    A fridge or freezer figure at a 32 C room, moved to other temperatures
    along :func:`cop_10` and never above the figure itself.
    """
    if inside_c < 0:
        top, inside_ref_c = k.FREEZER_COP.value, k.FREEZER_COP_INSIDE_C.value
    else:
        top, inside_ref_c = k.FRIDGE_COP.value, k.FRIDGE_COP_INSIDE_C.value
    reference = cop_10(inside_ref_c, k.COP_ROOM_C.value)
    here = cop_10(inside_c, max(ambient_c, inside_c))
    return min(top, top * float(here / reference))


def duty(load_w: ArrayLike, running_w: float) -> Floats:
    """Share of the time the compressor runs; above 1 it cannot hold.

    Infinite when there is a load and ``running_w`` is 0.
    """
    load = np.asarray(load_w, dtype=np.float64)
    if running_w > 0:
        return load / running_w
    return np.where(load > 0, np.inf, 0.0)


def cap_wh_day(running_w: float) -> float:
    """Most energy a unit can draw in a day [Wh/day]."""
    return 24.0 * running_w


def sensible_heat_wh(
    mass_kg: float, specific_kj_kg_k: float, from_c: float, to_c: float
) -> float:
    """Heat to take out of contents cooled from one temperature to another [Wh].

    0 when they are already as cold.
    """
    return mass_kg * specific_kj_kg_k * max(0.0, from_c - to_c) / KJ_PER_WH


def freezing_heat_wh(mass_kg: float, from_c: float, to_c: float) -> float:
    """Heat to take out of water cooled from above 0 C to ice below it [Wh]."""
    if not to_c <= 0 <= from_c:
        msg = "freezing goes from 0 C or above to 0 C or below"
        raise UsageError(msg)
    liquid = sensible_heat_wh(mass_kg, k.WATER_KJ_KG_K.value, from_c, 0.0)
    fusion = mass_kg * k.FUSION_KJ_KG.value / KJ_PER_WH
    solid = sensible_heat_wh(mass_kg, k.ICE_KJ_KG_K.value, 0.0, to_c)
    return liquid + fusion + solid


def hold_over_h(
    mass_kg: float, ua_w_per_k: float, ambient_c: float, from_c: float, to_c: float
) -> float:
    """Hours until unpowered water-like contents warm from one to another.

    Lumped contents behind walls of ``ua_w_per_k``; infinite when the room
    is not warmer than ``to_c``.
    """
    if ambient_c <= to_c:
        return math.inf
    capacity_j_k = mass_kg * k.WATER_KJ_KG_K.value * 1000.0
    ratio = (ambient_c - from_c) / (ambient_c - to_c)
    return capacity_j_k / ua_w_per_k * math.log(ratio) / 3600.0


def thermoelectric_floor_c(ambient_c: ArrayLike) -> Floats:
    """Warmest inside to expect of a thermoelectric box [C]."""
    return np.asarray(ambient_c, dtype=np.float64) - k.THERMOELECTRIC_DROP_K.value


def wet_bulb_c(ambient_c: ArrayLike, humidity_percent: float) -> Floats:
    """Wet-bulb temperature at sea-level pressure [C].

    Empirical fit, J. Appl. Meteorol. Climatol. 50, 2267 (2011); for 5 to
    99 % relative humidity and -20 to 50 C, within about 1 K.
    """
    air = np.asarray(ambient_c, dtype=np.float64)
    rh = humidity_percent
    fit: Floats = (
        air * np.arctan(0.151977 * math.sqrt(rh + 8.313659))
        + np.arctan(air + rh)
        - np.arctan(rh - 1.676331)
        + 0.00391838 * rh**1.5 * np.arctan(0.023101 * rh)
        - 4.686035
    )
    return fit


def evaporative_c(ambient_c: ArrayLike, humidity_percent: float) -> Floats:
    """Inside of a well-kept evaporative pot [C]."""
    air = np.asarray(ambient_c, dtype=np.float64)
    depression_k = air - wet_bulb_c(air, humidity_percent)
    return air - k.EVAPORATIVE_SHARE.value * np.maximum(0.0, depression_k)
