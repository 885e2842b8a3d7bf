"""Power for a screen: dark times by sun, and one battery hour by hour."""

import pandas as pd

from planner.output.charts import dark_marks
from planner.output.daylight import night_hours
from planner.output.index import SUN_CASES, index_plan
from planner.output.manner import PLAIN, Manner
from planner.output.tables import Cell, frame
from planner.output.tables_power import (
    battery_lines,
    dark_words,
    hours_of_battery,
    powered_by,
)
from planner.output.words import number
from planner.result import Plan


def dark_times(plan: Plan, how: Manner = PLAIN) -> pd.DataFrame:
    """When each unit that is on goes dark, in each sun case."""
    index = index_plan(plan, how)
    rows: list[tuple[Cell, ...]] = [
        (
            index.name(unit.id),
            *(dark_words(index, unit, case) for case in SUN_CASES),
            powered_by(index, unit.id),
        )
        for unit in plan.scenario.units
        if unit.id in index.uses
    ]
    rows.sort(key=lambda row: str(row[0]))
    headings = (
        how.told("Unit"),
        *(index.with_sun(case) for case in SUN_CASES),
        how.told("Powered by"),
    )
    return frame(headings, rows)


def dark_on(
    plan: Plan, battery: str, how: Manner = PLAIN
) -> tuple[tuple[str, str, str], ...]:
    """Clock time, sun and names of the units on a battery that go dark."""
    index = index_plan(plan, how)
    return tuple(
        (index.clock(hour), index.sun(case), names)
        for hour, case, names in dark_marks(plan, battery)
    )


def batteries_in_use(plan: Plan) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Names of the batteries that something is plugged into, and of the others.

    Only those that are replayed; each part by name.
    """
    index = index_plan(plan)
    plugged = {
        index.name(one) for plug in plan.hookups for one in (plug.from_id, plug.to_id)
    }
    names = sorted(str(one) for one in battery_lines(plan)["Battery"])
    return (
        tuple(one for one in names if one in plugged),
        tuple(one for one in names if one not in plugged),
    )


def battery_by_hour(plan: Plan, battery: str, how: Manner = PLAIN) -> pd.DataFrame:
    """One battery, one row an hour: charge left at its end in each sun case.

    Charge is in percent of full; a mark says when it is in the reserve or at
    the floor.
    """
    index = index_plan(plan, how)
    hours = hours_of_battery(plan, battery, how)
    by_case = {
        index.sun(case): hours[hours["Sun"] == index.sun(case)].to_dict("records")
        for case in SUN_CASES
    }
    dark = night_hours(plan)
    shown = [records for records in by_case.values() if records]
    rows: list[tuple[Cell, ...]] = [
        (
            str(found[0]["From"]),
            how.told("night" if dark[hour] else "day"),
            *(_charge_words(one, how) for one in found),
        )
        for hour, found in enumerate(zip(*shown, strict=True))
    ]
    cases = [name for name, records in by_case.items() if records]
    headings = (
        how.told("From"),
        how.told("Sky"),
        *(how.say("tell.charge.column", sun=name) for name in cases),
    )
    return frame(headings, rows)


def _charge_words(record: dict[object, object], how: Manner) -> str:
    percent = number(float(str(record["Charge at the end (%)"])), 0)
    key = "tell.charge.marked" if record["Mark"] else "tell.charge.left"
    return how.say(key, percent=percent, mark=record["Mark"])
