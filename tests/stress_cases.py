"""Helpers of the what-if tests: a site with everything that is not given."""

from typing import Any

from planner.check.ground import Claim, lay_ground
from planner.check.hours import Run, run_hours
from planner.check.stress_site import Site, lay_site
from planner.scenario import Scenario, SunCase
from tests import builders as b


def site(world: Scenario | None = None, **claim: Any) -> Site:
    """A claim on its ground; the default plan where nothing is given."""
    values: dict[str, Any] = {
        "demands": (b.demand(),),
        "units_on": (b.use(),),
        "placements": (b.placement(),),
        "hookups": (b.hookup(),),
    }
    return lay_site(lay_ground(world or b.scenario()), Claim(**(values | claim)))


def base(found: Site, case: SunCase = SunCase.NONE) -> Run:
    """The run of a site as planned."""
    return run_hours(found.ground, found.claim, case)
