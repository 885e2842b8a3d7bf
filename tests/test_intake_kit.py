"""Cold units, batteries, panels, other power: what is read, left out, asked."""

from datetime import datetime

import pytest

from planner.catalogue import default, unit_default
from planner.intake import Reading
from planner.intake.unit_types import unit_type
from planner.scenario import (
    CameFrom,
    Chemistry,
    Controller,
    SourceKind,
    Status,
    Supply,
    UnitType,
)
from tests.workbook_maker import at, codes, reading, stops

INTAKE = "Resident | Item | Quantity\nR1 | insulin lispro | 1\n"


def kit(**sheets: str) -> Reading:
    """Read equipment sheets beside a small intake list."""
    found = reading(INTAKE, **sheets)
    assert found.scenario is not None, found.issues
    return found


def test_a_full_unit_row() -> None:
    found = kit(
        Cold_units="""
Unit|Place|Type|Gross volume (L)|Usable share|Set points (C)|Swing (C)|Running W|Rated Wh/day|Rated ambient (C)|Rated inside (C)|Supply|Lockable|Zones|Status|Lender|Ready in (h)|Effort (1-5)|Back by
Box 1|Hall|compressor|40|0.7|2; 5|1.5|50|420|32|5|both|yes|60/40|can borrow|Invented Club|3|2|d:2025-10-15 18:00
"""
    )
    (unit,) = found.scenario.units
    assert unit.kind is UnitType.COMPRESSOR
    assert unit.gross_volume_l == 40
    assert unit.usable_share == 0.7
    assert unit.set_points_c == (2, 5)
    assert unit.swing_c == 1.5
    assert (unit.running_w, unit.rated_wh_day) == (50, 420)
    assert (unit.rated_ambient_c, unit.rated_inside_c) == (32, 5)
    assert unit.supply is Supply.BOTH
    assert unit.lockable
    assert unit.zone_shares == (0.6, 0.4)
    terms = unit.availability
    assert (terms.status, terms.lender) == (Status.OFFERED, "Invented Club")
    assert (terms.ready_h, terms.effort, terms.back_h) == (3, 2, 58)
    assert codes(found) == set()


def test_blank_fields_come_from_the_defaults_of_type_and_size() -> None:
    found = kit(
        Cold_units="""
Unit | Place | Type | Gross volume (L)
Box 1 | Hall | compressor | 30
Box 2 | Hall | compressor | 90
"""
    )
    small, large = found.scenario.units
    assert small.rated_wh_day == unit_default("compressor", "rated_wh_day", 30).value
    assert large.rated_wh_day == unit_default("compressor", "rated_wh_day", 90).value
    assert small.rated_wh_day != large.rated_wh_day
    assert {o.field for o in small.origins} >= {
        "usable_share", "swing_c", "running_w", "rated_wh_day", "ua_w_per_k", "supply",
        "set_points_c",
    }  # fmt: skip
    assert all(o.came_from is CameFrom.DEFAULT and o.source for o in small.origins)


@pytest.mark.parametrize(
    ("text", "kind", "doubtful"),
    [
        ("compressor", UnitType.COMPRESSOR, False),
        ("12V fridge", UnitType.COMPRESSOR, False),
        ("Compressor cooler", UnitType.COMPRESSOR, False),
        ("fridge", UnitType.HOUSEHOLD, False),
        ("Fridge/freezer", UnitType.HOUSEHOLD, False),
        ("chest freezer", UnitType.HOUSEHOLD, False),
        ("cool box electric", UnitType.THERMOELECTRIC, True),
        ("electric cooler", UnitType.THERMOELECTRIC, True),
        ("12V cool box", UnitType.THERMOELECTRIC, True),
        ("car fridge", UnitType.THERMOELECTRIC, True),
        ("peltier", UnitType.THERMOELECTRIC, False),
        ("3-way gas fridge", UnitType.ABSORPTION, False),
        ("cooler", UnitType.ICE_CHEST, False),
        ("Ice chest (conditioned packs)", UnitType.ICE_CHEST, False),
        ("pharmacy fridge", UnitType.ELSEWHERE, False),
        ("powered elsewhere", UnitType.ELSEWHERE, False),
        ("shelf in cellar", UnitType.COOL_SHELF, False),
        ("clay pot", UnitType.EVAPORATIVE, False),
        ("toaster", None, False),
    ],
)
def test_types_in_other_words(text: str, kind: UnitType | None, doubtful: bool) -> None:
    assert unit_type(text) == (kind, doubtful)


