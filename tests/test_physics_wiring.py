"""Voltage drop against a worked sum and a published wire table."""

import pytest

from planner.errors import UsageError
from planner.physics import wiring

FOOT_M = 0.3048


@pytest.mark.parametrize(("gauge", "percent"), [(14, 5.2), (12, 3.3), (10, 2.07)])
def test_drop_over_ten_feet(gauge, percent):
    """Worked sums, NEC chapter 9 table 8 resistances (from memory)."""
    drop = wiring.drop_v(10, 10 * FOOT_M, gauge)
    assert 100 * drop / 12 == pytest.approx(percent, abs=0.05)


def test_drop_of_the_reference_lead():
    assert wiring.drop_v(10, 10 * FOOT_M, 10) == pytest.approx(0.248, rel=0.005)


@pytest.mark.parametrize(("share", "gauge"), [(0.03, 10), (0.10, 16)])
def test_gauge_of_a_published_table(share, gauge):
    """Marine wire tables, 3 % and 10 %: 10 A over 21 ft there and back."""
    assert wiring.thinnest_awg(10, 21 / 2 * FOOT_M, drop_share=share) == gauge


def test_no_lead_is_thick_enough():
    assert wiring.thinnest_awg(100, 30) is None


def test_unknown_gauge():
    with pytest.raises(UsageError):
        wiring.drop_v(10, 3, 13)
