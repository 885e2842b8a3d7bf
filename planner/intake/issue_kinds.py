"""Every issue the intake can raise: its grade, its sentence, its remedy.

Wording is kept in ``issue_texts_*.py`` and nowhere else; docs/issues.md is
made from it.
``{value}``, ``{column}`` and ``{sheet}`` stand for the cell; other words
are filled in where the issue is found.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from planner.intake.issue_texts_grave import REVIEW, STOP
from planner.intake.issue_texts_light import ASSUMED, NOTE
from planner.issue import Severity


@dataclass(frozen=True, slots=True, kw_only=True)
class IssueKind:
    """One kind of issue."""

    code: str
    severity: Severity
    message: str
    remedy: str


def _kinds() -> Mapping[str, IssueKind]:
    graded = (
        (Severity.STOP, STOP),
        (Severity.REVIEW, REVIEW),
        (Severity.ASSUMED, ASSUMED),
        (Severity.NOTE, NOTE),
    )
    return MappingProxyType(
        {
            code: IssueKind(
                code=code, severity=severity, message=message, remedy=remedy
            )
            for severity, rows in graded
            for code, message, remedy in rows
        }
    )


ISSUE_KINDS: Mapping[str, IssueKind] = _kinds()
"""All issue kinds by code, gravest first."""
