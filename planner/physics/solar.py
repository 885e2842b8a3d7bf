"""Sun on a panel and what reaches the battery.

Irradiance is in W/m2 and a mean over the hour.  pvlib is imported where it
is needed, because it takes a second or two and many plans use no sun.
"""

from datetime import date, datetime, timedelta, timezone
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from planner.errors import UsageError
from planner.physics import constants as k
from planner.scenario import Controller

if TYPE_CHECKING:
    import pandas as pd

Floats = NDArray[np.float64]

STEP_MINUTES = 10
"""Clear skies are sampled in the middle of steps of this length."""

FULL_SUN_W_M2 = 1000.0
"""Irradiance at which panels are rated; 1 h of it is one peak sun hour."""


def loss_factor(leave_out: frozenset[str] = frozenset()) -> float:
    """Share left after the PVWatts losses, multiplied one by one (0..1)."""
    kept = 1.0
    for name, percent in k.PVWATTS_LOSSES_PERCENT.items():
        if name not in leave_out:
            kept *= 1.0 - percent / 100.0
    return kept


def cell_temp_c(air_c: ArrayLike, sun_w_m2: ArrayLike) -> Floats:
    """Cell temperature from the nominal operating cell temperature [C]."""
    rise_k = (k.NOCT_C.value - k.NOCT_AIR_C.value) / k.NOCT_SUN_W_M2.value
    return np.asarray(air_c, dtype=np.float64) + rise_k * np.asarray(sun_w_m2)


def heat_factor(cell_c: ArrayLike) -> Floats:
    """Power of a warm cell over its power at 25 C; never below 0."""
    over_k = np.asarray(cell_c, dtype=np.float64) - 25.0
    return np.maximum(0.0, 1.0 - k.CELL_LOSS_PER_K.value * over_k)


def delivered_w(
    rated_w: float,
    sun_w_m2: ArrayLike,
    air_c: ArrayLike,
    controller: Controller,
    shade_share: float,
) -> Floats:
    """Power of a portable panel behind its controller [W].

    PWM carries no heat term: heat lowers volts it throws away anyhow.
    """
    sun = np.asarray(sun_w_m2, dtype=np.float64)
    power = rated_w * sun / FULL_SUN_W_M2 * loss_factor(k.PORTABLE_LEAVES_OUT)
    if controller is not Controller.PWM:
        power = power * heat_factor(cell_temp_c(air_c, sun))
    return power * k.CONTROLLER_FACTOR[controller].value * (1.0 - shade_share)


def half_sine_w_m2(
    peak_sun_hours: float, edges_h: Floats, sunrise_h: Floats, sunset_h: Floats
) -> Floats:
    """Sun of days shaped as half a sine [W/m2, mean between the edges].

    ``edges_h`` are the n + 1 limits of n hours, ``sunrise_h`` and
    ``sunset_h`` one value a day, all counted from the same midnight.  Each
    day adds up to ``peak_sun_hours`` kWh/m2.
    """
    since_rise = edges_h[np.newaxis, :] - sunrise_h[:, np.newaxis]
    part = np.clip(since_rise / (sunset_h - sunrise_h)[:, np.newaxis], 0.0, 1.0)
    day_share = (1.0 - np.cos(np.pi * part)) / 2.0
    so_far_wh = peak_sun_hours * FULL_SUN_W_M2 * day_share.sum(axis=0)
    return np.diff(so_far_wh)


def plane_of_array_w_m2(
    times: "pd.DatetimeIndex",
    latitude: float,
    longitude: float,
    tilt_deg: float,
    azimuth_deg: float,
    sky: "pd.DataFrame",
) -> Floats:
    """Sun in the plane of a panel from sun on the ground [W/m2].

    Isotropic sky.  ``times`` carry a time zone and are the moments at which
    the sun stands where it is counted; ``sky`` has columns ``ghi``, ``dni``
    and ``dhi``.
    """
    from pvlib import irradiance, solarposition

    position = solarposition.get_solarposition(times, latitude, longitude)
    planes = irradiance.get_total_irradiance(
        tilt_deg,
        azimuth_deg,
        position["apparent_zenith"].to_numpy(),
        position["azimuth"].to_numpy(),
        sky["dni"].to_numpy(),
        sky["ghi"].to_numpy(),
        sky["dhi"].to_numpy(),
        model="isotropic",
        albedo=k.ALBEDO.value,
    )
    in_plane = np.asarray(planes["poa_global"], dtype=np.float64)
    return np.maximum(0.0, np.nan_to_num(in_plane))


