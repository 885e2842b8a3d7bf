"""What a plan does when something goes wrong, in words with clock times."""

from collections.abc import Sequence
from dataclasses import dataclass

import pandas as pd

from planner.output.index import SUN_WORDS, Index, index_plan
from planner.output.tables import Cell, frame
from planner.output.tables_power import dark_words
from planner.output.words import energy, listed, number, plural
from planner.result import Plan
from planner.result_stress import (
    Failure,
    Gained,
    HardUnit,
    Move,
    Outage,
    ShedStep,
    Spare,
    Stranded,
    StressReport,
    WeatherUnit,
)
from planner.scenario import SunCase, Tier

SAMPLE_WORDS = (
    "Measured typical years of three weather stations, none of them yours: only how "
    "clear and dull hours follow each other is taken from them, how sunny the mean "
    "day is stays your own. Rooms stay as typed. It is no forecast."
)
LADDER_WORDS = (
    "In this order, from the start on and without any sun. Life support is never "
    "switched off. A unit whose power helps no other stays on and is not listed."
)
FAILURE_WORDS = (
    "Each thing fails for good at its worst hour, and nothing is plugged in elsewhere "
    "unless it says so. A new plan, with that thing marked out of order, may save more."
)

NO_STEP_WORDS = "Nothing: switching a unit off would buy no other one an hour."


@dataclass(frozen=True, slots=True, kw_only=True)
class StressCard:
    """One failure or one step: what it is, and what follows, line by line.

    ``grave`` is True when life support goes dark or bags are lost.
    """

    title: str
    lines: tuple[str, ...]
    grave: bool


def failure_cards(plan: Plan, report: StressReport) -> tuple[StressCard, ...]:
    """One card a thing that can fail, the gravest first."""
    index = index_plan(plan)
    return tuple(_failure_card(index, one) for one in report.failures)


def ladder_cards(plan: Plan, report: StressReport) -> tuple[StressCard, ...]:
    """One card a step of the load-shed ladder, in order."""
    index = index_plan(plan)
    return tuple(_ladder_card(index, one) for one in report.ladder)


def hard_table(plan: Plan, report: StressReport, case: SunCase) -> pd.DataFrame:
    """When each unit stops holding, as planned and under each hardship."""
    index = index_plan(plan)
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
        cells = (_hard_words(index, found.get((one, use.unit_id))) for one in hardships)
        rows.append((f"{index.name(use.unit_id)}: {planned}", *cells))
    rows.sort(key=lambda row: str(row[0]))
    headings = ("Unit as planned", *(_capital(one.value) for one in hardships))
    return frame(headings, rows)


def sun_cases(report: StressReport) -> tuple[SunCase, ...]:
    """Sun cases that the hardships were replayed under."""
    cases = [unit.sun_case for hard in report.hard_cases for unit in hard.units]
    return tuple(dict.fromkeys(cases))


def sun_heading(plan: Plan, case: SunCase) -> str:
    """Name of a sun case, marked when it is the one that the plan counts on."""
    planned = plan.scenario.conditions.sun_case is case
    return f"With {SUN_WORDS[case]}{', as planned' if planned else ''}"


def hard_faults(report: StressReport) -> tuple[str, ...]:
    """Rules of goods and ice that a hardship breaks, in words."""
    return tuple(
        f"{_capital(hard.hardship.value)}: {fault.message} ({fault.rule})"
        for hard in report.hard_cases
        for fault in hard.faults
    )


def weather_table(plan: Plan, report: StressReport) -> pd.DataFrame:
    """In how many windows of the weather sample each unit is fed to the end."""
    rows: list[tuple[Cell, ...]] = []
    if report.weather is not None:
        index = index_plan(plan)
        windows = report.weather.windows
        rows = [
            (_thing(index, one.thing_id), _share(one.held, windows), _tenth(index, one))
            for one in report.weather.units
        ]
        rows.append(
            ("All of them together", _share(report.weather.all_held, windows), "")
        )
    headings = ("Unit", "Fed to the end", "In nine windows of ten at least")
    return frame(headings, rows)


def weather_headline(report: StressReport) -> str:
    """Say in one sentence in what share of the sample the plan holds."""
    if report.weather is None:
        return (
            "No weather sample: no panel is plugged in, or the sun of the site is "
            "not known."
        )
    held = _share(report.weather.all_held, report.weather.windows)
    return f"Everything that is on is fed to the end in {held}."


def failure_headline(report: StressReport) -> str:
    """Say in one sentence how many single failures cost something."""
    count = len(report.failures)
    if not count:
        return "Nothing that is in use can fail: no unit is on power."
    grave = sum(1 for one in report.failures if one.grave)
    if not grave:
        return f"None of {plural(count, 'single failure')} costs a bag."
    return (
        f"{grave} of {plural(count, 'single failure')} would cost bags or leave life "
        "support dark; the gravest first."
    )


def _failure_card(index: Index, one: Failure) -> StressCard:
    lines = [_outage_words(index, outage) for outage in one.outages]
    lines += _move_lines(index, one.moves)
    if one.stranded:
        lines.append(_stranded_words(index, one.stranded))
    if not lines:
        lines = ["Nothing goes dark inside the window."]
    elif not one.lost and any(o.thing_id in index.units for o in one.outages):
        lines.append("No bag is lost: each has a cold place or time left on its label.")
    lines += [_spare_words(index, spare) for spare in one.spares]
    return StressCard(
        title=f"{_thing(index, one.thing_id)} fails at {index.clock(one.at_h)}",
        lines=tuple(lines),
        grave=one.grave,
    )


