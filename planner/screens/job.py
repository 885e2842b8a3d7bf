"""Planning beside the page, so that turning a page does not end it."""

import threading

from planner.errors import PlannerError, PlanRefusedError, SolverError
from planner.pipeline import make_plan
from planner.result import Plan
from planner.scenario import Scenario
from planner.screens.contents import page_words

_REFUSED = (
    "A plan was found, but it failed its own check, so it is not shown. "
    f"Change something on {page_words('have')} or {page_words('conditions')} and plan again, or plan without the borrow list. "
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
_STOPPED = "Planning was stopped. Nothing was changed."
_KEPT = (
    "Planning was stopped while it looked for loans. The plan itself was ready and is "
    "kept; what to borrow was not worked out."
)
_ONLY_LOANS = (
    "The plan is ready and kept, but the search for loans failed, so what to borrow "
    "was not worked out."
)
_STAGES = {
    "triage": "Sorting out what is needed first",
    "hookup": "Looking for a hookup that lasts",
    "reasons": "Working out why somebody is short",
    "done": "Done",
}


_running: list["Job"] = []
"""Jobs of this program; a window that was reloaded finds its own again."""


class _StoppedError(Exception):
    """The person asked to stop."""


class Job:
    """One planning run in a thread of its own; it never touches the page."""

    def __init__(
        self, scenario: Scenario, *, time_limit_s: float, borrow: bool
    ) -> None:
        self.scenario = scenario
        self.borrow = borrow
        self.stage = "Starting"
        self.share = 0.0
        self.plan: Plan | None = None
        self.failure = ""
        self.details: tuple[str, ...] = ()
        self.base: Plan | None = None
        self._stop = threading.Event()
        self._thread = threading.Thread(
            target=self._run, args=(scenario, time_limit_s, borrow), daemon=True
        )
        _running.append(self)
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
                found=self._found,
            )
        except _StoppedError:
            self._fail(_STOPPED if self.base is None else _KEPT)
        except PlanRefusedError as refusal:
            self._fail(_REFUSED, *refusal.reasons)
        except SolverError:
            self._fail(_NO_TIME if self.base is None else _ONLY_LOANS)
        except PlannerError as error:
            self._fail(_FAULT, str(error))
        except Exception as error:  # the last net before a coordinator's screen
            self._fail(_FAULT, f"{type(error).__name__}: {error}")

    def _fail(self, words: str, *details: str) -> None:
        """Say why it ended; a plan that was ready before the loans is kept."""
        if self.base is not None:
            words = words if words == _KEPT else _ONLY_LOANS
            self.plan, self.borrow = self.base, False
        self.failure, self.details = words, details

    def _found(self, plan: Plan) -> None:
        self.base = plan

    def _tell(self, what: str, share: float) -> None:
        if self._stop.is_set():
            raise _StoppedError
        self.stage, self.share = stage_words(what), share


def running_job(scenario: Scenario) -> Job | None:
    """Job that works on this scenario, or ended and was not collected yet."""
    return next((one for one in _running if one.scenario == scenario), None)


def forget_job(job: Job) -> None:
    """Let go of a job whose outcome was taken over."""
    if job in _running:
        _running.remove(job)


def forget_jobs() -> None:
    """End all jobs and let go of them: they know the list."""
    for job in _running:
        job.stop()
    _running.clear()


def stage_words(what: str) -> str:
    """Say a stage of the pipeline in words for people."""
    if what in _STAGES:
        return _STAGES[what]
    if what.startswith("tier "):
        return f"Finding places: {what}"
    if what.startswith("loan "):
        return f"Trying what could be borrowed, step {what.removeprefix('loan ')}"
    return what.capitalize()
