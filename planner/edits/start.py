"""Another start of the window: what hangs on it moves along."""

from dataclasses import replace
from datetime import datetime
from typing import TypeVar

from planner.issue import Issue, Severity
from planner.scenario import (
    Availability,
    Battery,
    ColdUnit,
    Panel,
    Scenario,
    Source,
    Status,
)

Lent = TypeVar("Lent", ColdUnit, Battery, Panel, Source)


def move_start(
    scenario: Scenario, start: datetime
) -> tuple[Scenario, tuple[Issue, ...]]:
    """Give the same loans, clocks and days counted from another start.

    A loan that is ready on Tuesday at noon and goes back on Thursday does so
    whenever the window begins; hours and days after the start are counted
    anew.  A loan that is over before the window begins is set out of order,
    and a remark says so.  The conditions themselves are left to the caller.
    """
    before = scenario.conditions.start
    if start == before:
        return scenario, ()
    hours = int((start - before).total_seconds() // 3600)
    days = (start.date() - before.date()).days
    moved = replace(
        scenario,
        units=tuple(_moved(one, hours) for one in scenario.units),
        batteries=tuple(_moved(one, hours) for one in scenario.batteries),
        panels=tuple(_moved(one, hours) for one in scenario.panels),
        sources=tuple(
            # Days that are over stay as negative numbers: an empty tuple
            # would mean every day.
            replace(_moved(one, hours), days=tuple(day - days for day in one.days))
            for one in scenario.sources
        ),
    )
    remarks = [
        _over(new)
        for old, new in zip(scenario.equipment, moved.equipment, strict=True)
        if old.availability.status is not new.availability.status
    ]
    return moved, tuple(remarks)


def _moved(kit: Lent, hours: int) -> Lent:
    terms: Availability = kit.availability
    back_h = None if terms.back_h is None else terms.back_h - hours
    ready_h = max(0, terms.ready_h - hours) if terms.ready_h else 0
    over = back_h is not None and back_h <= ready_h
    moved = replace(
        terms,
        ready_h=ready_h,
        back_h=back_h,
        status=Status.OUT if over else terms.status,
    )
    return replace(kit, availability=moved)


def _over(kit: ColdUnit | Battery | Panel | Source) -> Issue:
    return Issue(
        code="edit-loan-over",
        severity=Severity.NOTE,
        sheet=f"{kit.sheet}, {kit.name}",
        row=None,
        column="",
        value="",
        message="It goes back before the new start, so it is set out of order.",
        remedy="Set its status again among what we have if it stays.",
    )
