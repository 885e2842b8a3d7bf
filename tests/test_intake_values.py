"""Single cells: numbers, yes and no, clocks and dates; missing, zero, wrong."""

from datetime import datetime, time, timedelta

import pytest

from planner.intake.cells import Cell
from planner.intake.headings import BATTERIES, COLD_UNITS, INTAKE
from planner.intake.moments import clock_hour, moment
from planner.intake.values import Got, number, readings_of, yes_no

NEAR = datetime(2025, 10, 15, 9, 0)  # a Wednesday
VOLUME = INTAKE.field("volume_l")
GROSS = COLD_UNITS.field("gross_l")
CAPACITY = BATTERIES.field("capacity_wh")
CHARGE = BATTERIES.field("charge_now")
COUNT = INTAKE.field("quantity")
WARM = INTAKE.field("warm_hours")


@pytest.mark.parametrize(
    ("digits", "expected"),
    [
        ("12", (12,)),
        ("1,5", (1.5,)),
        ("1.5", (1.5,)),
        ("1,500", (1500, 1.5)),
        ("1.500", (1.5, 1500)),
        ("1,234.5", (1234.5,)),
        ("1.234,5", (1234.5,)),
        ("1'200", (1200,)),
        ("1 200", (1200,)),
        ("1,200,300", (1200300,)),
        (".5", (0.5,)),
    ],
)
def test_digits_with_marks(digits: str, expected: tuple[float, ...]) -> None:
    assert readings_of(digits) == expected


@pytest.mark.parametrize(
    ("cell", "expected"),
    [
        (Cell(value=0.5), 0.5),
        (Cell(value="500 ml"), 0.5),
        (Cell(value="500ml"), 0.5),
        (Cell(value="0,5 L"), 0.5),
        (Cell(value="about 2 l"), 2.0),
        (Cell(value="1,500 ml"), 1.5),
        (Cell(value="12 fl oz"), 0.35488),
    ],
)
def test_volumes(cell: Cell, expected: float) -> None:
    assert number(cell, VOLUME, "").value == pytest.approx(expected, abs=1e-5)


def test_the_heading_unit_holds_where_the_cell_has_none() -> None:
    assert number(Cell(value=250.0), VOLUME, "ml").value == 0.25
    assert number(Cell(value="0.25 L"), VOLUME, "ml").value == 0.25
    assert number(Cell(value=40.0), GROSS, "qt").value == pytest.approx(
        37.854, abs=1e-3
    )


@pytest.mark.parametrize(
    ("cell", "field", "wrong"),
    [
        (Cell(value=-5.0), VOLUME, "number-out-of-range"),
        (Cell(value=0.0), VOLUME, "number-out-of-range"),
        (Cell(value=1e9), CAPACITY, "number-out-of-range"),
        (Cell(value="big"), VOLUME, "number-not-usable"),
        (Cell(value="3 furlongs"), VOLUME, "unit-not-known"),
        (Cell(value="1 or 2"), VOLUME, "number-not-usable"),
        (Cell(value="1,200"), CAPACITY, ""),
        (Cell(value="12,500"), CAPACITY, "number-two-ways"),
        (Cell(value=True), VOLUME, "number-not-usable"),
        (Cell(value=NEAR), VOLUME, "number-not-usable"),
    ],
)
def test_wrong_numbers_have_their_code(cell: Cell, field: object, wrong: str) -> None:
    assert number(cell, field, "").wrong == wrong  # type: ignore[arg-type]


@pytest.mark.parametrize("text", ["", "n/a", "-", "?", "unknown", "tbc"])
def test_blank_is_missing_not_wrong_and_not_zero(text: str) -> None:
    assert number(Cell(value=text or None), VOLUME, "") == Got()


def test_zero_is_a_value_where_zero_is_possible() -> None:
    assert number(Cell(value=0.0), CHARGE, "").value == 0.0
    assert number(Cell(value=0.0), WARM, "").value == 0.0


@pytest.mark.parametrize(
    ("cell", "expected"),
    [
        (Cell(value=80.0), 0.8),
        (Cell(value=0.8, percent=True), 0.8),
        (Cell(value="80%"), 0.8),
        (Cell(value="80 %"), 0.8),
        (Cell(value=0.8), 0.8),
        (Cell(value=100.0), 1.0),
    ],
)
def test_shares_and_percent(cell: Cell, expected: float) -> None:
    assert number(cell, CHARGE, "").value == pytest.approx(expected)


def test_one_in_a_percent_column_is_asked_about() -> None:
    assert number(Cell(value=1.0), CHARGE, "%").wrong == "number-two-ways"
    assert number(Cell(value=1.0, percent=True), CHARGE, "%").value == 1.0


