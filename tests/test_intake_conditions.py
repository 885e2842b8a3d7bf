"""The Conditions sheet: window, clocks, rooms, sun; assumed, wrong, stopped."""

from datetime import datetime

import pytest

from planner.catalogue import default, number_list
from planner.intake import Reading
from planner.intake.rooms import RoomReading, day_curve
from planner.scenario import CameFrom, Segregation, SunCase
from tests.workbook_maker import NOW, at, codes, reading, stops

INTAKE = """
Resident | Place | Item | Quantity
R1 | Hall | insulin lispro | 1
R2 | School | insulin lispro | 1
"""
START = "Start | | d:2025-10-13 08:00\n"
ROOM = "Room temperature (C) | | 30\n"


def site(rows: str) -> Reading:
    """Read settings beside a small intake list."""
    return reading(INTAKE, Conditions="Setting | Place | Value | Notes\n" + rows)


def test_all_settings() -> None:
    found = site("""Start | | d:2025-10-13 18:00
Window (h) | | 3 days
Room temperature (C) | Hall | 30
Room temperature (F) | School | 86
Open at night | School | no
Reached from | School | Hall
Latitude | | 29.98 N
Longitude | | 90.25 W
UTC offset (h) | | -5
Peak sun hours | | 4.5
Sky factor | | 0.8
Sun case | | mean
Poor share | | 40%
Reserve share | | 15
Ice (kg/day) | | 10 lb
Feeds and medicines | | separate tubs
Swap times | | 07:30; 19:00
""")
    assert found.scenario is not None
    conditions = found.scenario.conditions
    assert conditions.start == datetime(2025, 10, 13, 18)
    assert conditions.window_h == 72
    assert (conditions.latitude, conditions.longitude) == (29.98, -90.25)
    assert conditions.utc_offset_h == -5
    assert conditions.peak_sun_hours == 4.5
    assert (conditions.sky_factor, conditions.sun_case) == (0.8, SunCase.MEAN)
    assert conditions.poor_share == pytest.approx(0.4)
    assert conditions.reserve_share == pytest.approx(0.15)
    assert conditions.ice_kg_day == pytest.approx(4.5359237)
    assert conditions.segregation is Segregation.TUBS
    assert conditions.swap_hours == (8, 19)
    assert conditions.origins == ()
    hall, school = found.scenario.places
    assert hall.temp_c_by_clock_hour == (30,) * 24
    assert school.temp_c_by_clock_hour == pytest.approx((30,) * 24)
    assert (hall.open_at_night, school.open_at_night) == (True, False)
    assert (hall.reached_from, school.reached_from) == (None, ("School", "Hall"))
    assert codes(found) == set()


def test_no_sheet_means_defaults_that_are_on_record() -> None:
    found = reading(INTAKE, Conditions="")
    assert found.scenario is not None
    conditions = found.scenario.conditions
    assert conditions.start == datetime(2025, 10, 13, 8)
    assert conditions.window_h == default("conditions.window_h").value
    assert conditions.swap_hours == number_list("conditions.swap_hours")
    fields = {origin.field for origin in conditions.origins}
    assert fields >= {
        "start", "window_h", "peak_sun_hours", "sky_factor", "poor_share", "sun_case",
        "reserve_share", "ice_kg_day", "segregation", "swap_hours",
        "room_temp_c, Hall", "room_temp_c, School",
    }  # fmt: skip
    assert all(origin.came_from is CameFrom.DEFAULT for origin in conditions.origins)
    assert codes(found) == {"start-assumed", "default-used"}


@pytest.mark.parametrize(
    ("typed", "expected", "code"),
    [
        ("d:2025-10-13 08:00", datetime(2025, 10, 13, 8), None),
        ("2025-10-13 08:00", datetime(2025, 10, 13, 8), None),
        ("d:2025-10-13 08:20", datetime(2025, 10, 13, 9), "start-rounded"),
        ("18:00", datetime(2025, 10, 13, 18), None),
        ("d:2025-10-13", datetime(2025, 10, 13), None),
        ("", datetime(2025, 10, 13, 8), "start-assumed"),
        ("3/4", datetime(2025, 10, 13, 8), "date-two-ways"),
        ("whenever", datetime(2025, 10, 13, 8), "date-not-usable"),
    ],
)
def test_start(typed: str, expected: datetime, code: str | None) -> None:
    found = site(f"Start | | {typed}\n{ROOM}")
    assert found.scenario.conditions.start == expected
    assert (code in codes(found)) if code else codes(found) == set()


def test_a_start_on_the_full_hour_needs_no_rounding() -> None:
    assert NOW.minute != 0
    found = site(ROOM)
    assert found.scenario.conditions.start == datetime(2025, 10, 13, 8)
    assert at(found, "start-assumed") == {("start-assumed", None)}
    # A time is shown with its day: 13 October 2025 is a Monday.
    (said,) = [one.message for one in found.issues if one.code == "start-assumed"]
    assert said == "No start is given; Mon 13 Oct 2025 08:00 is assumed."


@pytest.mark.parametrize("typed", ["0", "-5", "241", "1e9", "0.5"])
def test_a_window_without_sense_stops_the_plan(typed: str) -> None:
    found = site(f"{START}{ROOM}Window (h) | | {typed}")
    assert found.scenario is None
    assert stops(found) == {"window-not-usable"}


