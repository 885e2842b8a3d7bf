"""Planning beside the page, so that turning a page does not end it."""

import threading

from planner.errors import PlannerError, PlanRefusedError, SolverError
from planner.pipeline import make_plan
from planner.result import Plan
from planner.scenario import Scenario

_REFUSED = (
    "A plan was found, but it failed its own check, so it is not shown. "
    "Change something on page 2 or 3 and plan again, or plan without the borrow list. "
    "Until then keep to the plan before, or to paper."
)
_NO_TIME = (
    "Time ran out before any plan was found. Allow more time below and press "
    "the button again."
)
_FAULT = (
    "Planning stopped because of a fault in this program, not because of your list. "
    "Press the button again; if it stops again, plan on paper and report the fault."
)
_STAGES = {
    "triage": "Sorting out what is needed first",
    "hookup": "Looking for a hookup that lasts",
    "reasons": "Working out why somebody is short",
    "done": "Done",
}


class _StoppedError(Exception):
    """The person asked to stop."""


class Job:
    """One planning run in a thread of its own; it never touches the page."""

    def __init__(
        self, scenario: Scenario, *, time_limit_s: float, borrow: bool
    ) -> None:
        self.borrow = borrow
        self.stage = "Starting"
        self.share = 0.0
        self.plan: Plan | None = None
        self.failure = ""
        self.details: tuple[str, ...] = ()
        self._stop = threading.Event()
        self._thread = threading.Thread(
            target=self._run, args=(scenario, time_limit_s, borrow), daemon=True
        )
        self._thread.start()

    @property
    def done(self) -> bool:
        """True when it has ended, with or without a plan."""
        return not self._thread.is_alive()

    def wait(self, seconds: float) -> bool:
        """Wait a little; tell whether it has ended."""
        self._thread.join(seconds)
        return self.done

    def stop(self) -> None:
        """Ask it to end at the next step."""
        self._stop.set()

    @property
    def words(self) -> str:
        """Say what it is doing, or that it was asked to end."""
        if self._stop.is_set():
            return f"Stopping as soon as this step is done: {self.stage}"
        return self.stage

    def _run(self, scenario: Scenario, time_limit_s: float, borrow: bool) -> None:
        try:
            self.plan = make_plan(
                scenario,
                time_limit_s=time_limit_s,
                borrow=borrow,
                progress=self._tell,
            )
        except _StoppedError:
            self.failure = "Planning was stopped. Nothing was changed."
        except PlanRefusedError as refusal:
            self.failure, self.details = _REFUSED, refusal.reasons
        except SolverError:
            self.failure = _NO_TIME
        except PlannerError as error:
            self.failure, self.details = _FAULT, (str(error),)
        except Exception as error:  # the last net before a coordinator's screen
            self.failure = _FAULT
            self.details = (f"{type(error).__name__}: {error}",)

    def _tell(self, what: str, share: float) -> None:
        if self._stop.is_set():
            raise _StoppedError
        self.stage, self.share = stage_words(what), share


def stage_words(what: str) -> str:
    """Say a stage of the pipeline in words for people."""
    if what in _STAGES:
        return _STAGES[what]
    if what.startswith("tier "):
        return f"Finding places: {what}"
    if what.startswith("loan "):
        return f"Trying what could be borrowed, step {what.removeprefix('loan ')}"
    return what.capitalize()
