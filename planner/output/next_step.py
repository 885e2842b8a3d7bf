"""What to do next, in one sentence, from where the work stands."""

from collections.abc import Sequence
from dataclasses import dataclass

from planner.intake.review import ReviewRow
from planner.issue import Severity
from planner.output.held import held_rows, which_words
from planner.output.manner import PLAIN, Manner
from planner.output.words import clean
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
    how: Manner = PLAIN,
) -> NextStep:
    """Give the one next step; the first that applies, in the order of the work."""
    if not has_list:
        return _step("tell.next.bring", "bring_list", how)
    if not can_plan:
        return _step("tell.next.mend", "bring_list", how)
    if planning:
        return _step("tell.next.wait", "plan", how)
    grave = _grave(queue)
    if grave:
        return NextStep(
            what=how.count("tell.next.answer", len(grave)),
            why=how.say(
                "tell.next.answer_why",
                where=clean(how.where(grave[0].issue)),
                message=clean(how.issue(grave[0].issue)[0]),
            ),
            page="questions",
        )
    return _after_questions(plan, how, stale=stale)


def _step(key: str, page: str, how: Manner) -> NextStep:
    """One step by its message; ``_why`` behind the id is its reason."""
    return NextStep(what=how.say(key), why=how.say(f"{key}_why"), page=page)


def _after_questions(plan: Plan | None, how: Manner, *, stale: bool) -> NextStep:
    if plan is None:
        return _step("tell.next.check", "have", how)
    if stale:
        return _step("tell.next.again", "plan", how)
    held = len(held_rows(plan))
    if held:
        return NextStep(
            what=how.count("tell.next.held", held),
            why=how.say("tell.next.held_why", rows=which_words(plan, how)),
            page="questions",
        )
    if plan.shortfalls:
        return _step("tell.next.short", "short", how)
    return _step("tell.next.print", "take", how)


def _grave(queue: Sequence[ReviewRow]) -> list[ReviewRow]:
    """Open questions about what an item is or how it is kept."""
    return [
        row
        for row in queue
        if row.issue.severity is Severity.REVIEW and row.harm <= _GRAVE
    ]