@pytest.mark.parametrize(
    ("typed", "hours", "code"),
    [
        ("1", 1, None),
        ("240", 240, None),
        ("2 days", 48, None),
        ("12.5", 12, "window-rounded"),
        ("a while", 72, "number-not-usable"),
    ],
)
def test_windows(typed: str, hours: int, code: str | None) -> None:
    found = site(f"{START}{ROOM}Window (h) | | {typed}")
    assert found.scenario.conditions.window_h == hours
    assert codes(found) == ({code} if code else set())


def test_unknown_and_repeated_settings_are_noted() -> None:
    found = site(f"""{START}{ROOM}Number of dogs | | 3
Window (h) | | 48
Window | | 72
Room temperature (C) | Garage | 30
Reached from | Hall | School; Moon
""")
    assert found.scenario.conditions.window_h == 48
    noted = {(i.code, i.row) for i in found.issues}
    assert noted == {
        ("setting-not-known", 4),
        ("setting-twice", 6),
        ("setting-place-unknown", 7),
        ("setting-place-unknown", 8),
    }
    assert found.scenario.places[0].reached_from == ("Hall", "School")


@pytest.mark.parametrize(
    ("row", "code"),
    [
        ("Room temperature (C) | | 400", "number-out-of-range"),
        ("Room temperature (C) | | hot", "number-not-usable"),
        ("Room temperature (C) | | 95", "fahrenheit-assumed"),
        ("Sun case | | blazing", "choice-not-known"),
        ("Swap times | | often", "clock-not-usable"),
        ("Latitude | | 95", "number-out-of-range"),
        ("Latitude | | 95 N", "number-out-of-range"),
        ("Ice (kg/day) | | -3", "number-out-of-range"),
        ("Open at night | Hall | perhaps", "yes-no-unclear"),
        ("UTC offset (h) | | 99", "number-out-of-range"),
    ],
)
def test_wrong_settings_have_their_code(row: str, code: str) -> None:
    assert code in codes(site(START + row))


def test_an_unclear_night_counts_as_closed() -> None:
    found = site(f"{START}{ROOM}Open at night | Hall | perhaps\nOpen at night | | yes")
    hall, school = found.scenario.places
    assert (hall.open_at_night, school.open_at_night) == (False, True)


def test_room_readings_by_the_clock_are_joined_by_lines() -> None:
    found = site(f"""{START}Room temperature at 15:00 (C) | Hall | 34
Room temperature at 05:00 (C) | Hall | 24
Room temperature (C) | | 30
""")
    hall, school = found.scenario.places
    # by hand: 24 at 05:00 up to 34 at 15:00 is 1 K an hour, so 24.5 at 05:30
    # and 29.5 at 10:30; back down over 14 h, so 34 - 10/28 at 15:30
    assert hall.temp_c_by_clock_hour[5] == pytest.approx(24.5)
    assert hall.temp_c_by_clock_hour[10] == pytest.approx(29.5)
    assert hall.temp_c_by_clock_hour[15] == pytest.approx(34 - 10 / 28)
    assert school.temp_c_by_clock_hour == (30,) * 24


def test_day_curve_of_one_reading_is_flat() -> None:
    assert day_curve([RoomReading(at_hour=15, temp_c=31)]) == (31,) * 24


def test_sun_is_asked_about_only_when_there_are_panels() -> None:
    without = site(START + ROOM)
    panels = reading(
        INTAKE,
        Conditions="Setting|Place|Value\n" + START + ROOM,
        Panels="Panel|Rated W\nP1|100",
    )
    assert "sun-unknown" not in codes(without)
    assert "sun-unknown" in codes(panels)
    assumed = default("conditions.peak_sun_hours").value
    assert panels.scenario.conditions.peak_sun_hours == assumed


def test_latitude_alone_does_not_place_the_sun() -> None:
    conditions = site(f"{START}{ROOM}Latitude | | 40").scenario.conditions
    assert (conditions.latitude, conditions.longitude) == (None, None)
    assert conditions.peak_sun_hours is not None


def test_no_swap_times() -> None:
    found = site(f"{START}{ROOM}Swap times | | none")
    assert found.scenario.conditions.swap_hours == ()


def test_places_come_from_every_sheet_in_one_spelling() -> None:
    found = reading(
        INTAKE,
        Conditions="Setting|Place|Value\n" + START + ROOM,
        Cold_units="Unit|Place|Type|Gross volume (L)\nBox|school|household|100",
        Batteries="Battery|Place|Capacity (Wh)|Charge now (%)\nB|Garage|500|50",
    )
    assert [place.name for place in found.scenario.places] == [
        "Hall",
        "School",
        "Garage",
    ]
    assert found.scenario.units[0].place == "School"


def test_places_one_slip_apart_are_asked_about() -> None:
    found = reading("""
Resident | Place | Item | Quantity
R1 | School | insulin lispro | 1
R2 | Schoul | insulin lispro | 1
R3 | Room 1 | insulin lispro | 1
R4 | Room 2 | insulin lispro | 1
""")
    alike = [i for i in found.issues if i.code == "places-alike"]
    assert [(i.value, i.message) for i in alike] == [
        ("School", "School and Schoul may be the same place.")
    ]
