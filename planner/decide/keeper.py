"""Looks for room for one line more, with everybody who is placed keeping theirs.

Asked of the scenario as it is, or after a change.  First with the wiring in
hand, then with one more plug, then wired anew.  Work is counted in columns of
the models solved, not in seconds, so that the same input asks the same.
"""

import time
from collections.abc import Collection, Mapping
from dataclasses import replace
from itertools import islice

from planner.decide.allocation import Allocation
from planner.decide.assign import dealt
from planner.decide.beside import Standing, standing, ways_beside
from planner.decide.conflict import conflict_cut
from planner.decide.cuts import Cut
from planner.decide.hookup import fed_by_modes, wire
from planner.decide.instance import Instance, build, without_power
from planner.decide.kept import (
    BagKey,
    Depth,
    Held,
    Look,
    bags_of_goods,
    hold_goods,
    kept_by,
    stages_of,
)
from planner.decide.least import Seen
from planner.decide.notes import units_in_use
from planner.decide.one_plug import plug_in, unplugged
from planner.decide.one_site import cannot
from planner.decide.placed import Placed
from planner.decide.placement import PlacementModel
from planner.decide.power_check import PowerCheck
from planner.decide.salvage import covers, used, within
from planner.decide.simulate import thin_hours
from planner.decide.solver import Answer, Expr, Outcome, total
from planner.decide.triage import demands
from planner.errors import UsageError
from planner.result import Demand, Hookup, Placement, Plan, ReasonFamily
from planner.result_reasons import Change
from planner.scenario import Scenario, Status

_SOLVE_LIMIT_S = 5.0
_NODES = 50
_FEW_NODES = 20
_ANEW = 3
_CUTS = 30
_MOST_WAYS = 8
_PLUG_COLUMNS = 2
"""What trying one plug hour by hour counts as."""
_WIRE_COLUMNS = 1000
"""What one look for a wiring counts as."""
_LARGE_COLUMNS = 700
"""Larger models are left out where the work is counted: each takes seconds."""
_NEW_PLUG_KWH = 100.0


_UNKNOWN = Look(seen=Seen.UNKNOWN)


