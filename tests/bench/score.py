"""What any plan is worth, counted from where the bags stand; and its audit."""

from dataclasses import dataclass

from planner.check import account_rows, audit
from planner.decide.assign import placements as bags_to_lines
from planner.decide.instance import Instance
from planner.decide.placed import Placed
from planner.decide.triage import outlasts_window
from planner.result import (
    Demand,
    Finding,
    Hookup,
    Placement,
    Plan,
    ReasonFamily,
    Shortfall,
    UnitUse,
    WarmClock,
)
from planner.scenario import Line, Scenario, Tier

STAGES = tuple((tier, surplus) for tier in Tier for surplus in (False, True))


@dataclass(frozen=True, slots=True, kw_only=True)
class StageScore:
    """Households with a first bag, bags, and lateness of the bags placed.

    Lateness is the sum of ranks of the allowances; of equal counts the plan
    with the lower one serves the more urgent bags.
    """

    tier: Tier
    surplus: bool
    needed: int
    households: int
    met: int
    lateness: int


def scores(
    scenario: Scenario, demand: tuple[Demand, ...], placements: tuple[Placement, ...]
) -> tuple[StageScore, ...]:
    """Score a plan stage by stage, most important first."""
    homes = {line.id: line.household for line in scenario.lines}
    put: dict[tuple[str, bool], int] = {}
    for p in placements:
        put[p.line_id, p.surplus] = put.get((p.line_id, p.surplus), 0) + p.count
    found = []
    for tier, surplus in STAGES:
        mine = [d for d in demand if d.tier is tier and d.surplus is surplus]
        got = {d.line_id: put.get((d.line_id, surplus), 0) for d in mine}
        ranks = sorted({_left_h(d) for d in mine})
        found.append(
            StageScore(
                tier=tier,
                surplus=surplus,
                needed=sum(d.count for d in mine),
                households=0
                if surplus
                else len({homes[i] for i, n in got.items() if n > 0}),
                met=sum(got.values()),
                lateness=sum(got[d.line_id] * ranks.index(_left_h(d)) for d in mine),
            )
        )
    return tuple(found)


def _left_h(d: Demand) -> float:
    return -1.0 if d.allowance_h is None else d.allowance_h


def vector(found: tuple[StageScore, ...]) -> tuple[int, ...]:
    """Numbers by which two plans are compared; larger is better."""
    return tuple(n for s in found for n in (s.households, s.met, -s.lateness))


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """A plan of any method, as far as it is compared."""

    placements: tuple[Placement, ...]
    units_on: tuple[UnitUse, ...]
    hookups: tuple[Hookup, ...]

    @classmethod
    def of(cls, plan: Plan) -> "Made":
        """Take over the same parts of a plan of the planner."""
        return cls(
            placements=plan.placements, units_on=plan.units_on, hookups=plan.hookups
        )


def made(instance: Instance, placed: Placed, hookups: tuple[Hookup, ...]) -> Made:
    """Turn counts and modes into bags of lines and units that are on."""
    puts = bags_to_lines(instance, placed)
    uses = []
    for choice in placed.choices:
        mode = choice.mode
        zones = len(mode.set_points_c)
        uses.append(
            UnitUse(
                unit_id=mode.unit_id,
                set_points_c=mode.set_points_c,
                stock_classes=(choice.stock_class,) * zones,
                warm_fill=mode.fill,
            )
        )
    return Made(placements=puts, units_on=tuple(uses), hookups=hookups)


def audited(
    scenario: Scenario, demand: tuple[Demand, ...], plan: Made
) -> tuple[Finding, ...]:
    """Fatal findings of the check room about a plan made here."""
    clocks, shorts = _rest(scenario, demand, plan.placements)
    accounts = account_rows(scenario, demand, plan.placements, clocks, shorts)
    findings = audit(
        scenario,
        demand,
        plan.units_on,
        plan.placements,
        plan.hookups,
        clocks,
        shorts,
        accounts,
    )
    return tuple(f for f in findings if f.fatal)


def _rest(
    scenario: Scenario, demand: tuple[Demand, ...], placements: tuple[Placement, ...]
) -> tuple[tuple[WarmClock, ...], tuple[Shortfall, ...]]:
    """Bags without a place: on a written clock, or short."""
    lines: dict[str, Line] = {line.id: line for line in scenario.lines}
    put: dict[tuple[str, bool], int] = {}
    for p in placements:
        put[p.line_id, p.surplus] = put.get((p.line_id, p.surplus), 0) + p.count
    clocks, shorts = [], []
    for d in demand:
        left = d.count - put.get((d.line_id, d.surplus), 0)
        if left <= 0:
            continue
        if outlasts_window(d, scenario.conditions.window_h):
            clocks.append(
                WarmClock(
                    line_id=lines[d.line_id].id,
                    count=left,
                    until=d.safe_until,
                    why="allowance outlasts the window",
                )
            )
            continue
        shorts.append(
            Shortfall(
                line_id=d.line_id,
                tier=d.tier,
                count=left,
                surplus=d.surplus,
                reason=ReasonFamily.VOLUME,
                detail="not placed",
                safe_until=d.safe_until,
                next_step="borrow",
            )
        )
    return tuple(clocks), tuple(shorts)
