"""One unit more at a time: a wiring that feeds what it fed, and what else it can.

Where a placement cannot be wired as a whole, its units are added to what has
power already, the most urgent bags for their energy first, each as full as
can be carried.  Every place is wired by itself, so a town is as easy as its
largest hall.
"""

import time
from dataclasses import dataclass, field

from planner.decide.hookup import fed_by_modes, wire_site
from planner.decide.instance import Fed, Instance, Mode
from planner.decide.placement import Placed
from planner.decide.salvage import Wired, no_more, worth_by_unit
from planner.decide.stations import share_out, sites
from planner.result import Hookup

_SHARED_ANEW = 40
"""Batteries up to which kit is shared out anew for one more unit."""


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
    site = _Town(instance=instance, ends=ends)
    if not site.begin(wired[0]):
        return None
    value = worth_by_unit(instance, placed)
    wished = [c.mode for c in placed.choices if instance.units[c.mode.unit].powered]
    wished.sort(
        key=lambda m: (
            m.unit_id not in first,
            -value.get(m.unit, 0.0) / (1.0 + m.load_w.sum()),
            m.unit_id,
        )
    )
    refused = []
    for mode in wished:
        if time.monotonic() > ends:
            break
        there = site.modes_at(instance.units[mode.unit].place, without=mode.unit_id)
        if not site.add(mode):
            refused.append((*there, mode))
    return Grown(wired=(site.fed, site.hookups), refused=tuple(refused))


@dataclass(slots=True, kw_only=True)
class _Town:
    """What is fed in every place, and the plugs of each."""

    instance: Instance
    ends: float
    by_id: dict[str, Fed] = field(default_factory=dict)
    plugs: dict[str, tuple[Hookup, ...]] = field(default_factory=dict)
    stands: dict[str, str] = field(default_factory=dict)
    known: dict[tuple[object, ...], tuple[Hookup, ...] | None] = field(
        default_factory=dict
    )

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

    def begin(self, fed: tuple[Fed, ...]) -> bool:
        """Wire what is fed already, place by place."""
        self.stands = share_out(
            self.instance, fed or fed_by_modes(self.instance, self._first())
        )
        return not fed or self._settle({f.consumer.id: f for f in fed}, self.stands)

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
        for way in sorted(ways, key=lambda m: -m.fill):
            if before is not None and no_more(way.load_w, before.load_w):
                return way is mode
            if before is not None and not no_more(before.load_w, way.load_w):
                return False
            more = fed_by_modes(self.instance, (way,))[-1]
            wanted = self.by_id | {mode.unit_id: more}
            if self._settle(wanted, self.stands):
                return way is mode
            if way is mode and len(self.instance.batteries) <= _SHARED_ANEW:
                shared = share_out(self.instance, tuple(wanted.values()))
                if shared != self.stands and self._settle(wanted, shared):
                    self.stands = shared
                    return True
        return False

    def _settle(self, wanted: dict[str, Fed], stands: dict[str, str]) -> bool:
        """Wire every place; keep the result if all of them can be wired."""
        plugs = {}
        for site in sites(self.instance, tuple(wanted.values()), stands):
            inst = site.instance
            key = (
                site.place,
                tuple((f.consumer.id, f.load_w.tobytes()) for f in site.fed),
                tuple(b.id for b in inst.batteries),
                tuple(p.id for p in inst.panels),
            )
            if key not in self.known:
                self.known[key] = wire_site(
                    inst,
                    site.fed,
                    ends=self.ends,
                    polish=False,
                    prove=False,
                    quick=True,
                ).hookups
            found = self.known[key]
            if found is None:
                return False
            plugs[site.place] = found
        self.by_id, self.plugs = wanted, plugs
        return True
