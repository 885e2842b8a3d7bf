"""The weather sample against what is published of its files, and by hand."""

import csv
from datetime import datetime
from pathlib import Path

import numpy as np
import pvlib
import pytest

from planner.check.hours import run_hours
from planner.check.stress_batch import sampled_sun_w
from planner.check.stress_weather import weather_sample
from planner.check.stress_wiring import dark_hours
from planner.physics import profiles, weather
from planner.scenario import SunCase
from tests import builders as b
from tests.stress_cases import base, site

JULY = b.conditions(window_h=72, latitude=37.0, longitude=0.0, peak_sun_hours=None)
MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


def month_means(file):
    ground = weather.station_year(file).ground_w_m2.sum(axis=1) / 1000.0
    ends = np.cumsum(MONTH_DAYS)
    return [part.mean() for part in np.split(ground, ends[:-1])]


def test_months_of_the_first_station_are_the_published_ones():
    # TMY2 station statistics ("Global Avg", kWh/m2 a day) published with the
    # weather files of an open building-energy program, station 12839.
    published = (
        3.49, 4.43, 5.16, 6.17, 6.03, 5.76, 5.99, 5.67, 4.92, 4.37, 3.57, 3.36,
    )  # fmt: skip
    assert month_means("12839.tm2") == pytest.approx(published, abs=0.006)


def test_the_year_of_the_first_station_is_the_published_one():
    # Year of the same station statistics.
    assert np.mean(month_means("12839.tm2")) == pytest.approx(4.91, abs=0.01)


@pytest.mark.parametrize(
    ("file", "kwh_day"), [("723170TYA.CSV", 4.291), ("703165TY.csv", 2.272)]
)
def test_years_of_the_others_are_the_sums_of_their_column(file, kwh_day):
    path = Path(pvlib.__file__).parent / "data" / file
    with path.open(newline="") as rows:
        next(rows)
        column = [float(row["GHI (W/m^2)"]) for row in csv.DictReader(rows)]
    assert sum(column) / 365_000 == pytest.approx(kwh_day, abs=5e-4)
    year = weather.station_year(file)
    assert year.ground_w_m2.ravel().tolist() == column


def test_clear_days_lie_where_measured_months_put_them():
    # Mean over clear day by month at station 12839: 0.77 to 0.86, from the
    # published months over the Ineichen clear sky at mid-month.
    year = weather.station_year("12839.tm2")
    clear = year.clear_w_m2.sum(axis=1)
    ends = np.cumsum(MONTH_DAYS)
    means = zip(
        np.split(year.ground_w_m2.sum(axis=1), ends[:-1]),
        np.split(clear, ends[:-1]),
        strict=True,
    )
    ratios = [ground.sum() / sky.sum() for ground, sky in means]
    assert min(ratios) == pytest.approx(0.77, abs=0.02)
    assert max(ratios) == pytest.approx(0.86, abs=0.02)


@pytest.mark.parametrize("file", weather.STATION_FILES)
def test_noon_is_where_the_clock_hours_say(file):
    # Solar noon of the mean day within an hour of the clear sky's; an hour's
    # slip of the time stamps (start or end of the hour) would show.
    year = weather.station_year(file)
    hours = np.arange(24) + 0.5
    measured, clear = year.ground_w_m2.mean(axis=0), year.clear_w_m2.mean(axis=0)
    middle = (measured * hours).sum() / measured.sum()
    assert middle == pytest.approx((clear * hours).sum() / clear.sum(), abs=0.3)


def test_the_index_is_measured_over_clear_and_whole_days_at_low_sun():
    ground = np.zeros((1, 24))
    clear = np.zeros((1, 24))
    clear[0, 6:9] = (40.0, 100.0, 200.0)
    ground[0, 6:9] = (10.0, 50.0, 250.0)
    index = weather.clear_sky_index(weather.StationYear(ground, clear))
    # The day: 310 / 340; at 40 W/m2 and at night that of the day; 250 / 200
    # is above a cloudless hour and taken as one.
    assert index[0, 6] == index[0, 0] == pytest.approx(310 / 340)
    assert index[0, 7] == pytest.approx(0.5)
    assert index[0, 8] == 1.0


@pytest.mark.parametrize("sky", [0.3, 0.7, 0.95])
def test_bending_keeps_clear_and_black_and_meets_the_mean(sky):
    index = np.array([0.0, 0.2, 0.6, 1.0])
    weights = np.array([1.0, 1.0, 1.0, 60.0])
    power = weather.bent_to_mean(index, weights, 0.97)
    bent = index**power
    assert (bent * weights).sum() / weights.sum() == pytest.approx(0.97)
    assert (bent[0], bent[-1]) == (0.0, 1.0)
    year = weather.station_year("723170TYA.CSV")
    whole = weather.clear_sky_index(year)
    power = weather.bent_to_mean(whole, year.clear_w_m2, sky)
    mean = (whole**power * year.clear_w_m2).sum() / year.clear_w_m2.sum()
    assert mean == pytest.approx(sky, abs=1e-6)


