"""Answers about units and power as tables: set points, plugs, hours, charge."""

from collections.abc import Iterator
from dataclasses import dataclass

import pandas as pd

from planner.output.index import SUN_CASES, Index, index_plan
from planner.output.manner import PLAIN, Manner
from planner.output.runs import runs_at, runs_words
from planner.output.tables import Cell, frame
from planner.output.words import number
from planner.physics.profiles import battery_limits, room_temp_c, usable_l
from planner.result import BatteryTrace, Hookup, Plan, PortType, UnitEndurance
from planner.scenario import ColdUnit, Status, SunCase, UnitType

NO_DIAL = {
    UnitType.ICE_CHEST: "tell.dial.ice_chest",
    UnitType.COOL_SHELF: "tell.dial.cool_shelf",
    UnitType.EVAPORATIVE: "tell.dial.evaporative",
    UnitType.ELSEWHERE: "tell.dial.elsewhere",
}
"""Units that are not set by a dial, and what is said instead."""


def units(plan: Plan, how: Manner = PLAIN) -> pd.DataFrame:
    """Each unit: on or off, how it is set, what powers it, when it goes dark."""
    index = index_plan(plan, how)
    rows: list[tuple[Cell, ...]] = []
    for unit in plan.scenario.units:
        use = index.uses.get(unit.id)
        set_points = use.set_points_c if use else ()
        rows.append(
            (
                index.name(unit.id),
                unit.place,
                unit.kind.value,
                state_words(index, unit),
                aimed_words(unit, set_points, how),
                dial_advice(unit, set_points, how),
                powered_by(index, unit.id) if use else "",
                *(dark_words(index, unit, case) for case in SUN_CASES),
                number(use.warm_fill * 100, 0) + " %" if use else "",
            )
        )
    headings = (
        "Unit", "Place", "Type", "State", "Set to", "How to set it", "Powered by",
        *(index.with_sun(case) for case in SUN_CASES),
        "May go in warm",
    )  # fmt: skip
    on = how.say("tell.state.on")
    rows.sort(key=lambda row: (row[3] != on, str(row[0])))
    return frame(headings, rows)


def hookups(plan: Plan, how: Manner = PLAIN) -> pd.DataFrame:
    """Every plug with its clock times, in the order it is plugged in."""
    index = index_plan(plan, how)
    rows: list[tuple[Cell, ...]] = []
    for plug in sorted(plan.hookups, key=_plug_order):
        rows.append(
            (
                index.clock(plug.from_h),
                end_words(index, plug.to_h),
                index.name(plug.from_id),
                f"{how.told(plug.port.value)} {plug.port_number}",
                index.name(plug.to_id),
                plug.link.value,
                plug.place,
                _runs_words(index, plug),
            )
        )
    headings = (
        "Plug in", "Until", "From", "Socket", "To", "Kind", "Place", "Hours of power",
    )  # fmt: skip
    return frame(headings, rows)


def battery_hours(plan: Plan, how: Manner = PLAIN) -> pd.DataFrame:
    """Charge of each battery at the end of every hour, case by case."""
    return _hours(plan, how, None)


def hours_of_battery(plan: Plan, battery: str, how: Manner = PLAIN) -> pd.DataFrame:
    """The same for the battery of this name alone."""
    return _hours(plan, how, battery)


def traces(
    index: Index, battery: str | None = None
) -> Iterator[tuple[SunCase, BatteryTrace]]:
    """Batteries as replayed, sun case by sun case; all, or those of one name."""
    for case in SUN_CASES:
        for replay in (one for one in index.plan.replays if one.sun_case is case):
            for trace in replay.batteries:
                if battery is None or index.name(trace.battery_id) == battery:
                    yield case, trace


