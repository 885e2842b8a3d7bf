"""Why a set of units cannot be wired: the cut that says so."""

import itertools
from concurrent.futures import ThreadPoolExecutor

import numpy as np

from planner.decide.blocks import plug_periods
from planner.decide.cuts import Cut, draws_no_less
from planner.decide.hookup import fed_by_modes
from planner.decide.instance import Instance, Mode, consumer_of_unit
from planner.decide.one_site import cannot, soon_said
from planner.decide.stations import roams
from planner.decide.trial import try_wiring
from planner.scenario import ColdUnit

_AT_ONCE = 2
_MOST_CUTS = 12
_MOST_TRIED = 200


def conflict_cut(
    instance: Instance, modes: tuple[Mode, ...], *, ends: float, few: bool = True
) -> Cut:
    """A set of modes that cannot be wired, made as small and light as is cheap.

    First all units at their least load, then as few of them as still fail; a
    cut takes away every heavier way to run its units, so the lighter and the
    fewer they are, the more it says.  Without ``few`` the second is left out.
    """
    powered = [m for m in modes if instance.units[m.unit].powered]
    periods = plug_periods(instance, swaps=True)
    every = fed_by_modes(instance, tuple(powered))
    small = soon_said(instance, every, periods)

    def fails(some: list[Mode]) -> bool:
        if not some:
            return False
        fed = fed_by_modes(instance, tuple(some))
        if small or roams(instance):
            return cannot(instance, fed, ends=ends)
        # A trial that finds a wiring is over sooner than a proof in vain.
        tried = try_wiring(instance, fed, periods)
        return tried.hookups is None and cannot(instance, fed, ends=ends)

    lightest = [_least_load(instance, m) for m in powered]
    kept = list(powered)
    if fails(lightest):
        kept = lightest
        one_less = [[m for m in lightest if m is not mode] for mode in lightest]
        with ThreadPoolExecutor(_AT_ONCE) as pool:
            # Small ones are over before a thread has begun.
            each = map if small else pool.map
            fail = list(each(fails, one_less if few else []))
        # What goes without one goes without more: only the others are tried on.
        for mode in itertools.compress(lightest, fail):
            fewer = [m for m in kept if m is not mode]
            if len(fewer) == len(lightest) - 1 or fails(fewer):
                kept = fewer
    return Cut(modes=tuple(kept), absent=_power_left_out(instance))


def with_twins(instance: Instance, cut: Cut) -> tuple[Cut, ...]:
    """The cut, and the same for units that are no easier to feed.

    A wiring that carries one of these in the place of a unit of the cut would
    carry the cut's own unit, so there is none.
    """
    choices = [[mode, *_twins(instance, mode)] for mode in cut.modes]
    found: dict[tuple[tuple[str, float, tuple[float, ...]], ...], Cut] = {}
    for some in itertools.islice(itertools.product(*choices), _MOST_TRIED):
        if len({m.unit for m in some}) < len(some):
            continue
        key = tuple(sorted((m.unit_id, m.fill, m.set_points_c) for m in some))
        found.setdefault(key, Cut(modes=some, absent=cut.absent))
        if len(found) == _MOST_CUTS:
            break
    return tuple(found.values())


def _twins(instance: Instance, mode: Mode) -> list[Mode]:
    """The lightest way to run every other unit that is no easier to feed."""
    mine = consumer_of_unit(instance.units[mode.unit], instance.hours)
    found = []
    for u, unit in enumerate(instance.units):
        who = consumer_of_unit(unit, instance.hours)
        if u == mode.unit or not unit.powered or who.place != mine.place:
            continue
        no_easier = (
            who.supply is mine.supply
            and who.running_w >= mine.running_w
            and who.surge_w >= mine.surge_w
            and bool(np.all(who.needed >= mine.needed))
        )
        ways = [m for m in instance.modes[u] if no_easier and draws_no_less(m, mode)]
        found += sorted(ways, key=lambda m: (m.load_w.sum(), m.fill))[:1]
    return found


def _least_load(instance: Instance, mode: Mode) -> Mode:
    """The way to run the unit at these set points that draws least."""
    same = [m for m in instance.modes[mode.unit] if m.set_points_c == mode.set_points_c]
    return min(same, key=lambda m: m.fill)


def _power_left_out(wired: Instance) -> frozenset[str]:
    """Power equipment of the scenario that a wiring did without."""
    power = [e.id for e in wired.scenario.equipment if not isinstance(e, ColdUnit)]
    return frozenset(i for i in power if i not in wired.power_ids)
