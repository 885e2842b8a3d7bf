"""What to do next, in one sentence, from where the work stands."""

from collections.abc import Sequence
from dataclasses import dataclass

from planner.intake.review import ReviewRow
from planner.issue import Severity
from planner.output.words import clean, plural
from planner.result import Plan

_GRAVE = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class NextStep:
    """One thing to do: what, why, and the page on which it is done."""

    what: str
    why: str
    page: str


def next_step(
    *,
    has_list: bool,
    can_plan: bool,
    queue: Sequence[ReviewRow],
    plan: Plan | None,
    stale: bool,
    planning: bool,
) -> NextStep:
    """Give the one next step; the first that applies, in the order of the work."""
    if not has_list:
        return NextStep(
            what="Bring in the list",
            why="Nothing is open yet. A sample is there to try it with.",
            page="bring_list",
        )
    if not can_plan:
        return NextStep(
            what="Mend the list",
            why="Nothing can be planned from it yet.",
            page="bring_list",
        )
    if planning:
        return NextStep(
            what="Wait for the plan", why="It is being worked out.", page="plan"
        )
    grave = _grave(queue)
    if grave:
        return NextStep(
            what=f"Answer {plural(len(grave), 'question')} that can do harm",
            why=f"First: {clean(grave[0].issue.where)}. {clean(grave[0].issue.message)}",
            page="questions",
        )
    return _after_questions(plan, stale=stale)


def _after_questions(plan: Plan | None, *, stale: bool) -> NextStep:
    if plan is None:
        return NextStep(
            what="Check what we have, then make the plan",
            why="No plan was made yet.",
            page="have",
        )
    if stale:
        return NextStep(
            what="Plan again before anything is moved",
            why="Something was changed after the plan was made.",
            page="plan",
        )
    if plan.shortfalls:
        return NextStep(
            what="See to those who are short, most urgent first",
            why="Then ask for loans, and print the sheets.",
            page="short",
        )
    return NextStep(
        what="Print the sheets and put the bags where they say",
        why="Nobody is short.",
        page="take",
    )


def _grave(queue: Sequence[ReviewRow]) -> list[ReviewRow]:
    """Open questions about what an item is or how it is kept."""
    return [
        row
        for row in queue
        if row.issue.severity is Severity.REVIEW and row.harm <= _GRAVE
    ]
