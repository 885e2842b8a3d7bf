"""Every rule once more, over a finished plan."""

from planner.check.bookkeeping import check_counts, check_reasons, check_rows
from planner.check.case import Case, make_case
from planner.check.ground import Claim, lay_ground
from planner.check.rules_goods import (
    check_r1_band,
    check_r2_reach,
    check_r3_volume,
    check_r4_segregation,
    check_r5_custody,
    check_r6_access,
    check_r8_warm_load,
    check_r10_ice,
    check_r12_refreeze,
)
from planner.check.rules_loans import check_clocks, check_r11_loans
from planner.check.rules_power import check_r7_power, check_r9_sun
from planner.check.soundness import check_scenario, sound_parts
from planner.check.warnings import warnings
from planner.result import (
    Demand,
    Finding,
    Hookup,
    Placement,
    RowAccount,
    Shortfall,
    UnitUse,
    WarmClock,
)
from planner.scenario import Scenario

RULES = (
    check_r1_band,
    check_r2_reach,
    check_r3_volume,
    check_r4_segregation,
    check_r5_custody,
    check_r6_access,
    check_r7_power,
    check_r8_warm_load,
    check_r9_sun,
    check_r10_ice,
    check_r11_loans,
    check_r12_refreeze,
    check_clocks,
)
"""One function a rule, in the order of their numbers, then the clocks."""


def audit(
    scenario: Scenario,
    demands: tuple[Demand, ...],
    units_on: tuple[UnitUse, ...],
    placements: tuple[Placement, ...],
    hookups: tuple[Hookup, ...],
    warm_clocks: tuple[WarmClock, ...],
    shortfalls: tuple[Shortfall, ...],
    accounts: tuple[RowAccount, ...],
) -> tuple[Finding, ...]:
    """Check a plan against every rule and all bookkeeping.

    Parameters
    ----------
    scenario
        Everything the plan was made from.
    demands, units_on, placements, hookups, warm_clocks, shortfalls, accounts
        The plan, part by part, as it would be handed out.

    Returns
    -------
    tuple of Finding
        Fatal ones first: with any of them the plan must not be shown.  Then
        the warnings.  Empty when there is nothing to say.
    """
    claim = Claim(
        demands=demands,
        units_on=units_on,
        placements=placements,
        hookups=hookups,
        warm_clocks=warm_clocks,
        shortfalls=shortfalls,
        accounts=accounts,
    )
    ground = lay_ground(scenario)
    unsound, sound = sound_parts(ground, claim)
    case = make_case(ground, sound)
    found = [
        *check_scenario(scenario),
        *unsound,
        *check_counts(scenario, sound),
        *check_rows(scenario, claim),
        *check_reasons(scenario, sound),
        *_rule_findings(case),
        *warnings(case),
    ]
    return tuple(sorted(dict.fromkeys(found), key=lambda one: not one.fatal))


def _rule_findings(case: Case) -> list[Finding]:
    return [one for rule in RULES for one in rule(case)]
