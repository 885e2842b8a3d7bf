"""Room temperature over the clock from a few readings."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A temperature [C] at a clock hour; ``None`` holds all day."""

    at_hour: float | None
    temp_c: float


def day_curve(readings: Sequence[Reading]) -> tuple[float, ...]:
    """24 clock-hour temperatures [C], straight lines between readings.

    Hour 0 is 00:00-01:00 and takes the value at 00:30.  The day is a ring:
    between the last and the first reading the line runs over midnight.  A
    reading without an hour holds all day when no other is given, else it
    is left to the hourly ones.

    >>> day_curve([Reading(at_hour=None, temp_c=30.0)])[7]
    30.0
    """
    points = sorted(
        (reading.at_hour % 24, reading.temp_c)
        for reading in readings
        if reading.at_hour is not None
    )
    if not points:
        return (max(reading.temp_c for reading in readings),) * 24
    ring = [
        (points[-1][0] - 24, points[-1][1]),
        *points,
        (points[0][0] + 24, points[0][1]),
    ]
    return tuple(_at(ring, hour + 0.5) for hour in range(24))


def _at(ring: Sequence[tuple[float, float]], hour: float) -> float:
    for (left, low), (right, high) in pairwise(ring):
        if left <= hour <= right:
            share = 0.0 if right == left else (hour - left) / (right - left)
            return low + share * (high - low)
    return ring[-1][1]
