"""Which hours of the window are night, for shading charts and naming hours."""

from planner.errors import UsageError
from planner.physics.profiles import panel_w, room_temp_c
from planner.result import Plan
from planner.scenario import Controller, Panel, SunCase

# Used when the conditions say nothing about the sun.
_EVENING, _MORNING = 20, 6
_FLAT_PANEL = Panel(
    id="",
    name="",
    place="",
    rated_w=100.0,
    controller=Controller.MPPT,
    tilt_deg=0.0,
    azimuth_deg=180.0,
)


def night_hours(plan: Plan) -> tuple[bool, ...]:
    """Tell for each hour of the window whether a flat panel would give nothing.

    Without any word about the sun, night is 20:00 to 06:00 by the clock.
    """
    conditions = plan.scenario.conditions
    clock_hours = [conditions.clock(hour).hour for hour in range(conditions.window_h)]
    by_clock = tuple(hour >= _EVENING or hour < _MORNING for hour in clock_hours)
    if not plan.scenario.places:
        return by_clock
    outdoor_c = room_temp_c(plan.scenario.places[0], conditions)
    try:
        sun_w = panel_w(_FLAT_PANEL, conditions, outdoor_c, SunCase.MEAN)
    except UsageError:
        return by_clock
    dark = tuple(bool(one < 0.5) for one in sun_w)
    return by_clock if all(dark) else dark


def nights(plan: Plan) -> tuple[tuple[int, int], ...]:
    """Spans of night as first hour and first hour of day after it."""
    spans: list[tuple[int, int]] = []
    for hour, dark in enumerate(night_hours(plan)):
        if not dark:
            continue
        if spans and spans[-1][1] == hour:
            spans[-1] = (spans[-1][0], hour + 1)
        else:
            spans.append((hour, hour + 1))
    return tuple(spans)
