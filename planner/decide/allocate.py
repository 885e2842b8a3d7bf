"""Placement and hookup together: place, wire, cut what cannot be wired."""

import time
from collections.abc import Callable
from dataclasses import dataclass, field, replace

from planner.decide.conflict import conflict_cut
from planner.decide.hookup import fed_by_modes, wire
from planner.decide.instance import Instance
from planner.decide.placement import Cut, Placed, PlacementModel
from planner.decide.stages import same_again, solve_stages
from planner.result import Hookup

Progress = Callable[[str], None]
_ROUNDS = 80


@dataclass(slots=True, kw_only=True)
class CutPool:
    """Cuts found so far; every later solve of the same scenario uses them.

    ``sound`` is False once a cut was made without proof that it is one.
    """

    cuts: list[Cut] = field(default_factory=list)
    sound: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Allocation:
    """A placement with a wiring that carries it.

    ``proven`` says that every tier value equals its bound and that every
    cut used on the way was itself proven.  ``loads_fed`` is False when the
    loads before the fridges cannot be carried; then no unit gets power.
    """

    instance: Instance
    placed: Placed
    hookups: tuple[Hookup, ...]
    proven: bool
    loads_fed: bool
    cuts: tuple[Cut, ...]


def allocate(
    instance: Instance,
    *,
    time_limit_s: float,
    pool: CutPool | None = None,
    budget: int | None = None,
    forced: frozenset[str] = frozenset(),
    progress: Progress | None = None,
) -> Allocation | None:
    """Best placement that can be wired; ``None`` when time ran out first."""
    search = _Search(
        instance=instance,
        pool=pool or CutPool(),
        ends=time.monotonic() + time_limit_s,
        budget=budget,
        forced=forced,
        tell=progress or (lambda _what: None),
    )
    for _ in range(_ROUNDS):
        if time.monotonic() >= search.ends:
            return None
        found = search.round()
        if found is not None:
            return found
        if search.stuck:
            return None
    return None


@dataclass(slots=True, kw_only=True)
class _Search:
    """State of one search for an allocation."""

    instance: Instance
    pool: CutPool
    ends: float
    budget: int | None
    forced: frozenset[str]
    tell: Progress
    before: Placed | None = None
    loads_fed: bool = True
    stuck: bool = False

    @property
    def left_s(self) -> float:
        return self.ends - time.monotonic()

    def round(self) -> Allocation | None:
        """One placement and one try to wire it."""
        placed = self._place()
        if placed is None:
            self._give_power_to_loads()
            return None
        self.before = placed
        modes = tuple(c.mode for c in placed.choices)
        wired_in = without_untaken(self.instance, placed.taken)
        self.tell("hookup")
        wiring = wire(wired_in, fed_by_modes(wired_in, modes), ends=self.ends)
        if wiring.hookups is not None:
            return Allocation(
                instance=self.instance,
                placed=placed,
                hookups=wiring.hookups,
                proven=self.pool.sound and placed.proven,
                loads_fed=self.loads_fed,
                cuts=tuple(self.pool.cuts),
            )
        if not any(self.instance.units[m.unit].powered for m in modes):
            self._give_power_to_loads()
            return None
        self.pool.sound = self.pool.sound and wiring.proven
        self.pool.cuts.append(conflict_cut(wired_in, modes, ends=self.ends))
        return None

    def _place(self) -> Placed | None:
        if self.before is not None:
            again = same_again(self._model(), self.before, time_limit_s=self.left_s)
            if again is not None:
                return again
        return solve_stages(self._model(), time_limit_s=self.left_s, progress=self.tell)

    def _model(self) -> PlacementModel:
        return PlacementModel(
            self.instance,
            cuts=tuple(self.pool.cuts),
            budget=self.budget,
            forced=self.forced,
        )

    def _give_power_to_loads(self) -> None:
        """No placement or wiring carries the loads before the fridges."""
        if not self.instance.loads:
            self.stuck = True
            return
        self.instance = without_power(self.instance)
        self.loads_fed = False
        self.before = None
        # Cuts were made for a wiring with those loads; none is needed now.
        self.pool = CutPool()


def without_power(instance: Instance) -> Instance:
    """The same scenario with every battery and source held for prior loads."""
    return replace(
        instance,
        batteries=(),
        limits=(),
        panels=(),
        sun_w=(),
        feeds=(),
        feed_on=(),
        loads=(),
    )


def without_untaken(instance: Instance, taken: frozenset[str]) -> Instance:
    """Drop offers that the placement did not take."""
    if not instance.optional:
        return instance

    def keep(item_id: str) -> bool:
        return item_id not in instance.optional or item_id in taken

    pick_b = [i for i, b in enumerate(instance.batteries) if keep(b.id)]
    pick_p = [i for i, p in enumerate(instance.panels) if keep(p.id)]
    pick_s = [i for i, s in enumerate(instance.feeds) if keep(s.id)]
    return replace(
        instance,
        batteries=tuple(instance.batteries[i] for i in pick_b),
        limits=tuple(instance.limits[i] for i in pick_b),
        panels=tuple(instance.panels[i] for i in pick_p),
        sun_w=tuple(instance.sun_w[i] for i in pick_p),
        feeds=tuple(instance.feeds[i] for i in pick_s),
        feed_on=tuple(instance.feed_on[i] for i in pick_s),
    )
