"""R7, the energy: every unit fed in every hour; R9, how much sun that needs."""

from collections.abc import Iterator
from dataclasses import replace

from planner.check import words
from planner.check.case import Case
from planner.check.ground import WH_SLACK, HourLog, broken, warning
from planner.check.hours import dark_from
from planner.check.rules_wiring import (
    check_plugs,
    check_sockets,
    check_standing,
    check_watts,
)
from planner.physics import profiles
from planner.result import Finding, Link
from planner.scenario import SunCase

WORSE_THAN = {
    SunCase.NONE: (),
    SunCase.POOR: (SunCase.NONE,),
    SunCase.MEAN: (SunCase.NONE, SunCase.POOR),
}
"""Days with less sun than the planned one."""
SUN_WORDS = {
    SunCase.NONE: "without any sun",
    SunCase.POOR: "with poor sun",
    SunCase.MEAN: "with mean sun",
}


def check_r7_power(case: Case) -> tuple[Finding, ...]:
    """R7: every unit that is on is fed in every hour through a real chain."""
    return (
        *check_plugs(case),
        *check_sockets(case),
        *check_standing(case),
        *check_watts(case),
        *check_fed(case),
        *check_reserve(case),
    )


def check_fed(case: Case) -> tuple[Finding, ...]:
    """R7: each unit that is on, and each life-support load, has one live feed.

    Life support comes first: a load without power refuses the plan while any
    cold unit has a plug.  With no unit plugged in, the pool cannot carry the
    load at all, and what needs no power may still be planned.
    """
    log = HourLog(case.ground.conditions, "R7")
    needs = dict(_needs(case))
    feeders = _feeder_counts(case, needs, log)
    for thing_id, hours in needs.items():
        name = case.name(thing_id)
        if thing_id not in case.ground.units:
            name = f"life support {name}"
        for hour, count in enumerate(feeders[thing_id]):
            if count > 1:
                log.add(thing_id, f"{name} is on {count} feeders at once", hour)
            elif hour in hours and not count:
                log.add(thing_id, f"{name} is on no feeder", hour)
            elif hour in hours and not case.planned.fed[thing_id][hour]:
                log.add(thing_id, f"{name} is plugged in to a dead feeder", hour)
    plugged = any(plug.to_id in case.ground.units for plug in case.claim.hookups)
    return tuple(
        one
        if plugged or one.subject in case.ground.units
        else replace(one, fatal=False)
        for one in log.findings()
    )


def check_reserve(case: Case) -> tuple[Finding, ...]:
    """No battery that feeds something ends an hour below floor and reserve."""
    log = HourLog(case.ground.conditions, "R7")
    for battery_id, cell in case.planned.cells.items():
        least_wh = cell.floor_wh + cell.reserve_wh
        for hour, charge_wh in enumerate(cell.charge_wh):
            if cell.feeding[hour] and charge_wh < least_wh - WH_SLACK:
                text = (
                    f"{cell.battery.name} falls below its floor and reserve"
                    f" of {least_wh:.0f} Wh"
                )
                log.add(battery_id, text, hour)
    return log.findings()


def check_r9_sun(case: Case) -> tuple[Finding, ...]:
    """R9: the plan stands on its chosen sun; worse days are shown beside it."""
    cond = case.ground.conditions
    if not case.sun_known:
        if cond.sun_case is SunCase.NONE:
            return ()
        text = (
            f"planned {SUN_WORDS[cond.sun_case]}, but the sun of the site is not known"
        )
        return (broken("R9", "sun", text),)
    return (*_sun_in_order(case), *_worse_days(case))


def _needs(case: Case) -> Iterator[tuple[str, frozenset[int]]]:
    """Ids that must be fed, with their hours."""
    for unit in case.units_used():
        if unit.powered:
            yield unit.id, frozenset(case.ground.available_hours(unit.availability))
    for load in case.ground.priority_loads():
        needed = case.ground.load_needed[load.id]
        yield load.id, frozenset(h for h, on in enumerate(needed) if on)


def _feeder_counts(
    case: Case, needs: dict[str, frozenset[int]], log: HourLog
) -> dict[str, list[int]]:
    """Feeders of each needy thing by hour; plugs of other units are logged."""
    counts = {thing_id: [0] * case.ground.window_h for thing_id in needs}
    for plug in case.claim.hookups:
        if plug.link not in (Link.BATTERY_TO_UNIT, Link.SOURCE_TO_UNIT):
            continue
        for hour in range(plug.from_h, plug.to_h):
            if plug.to_id in counts:
                counts[plug.to_id][hour] += 1
            else:
                text = f"{case.name(plug.to_id)} is plugged in but not in use"
                log.add(plug.to_id, text, hour)
    return counts


def _sun_in_order(case: Case) -> Iterator[Finding]:
    ground = case.ground
    plugs = [p for p in case.claim.hookups if p.link is Link.PANEL_TO_BATTERY]
    for panel_id, place in dict.fromkeys((p.from_id, p.place) for p in plugs):
        none_w, poor_w, mean_w = (
            profiles.panel_w(
                ground.panels[panel_id], ground.conditions, ground.rooms[place], sun
            )
            for sun in (SunCase.NONE, SunCase.POOR, SunCase.MEAN)
        )
        if (none_w > 0).any() or (poor_w > mean_w + 1e-9).any():
            text = (
                f"{case.name(panel_id)} gives more on a worse day than on a better one"
            )
            yield broken("R9", panel_id, text)


def _worse_days(case: Case) -> Iterator[Finding]:
    cond = case.ground.conditions
    for sun in WORSE_THAN[cond.sun_case]:
        run = case.runs[sun]
        for unit in case.units_used():
            planned = dark_from(case.ground, case.planned, unit.id)
            dark = dark_from(case.ground, run, unit.id)
            if dark is not None and dark != planned:
                at = words.clock(cond, dark)
                yield warning(
                    "R9", unit.id, f"{unit.name} goes dark {at} {SUN_WORDS[sun]}"
                )
        for load in case.ground.priority_loads():
            needed = case.ground.load_needed[load.id]
            hours = [h for h, on in enumerate(needed) if on and not run.fed[load.id][h]]
            if hours:
                at = words.clock(cond, hours[0])
                text = f"life support {load.name} goes dark {at} {SUN_WORDS[sun]}"
                yield warning("R9", load.id, text)
