"""From the plan in force to the next one: read, measure, decide, check.

A branch of ``pipeline.py`` on a screen of its own; the command line and the
screens call it in the same way.
"""

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime

from planner.check import audit, replay
from planner.check.carries import check_carries
from planner.check.measured import factor_origin, fits, load_factor, with_load_factor
from planner.check.swaps import later_swaps
from planner.decide.allocate import allocate
from planner.decide.allocation import Allocation
from planner.decide.as_wired import as_wired
from planner.decide.hookup import fed_by_modes
from planner.decide.instance import build
from planner.decide.moves import carries, settings_between
from planner.decide.one_more import can_take
from planner.decide.replan import fewest_moves
from planner.decide.replug import fewest_replugs, plugs_at_start
from planner.decide.triage import demands
from planner.errors import PlanRefusedError, SolverError, UsageError
from planner.inforce import in_force_of, read_in_force
from planner.intake.one_item import read_item
from planner.pipeline import Progress, checked, search_s, with_loans
from planner.result import Changeover, Cooling, Demand, Hookup, Plan, Replay
from planner.result_moves import CarryKind
from planner.result_replan import (
    InForce,
    LoadFactor,
    OneMore,
    Replanned,
)
from planner.scenario import CameFrom, Line, Origin, Scenario, SunCase

__all__ = [
    "fits",
    "in_force_of",
    "one_more",
    "read_in_force",
    "read_item",
    "replan",
    "with_measured",
]

_MOVES_SHARE = 0.5
"""Share of the plan's time that the search for fewer moves may take besides."""
_PLUGS_SHARE = 0.1
"""The same for fewer plugs."""


def replan(
    scenario: Scenario,
    in_force: InForce,
    *,
    time_limit_s: float = 20.0,
    borrow: bool = False,
    progress: Progress | None = None,
) -> Replanned:
    """Best plan for today first by tiers, then by bags carried.

    ``scenario`` is what is true today: who is there, what is there, charge
    as measured.  The tiers get exactly what a fresh plan would give them.
    With ``borrow`` the list of what to borrow first is worked out as well.

    Raises
    ------
    PlanRefusedError
        The audit found a broken rule in the plan or in its move list.
    SolverError
        Time ran out before any plan was found.
    """
    tell = progress or (lambda _what, _share: None)
    factor = load_factor(scenario, in_force)
    scenario = with_load_factor(scenario, factor)
    tell("triage", 0.02)
    demand = demands(scenario)
    instance = build(scenario, demand)
    fresh = allocate(
        instance,
        time_limit_s=search_s(instance, time_limit_s),
        progress=lambda what: tell(what, 0.1),
    )
    if fresh is None:
        raise SolverError("time ran out before any plan was found")
    tell("fewest moves", 0.6)
    plan, start = _settled(
        scenario, demand, fresh, in_force, _MOVES_SHARE * time_limit_s
    )
    tell("fewest plugs", 0.8)
    plan = _few_plugs(plan, start, in_force.hookups, _PLUGS_SHARE * time_limit_s)
    tell("check", 0.9)
    if factor.used != 1.0:
        origin = factor_origin(factor)
        rest = tuple(one for one in plan.assumptions if one.field != origin.field)
        plan = replace(plan, assumptions=(origin, *rest))
    moves = carries(
        scenario,
        in_force.standing,
        plan.placements,
        plan.units_on,
        urgency=urgency(scenario, demand),
    )
    faults = check_carries(
        scenario, in_force.standing, moves, plan.placements, plan.units_on
    )
    if faults:
        raise PlanRefusedError(tuple(f"{f.subject}: {f.message}" for f in faults))
    plan = replace(plan, moves=moves)
    if borrow:
        plan = with_loans(plan, start, time_limit_s=time_limit_s, progress=tell)
    tell("done", 1.0)
    return _told(plan, in_force, factor)


