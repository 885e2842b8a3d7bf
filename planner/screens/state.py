"""What one coordinator has open: the files, the scenario, the plan.

Everything lives in one object under one session key, so that a page never
wonders which of two keys is the newer one.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, TypeVar

import streamlit as st

from planner.edits import GivenAnswer, NewerList, keep_changes, read_answered
from planner.intake import Reading
from planner.intake.headings_seen import SheetHeadings
from planner.intake.mapping import loaded
from planner.issue import Issue
from planner.output.manner import PLAIN, Manner
from planner.result import Plan
from planner.result_replan import Replanned
from planner.result_stress import StressReport
from planner.scenario import Scenario
from planner.screens.job import Job
from planner.store import (
    Kept,
    Saved,
    edited_parts,
    load_report,
    save_report,
    work_file,
)

_KEY = "work"
Found = TypeVar("Found")


@dataclass(slots=True)
class Typing:
    """What is typed on pages and not applied yet, as this window knows it.

    ``visit`` counts the pages that were opened, so that the fields of a page
    start afresh when somebody comes back to it.  ``begun`` is what the fields
    of a page started from, with the version and visit for which that holds;
    ``kept`` what was saved last of a page, ``bases`` the marks of what is
    typed over.
    """

    visit: int = 0
    page: str = ""
    begun: dict[tuple[str, bool], tuple[tuple[int, int, str], Any]] = field(
        default_factory=dict
    )
    put_back: dict[str, bool] = field(default_factory=dict)
    kept: dict[str, tuple[str, Any]] = field(default_factory=dict)
    bases: tuple[int, str, str] | None = None


@dataclass(slots=True)
class Work:
    """Files as uploaded, what was read, what was changed, what was planned.

    ``version`` changes whenever the scenario does; widgets that show the
    scenario carry it in their key, so that they start afresh from it.
    ``opened`` changes when something else than an upload is opened, so that
    no uploader goes on naming a file that is not in use.  ``kept`` is the
    state of the working file that this window last read or wrote.
    ``manner`` is how the reader wants things said, ``typing`` what is typed
    and not applied yet; neither is part of the work.
    ``words_*`` are the site's own word list, ``headings`` the bytes of the
    headings that were confirmed; ``newer`` is a list that waits to be chosen.
    ``force_*`` are a plan.json by which the bags stand, in place of ``plan``;
    ``replanned`` is a plan made from there that nobody has accepted yet.
    """

    list_name: str = ""
    list_bytes: bytes = b""
    kit_name: str = ""
    kit_bytes: bytes = b""
    words_name: str = ""
    words_bytes: bytes = b""
    headings: bytes = b""
    newer: NewerList | None = None
    seen: tuple[int, tuple[SheetHeadings, ...]] | None = None
    read_at: datetime | None = None
    answers: tuple[GivenAnswer, ...] = ()
    accepted: tuple[tuple[str, str, int | None, str], ...] = ()
    issues: tuple[Issue, ...] = ()
    edit_issues: tuple[Issue, ...] = ()
    edited_page: str = ""
    edit_applied: bool = False
    edit_changes: tuple[str, ...] = ()
    scenario: Scenario | None = None
    changed: bool = False
    version: int = 0
    opened: int = 0
    plan: Plan | None = None
    borrow_asked: bool = True
    force_name: str = ""
    force_bytes: bytes = b""
    replanned: Replanned | None = None
    replanned_borrow: bool = False
    failure: str = ""
    failure_details: tuple[str, ...] = ()
    job: Job | None = None
    begun: bool = False
    asked_for_sample: bool = False
    kept: Kept | None = None
    keep_fault: str = ""
    changed_elsewhere: bool = False
    closed_down: tuple[tuple[str, bool], ...] | None = None
    what_if: tuple[Plan, StressReport] | None = None
    drawn: tuple[Plan, dict[tuple[str, Manner], Any]] | None = None
    notes: list[str] = field(default_factory=list)
    typing: Typing = field(default_factory=Typing)
    manner: Manner = PLAIN

    @property
    def stale(self) -> bool:
        """True when the plan was made from other inputs than those shown."""
        if self.plan is None:
            return False
        from planner.check.measured import fits

        return self.scenario is None or not fits(self.plan.scenario, self.scenario)

    @property
    def edited(self) -> Scenario | None:
        """Scenario whose equipment and conditions were changed on screen."""
        return self.scenario if self.changed else None

    @property
    def equipment(self) -> tuple[str, bytes] | None:
        """Name and bytes of the equipment workbook, when there is one."""
        return (self.kit_name, self.kit_bytes) if self.kit_bytes else None

    @property
    def aliases(self) -> tuple[str, bytes] | None:
        """Name and bytes of the site's own word list, when there is one."""
        return (self.words_name, self.words_bytes) if self.words_bytes else None

    @property
    def planning(self) -> bool:
        """True while a plan is being worked out."""
        return self.job is not None and not self.job.done

    @property
    def looking_for_loans(self) -> bool:
        """True while the plan is there and only the loans are worked out."""
        return (
            self.job is not None
            and self.planning
            and self.plan is not None
            and self.plan is self.job.base
        )

    @property
    def reading(self) -> Reading:
        """List as it was read; changes made on screen are not in it."""
        return Reading(scenario=self.scenario, issues=self.issues)


