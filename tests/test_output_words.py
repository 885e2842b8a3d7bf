"""Wording of clocks, degrees, litres and counts."""

import math
from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.output import words

MONDAY = datetime(2025, 10, 13, 8, 20)


def test_clock_has_its_day():
    assert words.day_clock(datetime(2025, 10, 14, 4, 20), MONDAY) == "Tue 04:20"


def test_clock_on_the_last_minute_of_the_week_has_no_date():
    last = MONDAY + timedelta(days=7) - timedelta(minutes=1)
    assert words.day_clock(last, MONDAY) == "Mon 08:19"


@pytest.mark.parametrize(
    ("moment", "said"),
    [
        (MONDAY + timedelta(days=7), "Mon 20 Oct 2025 08:20"),
        (MONDAY - timedelta(minutes=1), "Mon 13 Oct 2025 08:19"),
    ],
)
def test_clock_outside_the_week_has_a_date(moment, said):
    assert words.day_clock(moment, MONDAY) == said


def test_clock_without_a_start_has_a_date():
    assert words.day_clock(MONDAY) == "Mon 13 Oct 2025 08:20"


@pytest.mark.parametrize(
    ("temp_c", "said"),
    [
        # Fixed points of the Celsius and Fahrenheit scales (NIST SP 811, B.9).
        (0, "0 C / 32 F"),
        (100, "100 C / 212 F"),
        (-40, "minus 40 C / minus 40 F"),
        (5, "5 C / 41 F"),
        (2.5, "2.5 C / 37 F"),
        (-0.0, "0 C / 32 F"),
        (-18, "minus 18 C / 0 F"),  # the pair printed on freezer guidance
    ],
)
def test_temperature_on_both_scales(temp_c, said):
    assert words.temperature(temp_c) == said


@pytest.mark.parametrize(
    ("low_c", "high_c", "said"),
    [
        # Pairs as USP <659> prints them: refrigerator, freezer, cool,
        # controlled room temperature, warm.
        (2, 8, "2 to 8 C / 36 to 46 F"),
        (-25, -10, "minus 25 to minus 10 C / minus 13 to 14 F"),
        (8, 15, "8 to 15 C / 47 to 59 F"),  # USP prints 46; 46 F is below 8 C
        (20, 25, "20 to 25 C / 68 to 77 F"),
        (30, 40, "30 to 40 C / 86 to 104 F"),
        (2.0, 2.2, "2 to 2.2 C / 35.6 to 36 F"),
    ],
)
def test_band_on_both_scales(low_c, high_c, said):
    assert words.band(low_c, high_c) == said


@given(
    low=st.floats(-40, 40, allow_nan=False), span=st.floats(1.2, 30, allow_nan=False)
)
def test_fahrenheit_band_never_leaves_the_celsius_band(low, span):
    said = words.band(low, low + span).split(" C / ")[1].removesuffix(" F")
    low_f, high_f = (float(part.replace("minus ", "-")) for part in said.split(" to "))
    assert (low_f - 32) * 5 / 9 >= low - 1e-5
    assert (high_f - 32) * 5 / 9 <= low + span + 1e-5
    assert low_f <= high_f


def test_volume_in_litres_and_quarts():
    # 1 US gallon = 4 liquid quarts = 3.785 412 L (NIST Handbook 44, app. C).
    assert words.volume(3.785412) == "3.8 L / 4 qt"
    assert words.volume(12.5) == "12.5 L / 13.2 qt"
    assert words.volume(0.13) == "0.13 L / 0.14 qt"
    assert math.isclose(words.US_QUARTS_PER_LITRE * 3.785412, 4, abs_tol=1e-5)


@pytest.mark.parametrize(
    ("value", "decimals", "said"),
    [
        (1250.4, 0, "1,250"),
        (0.05, 1, "0.1"),
        (-0.04, 1, "0"),
        (10, 0, "10"),
        (100.0, 1, "100"),
        (2.675, 2, "2.68"),
    ],
)
def test_number(value, decimals, said):
    assert words.number(value, decimals) == said


def test_plural_counts():
    assert words.plural(1, "bag") == "1 bag"
    assert words.plural(0, "bag") == "0 bags"
    assert words.plural(2, "battery", "batteries") == "2 batteries"
    assert words.hours(1) == "1 hour"
    assert words.hours(36) == "36 hours"


def test_listed_reads_like_a_sentence():
    assert words.listed([]) == ""
    assert words.listed(("A",)) == "A"
    assert words.listed(("A", "B", "C")) == "A, B and C"


@pytest.mark.parametrize(
    ("raw", "safe"),
    [
        ("=cmd|'/c calc'!A1", "'=cmd|'/c calc'!A1"),
        ("+1", "'+1"),
        ("-1", "'-1"),
        ("@x", "'@x"),
        ("\t=1", "'=1"),
        ("\r=1", "'=1"),
        ("\n\n =1", "'=1"),
        ("\u202e=1", "'=1"),
        ("\uff1d1", "'\uff1d1"),
        ("a=b", "a=b"),
        ("two\nlines", "two lines"),
        ("null\x00byte", "null byte"),
        ("<script>", "<script>"),
        ("\ud800x", "x"),
        ("", ""),
    ],
)
def test_safe_text(raw, safe):
    assert words.safe_text(raw) == safe


@given(st.text())
def test_safe_text_never_starts_a_formula_and_can_be_written(raw):
    safe = words.safe_text(raw)
    assert not safe or safe[0] not in "=+-@\t\r"
    safe.encode("utf-8")
    assert safe.isprintable() or "\n" not in safe


def test_long_text_is_cut_and_says_so():
    assert len(words.clean("x" * 5000)) == words.MAX_TEXT
    assert words.clean("x" * 5000).endswith("...")


def test_cut_counts_terminal_columns():
    assert words.width("ab") == 2
    assert words.width("\u51b7\u8535") == 4
    assert words.cut("abcdefgh", 8) == "abcdefgh"
    assert words.cut("abcdefghi", 8) == "abcde..."
    assert words.width(words.cut("\u51b7" * 40, 11)) <= 11