class TestShares:
    def test_three_stations_and_91_days_each(self):
        shares = profiles.sun_shares(JULY)
        assert shares.shape == (3 * 91, 72)
        assert shares.max() <= 1 / 0.7 + 1e-9
        assert shares.min() >= 0

    def test_a_window_is_three_days_in_a_row_at_the_plans_clock(self):
        # 7 July is day 188 of the year; the middle one of the first station.
        year = weather.station_year("12839.tm2")
        index = weather.clear_sky_index(year)
        days = np.arange(187 - 45, 187 + 46)
        power = weather.bent_to_mean(index[days], year.clear_w_m2[days], 0.7)
        row = profiles.sun_shares(JULY)[45]
        assert row[4] == pytest.approx(index[187, 12] ** power / 0.7)
        assert row[30] == pytest.approx(index[188, 14] ** power / 0.7)

    def test_south_of_the_equator_july_is_winter(self):
        south = b.conditions(
            window_h=72, latitude=-30.0, longitude=0.0, peak_sun_hours=None
        )
        january = b.conditions(
            start=datetime(2025, 1, 5, 8), window_h=72, latitude=37.0, longitude=0.0
        )
        assert np.array_equal(profiles.sun_shares(south), profiles.sun_shares(january))

    def test_the_turn_of_the_year_is_no_edge(self):
        new_year = b.conditions(
            start=datetime(2025, 12, 31, 8), window_h=72, latitude=37.0
        )
        assert profiles.sun_shares(new_year).shape == (273, 72)

    def test_a_row_of_ones_is_the_mean_day(self):
        room = profiles.room_temp_c(b.place(), JULY)
        each = profiles.panel_w_each(b.panel(), JULY, room, np.ones((2, 72)))
        mean = profiles.panel_w(b.panel(), JULY, room, SunCase.MEAN)
        assert each == pytest.approx(np.vstack((mean, mean)))

    def test_the_same_twice(self):
        assert np.array_equal(profiles.sun_shares(JULY), profiles.sun_shares(JULY))


def fed_by_sun(capacity_wh=300.0, **conditions):
    values = {
        "window_h": 72, "latitude": 37.0, "longitude": 0.0, "peak_sun_hours": None,
    } | conditions  # fmt: skip
    world = b.scenario(
        batteries=(b.battery(capacity_wh=capacity_wh),),
        conditions=b.conditions(**values),
    )
    return site(world, hookups=(b.hookup(to_h=72), b.sun_plug(to_h=72)))


def sample(found):
    return weather_sample(found.ground, found.claim, base(found))


class TestSample:
    def test_a_battery_that_needs_no_sun_holds_in_every_window(self):
        found = sample(fed_by_sun(capacity_wh=5000.0))
        assert (found.windows, found.all_held) == (273, 273)
        assert found.units[0].tenth_dark_h is None

    def test_one_that_does_not_see_the_first_night_through_holds_in_none(self):
        found = sample(fed_by_sun(capacity_wh=90.0))
        assert found.all_held == found.units[0].held == 0
        assert found.units[0].tenth_dark_h < 24

    def test_each_window_is_the_replay_of_its_sun(self, monkeypatch):
        found = fed_by_sun(capacity_wh=260.0)
        told = sample(found)
        assert 0 < told.all_held < told.windows
        sun = sampled_sun_w(found.ground, found.claim, profiles.sun_shares(JULY))
        rows, firsts = sun["P1", "Hall"], []
        for row in rows:
            monkeypatch.setattr(profiles, "panel_w", lambda *_, row=row: row)
            run = run_hours(found.ground, found.claim, SunCase.MEAN)
            firsts.append(dark_hours(found.ground, run)["U1"])
        assert told.units[0].held == sum(first >= 72 for first in firsts)
        tenth = sorted(firsts)[27]
        assert told.units[0].tenth_dark_h == (None if tenth >= 72 else tenth)

    def test_one_window_in_ten_is_darker_than_the_hour_that_is_told(self, monkeypatch):
        skies = np.outer(np.linspace(0.0, 0.9, 10), np.ones(72))
        monkeypatch.setattr(profiles, "sun_shares", lambda _: skies)
        found = fed_by_sun(capacity_wh=120.0, start=b.START.replace(hour=12))
        firsts = []
        sun = sampled_sun_w(found.ground, found.claim, skies)["P1", "Hall"]
        told = sample(found)
        for row in sun:
            monkeypatch.setattr(profiles, "panel_w", lambda *_, row=row: row)
            run = run_hours(found.ground, found.claim, SunCase.MEAN)
            firsts.append(dark_hours(found.ground, run)["U1"])
        assert firsts[0] < firsts[1] < firsts[2]
        assert told.units[0].tenth_dark_h == firsts[1]

    def test_a_sunnier_site_never_holds_in_fewer_windows(self):
        held = [
            sample(fed_by_sun(capacity_wh=260.0, sky_factor=sky)).all_held
            for sky in (0.2, 0.45, 0.7, 0.95)
        ]
        assert held == sorted(held)
        assert held[0] < held[-1]

    def test_without_a_panel_or_a_known_sun_there_is_no_sample(self):
        found = site(b.scenario())
        assert sample(found) is None
        world = b.scenario(conditions=b.conditions(peak_sun_hours=None))
        assert sample(site(world, hookups=(b.hookup(), b.sun_plug()))) is None

    def test_life_support_counts_among_all(self):
        world = b.scenario(
            batteries=(
                b.battery(capacity_wh=5000.0),
                b.battery(id="B2", capacity_wh=50.0),
            ),
            sources=(b.life_support(),),
            conditions=JULY,
        )
        load = b.hookup(from_id="B2", to_id="V1", port=b.PortType.AC, to_h=72)
        found = site(world, hookups=(b.hookup(to_h=72), b.sun_plug(to_h=72), load))
        told = sample(found)
        assert {one.thing_id: one.held for one in told.units} == {"U1": 273, "V1": 0}
        assert told.all_held == 0
