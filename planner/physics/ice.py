"""Ice chests: how much ice melts, how long it lasts, what room it takes."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from planner.errors import UsageError
from planner.physics import constants as k

SECONDS_PER_DAY = 86_400.0


def melt_kg_day(ua_w_per_k: float, ambient_c: float) -> float:
    """Ice melted in a day by heat through the walls [kg/day].

    The inside is taken at 0 C, the cold end; 0 in a room below freezing.
    """
    heat_w = ua_w_per_k * max(0.0, ambient_c)
    return heat_w * SECONDS_PER_DAY / (k.FUSION_KJ_KG.value * 1000.0)


def warm_contents_kg(mass_kg: float, from_c: float, to_c: float) -> float:
    """Ice melted by cooling water-like contents [kg]."""
    heat_kj = mass_kg * k.WATER_KJ_KG_K.value * max(0.0, from_c - to_c)
    return heat_kj / k.FUSION_KJ_KG.value


def hold_h(
    ice_kg: float, heat_w: float, fusion_kj_kg: float = k.FUSION_KJ_KG.value
) -> float:
    """Hours until all ice has melted under a steady heat flow [h]."""
    if heat_w <= 0:
        msg = "ice melts only under a positive heat flow"
        raise UsageError(msg)
    return ice_kg * fusion_kj_kg * 1000.0 / heat_w / 3600.0


def ice_l(ice_kg: float) -> float:
    """Room that cube ice takes, air between the cubes included [L]."""
    return ice_kg * k.CUBE_ICE_L_KG.value


def litres_left(usable_l: float, ice_kg: float) -> float:
    """Litres left for goods once a day's ice is in the chest; never below 0."""
    return max(0.0, usable_l - ice_l(ice_kg))


def worst_day_mean_c(room_c: ArrayLike) -> float:
    """Mean of the warmest 24 hours in a row [C], rooms below 0 counted as 0.

    Shorter runs are averaged whole; 0 when there are no hours.
    """
    warm: NDArray[np.float64] = np.maximum(0.0, np.asarray(room_c, dtype=np.float64))
    if warm.size == 0:
        return 0.0
    span = min(24, warm.size)
    total = np.concatenate(([0.0], np.cumsum(warm)))
    return float(np.max(total[span:] - total[:-span])) / span
