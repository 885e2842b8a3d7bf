"""The hours of the window: room temperature and who is here when.

Hour ``h`` is [start + h, start + h + 1).
"""

import numpy as np
from numpy.typing import NDArray

from planner.errors import UsageError
from planner.scenario import Availability, Conditions, Place

Hourly = NDArray[np.float64]
"""One float an hour of the window."""


def room_temp_c(place: Place, conditions: Conditions) -> Hourly:
    """Room temperature of a place for every hour of the window [C].

    Where the window starts off the full hour, an hour of it mixes the two
    clock hours it lies in.
    """
    by_clock = np.array(place.temp_c_by_clock_hour, dtype=np.float64)
    start = conditions.start
    late = start.minute / 60
    now = (start.hour + np.arange(conditions.window_h)) % 24
    return (1.0 - late) * by_clock[now] + late * by_clock[(now + 1) % 24]


def here(availability: Availability, hours: int) -> NDArray[np.bool_]:
    """Mark the hours in which a piece of equipment can be used (R11)."""
    hour = np.arange(hours)
    usable = hour >= availability.ready_h
    if availability.back_h is not None:
        usable &= hour < availability.back_h
    return usable


def hours_here(availability: Availability, room_c: Hourly) -> Hourly:
    """Room hours in which equipment can be used; all of them if there are none."""
    if room_c.size == 0:
        msg = "the window has no hours"
        raise UsageError(msg)
    usable = here(availability, room_c.size)
    return room_c[usable] if usable.any() else room_c
