"""One place where a scenario becomes hourly numbers.

Everything here is a pure function of nouns and returns plain floats or
arrays with one value an hour; ``decide`` and ``check`` both start from it.
Hour ``h`` is [start + h, start + h + 1); powers are means over the hour.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.scenario import (
    Battery,
    ColdUnit,
    Conditions,
    Panel,
    Place,
    SunCase,
)

Hourly = NDArray[np.float64]
"""One float an hour of the window."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldBand:
    """Temperatures a zone stays between, in degrees Celsius."""

    low_c: float
    high_c: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """Whether a unit can hold its set points in this room (R2)."""

    ok: bool
    peak_duty: float
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BatteryLimits:
    """Energy and power limits of one battery, derived once."""

    floor_wh: float
    full_wh: float
    start_wh: float
    reserve_wh: float
    charge_limit_w: Hourly
    solar_limit_w: float
    max_out_w: float
    dc_efficiency: float
    ac_efficiency: float
    charge_efficiency: float
    ac_idle_w: float


def room_temp_c(place: Place, conditions: Conditions) -> Hourly:
    """Room temperature of a place for every hour of the window [C]."""
    raise NotImplementedError


def held_band(unit: ColdUnit, set_point_c: float, room_c: Hourly) -> HeldBand:
    """Temperatures that a zone of ``unit`` at ``set_point_c`` stays between (R1).

    Powered units and powered-elsewhere: set point -/+ swing.  Raw ice chest: 0 to 4;
    conditioned: 2 to 8.  Cool shelf: coldest to hottest room hour.
    """
    raise NotImplementedError


def reach(unit: ColdUnit, set_points_c: tuple[float, ...], room_c: Hourly) -> Reach:
    """Can the unit hold these set points in every hour (R2)?"""
    raise NotImplementedError


def usable_l(
    unit: ColdUnit, set_points_c: tuple[float, ...], room_c: Hourly
) -> tuple[float, ...]:
    """Litres of packed goods each zone takes, ice already taken out (R3)."""
    raise NotImplementedError


def unit_load_w(
    unit: ColdUnit,
    set_points_c: tuple[float, ...],
    room_c: Hourly,
    warm_fill: float,
) -> Hourly:
    """Mean electric power at the unit's plug for every hour [W].

    Steady load plus the pull-down of ``warm_fill`` (0..1) of the usable
    volume going in at room temperature at the ready hour, drawn from the
    spare compressor power until done (R8).  Zero outside the hours the unit
    is available and for units that need no power.
    """
    raise NotImplementedError


def cold_after_h(
    unit: ColdUnit,
    set_points_c: tuple[float, ...],
    room_c: Hourly,
    warm_fill: float,
) -> int:
    """Hours from the ready hour until the pull-down is done."""
    raise NotImplementedError


def ice_kg_day(
    unit: ColdUnit, set_points_c: tuple[float, ...], room_c: Hourly, warm_fill: float
) -> float:
    """Kilograms of ice the unit melts on its worst day (R10); 0 if none."""
    raise NotImplementedError


def start_surge_w(unit: ColdUnit) -> float:
    """Watts drawn at a compressor start."""
    raise NotImplementedError


def battery_limits(
    battery: Battery, room_c: Hourly, conditions: Conditions
) -> BatteryLimits:
    """Limits of a battery standing in a room of ``room_c``.

    ``full_wh`` is what it holds when charged, ``floor_wh`` the part that may
    not be drawn, ``reserve_wh`` the planning reserve above the floor.
    ``charge_limit_w`` is the charge power allowed in each hour, zero where
    a lithium battery is outside 0-40 C; ``solar_limit_w`` the solar input cap.
    """
    raise NotImplementedError


def panel_w(
    panel: Panel, conditions: Conditions, outdoor_c: Hourly, case: SunCase
) -> Hourly:
    """Power a panel delivers to a battery input in each hour [W].

    After losses, heat, controller, shade and the sky of ``case``, before
    the battery's input cap.  Zero outside the panel's available hours.
    """
    raise NotImplementedError