@lru_cache(maxsize=256)
def clear_sky_w_m2(
    start: datetime,
    hours: int,
    utc_offset_h: float,
    latitude: float,
    longitude: float,
    tilt_deg: float,
    azimuth_deg: float,
    altitude_m: float | None = None,
) -> Floats:
    """Cloudless sun in the plane of a panel for each hour [W/m2].

    Ineichen clear sky with pvlib's monthly turbidity map; its altitude map
    is used when ``altitude_m`` is ``None``.  The array is shared and cannot
    be written to.
    """
    import pandas as pd
    from pvlib.location import Location

    steps = 60 // STEP_MINUTES
    zone = timezone(timedelta(hours=utc_offset_h))
    times = pd.date_range(
        start.replace(tzinfo=zone) + timedelta(minutes=STEP_MINUTES / 2),
        periods=hours * steps,
        freq=f"{STEP_MINUTES}min",
    )
    site = Location(latitude, longitude, altitude=altitude_m)
    sky = site.get_clearsky(times)
    in_plane = plane_of_array_w_m2(
        times, latitude, longitude, tilt_deg, azimuth_deg, sky
    )
    hourly: Floats = in_plane.reshape(hours, steps).mean(axis=1)
    hourly.flags.writeable = False
    return hourly


@lru_cache(maxsize=256)
def daylight_h(
    day: date, utc_offset_h: float, latitude: float, longitude: float
) -> tuple[float, float]:
    """Clock hours of sunrise and sunset, counted from the day's midnight.

    Sunset lies beyond 24 where the clock is far from the sun.  The
    twelve-hour day where the sun does not rise or does not set.
    """
    import pandas as pd
    from pvlib import solarposition

    zone = timezone(timedelta(hours=utc_offset_h))
    midnight = pd.DatetimeIndex([datetime(day.year, day.month, day.day, tzinfo=zone)])
    found = solarposition.sun_rise_set_transit_spa(midnight, latitude, longitude)
    rise, fall = found["sunrise"].iloc[0], found["sunset"].iloc[0]
    if pd.isna(rise) or pd.isna(fall):
        return k.SUNRISE_H.value, k.SUNSET_H.value
    rise_h = (rise - midnight[0]).total_seconds() / 3600.0
    fall_h = (fall - midnight[0]).total_seconds() / 3600.0
    return rise_h, fall_h


def peak_sun_day_w_m2(
    start: datetime,
    hours: int,
    peak_sun_hours: float,
    utc_offset_h: float,
    latitude: float | None,
    longitude: float | None,
) -> Floats:
    """Half-sine days of ``peak_sun_hours`` each, for every hour [W/m2].

    Sunrise and sunset of the place when known, else 06:00 and 18:00.
    """
    if peak_sun_hours < 0:
        msg = "peak sun hours cannot be negative"
        raise UsageError(msg)
    edges_h = start.hour + start.minute / 60 + np.arange(hours + 1, dtype=np.float64)
    # On a clock far from the sun the days before and after shine in too.
    days = np.arange(-1, int(edges_h[-1] // 24) + 2)
    span = (k.SUNRISE_H.value, k.SUNSET_H.value)
    spans = [span] * days.size
    if latitude is not None and longitude is not None:
        first = start.date()
        spans = [
            daylight_h(first + timedelta(int(n)), utc_offset_h, latitude, longitude)
            for n in days
        ]
    rise_fall = np.array(spans) + 24.0 * days[:, np.newaxis]
    return half_sine_w_m2(peak_sun_hours, edges_h, rise_fall[:, 0], rise_fall[:, 1])
