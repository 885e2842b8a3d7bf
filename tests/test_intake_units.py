"""Units and temperatures against published factors and label pairs."""

import pytest

from planner.intake.cells import Cell
from planner.intake.temps import Band, band, one_temp_c, temps_in
from planner.intake.units import f_to_c, factor, temp_unit
from planner.intake.words import clean

# NIST Special Publication 811 (2008), appendix B.8 (from memory), factors to cubic metres
# as printed (seven digits), here times 1000 for litres.
SP_811 = {
    "fl oz": 2.957353e-02,
    "pint": 4.731765e-01,
    "qt": 9.463529e-01,
    "gal": 3.785412,
    "cup": 2.365882e-01,
    "cu ft": 2.831685e01,
    "imp gal": 4.54609,
    "imp fl oz": 2.841306e-02,
    "imp pint": 5.682612e-01,
}


@pytest.mark.parametrize(("unit", "litres"), SP_811.items())
def test_volume_factors_are_those_of_sp_811(unit: str, litres: float) -> None:
    assert factor("volume", unit) == pytest.approx(litres, rel=2e-7)


@pytest.mark.parametrize(
    ("typed", "dimension", "expected"),
    [
        ("ml", "volume", 0.001),
        ("mL.", "volume", 0.001),
        ("cl", "volume", 0.01),
        ("Liters", "volume", 1.0),
        ("kWh", "energy", 1000.0),
        ("Wh/day", "energy", 1.0),
        ("kW", "power", 1000.0),
        ("days", "time", 24.0),
        ("%", "share", 0.01),
        ("lb", "mass", 0.45359237),  # exact, NIST SP 811 appendix B.8 (from memory)
    ],
)
def test_units_as_people_write_them(
    typed: str, dimension: str, expected: float
) -> None:
    assert factor(dimension, typed) == expected


@pytest.mark.parametrize("typed", ["furlong", "", "IU", "mg", "litre-ish"])
def test_unknown_units_have_no_factor(typed: str) -> None:
    assert factor("volume", typed) is None


def test_a_unit_of_another_dimension_is_unknown() -> None:
    assert factor("volume", "kWh") is None
    assert factor("energy", "Ah") is None


def test_fahrenheit_fixed_points() -> None:
    # ice point and steam point, by definition of the scales
    assert f_to_c(32) == 0
    assert f_to_c(212) == 100


@pytest.mark.parametrize("text", ["F", "°F", "deg F", "Fahrenheit", "degF"])
def test_fahrenheit_names(text: str) -> None:
    assert temp_unit(text) == "F"


# Published pairs (seen on secondary pages): USP <659> Packaging and Storage Requirements gives cold as
# 2 to 8 C (36 to 46 F), controlled room 20 to 25 C (68 to 77 F) with
# excursions 15 to 30 C (59 to 86 F), freezer -25 to -10 C (-13 to 14 F).
@pytest.mark.parametrize(
    ("fahrenheit", "celsius"),
    [
        ("36-46 F", (2, 8)),
        ("68 to 77 F", (20, 25)),
        ("59-86°F", (15, 30)),
        ("-13 to 14 F", (-25, -10)),
    ],
)
def test_label_pairs_read_alike(fahrenheit: str, celsius: tuple[int, int]) -> None:
    got = band(Cell(value=clean(fahrenheit)), "")
    assert got.value == Band(low_c=celsius[0], high_c=celsius[1])


@pytest.mark.parametrize(
    ("text", "low_c", "high_c"),
    [
        ("2-8", 2, 8),
        ("2 – 8 °C", 2, 8),
        ("2°C - 8°C", 2, 8),
        ("2 to 8", 2, 8),
        ("between 2 and 8", 2, 8),
        ("8-2", 2, 8),
        ("36-46", 2, 8),
        ("2-8 C (36-46 F)", 2, 8),
        ("36–46 °F (2–8 °C)", 2, 8),
        ("-25 to -15", -25, -15),
        ("-25--15 C", -25, -15),
        ("−20 −10", -20, -10),
        ("fridge 2-8", 2, 8),
        ("2,5-7,5", 2.5, 7.5),
    ],
)
def test_ranges(text: str, low_c: float, high_c: float) -> None:
    got = band(Cell(value=clean(text)), "")
    assert got.value is not None
    assert (got.value.low_c, got.value.high_c) == (low_c, high_c)


def test_only_fahrenheit_is_plausible_is_noted() -> None:
    assert band(Cell(value="36-46"), "").value.note == "fahrenheit-assumed"
    assert band(Cell(value="36-46"), "F").value.note == ""


@pytest.mark.parametrize(
    ("text", "unit", "wrong"),
    [
        ("4", "", "band-one-edge"),
        ("4 C", "", "band-one-edge"),
        ("2-8", "F", "band-not-usable"),
        ("cold", "", "band-not-usable"),
        ("2-8-12", "", "band-not-usable"),
        ("300-400", "", "band-not-usable"),
    ],
)
def test_doubtful_ranges_are_asked_about(text: str, unit: str, wrong: str) -> None:
    got = band(Cell(value=text), unit)
    assert got.value is None
    assert got.wrong == wrong


def test_upper_limits_leave_the_lower_edge_open() -> None:
    assert band(Cell(value="below 25 C"), "").value == Band(low_c=None, high_c=25)
    assert band(Cell(value="< 77 F"), "").value == Band(low_c=None, high_c=25)


def test_signs_and_dashes() -> None:
    assert temps_in("-18") == ((-18, ""),)
    assert temps_in("2 - 8") == ((2, ""), (8, ""))
    assert temps_in("5 C / -18 C") == ((5, "C"), (-18, "C"))


@pytest.mark.parametrize(
    ("text", "unit", "expected"),
    [("30", "C", 30), ("86", "C", 30), ("86 F", "C", 30), ("25 C", "F", 25)],
)
def test_one_temperature(text: str, unit: str, expected: float) -> None:
    assert one_temp_c(Cell(value=text), 8, 45, unit).value == pytest.approx(expected)


def test_one_temperature_beyond_reason_is_wrong() -> None:
    assert one_temp_c(Cell(value="400 C"), 8, 45, "C").wrong == "number-out-of-range"
