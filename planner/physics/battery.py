"""What a battery holds in the cold, and when it may be charged."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from planner.physics import constants as k
from planner.scenario import Chemistry


def lead_multiplier(temp_c: float) -> float:
    """Battery multiplier of lead-acid sizing worksheets; capacity / it.

    Linear between the rows, 1 above the warmest, and along the last slope
    below the coldest.
    """
    temps, factors = zip(*k.LEAD_COLD_TABLE, strict=True)
    if temp_c >= temps[0]:
        return float(np.interp(temp_c, temps, factors))
    slope = (factors[0] - factors[1]) / (temps[1] - temps[0])
    return float(factors[0] + slope * (temps[0] - temp_c))


def cold_factor(chemistry: Chemistry, temp_c: float) -> float:
    """Share of its rated capacity a battery gives at a temperature (0..1)."""
    if chemistry in k.LITHIUM:
        temps, shares = zip(*k.LITHIUM_COLD_TABLE, strict=True)
        return float(np.interp(temp_c, temps, shares))
    return 1.0 / lead_multiplier(temp_c)


def usable_wh(capacity_wh: float, usable_share: float, cold: float = 1.0) -> float:
    """Energy that may be drawn from full [Wh]."""
    return capacity_wh * usable_share * cold


def charge_allowed(chemistry: Chemistry, temp_c: ArrayLike) -> NDArray[np.bool_]:
    """Hours in which the battery may take charge.

    Lithium only from 0 to 40 C; lead has no window here.
    """
    temps = np.asarray(temp_c, dtype=np.float64)
    if chemistry not in k.LITHIUM:
        return np.ones(temps.shape, dtype=np.bool_)
    low, high = k.LITHIUM_CHARGE_FROM_C.value, k.LITHIUM_CHARGE_TO_C.value
    return (temps >= low) & (temps <= high)
