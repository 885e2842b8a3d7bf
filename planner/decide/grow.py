"""One unit more at a time: a wiring that feeds what it fed, and what else it can.

Where a placement cannot be wired as a whole, its units are added to what has
power already, the most urgent bags for their energy first, each as full as
can be carried.  Every place is wired by itself, so a town is as easy as its
largest hall.
"""

import time
from dataclasses import dataclass, field

from planner.decide.hookup import Sites, fed_by_modes
from planner.decide.instance import Fed, Instance, Mode
from planner.decide.placed import Placed
from planner.decide.salvage import Wired, no_more, worth_by_unit
from planner.decide.stations import Site, share_out, sites, stands_in
from planner.result import Hookup

_SHARED_ANEW = 40
"""Batteries up to which kit is shared out anew for one more unit."""
_SHARED_AGAIN = 3
_SAVED_SHARE = 0.5
"""Part of what is missing that a unit filled less must save to be worth a try."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Grown:
    """The wiring at the end, and what could not be added to it.

    ``refused`` has one entry a mode that was wished for: itself, and the modes
    that were fed in its place before it.
    """

    wired: Wired
    refused: tuple[tuple[Mode, ...], ...]


def grow(
    instance: Instance,
    wired: Wired,
    placed: Placed,
    *,
    ends: float,
    first: frozenset[str] = frozenset(),
) -> Grown | None:
    """Add the units of a placement to a wiring; ``None`` if it cannot be split.

    The units ``first`` come before all others: what was refused once is what the
    others must make room for (squeaky wheel; Joslin and Clements, JAIR 10, 1999).
    """
    few = len(instance.batteries) <= _SHARED_ANEW
    # Places are wired quickly, since many are.
    site = _Town(instance=instance, wired=Sites(ends=ends), anew=few)
    if not site.begin(wired):
        return None
    refused = []
    for mode in _most_urgent_first(instance, placed, first):
        if time.monotonic() > ends:
            break
        there = site.modes_at(instance.units[mode.unit].place, without=mode.unit_id)
        if not site.add(mode):
            refused.append((*there, mode))
    return Grown(wired=(site.fed, site.hookups), refused=tuple(refused))


def feed_in_place(
    instance: Instance,
    placed: Placed,
    apart: tuple[Site, ...],
    wired: Sites,
) -> Wired | None:
    """Feed what a placement wishes in each place, with the kit that stands there.

    A place that cannot be wired as a whole gets its units one by one; ``None``
    when its loads alone cannot.  ``wired`` remembers what was looked for.
    """
    lacking = wired.missing(apart)
    loads = {f.consumer.id: f for f in fed_by_modes(instance, ())}
    held = [f for site in apart if site.place not in lacking for f in site.fed]
    town = _Town(
        instance=instance,
        wired=wired,
        anew=False,
        stands={item_id: site.place for site in apart for item_id in site.kit},
    )
    if town.settle(loads | {f.consumer.id: f for f in held}, town.stands):
        return None
    for mode in _most_urgent_first(instance, placed):
        if time.monotonic() > wired.ends:
            break
        if instance.units[mode.unit].place in lacking:
            town.add(mode)
    return town.fed, town.hookups


def _most_urgent_first(
    instance: Instance, placed: Placed, first: frozenset[str] = frozenset()
) -> list[Mode]:
    """Modes of powered units, the most urgent bags for their energy first."""
    value = worth_by_unit(instance, placed)
    wished = [c.mode for c in placed.choices if instance.units[c.mode.unit].powered]
    return sorted(
        wished,
        key=lambda m: (
            m.unit_id not in first,
            -value.get(m.unit, 0.0) / (1.0 + m.load_w.sum()),
            m.unit_id,
        ),
    )


@dataclass(slots=True, kw_only=True)
class _Town:
    """What is fed in every place, and the plugs of each."""

    instance: Instance
    wired: Sites
    anew: bool
    by_id: dict[str, Fed] = field(default_factory=dict)
    plugs: dict[str, tuple[Hookup, ...]] = field(default_factory=dict)
    stands: dict[str, str] = field(default_factory=dict)

    @property
    def fed(self) -> tuple[Fed, ...]:
        """Everything that is fed."""
        return tuple(self.by_id.values())

    @property
    def hookups(self) -> tuple[Hookup, ...]:
        """The plugs of all places."""
        return tuple(h for _, mine in sorted(self.plugs.items()) for h in mine)

    def modes_at(self, place: str, *, without: str) -> tuple[Mode, ...]:
        """Modes in which the units of a place are fed, but for one of them."""
        found = []
        for u, unit in enumerate(self.instance.units):
            mine = self.by_id.get(unit.id)
            if mine is None or unit.place != place or unit.id == without:
                continue
            found += [
                m for m in self.instance.modes[u] if no_more(m.load_w, mine.load_w)
            ][-1:]
        return tuple(found)

    def begin(self, wired: Wired) -> bool:
        """Begin with what is fed already; kit that it uses stays where it stands."""
        fed, hookups = wired
        stands = stands_in(self.instance, hookups)
        if stands is None:
            return False
        self.stands = share_out(
            self.instance, fed or fed_by_modes(self.instance, self._first())
        )
        if fed:
            # The rest stands where it could help most, in no other's way.
            self.stands |= stands
        self.by_id = {f.consumer.id: f for f in fed}
        for place in {h.place for h in hookups}:
            self.plugs[place] = tuple(h for h in hookups if h.place == place)
        return True

    def _first(self) -> tuple[Mode, ...]:
        """A way to run every powered unit, to share kit out by before any is on."""
        return tuple(
            mine[0]
            for unit, mine in zip(self.instance.units, self.instance.modes, strict=True)
            if unit.powered and mine
        )

    def add(self, mode: Mode) -> bool:
        """Feed a unit too, as full as can be; False when not as wished for."""
        before = self.by_id.get(mode.unit_id)
        ways = [
            m
            for m in self.instance.modes[mode.unit]
            if m.set_points_c == mode.set_points_c and m.fill <= mode.fill
        ]
        wish_wh, lacks_wh = float(mode.load_w.sum()), 0.0
        for way in sorted(ways, key=lambda m: -m.fill):
            if wish_wh - float(way.load_w.sum()) < _SAVED_SHARE * lacks_wh:
                continue
            if before is not None and no_more(way.load_w, before.load_w):
                return way is mode
            if before is not None and not no_more(before.load_w, way.load_w):
                return False
            more = fed_by_modes(self.instance, (way,))[-1]
            wanted = self.by_id | {mode.unit_id: more}
            missing = self.settle(wanted, self.stands)
            if not missing:
                return way is mode
            lacks_wh = lacks_wh or sum(missing.values())
            if way is mode and self.anew:
                more_wh: dict[str, float] = {}
                for _ in range(_SHARED_AGAIN):
                    shared = share_out(self.instance, tuple(wanted.values()), more_wh)
                    missing = self.settle(wanted, shared)
                    if not missing:
                        self.stands = shared
                        return True
                    for place, lacks_wh in missing.items():
                        more_wh[place] = more_wh.get(place, 0.0) + lacks_wh
        return False

    def settle(
        self, wanted: dict[str, Fed], stands: dict[str, str]
    ) -> dict[str, float]:
        """Wire every place; keep the result if nothing is missing [Wh]."""
        apart = sites(self.instance, tuple(wanted.values()), stands)
        missing = self.wired.missing(apart)
        if not missing:
            self.by_id = wanted
            self.plugs = {site.place: self.wired.hookups((site,)) for site in apart}
        return missing
