"""The parts of the plan's JSON about units, plugs and hours."""

from planner.output.index import SUN_CASES, Index
from planner.output.json_values import Json, clock_value, rounded, series
from planner.output.words import safe_text
from planner.result import Hookup, Link, Replay
from planner.scenario import ColdUnit


def unit_value(index: Index, unit: ColdUnit) -> Json:
    """One unit: how it is set and when it goes dark."""
    use = index.uses.get(unit.id)
    cold = {one.unit_id: one.cold_h for one in index.plan.cooling}
    cold_h = cold.get(unit.id)
    conditions = index.plan.scenario.conditions
    in_window = cold_h is not None and cold_h < conditions.window_h
    clock = conditions.clock
    dark: dict[str, Json] = {}
    for case in SUN_CASES:
        one = index.endurance.get((unit.id, case))
        if one is not None:
            hour = one.dark_from_h
            dark[case.value] = None if hour is None else clock_value(clock(hour))
    return {
        "unit": unit.id,
        "name": safe_text(unit.name),
        "place": safe_text(unit.place),
        "on": use is not None,
        "set_points_c": [rounded(one, 2) for one in use.set_points_c] if use else [],
        "stock_classes": (
            [one.value if one else None for one in use.stock_classes] if use else []
        ),
        "warm_fill": rounded(use.warm_fill, 2) if use else None,
        "cold_from": None if cold_h is None else clock_value(clock(cold_h)),
        "cold_in_window": in_window if unit.id in cold else None,
        "dark_from": dark,
    }


def hookup_value(index: Index, plug: Hookup) -> Json:
    """One plug; what does not apply is null."""
    from_battery = plug.link is Link.BATTERY_TO_UNIT
    to_battery = plug.link in {Link.PANEL_TO_BATTERY, Link.SOURCE_TO_BATTERY}
    battery = plug.from_id if from_battery else plug.to_id if to_battery else None
    to_unit = plug.to_id in index.units
    clock = index.plan.scenario.conditions.clock
    return {
        "link": plug.link.value,
        "panel": plug.from_id if plug.link is Link.PANEL_TO_BATTERY else None,
        "battery": battery,
        "source": plug.from_id if plug.from_id in index.sources else None,
        "port": plug.port.value,
        "port_number": plug.port_number,
        "unit": plug.to_id if to_unit else None,
        "load": None if to_unit or to_battery else plug.to_id,
        "place": safe_text(plug.place),
        "from": clock_value(clock(plug.from_h)),
        "to": clock_value(clock(plug.to_h)),
        "from_h": plug.from_h,
        "to_h": plug.to_h,
    }


def replay_value(replay: Replay) -> Json:
    """Hour-by-hour account of one sun case."""
    return {
        "sun_case": replay.sun_case.value,
        "batteries": [
            {
                "battery": one.battery_id,
                "load_wh": series(one.load_wh),
                "harvest_wh": series(one.harvest_wh),
                "charge_wh": series(one.charge_wh),
                "floor_wh": rounded(one.floor_wh, 1),
                "full_wh": rounded(one.full_wh, 1),
                "start_wh": rounded(one.start_wh, 1),
            }
            for one in sorted(replay.batteries, key=lambda x: x.battery_id)
        ],
        "unit_load_wh": {
            unit_id: series(load_wh) for unit_id, load_wh in replay.unit_load_wh
        },
    }


def hookup_order(plug: Hookup) -> tuple[int, str, str, str, int]:
    """Sort key: in the order of plugging in."""
    return (plug.from_h, plug.from_id, plug.to_id, plug.port.value, plug.port_number)
