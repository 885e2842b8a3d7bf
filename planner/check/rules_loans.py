"""R11 and the warm clocks: who has to wait outside, and for how long."""

from collections.abc import Iterator
from datetime import timedelta

from planner.check import words
from planner.check.case import Case
from planner.check.ground import SMALL, HourLog, broken
from planner.result import Finding, Hookup, Placement
from planner.scenario import (
    Availability,
    Battery,
    ColdUnit,
    Gate,
    Line,
    Panel,
    Source,
    Status,
)

HOT_SLACK_C = 1e-9


def check_r11_loans(case: Case) -> tuple[Finding, ...]:
    """R11: loans count from their ready hour until they go back.

    Three things: only equipment of the pool is used, no plug outlives the
    loan at either of its ends, and bags wait outside no longer than their
    label allows.
    """
    return (*_pool_only(case), *_plugs_in_time(case), *_waits(case))


def check_clocks(case: Case) -> tuple[Finding, ...]:
    """No allowance or clock time promises more than the label gives."""
    found = []
    cond = case.ground.conditions
    minute = timedelta(minutes=1)
    for demand in case.claim.demands:
        line = case.ground.lines[demand.line_id]
        left_h = label_hours_left(case, line)
        if (demand.allowance_h or 0.0) > left_h + SMALL:
            text = (
                f"{line.code} is said to have {demand.allowance_h:.1f} h left at"
                f" room temperature, the label gives {left_h:.1f} h"
            )
            found.append(broken("", line.id, text))
    claims = [(d.line_id, d.safe_until) for d in case.claim.demands]
    claims += [(s.line_id, s.safe_until) for s in case.claim.shortfalls]
    claims += [(w.line_id, w.until) for w in case.claim.warm_clocks]
    for line_id, until in claims:
        line = case.ground.lines[line_id]
        latest = cond.start + timedelta(hours=label_hours_left(case, line))
        if until is not None and until > latest + minute:
            text = (
                f"{line.code} is said to keep until {words.moment(cond, until)},"
                f" the label gives {words.moment(cond, latest)}"
            )
            found.append(broken("", line_id, text))
    return tuple(dict.fromkeys((*found, *_warm_to_the_end(case))))


def label_hours_left(case: Case, line: Line) -> float:
    """Hours of the label allowance left at the line's own place; unknown is 0.

    Counted on its own here: hours already out are taken off, and the time
    ends with the first hour above the label's maximum and with the keep-by
    date.
    """
    if line.warm_hours is None or line.frozen:
        return 0.0
    start = case.ground.conditions.start
    left_h = line.warm_hours
    if line.out_since is not None and line.out_since < start:
        left_h -= (start - line.out_since) / timedelta(hours=1)
    if line.keep_by is not None:
        left_h = min(left_h, (line.keep_by - start) / timedelta(hours=1))
    if line.warm_max_c is not None and line.place in case.ground.rooms:
        for hour, temp_c in enumerate(case.ground.rooms[line.place]):
            if temp_c > line.warm_max_c + HOT_SLACK_C:
                left_h = min(left_h, float(hour))
                break
    return max(0.0, left_h)


def wait_h(case: Case, unit: ColdUnit) -> int:
    """Hours of the window in which a unit is not there."""
    there = case.ground.available_hours(unit.availability)
    return case.ground.window_h - len(there)


def waiting(case: Case) -> Iterator[tuple[Placement, Line, ColdUnit]]:
    """Placements in units that are not there for the whole window."""
    for put in case.claim.placements:
        unit = case.ground.units[put.unit_id]
        if wait_h(case, unit) > 0:
            yield put, case.ground.lines[put.line_id], unit


def _waits(case: Case) -> Iterator[Finding]:
    allowed = {
        (d.line_id, d.tier, d.surplus): d.allowance_h or 0.0 for d in case.claim.demands
    }
    for put, line, unit in waiting(case):
        left_h = min(
            allowed.get((put.line_id, put.tier, put.surplus), 0.0),
            label_hours_left(case, line),
        )
        needs_h = wait_h(case, unit)
        if needs_h > left_h + SMALL:
            text = (
                f"{line.code} would be out of {unit.name} for {needs_h} h of the"
                f" window, its label allows {left_h:.1f} h"
            )
            yield broken("R11", line.id, text)


def _pool_only(case: Case) -> Iterator[Finding]:
    ground = case.ground
    used = [use.unit_id for use in case.claim.units_on]
    for plug in case.claim.hookups:
        used += [plug.from_id, plug.to_id]
    for thing_id in dict.fromkeys(used):
        status = _terms(case, thing_id).status
        if status is not Status.HERE:
            text = f"{case.name(thing_id)} is used but is only: {status.value}"
            yield broken("R11", thing_id, text)
    for use in case.claim.units_on:
        unit = ground.units[use.unit_id]
        if not ground.available_hours(unit.availability):
            text = f"{unit.name} is not there during the window"
            yield broken("R11", unit.id, text)


def _plugs_in_time(case: Case) -> tuple[Finding, ...]:
    log = HourLog(case.ground.conditions, "R11")
    for plug in case.claim.hookups:
        for thing_id in _loaned_ends(case, plug):
            there = case.ground.available_hours(_terms(case, thing_id))
            for hour in range(plug.from_h, plug.to_h):
                if hour not in there:
                    fault = f"{case.name(thing_id)} is plugged in while it is not there"
                    log.add(thing_id, fault, hour)
    return log.findings()


def _loaned_ends(case: Case, plug: Hookup) -> list[str]:
    # A life-support load may keep its plug in hours in which it is not
    # needed, so only equipment of the pool is held to its terms.
    loads = case.ground.load_needed
    return [end for end in (plug.from_id, plug.to_id) if end not in loads]


def _terms(case: Case, thing_id: str) -> Availability:
    ground = case.ground
    things: tuple[dict[str, ColdUnit | Battery | Panel | Source], ...] = (
        dict(ground.units),
        dict(ground.batteries),
        dict(ground.panels),
        dict(ground.sources),
    )
    return next(held[thing_id].availability for held in things if thing_id in held)


def _warm_to_the_end(case: Case) -> Iterator[Finding]:
    cond = case.ground.conditions
    ends = cond.clock(cond.window_h)
    for clock in case.claim.warm_clocks:
        line = case.ground.lines[clock.line_id]
        code = line.code
        if line.gate is not Gate.POOL:
            continue
        if clock.until is None:
            text = f"{code} is kept at room temperature without a known clock"
            yield broken("", clock.line_id, text)
        elif clock.until < ends - timedelta(minutes=1):
            text = (
                f"{code} is kept at room temperature but its clock runs out at"
                f" {words.moment(cond, clock.until)}, inside the window"
            )
            yield broken("", clock.line_id, text)