def test_conditioned_packs_only_when_said() -> None:
    found = kit(
        Cold_units="""
Unit | Place | Type | Gross volume (L) | Notes
Chest 1 | Hall | ice chest (conditioned packs) | 25 |
Chest 2 | Hall | ice chest | 25 | packs conditioned, barrier, thermometer
Chest 3 | Hall | ice chest | 25 | packs not conditioned
Chest 4 | Hall | ice chest | 25 |
"""
    )
    units = found.scenario.units
    assert [unit.conditioned for unit in units] == [True, True, False, False]
    assert [unit.set_points_c for unit in units] == [(5,), (5,), (2,), (2,)]
    assert all(unit.supply is Supply.NONE for unit in units)


def test_units_that_cannot_be_planned_are_left_out_and_noted() -> None:
    found = kit(
        Cold_units="""
Unit | Place | Type | Gross volume (L)
No volume | Hall | compressor |
Zero | Hall | compressor | 0
Negative | Hall | compressor | -5
No type | Hall | | 40
Odd type | Hall | toaster | 40
Doubtful | Hall | electric cool box | 20
Good | Hall | household | 4 cu ft
"""
    )
    assert [unit.name for unit in found.scenario.units] == ["Doubtful", "Good"]
    # NIST SP 811 appendix B.8 (from memory): 1 ft3 = 2.831685 E-02 m3
    assert found.scenario.units[1].gross_volume_l == pytest.approx(4 * 28.31685)
    assert at(found, "unit-no-volume", "unit-type-unknown", "unit-type-ambiguous") == {
        ("unit-no-volume", 2),
        ("unit-no-volume", 3),
        ("unit-no-volume", 4),
        ("unit-type-unknown", 5),
        ("unit-type-unknown", 6),
        ("unit-type-ambiguous", 7),
    }
    assert at(found, "number-out-of-range") == {
        ("number-out-of-range", 3),
        ("number-out-of-range", 4),
    }


@pytest.mark.parametrize(
    ("typed", "shares"),
    [
        ("", (1.0,)),
        ("1", (1.0,)),
        ("2", (0.5, 0.5)),
        ("60/40", (0.6, 0.4)),
        ("60 : 40 %", (0.6, 0.4)),
        ("30+10 L", (0.75, 0.25)),
    ],
)
def test_zones(typed: str, shares: tuple[float, ...]) -> None:
    found = kit(
        Cold_units="Unit|Type|Gross volume (L)|Zones\n" + f"Box|compressor|40|{typed}"
    )
    assert found.scenario.units[0].zone_shares == pytest.approx(shares)
    assert codes(found) == set()


@pytest.mark.parametrize("typed", ["9", "60/60", "30+30 L", "many", "-1", "0"])
def test_zones_that_do_not_add_up(typed: str) -> None:
    found = kit(
        Cold_units="Unit|Type|Gross volume (L)|Zones\n" + f"Box|compressor|40|{typed}"
    )
    assert found.scenario.units[0].zone_shares == (1.0,)
    assert codes(found) == {"zones-not-usable"}


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("5", (5,)),
        ("5; -18", (5, -18)),
        ("5, -18", (5, -18)),
        ("2 or 5", (2, 5)),
        ("4 C / -18 C", (4, -18)),
        ("36 F; 0 F", (2.2, -17.8)),
        ("38; 0 F", (3.3, -17.8)),
    ],
)
def test_set_points(typed: str, expected: tuple[float, ...]) -> None:
    found = kit(
        Cold_units="Unit|Type|Gross volume (L)|Set points (C)\n"
        f"Box|compressor|40|{typed}"
    )
    assert found.scenario.units[0].set_points_c == pytest.approx(expected)
    assert codes(found) == set()


@pytest.mark.parametrize("typed", ["2-8", "2,5", "cold", "400", "d:2025-08-02", "TRUE"])
def test_set_points_that_are_none(typed: str) -> None:
    found = kit(
        Cold_units="Unit|Type|Gross volume (L)|Set points (C)\n"
        f"Box|compressor|40|{typed}"
    )
    assert found.scenario.units[0].set_points_c == (2, 5)
    assert codes(found) == {"set-points-not-usable"}


def test_a_freezer_is_set_to_freeze() -> None:
    found = kit(
        Cold_units="""
Unit | Type | Gross volume (L)
Box 1 | chest freezer | 200
Box 2 | fridge freezer | 200
"""
    )
    assert [unit.set_points_c for unit in found.scenario.units] == [(-18,), (2, 5)]


