"""What feeds the units: battery limits and panel power, hour by hour."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.errors import UsageError
from planner.physics import battery as cells
from planner.physics import solar
from planner.physics.hours import Hourly, here, hours_here
from planner.scenario import Battery, Conditions, Panel, SunCase


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


def battery_limits(
    battery: Battery, room_c: Hourly, conditions: Conditions
) -> BatteryLimits:
    """Limits of a battery standing in a room of ``room_c``.

    ``full_wh`` is what it holds when charged, ``floor_wh`` the part that may
    not be drawn, ``reserve_wh`` the planning reserve above the floor.
    ``charge_limit_w`` is the charge power allowed in each hour, zero where
    a lithium battery is outside 0-40 C; ``solar_limit_w`` the solar input cap.
    """
    rooms = hours_here(battery.availability, room_c)
    cold = cells.cold_factor(battery.chemistry, float(rooms.min()))
    full_wh = battery.capacity_wh * cold
    drawable_wh = cells.usable_wh(battery.capacity_wh, battery.usable_share, cold)
    charging = here(battery.availability, room_c.size)
    charging &= cells.charge_allowed(battery.chemistry, room_c)
    return BatteryLimits(
        floor_wh=full_wh - drawable_wh,
        full_wh=full_wh,
        start_wh=full_wh * battery.charge_now,
        reserve_wh=conditions.reserve_share * drawable_wh,
        charge_limit_w=np.where(charging, battery.max_charge_w, 0.0),
        solar_limit_w=min(battery.solar_input_max_w, battery.max_charge_w),
        max_out_w=battery.max_out_w,
        dc_efficiency=battery.dc_efficiency,
        ac_efficiency=battery.ac_efficiency,
        charge_efficiency=battery.charge_efficiency,
        ac_idle_w=battery.ac_idle_w,
    )


def panel_w(
    panel: Panel, conditions: Conditions, outdoor_c: Hourly, case: SunCase
) -> Hourly:
    """Power a panel delivers to a battery input in each hour [W].

    After losses, heat, controller, shade and the sky of ``case``, before
    the battery's input cap.  Zero outside the panel's available hours.

    Raises
    ------
    UsageError
        If the conditions give neither peak sun hours nor a latitude and
        longitude, or ``outdoor_c`` is not one value an hour.
    """
    hours = conditions.window_h
    if outdoor_c.size != hours:
        msg = f"outdoor_c has {outdoor_c.size} values for {hours} hours"
        raise UsageError(msg)
    if case is SunCase.NONE:
        return np.zeros(hours)
    mean = _mean_w(panel, conditions, outdoor_c)
    share = conditions.poor_share if case is SunCase.POOR else 1.0
    return np.where(here(panel.availability, hours), share * mean, 0.0)


def panel_w_each(
    panel: Panel,
    conditions: Conditions,
    outdoor_c: Hourly,
    shares: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Power a panel delivers under many skies [W], one row a sky.

    ``shares`` is the sun over that of the mean day, one column an hour; a
    row of ones gives the mean case of :func:`panel_w`.

    Raises
    ------
    UsageError
        As :func:`panel_w`.
    """
    power = _mean_w(panel, conditions, outdoor_c, shares)
    return np.where(here(panel.availability, conditions.window_h), power, 0.0)


def _mean_w(
    panel: Panel,
    conditions: Conditions,
    outdoor_c: Hourly,
    shares: NDArray[np.float64] | float = 1.0,
) -> NDArray[np.float64]:
    """Power on the mean day, its sun taken ``shares`` times [W]."""
    return solar.delivered_w(
        panel.rated_w,
        _mean_sun_w_m2(panel, conditions) * shares,
        outdoor_c,
        panel.controller,
        panel.shade_share,
    )


def _mean_sun_w_m2(panel: Panel, conditions: Conditions) -> Hourly:
    """Sun in the panel's plane on the mean day [W/m2]."""
    latitude, longitude = conditions.latitude, conditions.longitude
    if conditions.peak_sun_hours is not None:
        return solar.peak_sun_day_w_m2(
            conditions.start,
            conditions.window_h,
            conditions.peak_sun_hours,
            conditions.utc_offset_h,
            latitude,
            longitude,
        )
    if latitude is None or longitude is None:
        msg = "sun needs peak sun hours, or a latitude and a longitude"
        raise UsageError(msg)
    clear = solar.clear_sky_w_m2(
        conditions.start,
        conditions.window_h,
        conditions.utc_offset_h,
        latitude,
        longitude,
        panel.tilt_deg,
        panel.azimuth_deg,
    )
    return conditions.sky_factor * clear
