"""The conditions as a form: what counts, what moves along, what is refused."""

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from planner.edits import apply_conditions, conditions_form, keep_changes
from planner.scenario import (
    CameFrom,
    Flag,
    Origin,
    Scenario,
    Segregation,
    Status,
    SunCase,
)
from tests import builders as make

DAY = tuple(25.0 + abs(hour - 3) / 3 for hour in range(24))


def assumed(field: str) -> Origin:
    return Origin(
        field=field, came_from=CameFrom.DEFAULT, value="1", flag=Flag.ESTIMATE
    )


def base(**fields: object) -> Scenario:
    return make.scenario(
        places=(make.place(temp_c_by_clock_hour=DAY), make.place(22.0, name="Garage")),
        **fields,
    )


def change(scenario: Scenario, *, fahrenheit: bool = False, **fields: object):
    form = conditions_form(scenario, fahrenheit=fahrenheit)
    return apply_conditions(scenario, replace(form, **fields))


def rooms(scenario: Scenario, name: str, *, fahrenheit: bool = False, **fields: object):
    form = conditions_form(scenario, fahrenheit=fahrenheit)
    changed = tuple(
        replace(room, **fields) if room.name == name else room for room in form.rooms
    )
    return apply_conditions(scenario, replace(form, rooms=changed))


@pytest.mark.parametrize("fahrenheit", [False, True])
def test_an_untouched_form_changes_nothing_at_all(fahrenheit: bool) -> None:
    before = base(conditions=make.conditions(sky_factor=0.123456, reserve_share=1 / 3))
    done = change(before, fahrenheit=fahrenheit)
    assert done.applied
    assert done.scenario == before


def test_typed_settings_count_and_replace_the_assumption() -> None:
    origins = (assumed("sun_case"), assumed("sky_factor"), assumed("ice_kg_day"))
    before = base(conditions=make.conditions(origins=origins))
    done = change(
        before,
        sun_case=SunCase.MEAN,
        sky_percent=60.0,
        segregation=Segregation.TUBS,
        swap_hours=(20, 8),
    )
    now = done.scenario.conditions
    assert (now.sun_case, now.sky_factor) == (SunCase.MEAN, pytest.approx(0.6))
    assert (now.segregation, now.swap_hours) == (Segregation.TUBS, (8, 20))
    came = {one.field: one.came_from for one in now.origins}
    assert came == {
        "ice_kg_day": CameFrom.DEFAULT,
        "sun_case": CameFrom.EDITED,
        "sky_factor": CameFrom.EDITED,
        "segregation": CameFrom.EDITED,
    }


def test_a_room_in_fahrenheit_is_kept_in_celsius() -> None:
    done = rooms(base(), "Garage", fahrenheit=True, coolest=68.0, hottest=95.0)
    temps_c = done.scenario.place("Garage").temp_c_by_clock_hour
    # 68 F = 20 C and 95 F = 35 C by definition of the scale.
    assert (min(temps_c), max(temps_c)) == (pytest.approx(20.0), pytest.approx(35.0))
    assert (temps_c.index(min(temps_c)), temps_c.index(max(temps_c))) == (5, 15)
    assert done.scenario.place("Hall").temp_c_by_clock_hour == DAY


def test_every_change_is_read_back_in_words() -> None:
    done = change(base(), window_h=12, ice_kg_day=4.0)
    assert done.changes == ("Window (h): 6 is now 12", "Ice (kg/day): 0 is now 4")
    done = rooms(base(), "Garage", hottest=30.0, open_at_night=False)
    assert done.changes == (
        "Garage: another room temperature",
        "Garage: now shut at night",
    )
    assert change(base()).changes == ()


def test_a_changed_room_is_no_longer_assumed() -> None:
    origins = (assumed("room_temp_c, Hall"), assumed("room_temp_c, Garage"))
    before = base(conditions=make.conditions(origins=origins))
    done = rooms(before, "Hall", hottest=40.0)
    came = {one.field: one.came_from for one in done.scenario.conditions.origins}
    assert came == {
        "room_temp_c, Garage": CameFrom.DEFAULT,
        "room_temp_c, Hall": CameFrom.EDITED,
    }


def test_the_night_of_a_place_can_be_shut() -> None:
    done = rooms(base(), "Garage", open_at_night=False)
    assert not done.scenario.place("Garage").open_at_night
    assert done.scenario.place("Garage").temp_c_by_clock_hour == (22.0,) * 24