def test_names_are_made_unique_and_totals_left_out() -> None:
    found = kit(
        Cold_units="""
Unit | Type | Gross volume (L)
Fridge | household | 100
fridge | household | 100
 | household | 100
Fridge | household | 100
Total | | 400
"""
    )
    names = [unit.name for unit in found.scenario.units]
    assert names == ["Fridge", "fridge (2)", "Unit 3", "Fridge (3)"]
    assert len({unit.id for unit in found.scenario.units}) == 4
    assert at(found, "name-twice", "name-blank", "total-row") == {
        ("name-twice", 3),
        ("name-blank", 4),
        ("name-twice", 5),
        ("total-row", 6),
    }


def test_a_battery_without_capacity_is_left_out_never_zero() -> None:
    found = kit(
        Batteries="""
Battery | Place | Capacity (Wh) | Ah | Volts | Chemistry | Charge now (%)
B1 | Hall | 1000 | | | LFP | 80
B2 | Hall | | 100 | 12.8 | LFP | 80
B3 | Hall | | 100 | | LFP | 80
B4 | Hall | | | | LFP | 80
B5 | Hall | 0 | | | LFP | 80
B6 | Hall | 1e9 | | | LFP | 80
B7 | Hall | 1.2 kWh | | | LFP | 80
B8 | Hall | 100 Ah 12 V | | | LFP | 80
B9 | Hall | 100 Ah | | | LFP | 80
B10 | Hall | -100 | | | LFP | 80
"""
    )
    got = {b.name: b.capacity_wh for b in found.scenario.batteries}
    assert got == pytest.approx({"B1": 1000, "B2": 1280, "B7": 1200, "B8": 1200})
    left = {row for code, row in at(found, "battery-no-capacity")}
    assert left == {4, 5, 6, 7, 10, 11}
    assert at(found, "number-out-of-range") == {
        ("number-out-of-range", row) for row in (6, 7, 11)
    }


def test_battery_defaults_hang_on_the_chemistry() -> None:
    found = kit(
        Batteries="""
Battery | Capacity (Wh) | Chemistry | Charge now (%)
B1 | 1000 | LiFePO4 | 50
B2 | 1000 | | 50
B3 | 1000 | unobtainium | 50
"""
    )
    lfp, blank, odd = found.scenario.batteries
    assert lfp.chemistry is Chemistry.LFP
    assert lfp.usable_share == default("battery.lfp.usable_share").value
    assert blank.chemistry is Chemistry.AGM
    assert blank.usable_share == default("battery.agm.usable_share").value
    share = default("battery.lfp.max_charge_share_per_h").value
    assert lfp.max_charge_w == share * 1000
    assert odd.chemistry is Chemistry.AGM
    assert at(found, "choice-not-known") == {("choice-not-known", 4)}
    assert "chemistry" in {o.field for o in blank.origins}


@pytest.mark.parametrize(
    ("typed", "charge", "code"),
    [
        ("80", 0.8, None),
        ("'80%", 0.8, None),
        ("full", 1.0, None),
        ("0", 0.0, None),
        ("0.8", 0.8, "charge-small"),
        ("1", 0.5, "number-two-ways"),
        ("", 0.5, "default-used"),
        ("120", 0.5, "number-out-of-range"),
        ("half?", 0.5, "number-not-usable"),
    ],
)
def test_charge_now(typed: str, charge: float, code: str | None) -> None:
    found = kit(
        Batteries=f"Battery|Capacity (Wh)|Chemistry|Charge now (%)\nB1|1000|LFP|{typed}"
    )
    assert default("battery.charge_now").value == 0.5
    assert found.scenario.batteries[0].charge_now == charge
    assert codes(found) == ({code} if code else set())


def test_no_sockets_is_zero_and_blank_is_the_default() -> None:
    found = kit(
        Batteries="""
Battery | Capacity (Wh) | Chemistry | Charge now (%) | 12V ports | AC outlets
B1 | 1000 | LFP | 50 | none | 2
B2 | 1000 | LFP | 50 | |
B3 | 1000 | LFP | 50 | 0 | 99
"""
    )
    got = [(b.ports_12v, b.outlets_ac) for b in found.scenario.batteries]
    ports, outlets = default("battery.ports_12v"), default("battery.outlets_ac")
    assert got == [(0, 2), (ports.value, outlets.value), (0, outlets.value)]
    assert at(found, "number-out-of-range") == {("number-out-of-range", 4)}


