"""The plan in force taken from a plan at hand, as the screens have it."""

import math
from datetime import timedelta

from planner.inforce.match import match_lines, old_line
from planner.inforce.plugs import Ends, factor_of, shifted
from planner.result import Cooling, Plan
from planner.result_replan import FACTOR, InForce, Standing
from planner.scenario import Scenario


def in_force_of(plan: Plan, scenario: Scenario | None = None) -> InForce:
    """What stands where under a plan, in the words of today's scenario.

    Without a scenario the plan's own is meant.
    """
    now = scenario or plan.scenario
    start = plan.scenario.conditions.start
    elapsed = max(timedelta(0), now.conditions.start - start)
    elapsed_h = math.floor(elapsed / timedelta(hours=1))
    old = {line.id: line for line in plan.scenario.lines}
    today = match_lines([old_line(line) for line in plan.scenario.lines], now.lines)
    names = {unit.id: unit.name for unit in plan.scenario.units}
    units = {unit.id for unit in now.units}
    found: dict[tuple[str, str, str, int], int] = {}
    for put in plan.placements:
        unit_id = put.unit_id if put.unit_id in units else names[put.unit_id]
        line_id = today.get(put.line_id, f"gone:{put.line_id}")
        key = (line_id, old[put.line_id].code, unit_id, put.zone)
        found[key] = found.get(key, 0) + put.count
    ends = Ends.of(now)
    old_end_h = max((plug.to_h for plug in plan.hookups), default=0)
    plugs = [
        shifted(plug, elapsed_h, old_end_h=old_end_h, end_h=ends.window_h)
        for plug in plan.hookups
        if ends.known(plug)
    ]
    return InForce(
        start=start,
        elapsed_h=elapsed_h,
        standing=tuple(
            Standing(line_id=line, code=code, unit_id=unit, zone=zone, count=n)
            for (line, code, unit, zone), n in sorted(found.items())
        ),
        units_on=tuple(use for use in plan.units_on if use.unit_id in units),
        hookups=tuple(plug for plug in plugs if plug.from_h < plug.to_h),
        replays=plan.replays,
        load_factor=next(
            (factor_of(one.value) for one in plan.assumptions if one.field == FACTOR),
            1.0,
        ),
        cooling=tuple(
            one
            if one.cold_h is None
            else Cooling(unit_id=one.unit_id, cold_h=max(0, one.cold_h - elapsed_h))
            for one in plan.cooling
            if one.unit_id in units
        ),
        ends_at=plan.scenario.conditions.clock(plan.scenario.conditions.window_h),
    )