class Keeper:
    """Holds what a plan gives to everybody, and looks for room beside it."""

    def __init__(self, held: Held, *, columns: int | None = None) -> None:
        """``columns`` is the work that may be done; ``None`` is any amount."""
        self.held = held
        self.instance = held.instance
        self.fed = held.fed
        self.hookups = held.hookups
        self.kept = kept_by(held.placements)
        self.loads_fed = held.loads_fed
        self.columns = columns
        self.lacking: dict[tuple[tuple[str, bytes], ...], Change | None] = {}
        self._now: Standing | None = None
        there = {*self.instance.power_ids, *(u.id for u in self.instance.units)}
        self.loans = frozenset(
            kit.id
            for kit in self.instance.scenario.equipment
            if kit.availability.status is Status.OFFERED and kit.id in there
        )

    def tired(self) -> bool:
        """True when the work that may be done is done."""
        return self.columns is not None and self.columns <= 0

    def numbers(self, scenario: Scenario) -> tuple[Instance, tuple[Demand, ...]]:
        """A changed scenario as numbers, with the same loans."""
        demand = demands(scenario)
        instance = build(scenario, demand, loans=self.loans)
        return (instance if self.loads_fed else without_power(instance)), demand

    def look(
        self,
        scenario: Scenario,
        line_id: str,
        *,
        surplus: bool,
        bags: int,
        depths: Collection[Depth] = tuple(Depth),
    ) -> Look:
        """Whether that many more bags of a line have a place after a change.

        A proven no comes from the last of the depths alone.
        """
        instance, demand = self.numbers(scenario)
        self._spend(len(instance.goods))
        wanted = self.wanted(line_id, surplus=surplus, bags=bags)
        exactly = bags_of_goods(instance, wanted)
        if exactly is None:
            return Look(seen=Seen.NO)
        found = _UNKNOWN
        for depth in sorted(depths):
            if depth is Depth.BESIDE:
                found = self._beside(instance, line_id, surplus=surplus, bags=bags)
            elif not self.tired() and depth is Depth.MOVED:
                found = self._as_wired(instance, exactly)
                if found.seen is Seen.UNKNOWN:
                    found = self._one_plug_more(instance, exactly)
            elif not self.tired():
                found = self._wired_anew(instance, exactly)
            if found.seen is not Seen.UNKNOWN:
                break
        if found.allocation is None:
            return found
        placed = found.allocation.placed
        given = dealt(instance, placed, wanted)
        placed = replace(placed, stages=stages_of(instance, given))
        return replace(
            found,
            allocation=replace(found.allocation, placed=placed),
            dealt=given,
            demand=demand,
        )

    def wanted(self, line_id: str, *, surplus: bool, bags: int) -> dict[BagKey, int]:
        """What is kept, and so many bags more."""
        wanted = dict(self.kept)
        wanted[line_id, surplus] = wanted.get((line_id, surplus), 0) + bags
        return wanted

    def beside(
        self, instance: Instance, line_id: str, *, surplus: bool, bags: int
    ) -> tuple[Placed, ...]:
        """Placements in which nobody moves, power left out of account."""
        there = self._standing(instance)
        g = next(
            (
                g
                for g, good in enumerate(instance.goods)
                if good.surplus is surplus
                and any(part.line_id == line_id for part in good.parts)
            ),
            None,
        )
        if there is None or g is None:
            return ()
        found = tuple(islice(ways_beside(instance, there, g, bags), _MOST_WAYS))
        self._spend(_PLUG_COLUMNS * len(found) * len(instance.batteries))
        return found

    def _standing(self, instance: Instance) -> Standing | None:
        """What stands, in the numbers of an instance; those of the plan are kept."""
        if instance is not self.instance:
            return standing(instance, self.held.placements, self.held.uses)
        if self._now is None:
            self._now = standing(instance, self.held.placements, self.held.uses)
        return self._now

    def _beside(
        self, instance: Instance, line_id: str, *, surplus: bool, bags: int
    ) -> Look:
        """Nobody moves and every plug stays; what is new gets a free socket."""
        for placed in self.beside(instance, line_id, surplus=surplus, bags=bags):
            fed = fed_by_modes(instance, tuple(c.mode for c in placed.choices))
            hookups = plug_in(instance, fed, self.hookups)
            if hookups is not None:
                return self._yes(instance, placed, hookups)
        return _UNKNOWN

    def _as_wired(self, instance: Instance, exactly: Mapping[int, int]) -> Look:
        """With every plug where it is."""
        pm = PlacementModel(
            within(instance, self.fed), relax=frozenset({ReasonFamily.POWER})
        )
        hold_goods(pm, exactly)
        if not self.solve(pm, pm.load_cost(), loose=True).found:
            return _UNKNOWN
        placed = pm.read((), proven=False)
        fed = fed_by_modes(instance, tuple(c.mode for c in placed.choices))
        hookups = used(self.hookups, fed)
        bare = unplugged(fed, hookups)
        if bare or not covers(self.fed, fed) or thin_hours(instance, fed, hookups):
            return _UNKNOWN
        return self._yes(instance, placed, hookups)

    def _one_plug_more(self, instance: Instance, exactly: Mapping[int, int]) -> Look:
        """With every plug where it is, and what is new in a free socket."""
        placed = self.were_power_there(instance, exactly)
        if placed is None:
            return _UNKNOWN
        fed = fed_by_modes(instance, tuple(c.mode for c in placed.choices))
        hookups = plug_in(instance, fed, self.hookups)
        return _UNKNOWN if hookups is None else self._yes(instance, placed, hookups)

    def were_power_there(
        self, instance: Instance, exactly: Mapping[int, int]
    ) -> Placed | None:
        """Fewest units plugged in anew, at the least load, were power no question."""
        pm = PlacementModel(instance, relax=frozenset({ReasonFamily.POWER}))
        hold_goods(pm, exactly)
        there = {f.consumer.id for f in self.fed}
        anew = total(
            pm.pick[u, i]
            for u, options in enumerate(pm.choices)
            for i in range(len(options))
            if instance.units[u].powered and instance.units[u].id not in there
        )
        objective = pm.load_cost() + _NEW_PLUG_KWH * anew
        if not self.solve(pm, objective, loose=True).found:
            return None
        return pm.read((), proven=False)

    def _wired_anew(self, instance: Instance, exactly: Mapping[int, int]) -> Look:
        check = PowerCheck(instance)
        cuts: list[Cut] = []
        proven = True
        for _ in range(_ANEW):
            pm = PlacementModel(instance, cuts=tuple(cuts), check=check)
            if self.columns is not None and pm.model.size[0] > _LARGE_COLUMNS:
                return _UNKNOWN
            hold_goods(pm, exactly)
            outcome = self.solve(pm, pm.load_cost(), loose=True)
            if outcome.answer is Answer.INFEASIBLE and proven:
                return Look(seen=Seen.NO)
            if not outcome.found or self.tired():
                return _UNKNOWN
            placed = pm.read((), proven=False)
            modes = tuple(c.mode for c in placed.choices)
            fed = fed_by_modes(instance, modes)
            hookups = plug_in(instance, fed, self.hookups)
            if hookups is not None:
                return self._yes(instance, placed, hookups)
            ends = time.monotonic() + _SOLVE_LIMIT_S
            if self.columns is not None:
                # Where work is counted only what is soon proven is worth it.
                self._spend(2 * _WIRE_COLUMNS)
                if self.tired() or not cannot(instance, fed, ends=ends):
                    return _UNKNOWN
            else:
                wiring = wire(instance, fed, ends=ends, polish=False)
                if wiring.hookups is not None:
                    return self._yes(instance, placed, wiring.hookups)
                proven = proven and wiring.proven
            cuts.append(conflict_cut(instance, modes, ends=ends, few=False))
        return _UNKNOWN

    def _yes(
        self, instance: Instance, placed: Placed, hookups: tuple[Hookup, ...]
    ) -> Look:
        return Look(
            seen=Seen.YES,
            allocation=Allocation(
                instance=instance,
                placed=placed,
                hookups=hookups,
                proven=False,
                loads_fed=self.loads_fed,
                cuts=(),
                check=PowerCheck(instance),
            ),
        )

    def solve(
        self, pm: PlacementModel, objective: Expr, *, loose: bool = False
    ) -> Outcome:
        """Solve, cutting off what no wiring can carry in shares.

        ``loose`` is for when any good answer will do.
        """
        outcome = Outcome(answer=Answer.UNKNOWN, objective=0.0, bound=0.0)
        for _ in range(_CUTS):
            # A share of it for the program that looks for a cut.
            self._spend(pm.model.size[0] * (1 if pm.check is None else 2))
            outcome = pm.model.minimise(
                objective,
                time_limit_s=_SOLVE_LIMIT_S,
                node_limit=_FEW_NODES if loose else _NODES,
                loose=loose,
                lean=True,
            )
            if not outcome.found or not pm.cut_off(pm.read((), proven=False)):
                return outcome
            if self.tired():
                break
        return replace(outcome, answer=Answer.UNKNOWN)

    def _spend(self, columns: int) -> None:
        if self.columns is not None:
            self.columns -= columns