def test_a_later_start_leaves_loans_at_their_own_clock_times() -> None:
    before = base(
        units=(make.unit(availability=make.loan(ready_h=4, back_h=30)),),
        batteries=(make.battery(),),
        sources=(make.source(days=(0, 1)),),
    )
    start = make.START + timedelta(hours=24)
    done = change(before, start=start)
    (unit,), (battery,) = done.scenario.units, done.scenario.batteries
    assert done.scenario.conditions.start == start
    # Ready Monday noon is over by Tuesday 08:00; back by Tuesday 14:00 is in 6 h.
    assert (unit.availability.ready_h, unit.availability.back_h) == (0, 6)
    assert battery == before.batteries[0]
    assert done.scenario.sources[0].days == (-1, 0)
    assert [source.on_in_hour(start, 0) for source in done.scenario.sources] == [True]
    assert not done.scenario.sources[0].on_in_hour(start, 24)


def test_an_earlier_start_makes_a_loan_come_later() -> None:
    before = base(units=(make.unit(availability=make.loan(ready_h=4)),))
    done = change(before, start=make.START - timedelta(hours=2))
    assert done.scenario.units[0].availability.ready_h == 6


def test_a_loan_that_is_over_is_set_out_of_order_and_said() -> None:
    before = base(units=(make.unit(availability=make.loan(back_h=10)),))
    done = change(before, start=make.START + timedelta(hours=12))
    assert done.applied
    assert done.scenario.units[0].availability.status is Status.OUT
    assert [one.code for one in done.issues] == ["edit-loan-over"]


def test_the_sun_can_be_asked_of_the_place_instead() -> None:
    done = change(
        base(), sun_from_place=True, latitude=30.0, longitude=-90.2, peak_sun_hours=5.0
    )
    now = done.scenario.conditions
    assert now.peak_sun_hours is None
    assert (now.latitude, now.longitude) == (30.0, -90.2)
    assert now.utc_offset_h == -6.0


def test_a_typed_clock_offset_wins_over_the_longitude() -> None:
    done = change(
        base(), sun_from_place=True, latitude=30.0, longitude=-90.2, utc_offset_h=-5.0
    )
    assert done.scenario.conditions.utc_offset_h == -5.0


@pytest.mark.parametrize(
    "fields",
    [
        {"sun_from_place": True, "latitude": 30.0, "longitude": None},
        {"sun_from_place": False, "peak_sun_hours": None},
        {"window_h": 0},
        {"window_h": 999},
    ],
)
def test_what_cannot_be_planned_is_refused(fields: dict[str, object]) -> None:
    done = change(base(), **fields)
    assert not done.applied
    assert done.scenario == base()
    assert len(done.issues) == 1


@pytest.mark.parametrize(
    "fields",
    [
        {"coolest": None},
        {"coolest": 30.0, "hottest": 20.0},
        {"coolest": 70.0, "hottest": 90.0},
        {"coolest": -40.0},
    ],
)
def test_unlikely_rooms_are_refused(fields: dict[str, object]) -> None:
    done = rooms(base(), "Hall", **fields)
    assert not done.applied
    assert done.issues[0].column == "Room temperature of Hall"


def test_all_faults_of_the_form_are_named_at_once() -> None:
    form = conditions_form(base(), fahrenheit=False)
    bad = replace(
        form,
        window_h=0,
        peak_sun_hours=None,
        rooms=tuple(replace(room, hottest=None) for room in form.rooms),
    )
    assert len(apply_conditions(base(), bad).issues) == 4


def test_a_new_list_can_keep_the_equipment_and_conditions() -> None:
    before = base(units=(make.unit(name="Changed"),))
    fresh = make.scenario(
        lines=(make.line(id="L9", place="Annex"),),
        places=(make.place(31.0), make.place(19.0, name="Annex")),
        conditions=make.conditions(start=datetime(2025, 7, 9, 8)),
    )
    kept = keep_changes(before, fresh)
    assert kept.lines == fresh.lines
    assert kept.units == before.units
    assert kept.conditions == before.conditions
    assert [place.name for place in kept.places] == ["Hall", "Garage", "Annex"]
    assert kept.place("Hall").temp_c_by_clock_hour == DAY
