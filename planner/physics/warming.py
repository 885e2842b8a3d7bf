"""How long the contents of a unit without power stay below a limit."""

import math

from planner.physics import constants as k
from planner.physics.cooling import hold_over_h
from planner.physics.hours import Hourly


def goods_kg(packed_l: float) -> float:
    """Mass of packed goods [kg], the air between them included in the litres."""
    return packed_l * k.PACKED_KG_L.value


def warm_after_h(
    mass_kg: float,
    ua_w_per_k: float,
    room_c: Hourly,
    from_c: float,
    to_c: float,
    *,
    frozen: bool = False,
) -> float:
    """Hours until unpowered contents have warmed from one temperature to another.

    Parameters
    ----------
    mass_kg
        Goods only; the cabinet is left out, which is the cautious side.
    ua_w_per_k
        Walls.
    room_c
        Room by the hour from the moment the power ends.
    from_c, to_c
        Contents at that moment, and the limit.
    frozen
        Take the specific heat of ice instead of water.

    Returns
    -------
    float
        Infinite when the limit is not reached in the hours given; in a
        steady room the same as :func:`planner.physics.cooling.hold_over_h`.
    """
    if from_c >= to_c:
        return 0.0
    if mass_kg <= 0:
        return 0.0 if bool((room_c > to_c).any()) else math.inf
    share = k.ICE_KJ_KG_K.value / k.WATER_KJ_KG_K.value if frozen else 1.0
    water_kg = mass_kg * share
    time_constant_h = water_kg * k.WATER_KJ_KG_K.value / 3.6 / ua_w_per_k
    inside_c = from_c
    for hour, ambient_c in enumerate(room_c):
        left_h = hold_over_h(water_kg, ua_w_per_k, float(ambient_c), inside_c, to_c)
        if left_h <= 1.0:
            return hour + left_h
        # A room colder than the contents cools them; they are not credited.
        gap_k = max(0.0, float(ambient_c) - inside_c)
        inside_c = float(ambient_c) - gap_k * math.exp(-1.0 / time_constant_h)
        inside_c = max(inside_c, from_c)
    return math.inf
