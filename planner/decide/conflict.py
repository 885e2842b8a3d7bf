"""Why a set of units cannot be wired: a least conflicting set, as a cut."""

from planner.decide.hookup import fed_by_modes, wire
from planner.decide.instance import Instance, Mode
from planner.decide.placement import Cut
from planner.scenario import ColdUnit

_FILTER_NODES = 60


def least_conflict(instance: Instance, modes: tuple[Mode, ...], *, ends: float) -> Cut:
    """Smallest set of modes that still cannot be wired.

    A unit is dropped from the set when the rest is proven to conflict
    without it; then each unit is tried at its least load, so that one cut
    takes away all its heavier ways to run.
    """

    def fails(some: list[Mode]) -> bool:
        fed = fed_by_modes(instance, tuple(some))
        if not fed:
            return False
        found = wire(instance, fed, ends=ends, polish=False, nodes=_FILTER_NODES)
        return found.hookups is None and found.proven

    kept = [m for m in modes if instance.units[m.unit].powered]
    for mode in list(kept):
        fewer = [m for m in kept if m is not mode]
        if fails(fewer):
            kept = fewer
    for i, mode in enumerate(list(kept)):
        lightest = _least_load(instance, mode)
        lighter = [*kept[:i], lightest, *kept[i + 1 :]]
        if lightest.fill < mode.fill and fails(lighter):
            kept = lighter
    return Cut(modes=tuple(kept), absent=_power_left_out(instance))


def _least_load(instance: Instance, mode: Mode) -> Mode:
    """The way to run the unit at these set points that draws least."""
    same = [m for m in instance.modes[mode.unit] if m.set_points_c == mode.set_points_c]
    return min(same, key=lambda m: m.fill)


def _power_left_out(wired: Instance) -> frozenset[str]:
    """Power equipment of the scenario that a wiring did without."""
    there = {b.id for b in wired.batteries}
    there |= {p.id for p in wired.panels}
    there |= {s.id for s in wired.feeds}
    power = [e.id for e in wired.scenario.equipment if not isinstance(e, ColdUnit)]
    return frozenset(i for i in power if i not in there)
