"""The borrow list of a plan: what to fetch or ask for, in order, and how much.

Joins the rooms as ``pipeline`` does, for the part of it that is about loans.
"""

from collections.abc import Callable
from dataclasses import replace

from planner.check import replay
from planner.decide.allocation import Allocation
from planner.decide.ask import asked_spec, refused
from planner.decide.assign import placements as bags_to_lines
from planner.decide.borrow import borrow_order
from planner.decide.borrow_gap import not_needed
from planner.decide.borrow_generic import urgent_open, with_generic
from planner.decide.borrow_other import other_steps
from planner.decide.borrow_spec import Effort, least_specs
from planner.decide.borrow_step import BorrowOrder, Step
from planner.decide.loan_need import loan_needs
from planner.decide.notes import units_in_use
from planner.decide.placement import PlacementModel
from planner.decide.triage import outlasts_window
from planner.result import Finding, LoanStep, Plan, Replay
from planner.result_borrow import BorrowMore
from planner.result_spec import LeastSpec, LoanBags, LoanNeed
from planner.scenario import Equipment, Scenario, SunCase, Tier

Progress = Callable[[str, float], None]

_TIMES = 3.0
"""The search is bounded by work counted; its time limit stands far behind."""
_GENERIC_STEPS = 2
_GENERIC_LOOKS = 20
_TINY_COLUMNS = 250
_SMALL_COLUMNS = 1200
"""Sizes up to which least amounts are proven by new wirings, and by placements."""
_CUT_SHORT = Finding(
    rule="",
    fatal=False,
    subject="borrow list",
    message="the search for loans ended at its limit: more offers may help than "
    "are listed; borrow what is listed, then plan again",
)


def add_loans(
    plan: Plan, base: Allocation, *, time_limit_s: float, progress: Progress
) -> Plan:
    """Add to a checked plan what to borrow first; ``base`` made the plan."""
    scenario, demand = plan.scenario, plan.demands
    limit_s = _TIMES * time_limit_s
    order = borrow_order(
        scenario,
        demand,
        base,
        time_limit_s=limit_s,
        progress=lambda what, share: progress(what, 0.4 + 0.3 * share),
        gaps=True,
    )
    columns = PlacementModel(base.instance).model.size[0]
    effort = Effort(solve=columns <= _SMALL_COLUMNS, wire=columns <= _TINY_COLUMNS)
    progress("least", 0.7)
    loans = _steps(plan, scenario, order, effort, progress)
    last = order.steps[-1].allocation if order.steps else base
    asked: tuple[LoanStep, ...] = ()
    asked_order, with_kit = BorrowOrder(steps=(), complete=True), scenario
    if urgent_open(last.placed.stages):
        progress("kinds", 0.8)
        with_kit, kinds = with_generic(scenario, demand)
        asked_order = borrow_order(
            with_kit,
            demand,
            last,
            time_limit_s=limit_s,
            progress=lambda _what, share: progress("kinds", 0.8 + 0.1 * share),
            pool=kinds,
            most_steps=_GENERIC_STEPS if effort.solve else 1,
            rewire=effort.wire,
            most_looks=None if effort.solve else _GENERIC_LOOKS,
        )
        asked = _steps(
            replace(plan, loans=loans), with_kit, asked_order, effort, progress
        )
    progress("others", 0.9)
    others = other_steps(
        scenario,
        demand,
        base,
        plan.placements,
        least_too=effort.solve,
        tell=lambda: progress("others", 0.95),
    )
    taken = frozenset(i for step in order.steps for i in step.item_ids)
    used = {i for step in asked for i in step.item_ids}
    findings = plan.findings
    if not order.complete:
        findings = (*findings, _CUT_SHORT)
    specs = [s for step in (*loans, *asked) for s in step.specs]
    return replace(
        plan,
        loans=loans,
        findings=findings,
        borrow=BorrowMore(
            asked=asked,
            asked_units=tuple(e for e in with_kit.units if e.id in used),
            asked_batteries=tuple(e for e in with_kit.batteries if e.id in used),
            asked_panels=tuple(e for e in with_kit.panels if e.id in used),
            asked_sources=tuple(e for e in with_kit.sources if e.id in used),
            others=others.steps,
            not_needed=not_needed(scenario, demand, taken, complete=order.complete)
            if plan.shortfalls
            else (),
            gaps=order.gaps,
            worked_out=True,
            solved=order.solved
            + asked_order.solved
            + others.solved
            + sum(s.solved for s in specs),
        ),
    )


