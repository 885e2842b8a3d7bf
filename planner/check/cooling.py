"""When the units of a plan are expected cold, with what goes in warm (R8)."""

from planner.physics import profiles
from planner.result import Cooling, UnitUse
from planner.scenario import Scenario


def cooling(scenario: Scenario, units_on: tuple[UnitUse, ...]) -> tuple[Cooling, ...]:
    """First cold hour of every unit that is on, in the plan's order.

    Every unit is taken as warm when it is switched on, at its ready hour.
    """
    units = {unit.id: unit for unit in scenario.units}
    conditions = scenario.conditions
    found = []
    for use in units_on:
        unit = units[use.unit_id]
        room_c = profiles.room_temp_c(scenario.place(unit.place), conditions)
        late_h = profiles.cold_after_h(unit, use.set_points_c, room_c, use.warm_fill)
        cold_h = max(0, unit.availability.ready_h) + late_h if late_h else 0
        in_time = cold_h < conditions.window_h
        found.append(Cooling(unit_id=use.unit_id, cold_h=cold_h if in_time else None))
    return tuple(found)
