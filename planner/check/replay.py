"""Replay of a wiring under one sun case, as it is shown beside the plan."""

from planner.check.ground import Claim, Ground, fits_link, lay_ground
from planner.check.hours import Cell, Run, dark_from, held_hours, run_hours
from planner.errors import UsageError
from planner.result import (
    BatteryTrace,
    Hookup,
    Replay,
    UnitEndurance,
    UnitUse,
)
from planner.scenario import Scenario, SunCase


def replay(
    scenario: Scenario,
    units_on: tuple[UnitUse, ...],
    hookups: tuple[Hookup, ...],
    case: SunCase,
) -> Replay:
    """Replay a wiring hour by hour under one sun case (R7, R9).

    Parameters
    ----------
    scenario
        Everything the plan is made from.
    units_on, hookups
        Units switched on, and every plug with its hours.
    case
        Sun of the run.  The planning reserve may be used: a battery's loads
        go dark, all of them, in an hour that would end below the floor.

    Returns
    -------
    Replay
        One trace a battery in scenario order, one load row [Wh] and one
        endurance a unit in the order of ``units_on``, one a life-support load.

    Raises
    ------
    UsageError
        An id or a place is not in the scenario.
    """
    ground = lay_ground(scenario)
    _require_known(ground, units_on, hookups)
    run = run_hours(ground, Claim(units_on=units_on, hookups=hookups), case)
    return Replay(
        sun_case=case,
        batteries=tuple(_trace(cell) for cell in run.cells.values()),
        unit_load_wh=tuple((use.unit_id, _drawn(run, use)) for use in units_on),
        endurance=tuple(_endurance(ground, run, use) for use in units_on),
        loads=tuple(_of_load(ground, run, one.id) for one in ground.priority_loads()),
    )


def _trace(cell: Cell) -> BatteryTrace:
    return BatteryTrace(
        battery_id=cell.battery.id,
        load_wh=tuple(cell.load_wh),
        harvest_wh=tuple(cell.harvest_wh),
        charge_wh=tuple(cell.charge_wh),
        floor_wh=cell.floor_wh,
        full_wh=cell.full_wh,
        start_wh=cell.start_wh,
    )


def _drawn(run: Run, use: UnitUse) -> tuple[float, ...]:
    fed = run.fed[use.unit_id]
    return tuple(
        watts if fed[hour] else 0.0
        for hour, watts in enumerate(run.wanted_w[use.unit_id])
    )


def _endurance(ground: Ground, run: Run, use: UnitUse) -> UnitEndurance:
    return UnitEndurance(
        unit_id=use.unit_id,
        sun_case=run.sun_case,
        dark_from_h=dark_from(ground, run, use.unit_id),
        held_h=len(held_hours(ground, run, use.unit_id)),
    )


def _of_load(ground: Ground, run: Run, load_id: str) -> UnitEndurance:
    """Life support: of the hours in which it is needed, which are fed."""
    needed = [h for h, on in enumerate(ground.load_needed[load_id]) if on]
    dark = [h for h in needed if not run.fed[load_id][h]]
    return UnitEndurance(
        unit_id=load_id,
        sun_case=run.sun_case,
        dark_from_h=dark[0] if dark else None,
        held_h=len(needed) - len(dark),
    )


def _require_known(
    ground: Ground, units_on: tuple[UnitUse, ...], hookups: tuple[Hookup, ...]
) -> None:
    for use in units_on:
        if use.unit_id not in ground.units:
            raise UsageError(f"no unit with the id {use.unit_id!r} in the scenario")
    for plug in hookups:
        if not fits_link(ground, plug):
            ends = f"{plug.from_id!r} to {plug.to_id!r}"
            raise UsageError(f"no {plug.link.value} from {ends} in the scenario")
        if plug.place not in ground.rooms:
            raise UsageError(f"no place {plug.place!r} in the scenario")