def _hours(plan: Plan, how: Manner, battery: str | None) -> pd.DataFrame:
    index = index_plan(plan, how)
    reserves = reserve_lines(plan)
    clocks = [index.clock(one) for one in range(plan.scenario.conditions.window_h)]
    rows: list[tuple[Cell, ...]] = []
    for case, trace in traces(index, battery):
        reserve_wh = reserves[trace.battery_id]
        hourly = zip(trace.load_wh, trace.harvest_wh, trace.charge_wh, strict=True)
        for hour, (load, harvest, charge) in enumerate(hourly):
            share = charge / trace.full_wh * 100 if trace.full_wh else 0.0
            rows.append(
                (
                    index.name(trace.battery_id),
                    index.sun(case),
                    hour,
                    clocks[hour],
                    round(load, 1),
                    round(harvest, 1),
                    round(charge, 1),
                    round(share, 1),
                    _charge_mark(charge, trace.floor_wh, reserve_wh, how),
                )
            )
    headings = (
        "Battery", "Sun", "Hour", "From", "Taken out (Wh)", "Arrives at the input (Wh)",
        "Charge at the end (Wh)", "Charge at the end (%)", "Mark",
    )  # fmt: skip
    return frame(headings, rows)


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Levels of charge of one battery, in watt-hours."""

    floor_wh: float
    reserve_line_wh: float
    full_wh: float
    start_wh: float


def battery_limits_wh(plan: Plan) -> dict[str, Limits]:
    """Levels of each battery that is replayed, by its name, in order of ids."""
    index = index_plan(plan)
    reserves = reserve_lines(plan)
    traces = {
        one.battery_id: one for replay in plan.replays for one in replay.batteries
    }
    return {
        index.name(key): Limits(
            floor_wh=round(one.floor_wh, 1),
            reserve_line_wh=round(reserves[key], 1),
            full_wh=round(one.full_wh, 1),
            start_wh=round(one.start_wh, 1),
        )
        for key, one in sorted(traces.items())
    }


def battery_lines(plan: Plan) -> pd.DataFrame:
    """Floor, reserve line and full charge of each battery that is replayed."""
    rows: list[tuple[Cell, ...]] = [
        (name, one.floor_wh, one.reserve_line_wh, one.full_wh, one.start_wh)
        for name, one in battery_limits_wh(plan).items()
    ]
    headings = ("Battery", "Floor (Wh)", "Reserve line (Wh)", "Full (Wh)", "Start (Wh)")
    return frame(headings, rows)


def unit_fill(plan: Plan) -> pd.DataFrame:
    """How full each zone of each unit that is on will be, in litres."""
    index = index_plan(plan)
    conditions = plan.scenario.conditions
    rows: list[tuple[Cell, ...]] = []
    for use in plan.units_on:
        unit = index.units[use.unit_id]
        room_c = room_temp_c(plan.scenario.place(unit.place), conditions)
        usable = usable_l(unit, use.set_points_c, room_c)
        for zone, room_l in enumerate(usable):
            packed_l = sum(
                one.count * index.lines[one.line_id].volume_l
                for one in plan.placements
                if one.unit_id == unit.id and one.zone == zone
            )
            share = packed_l / room_l * 100 if room_l > 0 else 0.0
            rows.append(
                (index.name(unit.id), zone + 1, round(packed_l, 2), round(room_l, 2),
                 round(share, 1))
            )  # fmt: skip
    headings = ("Unit", "Zone", "Packed (L)", "Room for (L)", "Full (%)")
    rows.sort(key=lambda row: (str(row[0]), row[1]))
    return frame(headings, rows)


def reserve_lines(plan: Plan) -> dict[str, float]:
    """Lowest charge each battery may be planned down to, in watt-hours."""
    scenario = plan.scenario
    lines: dict[str, float] = {}
    for battery in scenario.batteries:
        known = [one for one in scenario.places if one.name == battery.place]
        place = known[0] if known else scenario.places[0]
        room_c = room_temp_c(place, scenario.conditions)
        limits = battery_limits(battery, room_c, scenario.conditions)
        lines[battery.id] = limits.floor_wh + limits.reserve_wh
    return lines


def state_words(index: Index, unit: ColdUnit) -> str:
    """Say whether a unit is used: on, off, not here or out of order."""
    if unit.id in index.uses:
        return index.how.say("tell.state.on")
    if unit.availability.status is Status.OFFERED:
        return index.how.say("tell.state.offered")
    if unit.availability.status is Status.OUT:
        return index.how.say("tell.state.out")
    return index.how.say("tell.state.spare")


def zone_words(set_points_c: tuple[float, ...], how: Manner = PLAIN) -> str:
    """Set points, zone by zone, on both scales."""
    if len(set_points_c) == 1:
        return how.temperature(set_points_c[0])
    return "; ".join(
        how.say("tell.zone_at", zone=zone, temp=how.temperature(temp_c))
        for zone, temp_c in enumerate(set_points_c, start=1)
    )


def aimed_words(
    unit: ColdUnit, set_points_c: tuple[float, ...], how: Manner = PLAIN
) -> str:
    """Set points; of a unit without a dial, what it is kept near."""
    temps = zone_words(set_points_c, how)
    if not temps or unit.kind not in NO_DIAL:
        return temps
    return how.say("tell.dial.aim", temps=temps)


def dial_advice(
    unit: ColdUnit, set_points_c: tuple[float, ...], how: Manner = PLAIN
) -> str:
    """Say how to bring a unit to its set point; empty when it is off."""
    if not set_points_c:
        return ""
    if unit.kind in NO_DIAL:
        return how.say(NO_DIAL[unit.kind])
    return how.say("tell.dial.set", temps=zone_words(set_points_c, how))


def powered_by(index: Index, unit_id: str) -> str:
    """Feeders of a unit in order of time."""
    unit = index.units[unit_id]
    if unit.kind is UnitType.ELSEWHERE:
        return index.how.say("tell.power.place")
    plugs = sorted(
        (one for one in index.plan.hookups if one.to_id == unit_id), key=_plug_order
    )
    if not plugs:
        return index.how.say(
            "tell.power.nothing" if unit.powered else "tell.power.none"
        )
    window_h = index.plan.scenario.conditions.window_h
    whole = len(plugs) == 1 and plugs[0].from_h == 0 and plugs[0].to_h >= window_h
    return "; ".join(_feeder_words(index, one, whole=whole) for one in plugs)


def dark_words(index: Index, unit: ColdUnit, case: SunCase) -> str:
    """When a unit goes dark in one sun case, as a clock time."""
    if unit.id not in index.uses:
        return ""
    one = index.endurance.get((unit.id, case))
    if one is None:
        if unit.powered:
            return index.how.say("tell.dark.not_replayed")
        ice = unit.kind is UnitType.ICE_CHEST
        return index.how.say("tell.power.ice" if ice else "tell.power.none")
    if unit.kind is UnitType.ICE_CHEST and one.dark_from_h is None:
        # The ice decides, not the end of the plan.
        return index.how.say("tell.dark.ice")
    return _endurance_words(index, one)


def load_words(index: Index, load_id: str, case: SunCase) -> str:
    """When a life-support load goes dark in one sun case; empty when not replayed."""
    one = index.life_support.get((load_id, case))
    return "" if one is None else _endurance_words(index, one)


def _endurance_words(index: Index, one: UnitEndurance) -> str:
    if one.dark_from_h is None:
        end = index.clock(index.plan.scenario.conditions.window_h)
        return index.how.say("tell.dark.holds", clock=end)
    return index.how.say("tell.dark.from", clock=index.clock(one.dark_from_h))


def end_words(index: Index, hour: int) -> str:
    """Clock time of an hour; the window's end is named as such."""
    ends = hour >= index.plan.scenario.conditions.window_h
    clock = index.clock(hour)
    return index.how.say("tell.end", clock=clock) if ends else clock