def _outage_words(index: Index, outage: Outage) -> str:
    name = index.name(outage.thing_id)
    dark = f"goes dark at {index.clock(outage.from_h)}"
    if outage.thing_id not in index.units:
        return f"LIFE SUPPORT: {name} {dark}"
    parts = [f"{name} {dark}"]
    if outage.warm_from_h is not None:
        parts.append(
            f"its first bag leaves its band at {index.clock(outage.warm_from_h)}"
        )
    if outage.found_h is not None:
        parts.append(f"the next visit is at {index.clock(outage.found_h)}")
    else:
        parts.append("nobody comes by inside the window")
    return "; ".join(parts)


def _spare_words(index: Index, spare: Spare) -> str:
    plug = spare.plug
    ends_h = index.plan.scenario.conditions.window_h
    until_h = ends_h if spare.until_h is None else spare.until_h
    ends = "the end, " if spare.until_h is None else ""
    return (
        f"Instead, if somebody is there: at {index.clock(plug.from_h)} plug "
        f"{index.name(plug.to_id)} into {index.name(plug.from_id)}, {plug.port.value} "
        f"{plug.port_number}; that feeds it to {ends}{index.clock(until_h)}"
    )


def _move_lines(index: Index, moves: Sequence[Move]) -> list[str]:
    found: dict[tuple[int, str, str], list[Move]] = {}
    for move in moves:
        key = move.at_h, move.from_unit_id, move.to_unit_id
        found.setdefault(key, []).append(move)
    lines = []
    for (at_h, here, there), group in found.items():
        bags = plural(sum(one.count for one in group), "bag")
        codes = listed(sorted({index.lines[one.line_id].code for one in group}))
        lines.append(
            f"At {index.clock(at_h)} carry {bags} from {index.name(here)} to "
            f"{index.name(there)}: {codes}"
        )
    return lines


def _stranded_words(index: Index, bags: Sequence[Stranded]) -> str:
    total = plural(sum(one.count for one in bags), "bag")
    lost: dict[Tier, int] = {}
    hours = []
    for one in bags:
        if one.until_h is not None:
            lost[one.rank] = lost.get(one.rank, 0) + one.count
            hours.append(one.until_h)
    if not hours:
        return f"No cold place for {total}, all inside their label's time to the end"
    tiers = listed([f"{lost[tier]} of tier {tier.value}" for tier in sorted(lost)])
    return (
        f"LOST from the cold: {total} without a place; {tiers} beyond the time their "
        f"label is known to allow, the first from {index.clock(min(hours))}: ask a "
        "pharmacist before any use"
    )


def _ladder_card(index: Index, step: ShedStep) -> StressCard:
    lines = _move_lines(index, step.moves)
    if step.stranded:
        count = sum(one.count for one in step.stranded)
        tiers: dict[Tier, int] = {}
        for one in step.stranded:
            tiers[one.rank] = tiers.get(one.rank, 0) + one.count
        parts = listed([f"{tiers[t]} of tier {t.value}" for t in sorted(tiers)])
        lines.append(f"No room elsewhere for {plural(count, 'bag')}: {parts}")
    lines += [
        f"At {index.clock(plug.from_h)} plug {index.name(plug.to_id)} over to "
        f"{index.name(plug.from_id)}, {plug.port.value} {plug.port_number}"
        for plug in step.handovers
    ]
    lines += [
        _gained_words(index, one) for one in step.hours if one.before_h != one.after_h
    ]
    return StressCard(
        title=f"{step.rank}. Switch off {index.name(step.unit_id)} "
        f"(saves {energy(step.energy_wh)} over the window)",
        lines=tuple(lines),
        grave=bool(step.stranded),
    )


def _gained_words(index: Index, one: Gained) -> str:
    ends_h = index.plan.scenario.conditions.window_h
    before_h = ends_h if one.before_h is None else one.before_h
    after_h = ends_h if one.after_h is None else one.after_h
    after = index.clock(after_h)
    until = f"holds to {after}" if one.after_h is None else f"is dark only from {after}"
    hours = plural(after_h - before_h, "hour")
    return (
        f"Buys {hours}: {_thing(index, one.thing_id)} {until} "
        f"instead of {index.clock(before_h)}"
    )


def _thing(index: Index, thing_id: str) -> str:
    """Name of a thing, marked when it is life support."""
    name = index.name(thing_id)
    source = index.sources.get(thing_id)
    if source is not None and source.kind.value == "life support":
        return f"LIFE SUPPORT: {name}"
    return name


def _hard_words(index: Index, unit: HardUnit | None) -> str:
    if unit is None:
        return "not replayed"
    if unit.ends_h is None:
        return f"holds to {index.clock(index.plan.scenario.conditions.window_h)}"
    if unit.ends_h == unit.too_warm_from_h:
        return f"TOO WARM from {index.clock(unit.ends_h)}"
    return f"DARK from {index.clock(unit.ends_h)}"


def _share(count: int, windows: int) -> str:
    percent = number(count / windows * 100, 0) if windows else "0"
    return f"{count} of {windows} windows ({percent} %)"


def _tenth(index: Index, one: WeatherUnit) -> str:
    hour = index.plan.scenario.conditions.window_h
    if one.tenth_dark_h is not None:
        hour = one.tenth_dark_h
    ends = "to the end, " if one.tenth_dark_h is None else "until "
    return f"{ends}{index.clock(hour)}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