def _settled(
    scenario: Scenario,
    demand: tuple[Demand, ...],
    fresh: Allocation,
    in_force: InForce,
    time_limit_s: float,
) -> tuple[Plan, Allocation]:
    """The checked plan with the fewest moves, and its allocation.

    Where the fresh plan is not proven best, the one in force may be better.
    """
    stands = {(s.line_id, s.unit_id, s.zone): s.count for s in in_force.standing}
    starts = [fresh]
    if not fresh.proven:
        other = as_wired(fresh, in_force)
        starts = [fresh] if other is None else [other, fresh]
    for start in starts:
        settled = fewest_moves(start, stands, time_limit_s=time_limit_s)
        try:
            plan = checked(scenario, demand, settled.allocation, settled.placements)
        except PlanRefusedError:
            if start is fresh:
                raise
        else:
            return plan, settled.allocation
    raise AssertionError("the last start is the fresh one")


def _few_plugs(
    plan: Plan, start: Allocation, before: tuple[Hookup, ...], time_limit_s: float
) -> Plan:
    """The plan with more of the plugs that are in, if they hold.

    First all that are in as they are; else a wiring that keeps the most of
    them.  Nothing may go dark sooner for it.
    """
    on = {use.unit_id for use in plan.units_on}
    units = {unit.id for unit in plan.scenario.units}
    left = tuple(p for p in before if p.to_id in on or p.to_id not in units)
    alike = set(left) == set(plan.hookups)
    if not left or alike or not start.loads_fed:
        return plan
    if (same := _rewired(plan, left)) is not None:
        return same
    modes = tuple(choice.mode for choice in start.placed.choices)
    fed = fed_by_modes(start.instance, modes)
    near = fewest_replugs(start.instance, fed, left, time_limit_s=time_limit_s)
    if near is None or _changes(near, left) >= _changes(plan.hookups, left):
        return plan
    return _rewired(plan, near) or plan


def _changes(after: tuple[Hookup, ...], before: tuple[Hookup, ...]) -> int:
    """Plugs to pull and to put in at the start, and all that come later."""
    later = sum(1 for plug in after if plug.from_h > 0)
    return later + len(plugs_at_start(after) ^ plugs_at_start(before))


def _rewired(plan: Plan, left: tuple[Hookup, ...]) -> Plan | None:
    """The plan on other plugs, if they hold and no unit goes dark sooner."""
    try:
        findings = audit(
            plan.scenario,
            plan.demands,
            plan.units_on,
            plan.placements,
            left,
            plan.warm_clocks,
            plan.shortfalls,
            plan.accounts,
        )
        replays = tuple(
            replay(plan.scenario, plan.units_on, left, case) for case in SunCase
        )
    except UsageError:
        return None
    if any(one.fatal for one in findings) or any(
        mine < theirs
        for mine, theirs in zip(_held(replays), _held(plan.replays), strict=True)
    ):
        return None
    return replace(plan, hookups=left, replays=replays, findings=findings)


def _held(replays: tuple[Replay, ...]) -> tuple[int, ...]:
    """Hours held in all, in each sun case."""
    return tuple(sum(one.held_h for one in run.endurance) for run in replays)


def urgency(
    scenario: Scenario, demand: tuple[Demand, ...]
) -> dict[str, tuple[object, ...]]:
    """Sort key of every line: tier, shortest allowance, code."""
    codes = {line.id: line.code for line in scenario.lines}
    found: dict[str, tuple[object, ...]] = {}
    for d in demand:
        key = (d.tier.value, d.surplus, d.allowance_h or 0.0, codes[d.line_id])
        if d.line_id not in found or key < found[d.line_id]:
            found[d.line_id] = key
    return found


def _told(plan: Plan, in_force: InForce, factor: LoadFactor) -> Replanned:
    told = Counter[CarryKind]()
    for one in plan.moves:
        told[one.kind] += one.count
    before, after = _at_start(in_force.hookups), _at_start(plan.hookups)
    later_h = later_swaps(plan.hookups)
    changeover = Changeover(
        settings=settings_between(in_force.units_on, plan.units_on),
        pulled=tuple(plug for key, plug in before.items() if key not in after),
        put_in=tuple(plug for key, plug in after.items() if key not in before),
        later_h=later_h,
        later_before=len(later_swaps(in_force.hookups)),
        before_until=_compared_until(plan, in_force) if later_h else None,
    )
    stood = sum(one.count for one in in_force.standing)
    carried = told[CarryKind.OVER] + told[CarryKind.BACK]
    return Replanned(
        plan=replace(_kept_cold(plan, in_force), changeover=changeover),
        kept=stood - carried - told[CarryKind.OUT],
        carried=carried,
        out=told[CarryKind.OUT],
        put_in=told[CarryKind.IN],
        factor=factor,
    )


