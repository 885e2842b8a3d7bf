"""What the form of the conditions holds."""

from dataclasses import dataclass
from datetime import datetime

from planner.scenario import Segregation, SunCase


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomForm:
    """One place: its coolest and hottest temperature and when they come.

    Temperatures are in the unit the form was asked for.
    """

    name: str
    coolest: float | None
    hottest: float | None
    coolest_hour: int
    hottest_hour: int
    open_at_night: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ConditionsForm:
    """All settings as somebody sees and types them.

    Shares are percent.  ``sun_from_place`` is True when the sun is worked
    out from latitude and longitude, False when from peak sun hours.
    """

    start: datetime
    window_h: int
    rooms: tuple[RoomForm, ...]
    fahrenheit: bool
    sun_from_place: bool
    peak_sun_hours: float | None
    latitude: float | None
    longitude: float | None
    utc_offset_h: float
    sky_percent: float
    sun_case: SunCase
    poor_percent: float
    reserve_percent: float
    ice_kg_day: float
    segregation: Segregation
    swap_hours: tuple[int, ...]