def plugged_words(index: Index, plug: Hookup) -> str:
    """From when until when a plug is in, and when there is power at it."""
    span = index.how.say(
        "tell.cards.when",
        begins=index.clock(plug.from_h),
        ends=end_words(index, plug.to_h),
    )
    runs = _runs_words(index, plug)
    return f"{span}; {runs}" if runs else span


def _runs_words(index: Index, plug: Hookup) -> str:
    """Hours of a day with power while the lead stays in; empty where it is all day."""
    runs = runs_at(index.plan.scenario, plug)
    return runs_words(runs, index.how.say, index.how.hour_clock) if runs else ""


def _feeder_words(index: Index, plug: Hookup, *, whole: bool) -> str:
    socket = index.port(plug)
    if plug.port in {PortType.DC_12V, PortType.AC}:
        socket = f"{socket} {plug.port_number}"
    text = index.how.say(
        "tell.power.feeder", name=index.name(plug.from_id), socket=socket
    )
    if whole:
        return text
    return index.how.say(
        "tell.power.span",
        feeder=text,
        begins=index.clock(plug.from_h),
        ends=end_words(index, plug.to_h),
    )


def _plug_order(plug: Hookup) -> tuple[int, str, str, str, int]:
    return (plug.from_h, plug.from_id, plug.to_id, plug.port.value, plug.port_number)


def _charge_mark(
    charge_wh: float, floor_wh: float, reserve_wh: float, how: Manner
) -> str:
    if charge_wh <= floor_wh + 0.05:
        return how.say("tell.charge.floor")
    if charge_wh < reserve_wh - 0.05:
        return how.say("tell.charge.reserve")
    return ""