def _steps(
    plan: Plan,
    scenario: Scenario,
    order: BorrowOrder,
    effort: Effort,
    progress: Progress,
) -> tuple[LoanStep, ...]:
    """Add to each step its least amounts and what the check room says of it."""
    kit = {e.id: e for e in scenario.equipment}
    found: list[LoanStep] = []
    for at, step in enumerate(order.steps):
        specs = least_specs(
            scenario,
            plan.demands,
            step,
            effort,
            tell=lambda: progress("least", 0.75),
        )
        rest = [one.allocation for one in order.steps[at:]]
        needs = loan_needs(rest, step.item_ids)
        rank = len(plan.loans) + at + 1
        found.append(_step(plan, scenario, kit, step, specs, needs, rank))
    return tuple(found)


def _step(
    plan: Plan,
    scenario: Scenario,
    kit: dict[str, Equipment],
    step: Step,
    specs: tuple[LeastSpec, ...],
    needs: tuple[LoanNeed, ...],
    rank: int,
) -> LoanStep:
    before, after = _dark(scenario, step.before), _dark(scenario, step.allocation)
    counts, old = _counts(step.allocation), _counts(step.before)
    bags = tuple(
        LoanBags(line_id=key[0], surplus=key[1], bags=more)
        for key in sorted({*counts, *old})
        if (more := counts.get(key, 0) - old.get(key, 0))
    )
    mine = [kit[i] for i in step.item_ids]
    return LoanStep(
        rank=rank,
        item_ids=step.item_ids,
        names=tuple(e.name for e in mine),
        lenders=tuple(e.availability.lender for e in mine),
        ready_h=max(e.availability.ready_h for e in mine),
        gains=step.gains,
        hours_gained=_held_h(after) - _held_h(before),
        ask_for=asked_spec(scenario, step.item_ids, specs, needs),
        refuse=refused(scenario, step.item_ids, specs, needs),
        line_ids_served=tuple(
            one.line_id for one in bags if one.bags > 0 and not one.surplus
        ),
        still_short=_still_short(plan, counts),
        effort=sum(e.availability.effort for e in mine),
        specs=specs,
        dark_from_h=min(
            (e.dark_from_h for e in after.endurance if e.dark_from_h is not None),
            default=None,
        ),
        needs=needs,
        bags=bags,
    )


def _dark(scenario: Scenario, allocation: Allocation) -> Replay:
    """The hours without any sun."""
    units_on = units_in_use(allocation)
    return replay(scenario, units_on, allocation.hookups, SunCase.NONE)


def _held_h(one: Replay) -> float:
    return float(sum(e.held_h for e in one.endurance))


def _counts(allocation: Allocation) -> dict[tuple[str, bool], int]:
    """Bags in the cold by line, need and surplus apart."""
    counts: dict[tuple[str, bool], int] = {}
    for p in bags_to_lines(allocation.instance, allocation.placed):
        key = p.line_id, p.surplus
        counts[key] = counts.get(key, 0) + p.count
    return counts


def _still_short(plan: Plan, counts: dict[tuple[str, bool], int]) -> int:
    """Bags of tiers A to C neither cold nor inside their allowance."""
    window_h = plan.scenario.conditions.window_h
    return sum(
        d.count - counts.get((d.line_id, False), 0)
        for d in plan.demands
        if not d.surplus
        and d.tier in {Tier.A, Tier.B, Tier.C}
        and not outlasts_window(d, window_h)
    )
