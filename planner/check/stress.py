"""What a plan does when something goes wrong, put together."""

from planner.check.case import sun_known
from planner.check.ground import Claim, lay_ground
from planner.check.hours import run_hours
from planner.check.stress_fail import failures
from planner.check.stress_hard import hard_cases
from planner.check.stress_shed import ladder
from planner.check.stress_site import lay_site
from planner.check.stress_weather import weather_sample
from planner.result import Plan
from planner.result_stress import ShedStep, StressReport
from planner.scenario import SunCase


def stress(plan: Plan) -> StressReport:
    """Replay a plan on harder days, with failures, and in measured weather.

    The plan must have passed its audit: its ids are taken as known.  Failures
    are judged under the sun that the plan counts on, the ladder without any.
    """
    ground = lay_ground(plan.scenario)
    claim = _claim(plan)
    known = sun_known(ground, claim)
    base = run_hours(
        ground, claim, ground.conditions.sun_case if known else SunCase.NONE
    )
    site = lay_site(ground, claim)
    return StressReport(
        hard_cases=hard_cases(ground, claim),
        failures=failures(site, base),
        ladder=ladder(site),
        weather=weather_sample(ground, claim, base),
    )


def shed_ladder(plan: Plan) -> tuple[ShedStep, ...]:
    """Say what to switch off first: the ladder alone, which takes no time."""
    return ladder(lay_site(lay_ground(plan.scenario), _claim(plan)))


def _claim(plan: Plan) -> Claim:
    return Claim(
        demands=plan.demands,
        units_on=plan.units_on,
        placements=plan.placements,
        hookups=plan.hookups,
    )
