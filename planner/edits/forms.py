"""What the form of the conditions holds."""

from collections.abc import Mapping
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


@dataclass(frozen=True, slots=True, kw_only=True)
class KitRow:
    """One row of a table as typed; ``label`` counts the things from 1, 0 is new."""

    label: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class KitTable:
    """One table of equipment as typed, its cells in the order of the sheet's."""

    sheet: str
    rows: tuple[KitRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class KitDraft:
    """Tables of equipment that were typed over; only those that differ."""

    tables: tuple[KitTable, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingsForm:
    """What the batteries' displays showed, by battery id, and when."""

    at: datetime
    percents: tuple[tuple[str, float | None], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelsForm:
    """Words of labels, each by the mark of its question."""

    labels: tuple[tuple[str, str], ...] = ()


def labels_draft(
    labels: Mapping[str, str],
) -> tuple[LabelsForm, tuple[str, ...]] | None:
    """Labels that were typed, with their words; ``None`` when there are none."""
    given = tuple((mark, text) for mark, text in labels.items() if text)
    words = tuple(text for _, text in given)
    return (LabelsForm(labels=given), words) if given else None
