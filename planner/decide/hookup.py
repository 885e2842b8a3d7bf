"""Hookup: a real wiring for the units that are on.

Where batteries can be carried from place to place each is given one place, and
every place is wired by itself (``one_site.py``).
"""

import math
import time
from dataclasses import dataclass, field, replace

from planner.decide.blocks import plug_periods
from planner.decide.instance import (
    Fed,
    Instance,
    Mode,
    consumer_of_load,
    consumer_of_unit,
)
from planner.decide.one_site import Wiring, wire_site
from planner.decide.stations import Site, roams, share_out, sites, stands_in
from planner.decide.trial import LAST, nearly, try_wiring
from planner.result import Hookup

_SHARED_ANEW = 4
_FEW = 60
"""Consumers times batteries up to which several places are one problem too."""


def fed_by_modes(instance: Instance, modes: tuple[Mode, ...]) -> tuple[Fed, ...]:
    """Loads before the fridges, then the powered units of the modes."""
    hours = instance.hours
    first = [
        Fed(consumer=consumer_of_load(load), load_w=load.load_w)
        for load in instance.loads
    ]
    units = [
        Fed(consumer=consumer_of_unit(instance.units[m.unit], hours), load_w=m.load_w)
        for m in modes
        if instance.units[m.unit].powered
    ]
    return tuple(first + units)


def wire(
    instance: Instance,
    fed: tuple[Fed, ...],
    *,
    ends: float,
    polish: bool = True,
    prove: bool = True,
    quick: bool = False,
) -> Wiring:
    """Find a wiring for everything in ``fed`` before the clock says ``ends``.

    The search is bounded by nodes and steps, not seconds, so that the same
    input gives the same wiring on any machine.  Without ``prove`` no time is
    spent on showing that there is none, with ``quick`` little on looking.
    What was looked for in vain is remembered with the instance.
    """
    if not fed:
        return Wiring(hookups=(), proven=True)
    what = _drawn_by(fed)
    known = instance.memo.setdefault(("in vain", polish, quick), {})
    if what in known and (known[what].proven or not prove):
        in_vain: Wiring = known[what]
        return in_vain
    found = _wire(instance, fed, ends=ends, polish=polish, prove=prove, quick=quick)
    if found.hookups is None and time.monotonic() < ends:
        known[what] = found
    return found


def _drawn_by(fed: tuple[Fed, ...]) -> tuple[tuple[str, bytes], ...]:
    """Who is fed, and with what: alike for what is wired alike."""
    return tuple((f.consumer.id, f.load_w.tobytes()) for f in fed)


def _wire(
    instance: Instance,
    fed: tuple[Fed, ...],
    *,
    ends: float,
    polish: bool,
    prove: bool,
    quick: bool,
) -> Wiring:
    """Look for a wiring; parameters as for :func:`wire`."""
    if not roams(instance):
        return wire_site(
            instance, fed, ends=ends, polish=polish, prove=prove, quick=quick
        )
    few = len(fed) * len(instance.batteries) <= _FEW
    apart = Wiring(hookups=None, proven=False)
    if not (few and quick):
        apart = _wire_apart(instance, fed, ends=ends, polish=polish, quick=quick)
    if apart.hookups is not None or not few:
        return apart
    together = wire_site(
        instance, fed, ends=ends, polish=polish, prove=prove, quick=quick
    )
    return replace(together, missing=apart.missing)


def tidy(
    instance: Instance,
    fed: tuple[Fed, ...],
    hookups: tuple[Hookup, ...],
    *,
    ends: float,
) -> tuple[Hookup, ...]:
    """Fewer moves of plugs for what is wired, place by place where it can be."""
    stands = stands_in(instance, hookups)
    if not roams(instance) or stands is None:
        last = wire(instance, fed, ends=ends, prove=False, quick=True)
        return last.hookups or hookups
    found: list[Hookup] = []
    for site in sites(instance, fed, stands):
        wiring = wire_site(
            site.instance, site.fed, ends=ends, polish=True, prove=False, quick=True
        )
        # A place that is not wired anew in a hurry keeps the plugs it has.
        found += wiring.hookups or [h for h in hookups if h.place == site.place]
    return tuple(found)


def wire_at_last(
    instance: Instance, fed: tuple[Fed, ...], tried: Wiring
) -> tuple[Hookup, ...] | None:
    """Hookups by many more runs of the trial, where next to nothing was missing.

    For one place; ``tried`` is what a search for long came to.
    """
    missing_wh = sum(tried.missing.values()) if tried.missing else math.inf
    if roams(instance) or tried.proven or not nearly(fed, missing_wh):
        return None
    periods = plug_periods(instance, swaps=True)
    return try_wiring(instance, fed, periods, LAST).hookups


def _wire_apart(
    instance: Instance,
    fed: tuple[Fed, ...],
    *,
    ends: float,
    polish: bool,
    quick: bool,
) -> Wiring:
    """Every place by itself; that one cannot be wired so is no proof.

    Where energy is missing the kit is shared out anew with more for that place.
    """
    wired = Sites(ends=ends, polish=polish)
    more_wh: dict[str, float] = {}
    best: tuple[float, tuple[Site, ...]] = math.inf, ()
    for _ in range(_SHARED_ANEW):
        apart = sites(instance, fed, share_out(instance, fed, more_wh))
        missing = wired.missing(apart)
        if not missing:
            return Wiring(hookups=wired.hookups(apart), proven=True)
        best = min(best, (sum(missing.values()), apart), key=lambda some: some[0])
        for place, lacks_wh in missing.items():
            more_wh[place] = more_wh.get(place, 0.0) + lacks_wh
    if not quick:
        wired.quick = False
    missing = wired.missing(best[1])
    if missing:
        return Wiring(hookups=None, proven=False, missing=missing)
    return Wiring(hookups=wired.hookups(best[1]), proven=True)


@dataclass(slots=True, kw_only=True)
class Sites:
    """Wirings of single places, each looked for once and remembered.

    What was not found by a ``quick`` look is looked for again when it is not.
    """

    ends: float
    polish: bool = False
    quick: bool = True
    known: dict[tuple[object, ...], Wiring] = field(default_factory=dict)

    def missing(self, apart: tuple[Site, ...]) -> dict[str, float]:
        """Energy [Wh] that the places lack which cannot be wired."""
        return {
            site.place: sum(found.missing.values())
            for site in apart
            if (found := self.of(site)).hookups is None
        }

    def hookups(self, apart: tuple[Site, ...]) -> tuple[Hookup, ...]:
        """The plugs of places that all can be wired."""
        return tuple(h for site in apart for h in self.of(site).hookups or ())

    def of(self, site: Site) -> Wiring:
        """The wiring of one place."""
        inst = site.instance
        key = (
            site.place,
            _drawn_by(site.fed),
            tuple(b.id for b in inst.batteries),
            tuple(p.id for p in inst.panels),
        )
        known = self.known.get(key)
        if known is None or (known.hookups is None and not self.quick):
            self.known[key] = known = wire_site(
                inst,
                site.fed,
                ends=self.ends,
                polish=self.polish,
                prove=False,
                quick=self.quick,
            )
        return known
