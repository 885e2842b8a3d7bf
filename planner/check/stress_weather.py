"""The plan's wiring under a few hundred windows of measured weather."""

import numpy as np
from numpy.typing import NDArray

from planner.check.case import sun_known
from planner.check.ground import Claim, Ground
from planner.check.hours import Run
from planner.check.stress_batch import (
    NEVER_H,
    Variants,
    dark_from_each,
    fed_each,
    panel_spots,
    sampled_sun_w,
)
from planner.physics import profiles
from planner.result_stress import WeatherSample, WeatherUnit

TENTH = 0.1
"""Share of windows that may be darker than the hour that is told."""


def weather_sample(ground: Ground, claim: Claim, base: Run) -> WeatherSample | None:
    """Count the windows of the sample in which each unit is fed to the end.

    Parameters
    ----------
    ground, claim
        The scenario, and the plan's units and plugs.
    base
        A run of the same claim under any sun; its loads are used.

    Returns
    -------
    WeatherSample or None
        ``None`` when no panel is plugged in or the site's sun is not known.
        ``all_held`` counts windows without a dark hour for any unit that is
        on or any life-support load.
    """
    if not panel_spots(claim) or not sun_known(ground, claim):
        return None
    shares = profiles.sun_shares(ground.conditions)
    rows = shares.shape[0]
    variants = Variants(rows=rows, sun_w=sampled_sun_w(ground, claim, shares), cut_h={})
    dark = dark_from_each(ground, fed_each(ground, claim, base, variants))
    all_held = np.ones(rows, dtype=np.bool_)
    for first in dark.values():
        all_held &= first == NEVER_H
    return WeatherSample(
        windows=rows,
        all_held=int(all_held.sum()),
        units=tuple(_unit(thing_id, first) for thing_id, first in dark.items()),
    )


def _unit(thing_id: str, first_dark: NDArray[np.int64]) -> WeatherUnit:
    tenth = int(np.sort(first_dark)[int(TENTH * first_dark.size)])
    return WeatherUnit(
        thing_id=thing_id,
        held=int((first_dark == NEVER_H).sum()),
        tenth_dark_h=None if tenth == NEVER_H else tenth,
    )
