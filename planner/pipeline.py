"""The whole journey on one screen: read, decide, check.

``cli.py`` and the screens only call this module and format what it returns.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime

from planner.check import account_rows, audit, cooling, replay
from planner.check.stress import shed_ladder, stress
from planner.decide.allocate import allocate
from planner.decide.allocation import Allocation
from planner.decide.assign import placements as bags_to_lines
from planner.decide.borrow_pool import offers
from planner.decide.changes import with_changes
from planner.decide.explain import unplaced
from planner.decide.instance import Instance, build
from planner.decide.notes import assumptions_used, units_in_use, with_reasons
from planner.decide.ready import get_ready as get_ready
from planner.decide.tiers import tier_results
from planner.decide.town import is_town
from planner.decide.triage import demands
from planner.errors import PlanRefusedError, SolverError
from planner.intake import Reading, read
from planner.intake.mapping import ColumnMapping
from planner.lending import add_loans
from planner.result import (
    Demand,
    Finding,
    Placement,
    Plan,
    PlanStatus,
)
from planner.result_stress import ShedStep, StressReport
from planner.scenario import Scenario, SunCase

Progress = Callable[[str, float], None]
"""Called with what is being done and the share done so far (0..1)."""

_SEARCH_SHARE = 0.85
_SEARCH_SHARE_LARGE = 0.66
_ENOUGH_S = 60.0
"""No reasons and no check take longer."""
_LARGE_GOODS = 250
"""Kinds of bags from which on, as in towns, reasons and check need more time."""

Found = Callable[[Plan], None]
"""Called with the checked plan as soon as it is there, before the borrow list."""

LOADS_NOT_CARRIED = Finding(
    rule="R7",
    fatal=False,
    subject="life support",
    message="what is here cannot carry the life-support loads for the whole "
    "window; no cold unit gets power before they do: find another source first",
)

_BORROW_SKIPPED = Finding(
    rule="",
    fatal=False,
    subject="borrow list",
    message="what to borrow first was not worked out for this plan",
)


def read_files(
    name: str,
    data: bytes,
    *,
    now: datetime,
    equipment: tuple[str, bytes] | None = None,
    mappings: Sequence[ColumnMapping] = (),
    aliases: tuple[str, bytes] | None = None,
) -> Reading:
    """Read an intake workbook, and an equipment workbook beside it.

    ``mappings`` are headings that somebody confirmed, ``aliases`` the name
    and bytes of the site's own word list.
    """
    return read(
        name, data, now=now, equipment=equipment, mappings=mappings, aliases=aliases
    )


def make_plan(
    scenario: Scenario,
    *,
    time_limit_s: float = 20.0,
    borrow: bool = True,
    progress: Progress | None = None,
    found: Found | None = None,
) -> Plan:
    """Plan a scenario and check the plan.

    Raises
    ------
    PlanRefusedError
        The audit found a broken rule; no plan may be shown.
    SolverError
        Time ran out before any plan was found.
    """
    tell = progress or (lambda _what, _share: None)
    tell("triage", 0.02)
    demand = demands(scenario)
    instance = build(scenario, demand)
    allocation = allocate(
        instance,
        time_limit_s=search_s(instance, time_limit_s),
        progress=lambda what: tell(what, 0.1),
    )
    if allocation is None:
        raise SolverError("time ran out before any plan was found")
    tell("reasons", 0.35)
    plan = checked(scenario, demand, allocation)
    without = plan
    if plan.shortfalls and offers(scenario):
        without = replace(plan, findings=(*plan.findings, _BORROW_SKIPPED))
    if not borrow:
        return without
    if found is not None:
        found(without)
    plan = with_loans(plan, allocation, time_limit_s=time_limit_s, progress=tell)
    tell("done", 1.0)
    return plan


def search_s(instance: Instance, time_limit_s: float) -> float:
    """Seconds of a limit for the plan itself; the rest is for reasons and check."""
    if len(instance.goods) > _LARGE_GOODS or is_town(instance):
        return max(_SEARCH_SHARE_LARGE * time_limit_s, time_limit_s - _ENOUGH_S)
    return _SEARCH_SHARE * time_limit_s


def with_loans(
    plan: Plan,
    allocation: Allocation,
    *,
    time_limit_s: float,
    progress: Progress,
) -> Plan:
    """Add to a checked plan what to borrow first; ``allocation`` made the plan."""
    return add_loans(plan, allocation, time_limit_s=time_limit_s, progress=progress)


def checked(
    scenario: Scenario,
    demand: tuple[Demand, ...],
    allocation: Allocation,
    dealt: tuple[Placement, ...] | None = None,
    *,
    changes: bool = True,
) -> Plan:
    """Put a plan together and let the check room look at it.

    ``dealt`` are the bags by line when they are known already; without
    ``changes`` it is not said what would place those who are short.

    Raises
    ------
    PlanRefusedError
        The audit found a broken rule.
    """
    if dealt is None:
        dealt = bags_to_lines(allocation.instance, allocation.placed)
    placed = with_reasons(allocation, demand, dealt)
    rest = unplaced(allocation, demand, placed)
    if changes:
        rest = with_changes(allocation, demand, placed, rest)
    tiers = tier_results(allocation, demand, placed, rest)
    units_on = units_in_use(allocation)
    accounts = account_rows(scenario, demand, placed, rest.warm_clocks, rest.shortfalls)
    findings = audit(
        scenario,
        demand,
        units_on,
        placed,
        allocation.hookups,
        rest.warm_clocks,
        rest.shortfalls,
        accounts,
    )
    if not allocation.loads_fed:
        findings = (LOADS_NOT_CARRIED, *findings)
    broken = tuple(f"{f.rule} {f.subject}: {f.message}" for f in findings if f.fatal)
    if broken:
        raise PlanRefusedError(broken)
    status = PlanStatus.PROVEN if allocation.proven else PlanStatus.UNPROVEN
    if not demand:
        status = PlanStatus.NOTHING_TO_PLAN
    return Plan(
        scenario=scenario,
        status=status,
        demands=demand,
        units_on=units_on,
        placements=placed,
        hookups=allocation.hookups,
        warm_clocks=rest.warm_clocks,
        shortfalls=rest.shortfalls,
        tiers=tiers,
        replays=tuple(
            replay(scenario, units_on, allocation.hookups, case) for case in SunCase
        ),
        findings=findings,
        loans=(),
        accounts=accounts,
        assumptions=assumptions_used(scenario),
        cooling=cooling(scenario, units_on),
    )


def check_again(plan: Plan) -> None:
    """Audit a plan that was kept, before it is shown again.

    Raises
    ------
    PlanRefusedError
        It breaks a rule of this version of the program.
    """
    scenario = plan.scenario
    outcome = (plan.placements, plan.warm_clocks, plan.shortfalls)
    found = audit(
        scenario,
        plan.demands,
        plan.units_on,
        plan.placements,
        plan.hookups,
        plan.warm_clocks,
        plan.shortfalls,
        account_rows(scenario, plan.demands, *outcome),
    )
    broken = tuple(f"{f.rule} {f.subject}: {f.message}" for f in found if f.fatal)
    if broken:
        raise PlanRefusedError(broken)


def stress_plan(plan: Plan) -> StressReport:
    """Replay a checked plan on harder days, with failures, in measured weather.

    Apart from :func:`make_plan`, so that the plan itself comes at once.
    """
    return stress(plan)


def what_to_shed(plan: Plan) -> tuple[ShedStep, ...]:
    """Order in which a checked plan's units are switched off when power is short."""
    return shed_ladder(plan)


def exit_code(plan: Plan) -> int:
    """0 when everything is served, 1 when something is short or a row not planned."""
    return 1 if plan.shortfalls or plan.scenario.waiting_rows else 0
