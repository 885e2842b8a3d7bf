"""Ways to plan a scenario, each told in the same words."""

import itertools
import math
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass, field
from typing import TYPE_CHECKING, Any

from planner.decide.borrow_pool import offers
from planner.decide.instance import build, without_power
from planner.decide.triage import demands
from planner.errors import PlannerError, PlanRefusedError
from planner.pipeline import make_plan
from planner.result import Plan, PlanStatus
from planner.scenario import Scenario
from tests.bench.first_fit import first_fit
from tests.bench.score import Made, audited, made, scores

if TYPE_CHECKING:
    from tests.bench.monolith import Solved


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What a method says about a scenario.

    ``stages`` has one entry a tier and kind of stock that anybody has:
    ``tier`` ("A", or "D+" for surplus), ``needed``, ``households``, ``met``,
    ``lateness``, and the bounds where the method proves any.
    """

    seconds: float
    proven: bool = False
    clean: bool = False
    fault: str = ""
    units_on: int = 0
    plugs: int = 0
    stages: tuple[dict[str, Any], ...] = ()
    notes: dict[str, Any] = field(default_factory=dict)


def run(method: str, scenario: Scenario, limit_s: float) -> Told:
    """Plan a scenario with one method."""
    return METHODS[method](scenario, limit_s)


def _planner(scenario: Scenario, limit_s: float, *, borrow: bool = False) -> Told:
    began = time.perf_counter()
    told: list[float] = []
    found: list[tuple[float, float]] = []
    try:
        plan = make_plan(
            scenario,
            time_limit_s=limit_s,
            borrow=borrow,
            progress=lambda _what, _share: told.append(time.perf_counter()),
            found=lambda _plan: found.append(
                (time.perf_counter(), time.process_time())
            ),
        )
    except PlanRefusedError as error:
        return Told(seconds=time.perf_counter() - began, fault=f"refused: {error}")
    except PlannerError as error:
        return Told(seconds=time.perf_counter() - began, fault=str(error))
    ended, ended_cpu = time.perf_counter(), time.process_time()
    marks = [began, *told, ended]
    silent_s = max(b - a for a, b in itertools.pairwise(marks))
    return Told(
        seconds=ended - began,
        proven=plan.status is PlanStatus.PROVEN,
        clean=not any(f.fatal for f in plan.findings),
        units_on=len(plan.units_on),
        plugs=len(plan.hookups),
        stages=_with_bounds(scenario, plan),
        notes={
            "steps": len(plan.loans),
            "loans": [list(step.item_ids) for step in plan.loans],
            "longest_silence_s": round(silent_s, 2),
            "offers": len(offers(scenario)),
            "asked": len(plan.borrow.asked),
            "others": len(plan.borrow.others),
            "solved": plan.borrow.solved,
            "borrow_s": round(ended - found[0][0], 2) if found else None,
            "borrow_cpu_s": round(ended_cpu - found[0][1], 2) if found else None,
            "warnings": sorted({f.subject for f in plan.findings if not f.rule}),
        },
    )


def _with_bounds(scenario: Scenario, plan: Plan) -> tuple[dict[str, Any], ...]:
    found = _stages(scenario, Made.of(plan))
    bounds = {t.tier.value: (t.household_bound, t.bound) for t in plan.tiers}
    for one in found:
        if one["tier"] in bounds:
            one["household_bound"], one["bound"] = bounds[one["tier"]]
    return found


def _planner_borrow(scenario: Scenario, limit_s: float) -> Told:
    return _planner(scenario, limit_s, borrow=True)


def _first_fit(scenario: Scenario, _limit_s: float) -> Told:
    began = time.perf_counter()
    demand = demands(scenario)
    plan = first_fit(scenario, demand)
    seconds = time.perf_counter() - began
    return _told(scenario, plan, seconds)


def _monolith(solver: str) -> Callable[[Scenario, float], Told]:
    def plan(scenario: Scenario, limit_s: float) -> Told:
        # Read in here, so that no other method's memory has these solvers in it.
        from tests.bench import backends
        from tests.bench.monolith import solve

        backend = getattr(backends, solver)
        began = time.perf_counter()
        instance = build(scenario, demands(scenario))
        solved = solve(instance, backend(), limit_s)
        carried = not solved.never
        if solved.never:
            # The loads before the fridges cannot be carried: no unit gets power.
            instance = without_power(instance)
            left_s = limit_s - (time.perf_counter() - began)
            solved = solve(instance, backend(), left_s)
        seconds = time.perf_counter() - began
        size = {"columns": solved.columns, "rows": solved.rows, "carried": carried}
        if solved.placed is None:
            return Told(seconds=seconds, fault="nothing found", notes=size)
        mine = made(instance, solved.placed, solved.hookups)
        return _told(scenario, mine, seconds, solved=solved, notes=size)

    return plan


def _told(
    scenario: Scenario,
    plan: Made,
    seconds: float,
    *,
    solved: "Solved | None" = None,
    notes: dict[str, Any] | None = None,
) -> Told:
    broken = audited(scenario, demands(scenario), plan)
    stages = _stages(scenario, plan)
    faults = [f"{f.rule} {f.subject}: {f.message}" for f in broken[:3]]
    if solved is not None:
        faults += _add_bounds(stages, solved)
    return Told(
        seconds=seconds,
        proven=solved is not None and solved.proven,
        clean=not faults,
        fault="; ".join(faults),
        units_on=len(plan.units_on),
        plugs=len(plan.hookups),
        stages=stages,
        notes=notes or {},
    )


def _add_bounds(stages: tuple[dict[str, Any], ...], solved: "Solved") -> list[str]:
    """Add the bounds; values that differ from the bags placed are faults."""
    said = {s.tier.value + "+" * s.surplus: s for s in solved.stages}
    faults = []
    for one in stages:
        stage = said.get(one["tier"])
        if stage is None:
            continue
        one["household_bound"] = _whole(stage.household_bound)
        one["bound"] = _whole(stage.bound)
        # Households of goods that share a family are told apart only in lines.
        if stage.met > one["met"] or stage.households_met > one["households"]:
            faults.append(f"tier {one['tier']} has less than the solver said")
    return faults


def _whole(bound: float) -> int | None:
    return None if math.isinf(bound) else math.floor(bound + 1e-6)


def _stages(scenario: Scenario, plan: Made) -> tuple[dict[str, Any], ...]:
    found = []
    for s in scores(scenario, demands(scenario), plan.placements):
        if s.needed:
            one = asdict(s)
            one["tier"] = s.tier.value + "+" * one.pop("surplus")
            found.append(one)
    return tuple(found)


METHODS: dict[str, Callable[[Scenario, float], Told]] = {
    "planner": _planner,
    "planner_borrow": _planner_borrow,
    "first_fit": _first_fit,
    "pulp_highs": _monolith("PulpHighs"),
    "pulp_cbc": _monolith("PulpCbc"),
    "cp_sat": _monolith("CpSat"),
}
