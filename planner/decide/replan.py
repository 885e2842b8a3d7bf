"""The best plan, and among the best the one that moves the fewest bags.

The tiers come first, exactly as in a fresh plan: its values are held, then
bags that stand in the cold keep a cold place, then the fewest are carried.
"""

import time
from dataclasses import dataclass, replace

from planner.decide.allocation import Allocation
from planner.decide.conflict import conflict_cut
from planner.decide.hookup import fed_by_modes, wire
from planner.decide.instance import Instance
from planner.decide.placed import Placed
from planner.decide.placement import PlacementModel
from planner.decide.salvage import covers, used, within
from planner.decide.solver import Expr, value
from planner.decide.stage_values import StageValue
from planner.decide.stages import hold
from planner.decide.stays import Bags, Dealt, Stays
from planner.result import Hookup, Placement, ReasonFamily

_NODES = 300
_LEAN_NODES = 60
_TRIES = 3
_CUTS = 30


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """An allocation with its bags dealt to the lines."""

    allocation: Allocation
    placements: tuple[Placement, ...]


def fewest_moves(fresh: Allocation, standing: Bags, *, time_limit_s: float) -> Settled:
    """Place again with every tier value of ``fresh``, moving as little as possible.

    ``standing`` has the bags that stand in the cold, by lines and units of
    the same scenario; others are passed over.  The answer keeps the tier
    values and the proof of ``fresh``; that no fewer bags could be moved is
    searched to a limit of nodes and not proven.
    """
    search = _Search(fresh, standing, ends=time.monotonic() + time_limit_s)
    best = search.in_place()
    for look in (search.with_power_as_wired, search.anywhere):
        if _worth(best) == search.most:
            break
        other = look()
        if other is not None and _worth(other) > _worth(best):
            best = other
    dealt, hookups = best
    placed = replace(dealt.placed, stages=fresh.placed.stages, proven=fresh.proven)
    return Settled(
        allocation=replace(fresh, placed=placed, hookups=hookups),
        placements=dealt.placements,
    )


_Wired = tuple[Dealt, tuple[Hookup, ...]]


def _worth(found: _Wired) -> tuple[int, int]:
    return found[0].kept, found[0].stay


class _Search:
    """Three looks: the same places for goods, units as wired, and any unit."""

    def __init__(self, fresh: Allocation, standing: Bags, *, ends: float) -> None:
        self.fresh = fresh
        self.instance: Instance = fresh.instance
        self.standing = standing
        self.stages = fresh.placed.stages
        self.ends = ends
        self.fed = fed_by_modes(
            self.instance, tuple(c.mode for c in fresh.placed.choices)
        )

    @property
    def most(self) -> tuple[int, int]:
        """Worth of a plan in which nothing is carried."""
        bags = {part.line_id: 0 for good in self.instance.goods for part in good.parts}
        for (line_id, _, _), n in self.standing.items():
            if line_id in bags:
                bags[line_id] += n
        return sum(bags.values()), sum(bags.values())

    @property
    def left_s(self) -> float:
        return max(0.1, self.ends - time.monotonic())

    def in_place(self) -> _Wired:
        """The placement as it is; only which line gets which bag is open."""
        placed = self.fresh.placed
        pm = PlacementModel(
            modes_only(self.instance, placed), relax=frozenset({ReasonFamily.POWER})
        )
        for key, bags in pm.bags.items():
            pm.model.add("T", bags == placed.counts.get(key, 0))
        dealt = solve(pm, self.standing, self.stages, time_limit_s=60.0, lean=False)
        if dealt is None:
            msg = "the bags of a placement cannot be dealt to its lines"
            raise AssertionError(msg)
        return replace(dealt, placed=placed), self.fresh.hookups

    def with_power_as_wired(self) -> _Wired | None:
        """Any placement that the wiring in hand feeds."""
        pm = PlacementModel(
            within(self.instance, self.fed), relax=frozenset({ReasonFamily.POWER})
        )
        hold(pm, self.stages)
        dealt = solve(pm, self.standing, self.stages, time_limit_s=self.left_s)
        if dealt is None:
            return None
        modes = tuple(c.mode for c in dealt.placed.choices)
        return dealt, used(self.fresh.hookups, fed_by_modes(self.instance, modes))

    def anywhere(self) -> _Wired | None:
        """Any placement at all, wired anew where it must be."""
        cuts = list(self.fresh.cuts)
        for _ in range(_TRIES):
            pm = PlacementModel(self.instance, cuts=tuple(cuts), check=self.fresh.check)
            hold(pm, self.stages)
            dealt = solve(pm, self.standing, self.stages, time_limit_s=self.left_s)
            if dealt is None:
                return None
            modes = tuple(c.mode for c in dealt.placed.choices)
            fed = fed_by_modes(self.instance, modes)
            if covers(self.fed, fed):
                return dealt, used(self.fresh.hookups, fed)
            wiring = wire(self.instance, fed, ends=self.ends)
            if wiring.hookups is not None:
                return dealt, wiring.hookups
            if time.monotonic() > self.ends:
                return None
            cuts.append(conflict_cut(self.instance, modes, ends=self.ends))
        return None


def solve(
    pm: PlacementModel,
    standing: Bags,
    stages: tuple[StageValue, ...],
    *,
    time_limit_s: float,
    lean: bool = True,
    nodes: int = _NODES,
) -> Dealt | None:
    """Most bags kept in the cold, then most in their place, then least load.

    ``None`` when the model has no answer or none was found in time.
    """
    stays = Stays(pm, standing, stages)
    ends = time.monotonic() + time_limit_s
    if not minimise_cut(pm, -(stays.most * stays.kept) - stays.staying, ends, nodes):
        return None
    dealt = stays.read(stages, proven=False)
    if not lean:
        return dealt
    kept, staying = round(value(stays.kept)), round(value(stays.staying))
    pm.model.add("M", stays.kept >= kept)
    pm.model.add("M", stays.staying >= staying)
    if minimise_cut(pm, pm.load_cost(), ends, _LEAN_NODES, whole_objective=False):
        dealt = stays.read(stages, proven=False)
    return dealt


def minimise_cut(
    pm: PlacementModel,
    objective: Expr,
    ends: float,
    nodes: int,
    *,
    whole_objective: bool = True,
) -> bool:
    """Solve, cutting off what no wiring can carry as far as it is seen at once."""
    for _ in range(_CUTS):
        outcome = pm.model.minimise(
            objective,
            time_limit_s=ends - time.monotonic(),
            whole_objective=whole_objective,
            node_limit=nodes,
        )
        if not outcome.found:
            return False
        if not pm.cut_off(pm.read((), proven=False)):
            return True
    return False


def modes_only(instance: Instance, placed: Placed) -> Instance:
    """The same scenario with the modes of a placement and no others."""
    chosen = {id(c.mode) for c in placed.choices}
    return replace(
        instance,
        modes=tuple(
            tuple(m for m in mine if id(m) in chosen) for mine in instance.modes
        ),
    )
