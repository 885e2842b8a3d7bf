"""Planning again from the plan in force: a proposal first, then somebody accepts."""

from planner.issue import Issue
from planner.output.words import clean, cut
from planner.replanning import fits, in_force_of, read_in_force
from planner.result_replan import InForce, Replanned
from planner.scenario import Scenario
from planner.screens.job import Job
from planner.screens.keeping import keep
from planner.screens.say import step
from planner.screens.state import Work

_MOST_COLUMNS = 60


def in_force(now: Work, scenario: Scenario) -> tuple[InForce | None, tuple[Issue, ...]]:
    """Where the bags stand now: by the file that was brought in, else by the plan."""
    if now.force_name:
        found = read_in_force(now.force_bytes, scenario)
        return found.in_force, found.issues
    if now.plan is not None:
        return in_force_of(now.plan, scenario), ()
    return None, ()


def take_force(now: Work, name: str, data: bytes) -> None:
    """Take a plan.json for the plan by which the bags stand."""
    now.force_name, now.force_bytes, now.replanned = name, data, None
    _keep(now, "at.step.force", name=name)


def drop_force(now: Work) -> None:
    """Put that file away again."""
    name = now.force_name
    now.force_name, now.force_bytes, now.replanned = "", b"", None
    now.opened += 1
    _keep(now, "at.step.force_away", name=name)


def start_again(
    now: Work, scenario: Scenario, stands: InForce, *, limit_s: float, borrow: bool
) -> None:
    """Begin to plan again beside the page."""
    now.failure = ""
    now.job = Job(scenario, time_limit_s=limit_s, borrow=borrow, in_force=stands)


def proposal(now: Work) -> Replanned | None:
    """What waits to be accepted, while it fits what is true now."""
    made = now.replanned
    if made is None or now.scenario is None:
        return None
    return made if fits(made.plan.scenario, now.scenario) else None


def accept_proposal(now: Work) -> None:
    """Put the new plan in force; a step back gives the one before again."""
    made = proposal(now)
    if made is None:
        return
    now.plan, now.borrow_asked = made.plan, now.replanned_borrow
    now.replanned = None
    now.edit_issues, now.edited_page = (), ""  # what was said of the step before
    now.force_name, now.force_bytes = "", b""
    now.opened += 1
    _keep(now, "at.step.again_accepted", moves=str(len(made.plan.moves)))


def drop_proposal(now: Work) -> None:
    """Leave the plan in force as it is."""
    now.replanned = None
    _keep(now, "at.step.again_dropped")


def _keep(now: Work, key: str, **fields: str) -> None:
    keep(now, cut(clean(step(key, **fields)), _MOST_COLUMNS))
