"""Rows of the Conditions sheet: the settings, their units and defaults."""

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from planner.intake.headings import Field
from planner.intake.words import key

SETTINGS = (
    Field(key="start", heading="Start", dimension="date",
          blank="the next full hour on this computer's clock",
          help="Day and clock time, such as 2025-03-31 08:00"),
    Field(key="window_h", heading="Window (h)", dimension="time", unit="h",
          default_key="conditions.window_h", help="Hours to plan for, 1 to 240"),
    Field(key="room_temp", heading="Room temperature (C)", dimension="temp", unit="C",
          low=-10, high=55, default_key="conditions.room_temp_c",
          help="One row a place; 'Room temperature at 15:00 (C)' gives one hour of the "
          "day, the hours between are filled in"),
    Field(key="night", heading="Open at night", dimension="yes/no",
          default_key="place.open_at_night", help="One row a place"),
    Field(key="reached", heading="Reached from", blank="everyone can fetch there",
          help="One row a place: the places whose people can fetch here"),
    Field(key="latitude", heading="Latitude", dimension="number", low=-90, high=90,
          blank="not known", help="Degrees north; south is negative"),
    Field(key="longitude", heading="Longitude", dimension="number", low=-180, high=180,
          blank="not known", help="Degrees east; west is negative"),
    Field(key="utc_offset_h", heading="UTC offset (h)", dimension="number", low=-12,
          high=14, blank="from the longitude, else 0",
          help="Hours the hall's clock is ahead of UTC"),
    Field(key="sun_hours", heading="Peak sun hours", dimension="area", low=0, high=12,
          default_key="conditions.peak_sun_hours",
          help="kWh/m2 on a mean day, in the panel's plane; wins over the latitude"),
    Field(key="sky_factor", heading="Sky factor", dimension="share", low=0.05, high=1.2,
          default_key="conditions.sky_factor", help="Mean day over clear day"),
    Field(key="sun_case", heading="Sun case", choices=("none", "poor", "mean"),
          default_key="conditions.sun_case", help="How much sun the plan counts on"),
    Field(key="poor_share", heading="Poor share", dimension="share", low=0, high=1,
          default_key="conditions.poor_share", help="Poor day over mean day"),
    Field(key="reserve_share", heading="Reserve share", dimension="share", low=0,
          high=0.9, default_key="conditions.reserve_share",
          help="Share of the usable charge that is kept back"),
    Field(key="ice_kg_day", heading="Ice (kg/day)", dimension="mass", unit="kg", low=0,
          high=2000, default_key="conditions.ice_kg_day",
          help="Ice that can be fetched each day"),
    Field(key="segregation", heading="Feeds and medicines",
          choices=("separate units", "separate tubs"),
          default_key="conditions.segregation",
          help="How infant feeds and medicines are kept apart"),
    Field(key="swap_hours", heading="Swap times", dimension="clock",
          default_key="conditions.swap_hours",
          help="Clock hours at which someone can move plugs: 08:00; 20:00, or none. Plugs "
          "may also move when a generator, a vehicle or the mains goes on or off"),
    Field(key="code_word", heading="Code word", blank="none",
          help="Any secret word: it keeps codes from being worked out from names"),
)  # fmt: skip

_ALSO = {
    "start": "start time|start date|starts|from|window start|plan from",
    "window_h": "window|hours|window hours|plan hours|length|duration|how long",
    "room_temp": "room temp|indoor temperature|inside temperature|temperature|hall "
    "temperature|room|ambient|ambient temperature",
    "night": "open at night|night|night access|open nights",
    "reached": "reached from|reachable from|who can fetch|access from",
    "latitude": "lat",
    "longitude": "lon|long|lng",
    "utc_offset_h": "utc offset|utc|time zone|timezone|offset|utc offset hours",
    "sun_hours": "sun hours|psh|peak sun|peak sun hours kwh m2|daily sun",
    "sky_factor": "sky|cloud factor|clear sky factor",
    "sun_case": "sun|plan on sun|solar case",
    "poor_share": "poor day share|poor|poor sun share",
    "reserve_share": "reserve|battery reserve|reserve percent",
    "ice_kg_day": "ice|ice supply|ice kg day|ice a day|ice per day|ice kg per day",
    "segregation": "segregation|feeds and meds|separation|keep apart|feeds medicines",
    "swap_hours": "swap hours|swaps|swap clock|plug times|battery swaps",
    "code_word": "site word|secret word|secret",
}


@cache
def setting_names() -> Mapping[str, Field]:
    """List settings by the key of every name they go by."""
    names: dict[str, Field] = {}
    for field in SETTINGS:
        for name in (field.heading, field.heading.split(" (")[0]):
            names.setdefault(key(name), field)
    for field in SETTINGS:
        for name in _ALSO[field.key].split("|"):
            names.setdefault(key(name), field)
    return MappingProxyType(names)
