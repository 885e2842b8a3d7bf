"""What one coordinator has open: the files, the scenario, the plan.

Everything lives in one object under one session key, so that a page never
wonders which of two keys is the newer one.
"""

import os
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

import streamlit as st

from planner.edits import keep_changes
from planner.intake import Reading
from planner.issue import Issue
from planner.output.workbook import plan_workbook
from planner.pipeline import read_files, stress_plan
from planner.result import Plan
from planner.result_stress import StressReport
from planner.scenario import Scenario
from planner.screens.job import Job

SAMPLE_VARIABLE = "PLANNER_SAMPLE"
_KEY = "work"


@dataclass(slots=True)
class Work:
    """Files as uploaded, what was read, what was changed, what was planned.

    ``version`` changes whenever the scenario does; widgets that show the
    scenario carry it in their key, so that they start afresh from it.
    ``opened`` changes when something else than an upload is opened, so that
    no uploader goes on naming a file that is not in use.
    """

    list_name: str = ""
    list_bytes: bytes = b""
    kit_name: str = ""
    kit_bytes: bytes = b""
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
    failure: str = ""
    failure_details: tuple[str, ...] = ()
    job: Job | None = None
    asked_for_sample: bool = False
    book: tuple[Plan, bytes] | None = None
    what_if: tuple[Plan, StressReport] | None = None
    notes: list[str] = field(default_factory=list)

    @property
    def stale(self) -> bool:
        """True when the plan was made from other inputs than those shown."""
        return self.plan is not None and self.plan.scenario != self.scenario

    @property
    def planning(self) -> bool:
        """True while a plan is being worked out."""
        return self.job is not None and not self.job.done


def work() -> Work:
    """Give the session's work; made empty at its first use."""
    if _KEY not in st.session_state:
        st.session_state[_KEY] = Work()
    found: Work = st.session_state[_KEY]
    return found


def take_list(now: Work, name: str, data: bytes, *, keep: bool = False) -> None:
    """Read a new intake workbook in place of the one before.

    With ``keep`` the equipment and conditions that were changed on screen
    stay, and only the lines are new.
    """
    before = now.scenario if keep and now.changed else None
    now.list_name, now.list_bytes = name, data
    _read_again(now)
    if before is not None and now.scenario is not None:
        now.scenario = keep_changes(before, now.scenario)
        now.changed = True


def take_sample(now: Work, name: str, data: bytes) -> None:
    """Open a sample in place of all that was open."""
    now.kit_name, now.kit_bytes = "", b""
    now.opened += 1
    take_list(now, name, data)


def take_kit(now: Work, name: str, data: bytes) -> None:
    """Read a new equipment workbook beside the list."""
    now.kit_name, now.kit_bytes = name, data
    if now.list_name:
        _read_again(now)


def put_away(now: Work) -> None:
    """Forget the files, what was read from them and the plan."""
    st.session_state[_KEY] = Work(
        asked_for_sample=True, version=now.version + 1, opened=now.opened + 1
    )


def change(now: Work, scenario: Scenario) -> None:
    """Put a scenario that was changed on a page in place of the one before."""
    if scenario != now.scenario:
        now.scenario = scenario
        now.changed = True
    now.version += 1


def collect(now: Work) -> None:
    """Take over what a finished job made."""
    if now.job is None or not now.job.done:
        return
    if now.job.plan is not None:
        now.plan, now.borrow_asked = now.job.plan, now.job.borrow
    now.failure, now.failure_details = now.job.failure, now.job.details
    now.job = None


def plan_book(now: Work, plan: Plan) -> bytes:
    """Give the plan as a workbook; it is written once a plan."""
    if now.book is None or now.book[0] is not plan:
        now.book = (plan, plan_workbook(plan))
    return now.book[1]


def plan_report(now: Work, plan: Plan, *, make: bool) -> StressReport | None:
    """Give the what-if report of a plan; it is made once a plan, when asked."""
    if now.what_if is not None and now.what_if[0] is plan:
        return now.what_if[1]
    if not make:
        return None
    now.what_if = (plan, stress_plan(plan))
    return now.what_if[1]


def open_first_sample(now: Work) -> None:
    """Open, once a session, the workbook that the command line asked for."""
    wanted = os.environ.get(SAMPLE_VARIABLE, "")
    if not wanted or now.asked_for_sample or now.list_name:
        return
    now.asked_for_sample = True
    path = Path(wanted)
    try:
        take_list(now, path.name, path.read_bytes())
    except OSError:
        now.notes.append(f"The sample {path.name} could not be opened.")


def _read_again(now: Work) -> None:
    equipment = (now.kit_name, now.kit_bytes) if now.kit_bytes else None
    reading: Reading = read_files(
        now.list_name,
        now.list_bytes,
        now=datetime.now(),
        equipment=equipment,
    )
    now.issues = reading.issues
    now.scenario = reading.scenario
    now.edit_issues, now.edited_page = (), ""
    now.changed = False
    now.failure = ""
    now.version += 1
