"""Changes of the work: each one is taken over, then saved."""

import os
from datetime import datetime
from pathlib import Path

from planner.edits import GivenAnswer, accept_loans
from planner.intake.answers import Answer
from planner.intake.review import ReviewRow, issue_key
from planner.output.words import clean, cut
from planner.scenario import Scenario
from planner.screens.contents import page_words
from planner.screens.job import Job, forget_job
from planner.screens.keeping import keep
from planner.screens.say import say, step
from planner.screens.state import Work, read_again, replace_work

SAMPLE_VARIABLE = "PLANNER_SAMPLE"
_MOST_COLUMNS = 60


def take_list(now: Work, name: str, data: bytes, *, keep_kit: bool = False) -> None:
    """Read a new intake workbook in place of the one before.

    With ``keep_kit`` the equipment and conditions stay as they are, and
    only the lines are new.
    """
    before = now.scenario if keep_kit else None
    now.list_name, now.list_bytes, now.newer = name, data, None
    now.read_at = datetime.now()
    now.answers, now.accepted = (), ()
    read_again(now, keep=before)
    keep(now, _words("at.step.list", name=name))


def take_sample(now: Work, name: str, data: bytes) -> None:
    """Open a sample in place of all that was open."""
    now.kit_name, now.kit_bytes = "", b""
    now.opened += 1
    take_list(now, name, data)


def take_kit(now: Work, name: str, data: bytes) -> None:
    """Read a new equipment workbook beside the list."""
    now.kit_name, now.kit_bytes = name, data
    if now.list_name:
        read_again(now)
    keep(now, _words("at.step.kit", name=name))


def put_away(now: Work) -> None:
    """Forget the files, what was read from them and the plan; it can be undone."""
    keep(replace_work(now), _words("at.step.put_away", name=now.list_name))


def change(now: Work, scenario: Scenario, what: str) -> None:
    """Put a scenario that was changed on a page in place of the one before."""
    if scenario != now.scenario:
        now.scenario = scenario
        now.changed = True
    now.version += 1
    keep(now, _words("at.step.changed", what=what))


def answer(now: Work, row: ReviewRow, chosen: Answer) -> None:
    """Take over an answer: the list is read again with it."""
    issue = row.issue
    where = issue.where or issue.sheet
    if chosen.accepts:
        now.accepted = (*now.accepted, issue_key(issue))
    if chosen.cells or chosen.headings or chosen.person_of_row is not None:
        at = None if chosen.headings else issue.row
        now.answers = (
            *now.answers,
            GivenAnswer(sheet=issue.sheet, row=at, answer=chosen),
        )
        read_again(now, keep=now.edited)
    keep(now, _words("at.step.answer", where=where, label=chosen.label))


def accept(now: Work, item_ids: tuple[str, ...]) -> None:
    """Count lent things in, because they are here now."""
    if now.scenario is not None:
        edited = accept_loans(now.scenario, item_ids)
        if edited.changes:
            change(now, edited.scenario, "; ".join(edited.changes))


def collect(now: Work) -> None:
    """Take over what a job made: the plan as soon as it is there, then the loans."""
    job = now.job
    if job is None:
        return
    if not job.done:
        if job.base is not None and now.plan is not job.base:
            now.plan, now.borrow_asked = job.base, False
            now.replanned = None
            keep(now, step("at.step.plan_base"))
        return
    now.job = None
    forget_job(job)
    now.failure, now.failure_details = job.failure, job.details
    if job.replanned is not None:
        now.replanned, now.replanned_borrow = job.replanned, job.borrow
        keep(now, step("at.step.again"))
    if job.plan is not None:
        now.plan, now.borrow_asked = job.plan, job.borrow
        now.replanned = None  # its moves lead on from another plan
        keep(now, step("at.step.plan"))


def start_job(now: Work, scenario: Scenario, *, limit_s: float, borrow: bool) -> None:
    """Start to work out a plan beside the page."""
    now.failure = ""
    now.job = Job(scenario, time_limit_s=limit_s, borrow=borrow)


def open_first_sample(now: Work) -> None:
    """Open, once a session, the workbook that the command line asked for.

    Not over work that was saved: that is shown, and said.
    """
    wanted = os.environ.get(SAMPLE_VARIABLE, "")
    if not wanted or now.asked_for_sample:
        return
    now.asked_for_sample = True
    path = Path(wanted)
    if now.list_name:
        if now.list_name != path.name:
            now.notes.append(
                say("at.changes.sample_kept", page=page_words("bring_list"))
            )
        return
    try:
        take_list(now, path.name, path.read_bytes())
    except OSError:
        now.notes.append(say("at.changes.no_sample", name=path.name))


def _words(key: str, **fields: str) -> str:
    return cut(clean(step(key, **fields)), _MOST_COLUMNS)