def test_panels() -> None:
    found = kit(
        Panels="""
Panel | Place | Rated W | Controller | Tilt | Azimuth | Shade share
P1 | Hall | 200 | MPPT | 30 | 180 | 0.1
P2 | | 100 | | flat | SW | 10%
P3 | | | PWM | | |
P4 | | 100 | PWM | 20 | south-east | 0
P5 | | 100 | PWM | 120 | 400 | 0
"""
    )
    first, second, fourth, fifth = found.scenario.panels
    assert (first.place, first.rated_w, first.controller) == (
        "Hall",
        200,
        Controller.MPPT,
    )
    assert (first.tilt_deg, first.azimuth_deg, first.shade_share) == (30, 180, 0.1)
    assert (second.place, second.controller) == ("", Controller.PWM)
    assert (second.tilt_deg, second.azimuth_deg) == (0, 225)
    assert second.shade_share == pytest.approx(0.1)
    assert fourth.azimuth_deg == 135
    assert fifth.tilt_deg == default("panel.tilt_deg").value
    assert at(found, "panel-no-watts", "number-out-of-range") == {
        ("panel-no-watts", 4),
        ("number-out-of-range", 6),
    }


def test_south_of_the_equator_a_panel_faces_north() -> None:
    settings = """
Setting | Value
Start | d:2025-10-13 08:00
Latitude | -33.9
Longitude | 18.4
Room temperature (C) | 30
"""
    found = kit(Panels="Panel|Rated W\nP1|100", Conditions=settings)
    assert found.scenario.panels[0].azimuth_deg == 0
    assert found.scenario.conditions.utc_offset_h == 1


def test_other_power() -> None:
    found = kit(
        Other_power="""
Source | Place | Kind | W | From | To | Days
Gen | Hall | generator | 1000 | 18:00 | 22:00 | Tue, Wed
Grid | Hall | mains | | 22:00 | 02:00 |
Car | Hall | vehicle | 150 | 8 | 9 | 0; 2
Oxygen | Hall | life support | 350 | | |
No clock | Hall | generator | 1000 | | |
No watts | Hall | generator | | 06:00 | 07:00 |
Odd | Hall | hamster | 5 | 06:00 | 07:00 |
Odd days | Hall | generator | 500 | 06:00 | 07:00 | sometimes
"""
    )
    got = {s.name: s for s in found.scenario.sources}
    assert set(got) == {"Gen", "Grid", "Car", "Oxygen", "Odd days"}
    # the start, 2025-10-13, is a Monday
    assert got["Gen"].days == (1, 2, 8, 9)
    assert (got["Gen"].from_hour, got["Gen"].to_hour) == (18, 22)
    assert (got["Grid"].from_hour, got["Grid"].to_hour) == (22, 2)
    assert got["Grid"].max_w == default("source.mains.max_w").value
    assert got["Car"].days == (0, 2)
    assert got["Car"].supply is Supply.DC
    assert got["Oxygen"].kind is SourceKind.PRIORITY_LOAD
    assert (got["Oxygen"].from_hour, got["Oxygen"].to_hour) == (0, 24)
    assert at(
        found, "source-no-clock", "source-no-watts", "source-kind-unknown",
        "days-not-usable",
    ) == {
        ("source-no-clock", 6),
        ("source-no-watts", 7),
        ("source-kind-unknown", 8),
        ("days-not-usable", 9),
    }  # fmt: skip


def test_a_source_from_the_table_is_on_when_it_says() -> None:
    found = kit(
        Other_power="Source|Kind|W|From|To|Days\nGen|generator|1000|18:00|22:00|Tue"
    )
    (source,) = found.scenario.sources
    start = datetime(2025, 10, 13, 8)
    on = [hour for hour in range(72) if source.on_in_hour(start, hour)]
    assert on == [34, 35, 36, 37]  # Tuesday 18:00 is 34 h after Monday 08:00


@pytest.mark.parametrize("watts", ["", "a lot", "-5", "0"])
def test_a_load_without_watts_stops_the_plan(watts: str) -> None:
    found = reading(INTAKE, Other_power=f"Source|Kind|W\nOxygen|life support|{watts}")
    assert found.scenario is None
    assert stops(found) == {"load-without-watts"}


