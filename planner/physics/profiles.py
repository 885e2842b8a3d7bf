"""One place where a scenario becomes hourly numbers.

Everything here is a pure function of nouns and returns plain floats or
arrays with one value an hour; ``decide`` and ``check`` both start from it.
Hour ``h`` is [start + h, start + h + 1); powers are means over the hour.
"""

from planner.physics.hours import Hourly, room_temp_c
from planner.physics.loads import (
    THERMOSTATIC,
    cold_after_h,
    ice_kg_day,
    opened_often,
    start_surge_w,
    unit_load_w,
    usable_l,
)
from planner.physics.reach import HeldBand, Reach, held_band, reach
from planner.physics.supply import (
    BatteryLimits,
    battery_limits,
    panel_w,
    panel_w_each,
)
from planner.physics.warming import goods_kg, warm_after_h
from planner.physics.weather import sun_shares

__all__ = [
    "THERMOSTATIC",
    "BatteryLimits",
    "HeldBand",
    "Hourly",
    "Reach",
    "battery_limits",
    "cold_after_h",
    "goods_kg",
    "held_band",
    "ice_kg_day",
    "opened_often",
    "panel_w",
    "panel_w_each",
    "reach",
    "room_temp_c",
    "start_surge_w",
    "sun_shares",
    "unit_load_w",
    "usable_l",
    "warm_after_h",
]
