"""What one change would give on top of the plan in force."""

from collections.abc import Callable

from planner.decide.allocation import Allocation
from planner.decide.borrow_gain import climb_all
from planner.decide.borrow_pool import lent
from planner.decide.instance import build
from planner.decide.least import Seen, least
from planner.decide.stage_values import StageValue, needs
from planner.decide.triage import outlasts_window
from planner.result import Demand, Placement, TierGain
from planner.result_borrow import OtherKind, OtherStep
from planner.scenario import Scenario, Tier

_EFFORT = {
    OtherKind.THERMOMETER: 1,
    OtherKind.LEAD: 1,
    OtherKind.COOL_SHELF: 1,
    OtherKind.REPACK: 2,
    OtherKind.INVERTER: 2,
    OtherKind.ICE: 3,
    OtherKind.REFILL: 3,
    OtherKind.OTHER_PLACE: 3,
    OtherKind.MOVE_PERSON: 5,
}
"""1 little to 5 much, an estimate."""
_TRIES = 7

Short = dict[Tier, tuple[int, int]]
"""Bags and households of the need without a cold place, by tier."""


class Looks:
    """The plan in force, and what it would be with one thing changed."""

    def __init__(
        self,
        scenario: Scenario,
        demand: tuple[Demand, ...],
        base: Allocation,
        placed: tuple[Placement, ...],
    ) -> None:
        self.scenario, self.demand, self.base = scenario, demand, base
        self.lines = {line.id: line for line in scenario.lines}
        got: dict[tuple[str, bool], int] = {}
        for p in placed:
            got[p.line_id, p.surplus] = got.get((p.line_id, p.surplus), 0) + p.count
        window_h = scenario.conditions.window_h
        self.short = [
            (d, left)
            for d in demand
            if not d.surplus
            and not outlasts_window(d, window_h)
            and (left := d.count - got.get((d.line_id, False), 0)) > 0
        ]
        self.solved = 0

    # -- what a change would give ----------------------------------------------

    def stages_with(
        self, scenario: Scenario, demand: tuple[Demand, ...], more: frozenset[str]
    ) -> tuple[StageValue, ...]:
        """What the needs would get with a change, none of them losing."""
        loans = lent(self.base.instance) | more
        instance = build(scenario, demand, loans=loans)
        self.solved += 1
        return climb_all(instance, self.base)

    def gains(
        self, scenario: Scenario, *, more: frozenset[str] = frozenset()
    ) -> tuple[TierGain, ...]:
        """What a changed scenario serves more."""
        return gains_of(
            self.base.placed.stages, self.stages_with(scenario, self.demand, more)
        )

    def step(
        self,
        kind: OtherKind,
        gains: tuple[TierGain, ...],
        *,
        amount: float = 0.0,
        place: str = "",
        line_ids: tuple[str, ...] = (),
    ) -> list[OtherStep]:
        """A step, or none when it serves no bag."""
        if not any(g.bags > 0 for g in gains):
            return []
        return [
            OtherStep(
                kind=kind,
                gains=gains,
                effort=_EFFORT[kind],
                amount=amount,
                place=place,
                line_ids=line_ids,
            )
        ]

    def counted(self, some: list[tuple[Demand, int]]) -> tuple[TierGain, ...]:
        """Bags of some demands as gains."""
        return tuple(
            TierGain(tier=tier, bags=bags, households=0)
            for tier in Tier
            if (bags := sum(left for d, left in some if d.tier is tier))
        )

    def short_place(self) -> str:
        """Where most bags are short, most urgent tier first."""
        count: dict[str, list[int]] = {}
        for d, left in self.short:
            here = count.setdefault(self.lines[d.line_id].place, [0] * len(Tier))
            here[list(Tier).index(d.tier)] += left
        return min(
            count,
            key=lambda name: ([-n for n in count[name]], name),
            default=self.scenario.places[0].name,
        )


def rank(step: OtherStep) -> tuple[int, ...]:
    """Most urgent gain first."""
    by_tier = {g.tier: g for g in step.gains}
    return tuple(
        -n
        for tier in Tier
        for n in (
            (by_tier[tier].households, by_tier[tier].bags)
            if tier in by_tier
            else (0, 0)
        )
    )


def gains_of(
    old: tuple[StageValue, ...], new: tuple[StageValue, ...]
) -> tuple[TierGain, ...]:
    """Bags and households no longer short, by tier; what is gone is not short."""
    before, after = _short(old), _short(new)
    found = []
    for tier in Tier:
        bags = before.get(tier, (0, 0))[0] - after.get(tier, (0, 0))[0]
        homes = before.get(tier, (0, 0))[1] - after.get(tier, (0, 0))[1]
        if bags or homes:
            found.append(TierGain(tier=tier, bags=bags, households=homes))
    return tuple(found)


def _short(stages: tuple[StageValue, ...]) -> Short:
    return {
        s.tier: (s.needed - s.met, s.households - s.households_met)
        for s in needs(stages)
    }


def least_gain(
    gain: Callable[[int], tuple[TierGain, ...]], most: int, *, least_too: bool
) -> tuple[tuple[TierGain, ...], int]:
    """What the most gives, and the fewest steps that give as much."""
    wanted = gain(most)
    if not wanted or not least_too:
        return wanted, most
    found = least(
        lambda n: Seen.YES if n > 0 and gain(n) == wanted else Seen.NO,
        high=most,
        tries=_TRIES,
    )
    return wanted, max(1, found.steps)