@pytest.mark.parametrize(
    ("text", "expected"),
    [("3 pens", 3), ("about 3", 3), ("two", 2), ("x4", 4), ("12", 12)],
)
def test_counts_in_words(text: str, expected: int) -> None:
    assert number(Cell(value=text), COUNT, "").value == expected


@pytest.mark.parametrize(
    ("text", "hours"),
    [("14 days", 336), ("4 h", 4), ("2 weeks", 336), ("90 min", 1.5), ("28 d", 672)],
)
def test_durations(text: str, hours: float) -> None:
    assert number(Cell(value=text), WARM, "").value == pytest.approx(hours)


@pytest.mark.parametrize(
    "text",
    ["y", "Y.", "yes!!", "x", "✓", "1", "si", "sí", "oui", "o", "ja", "wi", "да", "是"],
)
def test_yes_in_many_tongues(text: str) -> None:
    assert yes_no(Cell(value=text)).value is True


@pytest.mark.parametrize("text", ["n", "No", "non", "nein", "não", "нет", "否", "0"])
def test_no_in_many_tongues(text: str) -> None:
    assert yes_no(Cell(value=text)).value is False


@pytest.mark.parametrize("text", ["maybe", "ask", "?", "sometimes"])
def test_unclear_is_neither(text: str) -> None:
    assert yes_no(Cell(value=text)) == Got(wrong="yes-no-unclear")


@pytest.mark.parametrize("text", ["", "-", "n/a"])
def test_blank_is_not_no(text: str) -> None:
    assert yes_no(Cell(value=text or None)) == Got()


@pytest.mark.parametrize(
    ("cell", "hour"),
    [
        (Cell(value="14:30"), 14.5),
        (Cell(value="2:30 pm"), 14.5),
        (Cell(value="12 am"), 0),
        (Cell(value="12pm"), 12),
        (Cell(value="1430"), 14.5),
        (Cell(value="18h"), 18),
        (Cell(value=6.0), 6),
        (Cell(value=time(6, 15)), 6.25),
        (Cell(value=timedelta(hours=24)), 24),
        (Cell(value="midnight"), 0),
    ],
)
def test_clocks(cell: Cell, hour: float) -> None:
    assert clock_hour(cell).value == hour


@pytest.mark.parametrize("text", ["25:00", "14:75", "13 pm", "dusk", "24:30"])
def test_bad_clocks(text: str) -> None:
    assert clock_hour(Cell(value=text)).wrong == "clock-not-usable"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("2025-10-14", datetime(2025, 10, 14)),
        ("2025-10-14 18:30", datetime(2025, 10, 14, 18, 30)),
        ("25/12/2025", datetime(2025, 12, 25)),
        ("12/25/2025", datetime(2025, 12, 25)),
        ("08/2026", datetime(2026, 8, 31)),
        ("Dec 2025", datetime(2025, 12, 31)),
        ("14 Oct", datetime(2025, 10, 14)),
        ("3 Jan", datetime(2026, 1, 3)),
        ("Tues", datetime(2025, 10, 14)),
        ("Tue 18:30", datetime(2025, 10, 14, 18, 30)),
        ("yesterday 6pm", datetime(2025, 10, 14, 18)),
        ("08:30", datetime(2025, 10, 15, 8, 30)),
        ("10:30", datetime(2025, 10, 14, 10, 30)),
        ("02/02/2026", datetime(2026, 2, 2)),
    ],
)
def test_dates_before_now(text: str, expected: datetime) -> None:
    assert moment(Cell(value=text), NEAR, latest=True).value == expected


def test_a_bare_day_or_clock_can_also_be_the_next_one() -> None:
    assert moment(Cell(value="Tue"), NEAR, latest=False).value == datetime(2025, 10, 21)
    assert moment(Cell(value="8:00"), NEAR, latest=False).value == datetime(
        2025, 10, 16, 8
    )


@pytest.mark.parametrize("text", ["3/4", "03/04/2025", "1.2.25"])
def test_dates_that_can_be_two_are_asked_about(text: str) -> None:
    assert moment(Cell(value=text), NEAR, latest=True).wrong == "date-two-ways"


@pytest.mark.parametrize(
    "text",
    [
        "soon",
        "31/31/2025",
        "2025-02-30",
        "99",
        "half",
        "100 maybe",
        "12 may 2025 jun",
        "money",
        "sunny 5pm",
        "300 Oct",
    ],
)
def test_bad_dates(text: str) -> None:
    assert moment(Cell(value=text), NEAR, latest=True).wrong == "date-not-usable"


def test_a_serial_number_is_no_date() -> None:
    assert moment(Cell(value=45361.0), NEAR, latest=True).wrong == "date-not-usable"
