"""Placement and hookup together: place, wire, cut what cannot be wired."""

import time
from collections.abc import Callable
from dataclasses import dataclass, replace

from planner.decide.hookup import fed_by_modes, wire
from planner.decide.instance import Fed, Instance, Mode
from planner.decide.placement import Cut, Placed, PlacementModel, solve_stages
from planner.result import Hookup
from planner.scenario import ColdUnit

Progress = Callable[[str], None]
_ROUNDS = 60
_WIRE_LIMIT_S = 20.0


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
    cuts: tuple[Cut, ...] = (),
    budget: int | None = None,
    forced: frozenset[str] = frozenset(),
    progress: Progress | None = None,
) -> Allocation | None:
    """Best placement that can be wired; ``None`` when time ran out first."""
    ends = time.monotonic() + time_limit_s
    sound = True
    loads_fed = True
    for _ in range(_ROUNDS):
        left_s = ends - time.monotonic()
        if left_s <= 0:
            return None
        model = PlacementModel(instance, cuts=cuts, budget=budget, forced=forced)
        placed = solve_stages(model, time_limit_s=left_s, progress=progress)
        if placed is None:
            if not instance.loads:
                return None
            instance, loads_fed, cuts = without_power(instance), False, ()
            continue
        modes = tuple(c.mode for c in placed.choices)
        if instance.optional:
            wired_in = without_untaken(instance, placed.taken)
        else:
            wired_in = instance
        if progress is not None:
            progress("hookup")
        fed = fed_by_modes(wired_in, modes)
        limit_s = min(_WIRE_LIMIT_S, max(1.0, ends - time.monotonic()))
        wiring = wire(wired_in, fed, time_limit_s=limit_s)
        if wiring.hookups is not None:
            return Allocation(
                instance=instance,
                placed=placed,
                hookups=wiring.hookups,
                proven=sound and placed.proven,
                loads_fed=loads_fed,
                cuts=cuts,
            )
        if not modes:
            instance, loads_fed, cuts = without_power(instance), False, ()
            continue
        sound = sound and wiring.proven
        cuts = (*cuts, _least_conflict(wired_in, modes, limit_s))
    return None


def _power_left_out(wired: Instance) -> frozenset[str]:
    """Power equipment of the scenario that a wiring did without."""
    there = {b.id for b in wired.batteries}
    there |= {p.id for p in wired.panels}
    there |= {s.id for s in wired.feeds}
    power = [e.id for e in wired.scenario.equipment if not isinstance(e, ColdUnit)]
    return frozenset(i for i in power if i not in there)


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


def _least_conflict(instance: Instance, modes: tuple[Mode, ...], limit_s: float) -> Cut:
    """A smallest set of modes that still cannot be wired (deletion filter)."""
    powered = [m for m in modes if instance.units[m.unit].powered]

    def fails(some: list[Mode]) -> bool:
        fed: tuple[Fed, ...] = fed_by_modes(instance, tuple(some))
        if not fed:
            return False
        found = wire(instance, fed, time_limit_s=limit_s, polish=False)
        return found.hookups is None and found.proven

    kept = list(powered)
    for mode in powered:
        fewer = [m for m in kept if m is not mode]
        if fails(fewer):
            kept = fewer
    # The same units at their least load: if even that fails, more is cut away.
    for i, mode in enumerate(kept):
        lighter = [*kept[:i], _least_load(instance, mode), *kept[i + 1 :]]
        if lighter[i] is not mode and fails(lighter):
            kept = lighter
    return Cut(modes=tuple(kept), absent=_power_left_out(instance))


def _least_load(instance: Instance, mode: Mode) -> Mode:
    """The mode of the same unit and set points that draws least."""
    same = [m for m in instance.modes[mode.unit] if m.set_points_c == mode.set_points_c]
    return min(same, key=lambda m: (float(m.load_w.sum()), m.fill))