def keeper_of(
    allocation: Allocation,
    placements: tuple[Placement, ...],
    *,
    columns: int | None = None,
) -> Keeper:
    """A keeper of what an allocation gives."""
    modes = tuple(c.mode for c in allocation.placed.choices)
    held = Held(
        instance=allocation.instance,
        fed=fed_by_modes(allocation.instance, modes),
        hookups=allocation.hookups,
        placements=placements,
        uses=units_in_use(allocation),
        loads_fed=allocation.loads_fed,
    )
    return Keeper(held, columns=columns)


def keeper_of_plan(plan: Plan, *, loads_fed: bool) -> Keeper:
    """A keeper of what a plan gives, with all the time it needs.

    Raises
    ------
    UsageError
        A unit of the plan runs in a way that its scenario does not know.
    """
    instance = build(plan.scenario, plan.demands)
    if not loads_fed:
        instance = without_power(instance)
    there = standing(instance, plan.placements, plan.units_on)
    if there is None:
        raise UsageError("the plan is not one of its scenario")
    held = Held(
        instance=instance,
        fed=fed_by_modes(instance, tuple(there.modes.values())),
        hookups=plan.hookups,
        placements=plan.placements,
        uses=plan.units_on,
        loads_fed=loads_fed,
    )
    return Keeper(held)
