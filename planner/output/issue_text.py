"""What was wrong with the input, as plain text: where, what, what to do."""

from collections.abc import Iterable

from planner.issue import Issue, Severity
from planner.output.manner import PLAIN, Manner
from planner.output.words import clean, cut

HEADINGS = {
    Severity.STOP: "STOP: nothing can be planned until this is mended",
    Severity.REVIEW: "REVIEW: look at these; held back, or planned only for the time being",
    Severity.ASSUMED: "ASSUMED: a cautious value was put in, check it",
    Severity.NOTE: "NOTE: for information",
}
"""What each weight of issue means, gravest first."""

_VALUE_COLUMNS = 60


def issues_text(issues: Iterable[Issue]) -> str:
    """List all issues grouped by weight, each with where, what and what to do."""
    found = tuple(issues)
    if not found:
        return "No remarks: every row and cell was understood.\n"
    lines: list[str] = []
    for severity, heading in HEADINGS.items():
        group = [issue for issue in found if issue.severity is severity]
        if not group:
            continue
        lines += [f"{heading} ({len(group)})"]
        for issue in group:
            lines += _issue_lines(issue)
        lines.append("")
    lines.append(totals(found))
    return "\n".join(lines) + "\n"


def totals(issues: Iterable[Issue], how: Manner = PLAIN) -> str:
    """Count the issues by weight in one line."""
    found = [issue.severity for issue in issues]
    counts = [
        how.say(
            "tell.issues.part",
            count=found.count(severity),
            weight=how.told(severity.value),
        )
        for severity in HEADINGS
        if severity in found
    ]
    if not found:
        return how.say("tell.issues.none")
    return how.count("tell.issues.total", len(found), parts=", ".join(counts))


def needs_fixing(issues: Iterable[Issue]) -> bool:
    """Tell whether somebody has to mend the input: a stop or a held row."""
    return any(one.severity in {Severity.STOP, Severity.REVIEW} for one in issues)


def _issue_lines(issue: Issue) -> list[str]:
    where = clean(issue.where) or "whole file"
    value = cut(clean(issue.value), _VALUE_COLUMNS)
    shown = f": '{value}'" if value else ""
    lines = [f"  {where}{shown}", f"      {clean(issue.message)}"]
    if issue.remedy:
        lines.append(f"      What to do: {clean(issue.remedy)}")
    return lines
