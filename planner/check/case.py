"""Everything a rule is judged on, put together once an audit."""

from dataclasses import dataclass

from planner.check.ground import Claim, Ground
from planner.check.hours import Run, run_hours
from planner.result import Link
from planner.scenario import ColdUnit, SunCase


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """The ground, the plan's claim, and a run under each sun case."""

    ground: Ground
    claim: Claim
    runs: dict[SunCase, Run]

    @property
    def planned(self) -> Run:
        """Run under the sun case that the plan counts on."""
        return self.runs.get(self.ground.conditions.sun_case, self.runs[SunCase.NONE])

    @property
    def sun_known(self) -> bool:
        """True when the site's sun is known, or no panel is plugged in."""
        return sun_known(self.ground, self.claim)

    def name(self, thing_id: str) -> str:
        """Name of a piece of equipment as its owner calls it."""
        ground = self.ground
        for things in (ground.units, ground.batteries, ground.panels, ground.sources):
            if thing_id in things:
                return things[thing_id].name
        return thing_id

    def units_used(self) -> list[ColdUnit]:
        """Units that are switched on, in the plan's order."""
        return [self.ground.units[use.unit_id] for use in self.claim.units_on]

    def placed_l(self, unit_id: str, zone: int | None = None) -> float:
        """Packed litres that stand in a unit, or in one zone of it."""
        return sum(
            put.count * self.ground.lines[put.line_id].volume_l
            for put in self.claim.placed_in(unit_id)
            if zone is None or put.zone == zone
        )


def sun_known(ground: Ground, claim: Claim) -> bool:
    """Tell whether the site's sun is known, or no panel is plugged in."""
    cond = ground.conditions
    if cond.peak_sun_hours is not None:
        return True
    if cond.latitude is not None and cond.longitude is not None:
        return True
    return all(plug.link is not Link.PANEL_TO_BATTERY for plug in claim.hookups)


def make_case(ground: Ground, claim: Claim) -> Case:
    """Run a claim whose ids are known under every sun case there is."""
    cases = tuple(SunCase) if sun_known(ground, claim) else (SunCase.NONE,)
    return Case(
        ground=ground,
        claim=claim,
        runs={case: run_hours(ground, claim, case) for case in cases},
    )
