"""What has to be done at the plugs, by clock time, and what to read there."""

from dataclasses import dataclass

from planner.output.paper.facts import Facts
from planner.output.paper.goods import units_on
from planner.output.paper.page import PaperSize
from planner.output.paper.pen import TICK, Column, Pen
from planner.output.paper.phrases import clock, dark_at, percent, socket, sun
from planner.result import BatteryTrace, Hookup, Link
from planner.scenario import SourceKind

INTO_BATTERY = (Link.PANEL_TO_BATTERY, Link.SOURCE_TO_BATTERY)
"""Plugs through which a battery is charged."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One thing to do at an hour of the window."""

    hour: int
    text: str
    reading: str = ""


def rota_sheet(facts: Facts, size: PaperSize) -> Pen | None:
    """Write the charging and swap rota; nothing when nothing is plugged in."""
    tasks = rota(facts)
    if not tasks:
        return None
    pen = Pen(size, facts.say("rota.title"), facts.say("page.continued"))
    planned = facts.plan.scenario.conditions.sun_case
    pen.text(facts.say("rota.how", sun=sun(facts, planned)))
    pen.notice(facts.say("rota.missed"))
    pen.table(
        [
            Column(facts.say("head.clock"), 12, bold=True),
            Column(facts.say("head.do"), 34),
            Column(facts.say("head.shows"), 17),
            Column(facts.say("head.done"), 7),
            Column(facts.say("head.who"), 9),
        ],
        [(clock(facts, one.hour), one.text, one.reading, TICK, "") for one in tasks],
        row_pt=26,
    )
    return pen


def rota(facts: Facts) -> tuple[Task, ...]:
    """Everything to do at the plugs, in order of time."""
    tasks = [
        *_plug_tasks(facts),
        *_runs(facts),
        *readings(facts),
        *_dark(facts),
    ]
    return tuple(sorted(tasks, key=lambda one: one.hour))


def expected_percent(facts: Facts, battery_id: str, hour: int) -> str:
    """Charge a battery should show at an hour on the planned sun."""
    trace = _trace(facts, battery_id)
    if trace is None or trace.full_wh <= 0:
        return ""
    charge = trace.start_wh if hour == 0 else trace.charge_wh[hour - 1]
    return percent(charge / trace.full_wh)


def _plug_tasks(facts: Facts) -> list[Task]:
    window_h = facts.plan.scenario.conditions.window_h
    plugs = sorted(
        facts.plan.hookups, key=lambda one: (one.link.value, one.from_id, one.to_id)
    )
    tasks = []
    for plug in plugs:
        before = _before(plug, plugs)
        into = plug.link in INTO_BATTERY
        key = "rota.into" if into else "rota.plug" if before is None else "rota.move"
        tasks.append(
            Task(
                hour=plug.from_h,
                text=facts.say(
                    key,
                    taker=facts.name(plug.to_id),
                    feeder=facts.name(plug.from_id),
                    socket=socket(facts, plug),
                    old=facts.name(before.from_id) if before else "",
                ),
                reading=_shows(facts, plug, plug.from_h),
            )
        )
        if plug.to_h < window_h and not _after(plug, plugs):
            tasks.append(
                Task(
                    hour=plug.to_h,
                    text=facts.say(
                        "rota.unplug_into" if into else "rota.unplug",
                        taker=facts.name(plug.to_id),
                        feeder=facts.name(plug.from_id),
                    ),
                    reading=_shows(facts, plug, plug.to_h),
                )
            )
    return tasks


def _before(plug: Hookup, plugs: list[Hookup]) -> Hookup | None:
    """The plug that this one takes over from, if it feeds the same unit."""
    if plug.link not in {Link.BATTERY_TO_UNIT, Link.SOURCE_TO_UNIT}:
        return None
    found = [
        one for one in plugs if one.to_id == plug.to_id and one.to_h == plug.from_h
    ]
    return found[0] if found else None


def _after(plug: Hookup, plugs: list[Hookup]) -> bool:
    return any(_before(one, plugs) is plug for one in plugs)


def _shows(facts: Facts, plug: Hookup, hour: int) -> str:
    known = facts.index.batteries
    battery_id = next((one for one in (plug.from_id, plug.to_id) if one in known), "")
    return _reading(facts, battery_id, hour) if battery_id else ""


def _reading(facts: Facts, battery_id: str, hour: int) -> str:
    share = expected_percent(facts, battery_id, hour)
    if not share:
        return ""
    return facts.say("rota.shows", battery=facts.name(battery_id), share=share)


def readings(facts: Facts) -> list[Task]:
    """Look at the batteries at the swap times, moved plugs or not."""
    conditions = facts.plan.scenario.conditions
    ids = {one.from_id for one in facts.plan.hookups}
    ids |= {one.to_id for one in facts.plan.hookups}
    used = sorted(one.id for one in facts.plan.scenario.batteries if one.id in ids)
    tasks = []
    for hour in range(1, conditions.window_h):
        if conditions.clock(hour).hour not in conditions.swap_hours:
            continue
        shown = [shows for one in used if (shows := _reading(facts, one, hour))]
        if shown:
            text = facts.say("rota.read")
            tasks.append(Task(hour=hour, text=text, reading="\n".join(shown)))
    return tasks


def _runs(facts: Facts) -> list[Task]:
    """Engines to start and stop, mains to wait for, in the hours they are on."""
    conditions = facts.plan.scenario.conditions
    tasks = []
    for source in facts.plan.scenario.sources:
        plugs = [one for one in facts.plan.hookups if one.from_id == source.id]
        on = [
            any(one.from_h <= hour < one.to_h for one in plugs)
            and source.on_in_hour(conditions.start, hour)
            for hour in range(conditions.window_h)
        ]
        begins, ends = (
            ("rota.start", "rota.stop")
            if source.kind in {SourceKind.GENERATOR, SourceKind.VEHICLE}
            else ("rota.comes", "rota.goes")
        )
        for hour in range(1, conditions.window_h):
            if on[hour] is not on[hour - 1]:
                key = begins if on[hour] else ends
                text = facts.say(key, source=facts.name(source.id))
                tasks.append(Task(hour=hour, text=text))
        if on and on[0]:
            text = facts.say(begins, source=facts.name(source.id))
            tasks.append(Task(hour=0, text=text))
    return tasks


def _dark(facts: Facts) -> list[Task]:
    planned = facts.plan.scenario.conditions.sun_case
    return [
        Task(hour=hour, text=facts.say("rota.dark", unit=facts.name(unit.id)))
        for unit in units_on(facts)
        if (hour := dark_at(facts, unit, planned)) is not None
    ]


def _trace(facts: Facts, battery_id: str) -> BatteryTrace | None:
    planned = facts.plan.scenario.conditions.sun_case
    return next(
        (
            trace
            for replay in facts.plan.replays
            if replay.sun_case is planned
            for trace in replay.batteries
            if trace.battery_id == battery_id
        ),
        None,
    )