def _compared_until(plan: Plan, in_force: InForce) -> datetime | None:
    """Until when the later plugs of the plan in force are known."""
    conditions = plan.scenario.conditions
    if in_force.ends_at is None:
        return None
    return min(in_force.ends_at, conditions.clock(conditions.window_h))


def _kept_cold(plan: Plan, in_force: InForce) -> Plan:
    """The plan with units that go on as they are no warmer than they are now.

    Such a unit cools no second time: where nobody knows when it gets cold it
    is taken as cold, so that a warm one is acted on.  One that is known not to
    be cold before the plan in force ends, that is set anew or that was not
    there yet is counted from now, as the new plan has it.
    """
    known = {one.unit_id: one.cold_h for one in in_force.cooling}
    kept = {
        unit_id: cold_h
        for unit_id in _going_on(plan, in_force)
        if (cold_h := known.get(unit_id, 0)) is not None
    }
    return replace(
        plan,
        cooling=tuple(
            Cooling(unit_id=one.unit_id, cold_h=kept.get(one.unit_id, one.cold_h))
            for one in plan.cooling
        ),
        findings=tuple(
            one
            for one in plan.findings
            if one.fatal or one.rule != "R8" or one.subject not in kept
        ),
    )


def _going_on(plan: Plan, in_force: InForce) -> frozenset[str]:
    """Units that are there at today's start, on, and set as they were."""
    was_set = {use.unit_id: use.set_points_c for use in in_force.units_on}
    there = {u.id for u in plan.scenario.units if u.availability.ready_h <= 0}
    return frozenset(
        use.unit_id
        for use in plan.units_on
        if use.unit_id in there and was_set.get(use.unit_id) == use.set_points_c
    )


def _at_start(plugs: tuple[Hookup, ...]) -> dict[tuple[str, str, str], Hookup]:
    """Plugs that are in during the first hour."""
    return {
        (p.from_id, p.to_id, p.port.value): p
        for p in plugs
        if p.from_h == 0 or p.from_h <= 0 < p.to_h
    }


def one_more(scenario: Scenario, in_force: InForce, line: Line) -> OneMore:
    """Say whether one more item can be taken under the plan in force, and how.

    Looks into the units that are on first, then at moves between them, then
    at all units, for about a second.

    Raises
    ------
    UsageError
        The line's place is not in the scenario, or its id is taken.
    """
    if line.place not in {place.name for place in scenario.places}:
        msg = f"there is no place {line.place!r} in the workbook"
        raise UsageError(msg)
    if any(line.id == one.id for one in scenario.lines):
        msg = f"the id {line.id!r} is taken by a line of the list"
        raise UsageError(msg)
    bigger = replace(scenario, lines=(*scenario.lines, line))
    demand = demands(bigger)
    return can_take(bigger, demand, in_force, line, urgency=urgency(bigger, demand))


def with_measured(scenario: Scenario, charge: Mapping[str, float]) -> Scenario:
    """Put in measured charge (0..1) by the name or id of a battery.

    Raises
    ------
    UsageError
        A name that no battery has, or several have, or a share out of range.
    """
    batteries = list(scenario.batteries)
    for name, share in charge.items():
        wanted = " ".join(name.split()).casefold()
        found = [
            n
            for n, one in enumerate(batteries)
            if wanted in (one.name.casefold(), one.id.casefold())
        ]
        if len(found) != 1:
            names = ", ".join(one.name for one in scenario.batteries)
            msg = f"{name!r} names {len(found)} batteries; there are: {names or 'none'}"
            raise UsageError(msg)
        if not 0 <= share <= 1:
            msg = f"the charge of {name!r} must be 0 to 100 %"
            raise UsageError(msg)
        one = batteries[found[0]]
        origins = tuple(o for o in one.origins if o.field != "charge_now")
        measured = Origin(
            field="charge_now", came_from=CameFrom.EDITED, value=f"{share:.0%}"
        )
        batteries[found[0]] = replace(
            one, charge_now=share, origins=(*origins, measured)
        )
    return replace(scenario, batteries=tuple(batteries))
