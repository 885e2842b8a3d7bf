"""Why a set of units cannot be wired: the cut that says so."""

from planner.decide.hookup import cannot, fed_by_modes
from planner.decide.instance import Instance, Mode
from planner.decide.placement import Cut
from planner.scenario import ColdUnit


def conflict_cut(
    instance: Instance, modes: tuple[Mode, ...], *, ends: float, few: bool = True
) -> Cut:
    """A set of modes that cannot be wired, made as small and light as is cheap.

    First all units at their least load, then as few of them as still fail; a
    cut takes away every heavier way to run its units, so the lighter and the
    fewer they are, the more it says.  Without ``few`` the second is left out.
    """
    powered = [m for m in modes if instance.units[m.unit].powered]

    def fails(some: list[Mode]) -> bool:
        return cannot(instance, fed_by_modes(instance, tuple(some)), ends=ends)

    lightest = [_least_load(instance, m) for m in powered]
    kept = list(powered)
    if fails(lightest):
        kept = lightest
        for mode in lightest if few else ():
            fewer = [m for m in kept if m is not mode]
            if fewer and fails(fewer):
                kept = fewer
    return Cut(modes=tuple(kept), absent=_power_left_out(instance))


def _least_load(instance: Instance, mode: Mode) -> Mode:
    """The way to run the unit at these set points that draws least."""
    same = [m for m in instance.modes[mode.unit] if m.set_points_c == mode.set_points_c]
    return min(same, key=lambda m: m.fill)


def _power_left_out(wired: Instance) -> frozenset[str]:
    """Power equipment of the scenario that a wiring did without."""
    power = [e.id for e in wired.scenario.equipment if not isinstance(e, ColdUnit)]
    return frozenset(i for i in power if i not in wired.power_ids)
