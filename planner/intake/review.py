"""The review queue: open questions by possible harm, each with its answers."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from planner.intake.answers import Answer, answers_for
from planner.intake.issue_harm import Harm, harm_of
from planner.intake.reader import Reading
from planner.issue import Issue, Severity
from planner.scenario import Gate, HeldRow, Line, Scenario

_QUEUED = (Severity.STOP, Severity.REVIEW, Severity.ASSUMED)
_GRADE = {severity: at for at, severity in enumerate(Severity)}


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewRow:
    """One open question.

    ``raw`` is the item as typed, ``meanwhile`` what is planned until
    somebody answers, ``answers`` what can be chosen with one click.
    """

    issue: Issue
    harm: Harm
    raw: str
    meanwhile: str
    answers: tuple[Answer, ...]


def issue_key(issue: Issue) -> tuple[str, str, int | None, str]:
    """Mark of a question, to remember that it was answered."""
    return (issue.code, issue.sheet, issue.row, issue.value)


def review_queue(
    reading: Reading,
    accepted: Collection[tuple[str, str, int | None, str]] = (),
) -> tuple[ReviewRow, ...]:
    """Give all open questions, the ones that can do most harm first.

    ``accepted`` are the marks of questions that were answered already.
    """
    lines = _by_row(reading.scenario)
    held: dict[tuple[str, int | None], HeldRow] = {
        (one.sheet, one.row): one
        for one in (reading.scenario.held_rows if reading.scenario else ())
    }
    queue = [
        _row(issue, lines.get((issue.sheet, issue.row), []), held)
        for issue in reading.issues
        if issue.severity in _QUEUED
        and (issue.severity is Severity.STOP or issue_key(issue) not in accepted)
    ]
    return tuple(sorted(queue, key=_order))


def _order(row: ReviewRow) -> tuple[bool, int, int, str, int, str, str]:
    issue = row.issue
    stops = issue.severity is not Severity.STOP
    return (stops, row.harm, _GRADE[issue.severity], issue.sheet, issue.row or 0,
            issue.code, issue.value)  # fmt: skip


def _by_row(scenario: Scenario | None) -> Mapping[tuple[str, int | None], list[Line]]:
    found: dict[tuple[str, int | None], list[Line]] = {}
    for line in scenario.lines if scenario else ():
        found.setdefault((line.sheet, line.row), []).append(line)
    return found


def _row(
    issue: Issue, lines: Sequence[Line], held: Mapping[tuple[str, int | None], HeldRow]
) -> ReviewRow:
    about = _about(issue, lines)
    waiting = held.get((issue.sheet, issue.row))
    raw = "; ".join(line.item_text for line in lines) if lines else ""
    if waiting is not None:
        raw = waiting.text
    return ReviewRow(
        issue=issue,
        harm=harm_of(issue.code),
        raw=raw,
        meanwhile=_meanwhile(about, waiting),
        answers=answers_for(
            issue, about, len(lines), listed=bool(lines) or waiting is not None
        ),
    )


def _about(issue: Issue, lines: Sequence[Line]) -> Line | None:
    """Give the line of the row whose text the issue repeats; else the first."""
    for line in lines:
        if issue.value and " / ".join(line.item_text.split("\n")).startswith(
            issue.value.removesuffix("...")
        ):
            return line
    return lines[0] if lines else None


def _meanwhile(line: Line | None, waiting: HeldRow | None) -> str:
    if waiting is not None:
        return "left out" if waiting.left_out else "not planned; the row waits here"
    if line is None:
        return ""
    count = f"{line.quantity} of {line.kind_name}"
    if line.gate is not Gate.POOL:
        return f"{count}: {line.gate.value}"
    frozen = ", never frozen" if line.never_freeze else ""
    clock = (
        "no time out of the cold counted on"
        if line.warm_hours is None
        else (f"{line.warm_hours:g} h out of the cold counted on")
    )
    return f"{count} at {line.keep_from_c:g} to {line.keep_to_c:g} C{frozen}; {clock}"
