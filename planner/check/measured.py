"""What the batteries say: charge measured beside charge as it was replayed."""

from collections.abc import Mapping
from dataclasses import replace

from planner.physics import profiles
from planner.result import BatteryTrace
from planner.result_replan import FACTOR, InForce, LoadFactor
from planner.scenario import (
    Battery,
    CameFrom,
    ColdUnit,
    Flag,
    Origin,
    Scenario,
    SunCase,
)

LEAST_H = 6
"""Hours that must have passed (practice: a gauge of whole per cents says little sooner)."""
LEAST_SHARE = 0.05
"""Share of the capacity that must have been drawn, for the same reason."""
LOWEST, HIGHEST = 0.8, 1.5
"""Limits of the factor that is used (estimate)."""
_ROUNDED = 0.01
"""The factor is written with two decimals."""


def load_factor(scenario: Scenario, in_force: InForce) -> LoadFactor:
    """Energy drawn as measured over energy drawn as replayed, times the last factor.

    Energy out is start less charge now plus what came in, after charging
    losses; nobody measures what came in, so it is taken from the replay of
    the planned sun case.  A factor below 1 counts only when no battery that
    it comes from took any charge, since more sun looks like less load.  The
    whole of the difference is laid on the cold units.

    ``Battery.charge_now`` of today's scenario is what was measured; values
    that nobody gave are passed over.
    """
    hours, before = in_force.elapsed_h, in_force.load_factor
    if hours < LEAST_H:
        return _none(before, f"fewer than {LEAST_H} hours have passed")
    traces = _traces(in_force, scenario.conditions.sun_case)
    drawn_wh = told_wh = 0.0
    count, dark = 0, True
    for battery in scenario.batteries:
        trace = traces.get(battery.id)
        if trace is None or len(trace.load_wh) < hours or not _measured(battery):
            continue
        load_wh = sum(trace.load_wh[:hours])
        if load_wh < LEAST_SHARE * trace.full_wh or _brimmed(trace, hours):
            continue
        came_wh = battery.charge_efficiency * sum(trace.harvest_wh[:hours])
        told_wh += load_wh
        drawn_wh += trace.start_wh - battery.charge_now * trace.full_wh + came_wh
        dark = dark and came_wh <= 0
        count += 1
    if not count:
        return _none(before, "no battery drew enough for its gauge to tell")
    measured = before * drawn_wh / told_wh
    if measured < before and not dark:
        why = "less was drawn than replayed, or there was more sun; left as it was"
        return LoadFactor(measured=measured, used=before, batteries=count, why=why)
    used = min(HIGHEST, max(LOWEST, measured))
    why = "measured charge beside the replay"
    if used != measured:
        why = (
            f"held between {LOWEST:g} and {HIGHEST:g}: check the gauges and the wiring"
        )
    return LoadFactor(measured=measured, used=used, batteries=count, why=why)


def with_load_factor(scenario: Scenario, factor: LoadFactor) -> Scenario:
    """Today's scenario with the measured factor on units that have a thermostat."""
    if factor.used == 1.0:
        return scenario
    return replace(
        scenario,
        units=tuple(
            replace(
                unit,
                rated_wh_day=unit.rated_wh_day * factor.used,
                origins=(*unit.origins, factor_origin(factor)),
            )
            if unit.kind in profiles.THERMOSTATIC
            else unit
            for unit in scenario.units
        ),
    )


def fits(planned: Scenario, scenario: Scenario) -> bool:
    """Tell whether a plan's scenario is this one, but for the measured factor."""
    if planned == scenario:
        return True
    if len(planned.units) != len(scenario.units):
        return False
    pairs = zip(planned.units, scenario.units, strict=True)
    units = tuple(_as_labelled(mine, today) for mine, today in pairs)
    return replace(planned, units=units) == scenario


def _as_labelled(planned: ColdUnit, today: ColdUnit) -> ColdUnit:
    """A unit of a plan without the factor, where it is today's unit times it."""
    said = [one for one in planned.origins if one.field == FACTOR]
    if not said:
        return planned
    factor = float(said[-1].value.split(" ", 1)[0])
    told_wh = today.rated_wh_day * factor
    if abs(planned.rated_wh_day - told_wh) > _ROUNDED * told_wh:
        return planned
    kept = tuple(one for one in planned.origins if one.field != FACTOR)
    return replace(planned, rated_wh_day=today.rated_wh_day, origins=kept)


def factor_origin(factor: LoadFactor) -> Origin:
    """The factor as an assumption of the plan."""
    return Origin(
        field=FACTOR,
        came_from=CameFrom.DEFAULT,
        value=f"{factor.used:.2f} times the rated energy of every fridge",
        source=f"measured: {factor.why}, {factor.batteries} batteries",
        jurisdiction="this site",
        flag=Flag.ESTIMATE,
    )


def _traces(in_force: InForce, case: SunCase) -> Mapping[str, BatteryTrace]:
    return {
        trace.battery_id: trace
        for replay in in_force.replays
        if replay.sun_case is case
        for trace in replay.batteries
    }


def _brimmed(trace: BatteryTrace, hours: int) -> bool:
    """True when it was full on the way, so that what came in was not all kept."""
    return any(
        harvest > 0 and charge >= trace.full_wh - 1e-6
        for harvest, charge in zip(
            trace.harvest_wh[:hours], trace.charge_wh[:hours], strict=True
        )
    )


def _measured(battery: Battery) -> bool:
    """True unless the charge is a default that nobody gave."""
    return all(
        origin.came_from is not CameFrom.DEFAULT
        for origin in battery.origins
        if origin.field == "charge_now"
    )


def _none(before: float, why: str) -> LoadFactor:
    return LoadFactor(measured=None, used=before, batteries=0, why=why)
