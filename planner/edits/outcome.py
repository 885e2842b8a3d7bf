"""What an attempt to change the scenario gave."""

from dataclasses import dataclass

from planner.issue import Issue, Severity
from planner.scenario import CameFrom, Origin, Scenario

TYPED_HERE = "typed in on screen"


@dataclass(frozen=True, slots=True, kw_only=True)
class Edited:
    """The new scenario, or the old one when a fault kept it from changing.

    ``applied`` is False when a fault kept it back; ``issues`` then says why,
    else it holds remarks only.  ``changes`` names every change that was
    taken over, to be read back; it is empty when nothing was different.
    """

    scenario: Scenario
    applied: bool
    issues: tuple[Issue, ...] = ()
    changes: tuple[str, ...] = ()


def fault(sheet: str, column: str, value: str, message: str, remedy: str) -> Issue:
    """Make the issue of a typed value that cannot be used."""
    return Issue(
        code="edit-not-usable",
        severity=Severity.REVIEW,
        sheet=sheet,
        row=None,
        column=column,
        value=value,
        message=message,
        remedy=remedy,
    )


def typed(field: str, value: str) -> Origin:
    """Origin of a value that somebody typed in on screen."""
    return Origin(
        field=field, came_from=CameFrom.EDITED, value=value, source=TYPED_HERE
    )