def work() -> Work:
    """Give the session's work; made empty at its first use."""
    if _KEY not in st.session_state:
        st.session_state[_KEY] = Work()
    found: Work = st.session_state[_KEY]
    return found


def replace_work(now: Work) -> Work:
    """Start the session's work afresh, after everything was put away."""
    fresh = Work(
        begun=True,
        asked_for_sample=True,
        version=now.version + 1,
        opened=now.opened + 1,
        kept=now.kept,
        manner=now.manner,
    )
    st.session_state[_KEY] = fresh
    return fresh


def read_again(now: Work, *, keep: Scenario | None = None) -> None:
    """Read the files in use again, with the answers that were given.

    ``keep`` is the scenario whose equipment and conditions stay.
    """
    reading = read_answered(
        now.list_name,
        now.list_bytes,
        now.answers,
        now=now.read_at or datetime.now(),
        equipment=now.equipment,
        known=loaded(now.headings),
        aliases=now.aliases,
    )
    now.issues = reading.issues
    now.scenario = reading.scenario
    now.edit_issues, now.edited_page = (), ""
    now.changed = keep is not None and now.scenario is not None
    if keep is not None and now.scenario is not None:
        now.scenario = keep_changes(keep, now.scenario)
    now.failure = ""
    now.version += 1


def saved_form(now: Work) -> Saved:
    """Give what is kept of the work."""
    return Saved(
        list_name=now.list_name,
        list_bytes=now.list_bytes,
        kit_name=now.kit_name,
        kit_bytes=now.kit_bytes,
        words_name=now.words_name,
        words_bytes=now.words_bytes,
        headings=now.headings,
        read_at=now.read_at,
        answers=now.answers,
        accepted=now.accepted,
        edited=None if now.edited is None else edited_parts(now.edited),
        plan=now.plan,
        borrow_asked=now.borrow_asked,
        force_name=now.force_name,
        force_bytes=now.force_bytes,
        replanned=now.replanned,
        replanned_borrow=now.replanned_borrow,
    )


def once(now: Work, plan: Plan, what: str, make: Callable[[], Found]) -> Found:
    """Give what a page shows of a plan; made once a plan and a manner of saying it.

    A page is drawn anew at every click; what is drawn from the plan alone is
    the same each time.
    """
    if now.drawn is None or now.drawn[0] is not plan:
        now.drawn = (plan, {})
    kept = now.drawn[1]
    key = (what, now.manner)
    if key not in kept:
        kept[key] = make()
    found: Found = kept[key]
    return found


def plan_book(now: Work, plan: Plan) -> bytes:
    """Give the plan as a workbook; it is written once a plan and manner."""
    from planner.output.workbook import plan_workbook

    how = now.manner
    return once(now, plan, "workbook", lambda: plan_workbook(plan, how))


def plan_report(now: Work, plan: Plan, *, make: bool) -> StressReport | None:
    """Give the what-if report of a plan; it is made once a plan, when asked.

    One that was made before the page was loaded again is given back.
    """
    if now.what_if is not None and now.what_if[0] is plan:
        return now.what_if[1]
    found = load_report(work_file(), plan)
    if found is None:
        if not make:
            return None
        from planner.pipeline import stress_plan

        found = stress_plan(plan)
        save_report(work_file(), plan, found)
    now.what_if = (plan, found)
    return found
