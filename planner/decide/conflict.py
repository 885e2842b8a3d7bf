"""Why a set of units cannot be wired: the cut that says so."""

from planner.decide.hookup import fed_by_modes, wire
from planner.decide.instance import Instance, Mode
from planner.decide.placement import Cut
from planner.scenario import ColdUnit

_FILTER_NODES = 400


def conflict_cut(instance: Instance, modes: tuple[Mode, ...], *, ends: float) -> Cut:
    """A set of modes that cannot be wired, small or light where that is cheap.

    First each unit by itself, then all of them at their least load, so that
    one cut takes away every heavier way to run them; else the set as it is.
    Dropping units one by one finds smaller sets but costs a search each, and
    on scarce halls, where all units together ask too much, found none.
    """

    def fails(some: list[Mode]) -> bool:
        fed = fed_by_modes(instance, tuple(some))
        if not fed:
            return False
        found = wire(instance, fed, ends=ends, polish=False, nodes=_FILTER_NODES)
        return found.hookups is None and found.proven

    powered = [m for m in modes if instance.units[m.unit].powered]
    absent = _power_left_out(instance)
    lightest = [_least_load(instance, m) for m in powered]
    for light, mode in zip(lightest, powered, strict=True):
        for alone in (light, mode):
            if fails([alone]):
                return Cut(modes=(alone,), absent=absent)
    kept = lightest if fails(lightest) else powered
    return Cut(modes=tuple(kept), absent=absent)


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