@pytest.mark.parametrize(
    ("status", "lender", "expected", "code"),
    [
        ("", "", Status.HERE, None),
        ("here", "", Status.HERE, None),
        ("can borrow", "Club", Status.OFFERED, None),
        ("", "Club", Status.OFFERED, "status-assumed"),
        ("broken", "", Status.OUT, "unit-out-of-order"),
        ("purple", "", Status.OFFERED, "status-unknown"),
    ],
)
def test_status(status: str, lender: str, expected: Status, code: str | None) -> None:
    found = kit(
        Cold_units="Unit|Type|Gross volume (L)|Status|Lender\n"
        f"Box|compressor|40|{status}|{lender}"
    )
    assert found.scenario.units[0].availability.status is expected
    assert codes(found) == ({code} if code else set())


@pytest.mark.parametrize(
    ("back", "hours", "status", "code"),
    [
        ("d:2025-10-14 08:00", 24, Status.HERE, None),
        ("d:2025-10-14 08:45", 24, Status.HERE, None),
        ("Tue 20:00", 36, Status.HERE, None),
        ("18:00", 10, Status.HERE, None),
        ("48 h", 48, Status.HERE, None),
        ("d:2025-10-12", -32, Status.OUT, "back-before-ready"),
        ("soon", None, Status.OUT, "date-not-usable"),
        ("3/4", None, Status.OUT, "date-two-ways"),
    ],
)
def test_back_by(
    back: str, hours: int | None, status: Status, code: str | None
) -> None:
    found = kit(
        Cold_units="Unit|Type|Gross volume (L)|Back by\n" + f"Box|compressor|40|{back}"
    )
    terms = found.scenario.units[0].availability
    assert (terms.back_h, terms.status) == (hours, status)
    assert codes(found) == ({code} if code else set())


def test_an_offer_without_hours_takes_the_default() -> None:
    found = kit(
        Cold_units="""
Unit | Type | Gross volume (L) | Status | Ready in (h) | Effort (1-5)
Box 1 | compressor | 40 | can borrow | |
Box 2 | compressor | 40 | can borrow | 90 min | 5
Box 3 | compressor | 40 | here | later | 9
"""
    )
    first, second, third = (unit.availability for unit in found.scenario.units)
    assert first.ready_h == default("loan.ready_h").value
    assert first.effort == default("loan.effort").value
    assert (second.ready_h, second.effort) == (2, 5)
    assert third.ready_h == default("loan.ready_h").value
    assert at(found, "number-not-usable", "number-out-of-range") == {
        ("number-not-usable", 4),
        ("number-out-of-range", 4),
    }


def test_sheets_with_other_names_are_added_up() -> None:
    found = kit(
        Fridges="Unit|Type|Gross volume (L)\nBox 1|household|100",
        Ice_chests="Unit|Type|Gross volume (L)\nBox 1|ice chest|25",
    )
    assert [unit.name for unit in found.scenario.units] == ["Box 1", "Box 1 (2)"]


def test_a_missing_column_that_every_row_needs_stops_the_plan() -> None:
    found = reading(INTAKE, Cold_units="Unit|Type\nBox 1|household")
    assert found.scenario is None
    assert stops(found) == {"heading-missing"}
    assert {i.column for i in found.issues} == {"Gross volume (L)"}


def test_more_energy_than_power_is_noted() -> None:
    found = kit(
        Cold_units="""
Unit | Type | Gross volume (L) | Running W | Rated Wh/day
Box 1 | compressor | 40 | 45 | 1080
Box 2 | compressor | 40 | 45 | 1081
"""
    )
    assert at(found, "energy-over-power") == {("energy-over-power", 3)}


def test_defaults_give_way_to_the_typed_rating() -> None:
    found = kit(
        Cold_units="""
Unit | Type | Gross volume (L) | Running W | Rated Wh/day
Box 1 | thermoelectric | 20 | 40 |
Box 2 | compressor | 40 | | 1500
Box 3 | compressor | 40 | | 600
"""
    )
    first, second, third = found.scenario.units
    # a day of 40 W is 960 Wh; 1500 Wh in 12 h is 125 W
    assert (first.running_w, first.rated_wh_day) == (40, 960)
    assert (second.running_w, second.rated_wh_day) == (125, 1500)
    assert third.running_w == unit_default("compressor", "running_w", 40).value
    assert {o.field: o.value for o in second.origins}["running_w"] == "125 W"
    assert codes(found) == set()
