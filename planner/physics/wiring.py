"""Voltage lost in a 12 V lead, and the lead that keeps it small."""

from planner.errors import UsageError

OHM_PER_1000_FT: dict[int, float] = {
    18: 7.95,
    16: 4.99,
    14: 3.14,
    12: 1.98,
    10: 1.24,
    8: 0.778,
    6: 0.491,
}
"""Resistance of stranded copper by American wire gauge, thinnest first.

National Electrical Code, chapter 9, table 8.  Flag: from memory.
"""

METRES_PER_1000_FT = 304.8


def drop_v(current_a: float, one_way_m: float, gauge_awg: int) -> float:
    """Volts lost on the way there and back [V].

    Raises
    ------
    UsageError
        If the gauge is not in the table.
    """
    if gauge_awg not in OHM_PER_1000_FT:
        msg = f"no resistance known for {gauge_awg} AWG"
        raise UsageError(msg)
    ohm_per_m = OHM_PER_1000_FT[gauge_awg] / METRES_PER_1000_FT
    return current_a * 2.0 * one_way_m * ohm_per_m


def thinnest_awg(
    current_a: float, one_way_m: float, volts: float = 12.0, drop_share: float = 0.03
) -> int | None:
    """Thinnest lead that loses no more than ``drop_share``; ``None`` if none does."""
    for gauge_awg in OHM_PER_1000_FT:
        if drop_v(current_a, one_way_m, gauge_awg) <= drop_share * volts:
            return gauge_awg
    return None
