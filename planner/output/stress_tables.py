"""What-ifs as tables: harder days and measured weather."""

import pandas as pd

from planner.output.change_text import capital
from planner.output.index import Index, index_plan
from planner.output.manner import PLAIN, Manner
from planner.output.tables import Cell, frame
from planner.output.tables_power import dark_words
from planner.output.words import number
from planner.result import Plan
from planner.result_stress import HardUnit, StressReport, WeatherUnit
from planner.scenario import SunCase, UnitType


def hard_table(
    plan: Plan, report: StressReport, case: SunCase, how: Manner = PLAIN
) -> pd.DataFrame:
    """When each unit stops holding, as planned and under each hardship."""
    index = index_plan(plan, how)
    found: dict[tuple[str, str], HardUnit] = {
        (hard.hardship, unit.unit_id): unit
        for hard in report.hard_cases
        for unit in hard.units
        if unit.sun_case is case
    }
    hardships = [hard.hardship for hard in report.hard_cases]
    rows: list[tuple[Cell, ...]] = []
    for use in plan.units_on:
        planned = dark_words(index, index.units[use.unit_id], case)
        hard = (found.get((one, use.unit_id)) for one in hardships)
        cells = (_hard_words(index, one, planned) for one in hard)
        first = how.say(
            "tell.stress.planned", name=index.name(use.unit_id), words=planned
        )
        rows.append((first, *cells))
    rows.sort(key=lambda row: str(row[0]))
    headings = (
        how.told("Unit as planned"),
        *(how.told(capital(one.value)) for one in hardships),
    )
    return frame(headings, rows)


def sun_cases(report: StressReport) -> tuple[SunCase, ...]:
    """Sun cases that the hardships were replayed under."""
    cases = [unit.sun_case for hard in report.hard_cases for unit in hard.units]
    return tuple(dict.fromkeys(cases))


def sun_heading(plan: Plan, case: SunCase, how: Manner = PLAIN) -> str:
    """Name of a sun case, marked when it is the one that the plan counts on."""
    planned = plan.scenario.conditions.sun_case is case
    with_sun = how.say(f"tell.with_sun.{case.name.lower()}")
    return how.say("tell.stress.as_planned", with_sun=with_sun) if planned else with_sun


def hard_faults(report: StressReport, how: Manner = PLAIN) -> tuple[str, ...]:
    """Rules of goods and ice that a hardship breaks, in words."""
    return tuple(
        how.say(
            "tell.stress.fault",
            hardship=how.told(capital(hard.hardship.value)),
            message=how.told(fault.message),
        )
        for hard in report.hard_cases
        for fault in hard.faults
    )


def weather_table(
    plan: Plan, report: StressReport, how: Manner = PLAIN
) -> pd.DataFrame:
    """In how many windows of the weather sample each unit is fed to the end."""
    rows: list[tuple[Cell, ...]] = []
    if report.weather is not None:
        index = index_plan(plan, how)
        windows = report.weather.windows
        rows = [
            (
                thing_words(index, one.thing_id),
                _share(one.held, windows, how),
                _tenth(index, one),
            )
            for one in report.weather.units
        ]
        rows.append(
            (
                how.say("tell.stress.all"),
                _share(report.weather.all_held, windows, how),
                "",
            )
        )
    headings = ("Unit", "Fed to the end", "In nine windows of ten at least")
    return frame([how.told(one) for one in headings], rows)


def weather_headline(report: StressReport, how: Manner = PLAIN) -> str:
    """Say in one sentence in what share of the sample the plan holds."""
    if report.weather is None:
        return how.say("tell.stress.no_sample")
    held = _share(report.weather.all_held, report.weather.windows, how)
    return how.say("tell.stress.held", share=held)


def thing_words(index: Index, thing_id: str) -> str:
    """Name of a thing, marked when it is life support."""
    name = index.name(thing_id)
    source = index.sources.get(thing_id)
    if source is not None and source.kind.value == "life support":
        return index.how.say("tell.stress.life_support", name=name)
    return name


def _hard_words(index: Index, unit: HardUnit | None, planned: str) -> str:
    if unit is None:
        return index.how.say("tell.dark.not_replayed")
    if unit.ends_h is None:
        if index.units[unit.unit_id].kind is UnitType.ICE_CHEST:
            return planned
        end = index.clock(index.plan.scenario.conditions.window_h)
        return index.how.say("tell.dark.holds", clock=end)
    clock = index.clock(unit.ends_h)
    if unit.ends_h == unit.too_warm_from_h:
        return index.how.say("tell.stress.too_warm", clock=clock)
    return index.how.say("tell.dark.from", clock=clock)


def _share(count: int, windows: int, how: Manner) -> str:
    percent = number(count / windows * 100, 0) if windows else "0"
    return how.say("tell.stress.share", count=count, windows=windows, percent=percent)


def _tenth(index: Index, one: WeatherUnit) -> str:
    hour = index.plan.scenario.conditions.window_h
    if one.tenth_dark_h is not None:
        hour = one.tenth_dark_h
    key = "tell.stress.to_end" if one.tenth_dark_h is None else "tell.stress.until"
    return index.how.say(key, clock=index.clock(hour))
