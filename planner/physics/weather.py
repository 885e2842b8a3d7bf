"""Measured weather as a share of the mean day, for many windows.

The typical years of three stations that come with pvlib: 12839 (25.8 N,
a coast of the subtropics), 723170 (36.1 N, inland) and 703165 (55.3 N, an
ocean coast).  None of them is the site.  What is taken from them is only how
days differ from the mean day of their season, not how sunny they are.
"""

from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from planner.scenario import Conditions

Floats = NDArray[np.float64]

STATION_FILES = ("12839.tm2", "723170TYA.CSV", "703165TY.csv")
"""Typical years in the pvlib wheel: one TMY2, two TMY3 (NREL)."""
SEASON_DAYS = 45
"""Windows start up to so many days before and after the day of the plan."""
YEAR_DAYS, DAY_H = 365, 24
_YEAR = 2001
"""A year of 365 days for the place of the sun; the day is what counts."""
_LOW_SUN_W_M2 = 50.0
"""Clear sun below which an hour takes the share of its whole day."""
_SKY_FROM, _SKY_TO = 0.05, 0.98
"""Sky factors between which the index can be bent to a site."""


class StationYear(NamedTuple):
    """Hours of a year by day and clock hour: measured and clear sun [W/m2]."""

    ground_w_m2: Floats
    clear_w_m2: Floats


@lru_cache(maxsize=4)
def station_year(file: str) -> StationYear:
    """Sun on the ground at a station, measured and without clouds.

    Hour ``h`` of a day is [h, h + 1) on the station's standard time; TMY2
    stamps the start of the hour, TMY3 its end, both files have the hours in
    order.  The arrays are shared and cannot be written to.
    """
    import pandas as pd
    import pvlib
    from pvlib.location import Location

    path = Path(pvlib.__file__).parent / "data" / file
    if file.endswith(".tm2"):
        table, site = pvlib.iotools.read_tmy2(path)
        ground = table["GHI"]
    else:
        table, site = pvlib.iotools.read_tmy3(path, map_variables=True)
        ground = table["ghi"]
    middles = pd.date_range(
        f"{_YEAR}-01-01 00:30",
        periods=YEAR_DAYS * DAY_H,
        freq="1h",
        tz=f"Etc/GMT{-int(site['TZ']):+d}",
    )
    place = Location(site["latitude"], site["longitude"], altitude=site["altitude"])
    shape = (YEAR_DAYS, DAY_H)
    found = StationYear(
        ground_w_m2=np.asarray(ground, dtype=np.float64).reshape(shape),
        clear_w_m2=place.get_clearsky(middles)["ghi"].to_numpy().reshape(shape),
    )
    for series in found:
        series.flags.writeable = False
    return found


def clear_sky_index(year: StationYear) -> Floats:
    """Measured over clear sun for every day and clock hour of a year.

    Hours of night and of low sun take the index of their whole day, so that
    a site where the sun is up then still gets one.
    """
    ground, clear = year
    by_day = ground.sum(axis=1) / np.maximum(clear.sum(axis=1), 1e-9)
    high = clear > _LOW_SUN_W_M2
    hourly = np.where(high, ground / np.where(high, clear, 1.0), by_day[:, np.newaxis])
    return np.clip(hourly, 0.0, 1.0)


def bent_to_mean(index: Floats, weights: Floats, mean: float) -> float:
    """Power to which an index of 0..1 has to be raised for a weighted mean.

    A clear hour stays clear and a black one black, and a duller site gets
    deeper clouds.  Found by halving; the mean falls as the power rises.
    """
    low, high = 0.0, 64.0
    for _ in range(60):
        power = (low + high) / 2
        if (index**power * weights).sum() > mean * weights.sum():
            low = power
        else:
            high = power
    return (low + high) / 2


def sun_shares(conditions: Conditions) -> Floats:
    """Sun of each window over the mean sun of its season, hour by hour.

    Returns
    -------
    ndarray
        One row a window, one column an hour of the plan's window: for each
        station the windows that start at the plan's clock hour on each of
        the 91 days around the plan's day, half a year later for a site south
        of the equator.  Over a station's season the shares have a mean of 1,
        weighted with its clear sun, and none is above a cloudless hour.
    """
    start = conditions.start
    south = conditions.latitude is not None and conditions.latitude < 0
    day = start.timetuple().tm_yday - 1 + (YEAR_DAYS // 2 if south else 0)
    sky = min(max(conditions.sky_factor, _SKY_FROM), _SKY_TO)
    return _shares(day % YEAR_DAYS, start.hour, conditions.window_h, sky)


@lru_cache(maxsize=16)
def _shares(day: int, clock_h: int, window_h: int, sky: float) -> Floats:
    days = (day + np.arange(-SEASON_DAYS, SEASON_DAYS + 1)) % YEAR_DAYS
    starts = days * DAY_H + clock_h
    hours = (starts[:, np.newaxis] + np.arange(window_h)) % (YEAR_DAYS * DAY_H)
    rows = []
    for file in STATION_FILES:
        year = station_year(file)
        index = clear_sky_index(year)
        power = bent_to_mean(index[days], year.clear_w_m2[days], sky)
        rows.append((index**power).ravel()[hours] / sky)
    found: Floats = np.concatenate(rows)
    found.flags.writeable = False
    return found
