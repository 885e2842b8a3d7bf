"""Planning beside the page, so that turning a page does not end it."""

import threading

from planner.errors import PlannerError, PlanRefusedError, SolverError
from planner.output.manner import PLAIN, Manner
from planner.result import Plan
from planner.result_replan import InForce, Replanned
from planner.scenario import Scenario

REFUSED, NO_TIME, FAULT = "at.job.refused", "at.job.no_time", "at.job.fault"
STOPPED, KEPT, ONLY_LOANS = "at.job.stopped", "at.job.kept", "at.job.only_loans"
"""Messages that say why it ended without a plan, or with less than was asked."""

_STAGES = frozenset({"starting", "triage", "hookup", "reasons", "check", "done"})
_LENDING = frozenset({"least", "kinds", "others"})


_running: list["Job"] = []
"""Jobs of this program; a window that was reloaded finds its own again."""


class _StoppedError(Exception):
    """The person asked to stop."""


class Job:
    """One planning run in a thread of its own; it never touches the page.

    ``failure`` is the id of the message that says why it ended, if it failed.
    With ``in_force`` it plans again from there, and ``replanned`` is its outcome.
    """

    def __init__(
        self,
        scenario: Scenario,
        *,
        time_limit_s: float,
        borrow: bool,
        in_force: InForce | None = None,
    ) -> None:
        self.scenario = scenario
        self.in_force = in_force
        self.replanned: Replanned | None = None
        self.borrow = borrow
        self.stage = "starting"
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

    def words(self, how: Manner = PLAIN) -> str:
        """Say what it is doing, or that it was asked to end."""
        stage = stage_words(self.stage, how)
        if self._stop.is_set():
            return how.say("at.job.stopping", stage=stage)
        return stage

    def _run(self, scenario: Scenario, time_limit_s: float, borrow: bool) -> None:
        # The solvers are loaded when they are needed: the first page comes sooner.
        from planner.pipeline import make_plan
        from planner.replanning import replan

        try:
            if self.in_force is not None:
                self.replanned = replan(
                    scenario,
                    self.in_force,
                    time_limit_s=time_limit_s,
                    borrow=borrow,
                    progress=self._tell,
                )
                return
            self.plan = make_plan(
                scenario,
                time_limit_s=time_limit_s,
                borrow=borrow,
                progress=self._tell,
                found=self._found,
            )
        except _StoppedError:
            self._fail(STOPPED if self.base is None else KEPT)
        except PlanRefusedError as refusal:
            self._fail(REFUSED, *refusal.reasons)
        except SolverError:
            self._fail(NO_TIME if self.base is None else ONLY_LOANS)
        except PlannerError as error:
            self._fail(FAULT, str(error))
        except Exception as error:  # the last net before a coordinator's screen
            self._fail(FAULT, f"{type(error).__name__}: {error}")

    def _fail(self, why: str, *details: str) -> None:
        """Keep why it ended; a plan that was ready before the loans is kept."""
        if self.base is not None:
            why = why if why == KEPT else ONLY_LOANS
            self.plan, self.borrow = self.base, False
        self.failure, self.details = why, details

    def _found(self, plan: Plan) -> None:
        self.base = plan

    def _tell(self, what: str, share: float) -> None:
        if self._stop.is_set():
            raise _StoppedError
        self.stage, self.share = what, share


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


def stage_words(what: str, how: Manner = PLAIN) -> str:
    """Say a stage of the pipeline in words for people."""
    if what in _STAGES:
        return how.say(f"at.job.{what}")
    kind, _, rest = what.partition(" ")
    tier, _, surplus = rest.partition(" ")
    if kind == "tier":
        key = "at.job.tier_surplus" if surplus else "at.job.tier"
        return how.say(key, tier=tier)
    if kind == "place":
        return how.say("at.job.place", places=rest)
    if kind == "fewest":
        return how.say(f"at.job.fewest_{rest}")
    if kind == "loan":
        return how.say("at.job.loan", step=rest)
    if what in _LENDING:
        return how.say(f"tell.lend.job.{what}")
    return what.capitalize()
