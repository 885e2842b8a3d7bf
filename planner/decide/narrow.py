"""What batteries may still do while whole schedules are looked for.

A wiring does a task by one battery or source, and gives a battery so many panels
of a kind.  Where shares leave that open it is halved: either so, or not so
(branching on the rows of a set partition; Ryan and Foster, in Computer
Scheduling of Public Transport, 1981).
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from planner.decide.carry_steps import Floats
from planner.decide.supplies import Ladder, Supply

SOURCE = -1
"""Stands for the sources in the place of a battery."""
_SURE = 1e-3
_ANY = 1 << 30
_FROM_THE_BEGIN = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Narrow:
    """What is left out: tasks of a battery, numbers of panels, chargers.

    ``closed`` has a bit a task, by battery; ``panels`` fewest and most of every
    kind that is bounded, by battery; ``chargers`` those left out, by battery.
    """

    closed: Mapping[int, int] = field(default_factory=dict)
    panels: Mapping[int, Mapping[int, tuple[int, int]]] = field(default_factory=dict)
    chargers: Mapping[int, frozenset[int]] = field(default_factory=dict)

    def allows(self, battery: int, supply: Supply | None, tasks: int) -> bool:
        """True when a battery may still do tasks (a bit each) with a supply."""
        if tasks & self.closed.get(battery, 0):
            return False
        if supply is None:
            return True
        if supply.charger in self.chargers.get(battery, ()):
            return False
        bounds = self.panels.get(battery)
        return bounds is None or all(
            low <= supply.panels[kind] <= high for kind, (low, high) in bounds.items()
        )

    def worth(self, battery: int, tasks: list[float]) -> list[float]:
        """What tasks are worth to a battery; less than nothing where left out."""
        closed = self.closed.get(battery, 0)
        if not closed:
            return tasks
        return [-math.inf if closed >> t & 1 else w for t, w in enumerate(tasks)]

    def prices(self, battery: int, ladder: Ladder, prices: Floats) -> Floats:
        """What supplies cost a battery; no end where left out."""
        if ladder.charger in self.chargers.get(battery, ()):
            return np.full(len(prices), np.inf)
        for kind, (low, high) in self.panels.get(battery, {}).items():
            n = ladder.panels[:, kind]
            prices = np.where((n < low) | (n > high), np.inf, prices)
        return prices

    def without_task(self, t: int, batteries: Iterable[int]) -> "Narrow":
        """The same with a task closed to some batteries."""
        closed = dict(self.closed)
        for b in batteries:
            closed[b] = closed.get(b, 0) | 1 << t
        return replace(self, closed=closed)

    def with_panels(self, b: int, kind: int, low: int, high: int) -> "Narrow":
        """The same with so many panels of a kind for a battery, at least and most."""
        bounds = dict(self.panels.get(b, {}))
        least, most = bounds.get(kind, (0, _ANY))
        bounds[kind] = max(low, least), min(high, most)
        return replace(self, panels={**self.panels, b: bounds})

    def without_chargers(self, b: int, chargers: Iterable[int]) -> "Narrow":
        """The same with some chargers left out for a battery."""
        out = self.chargers.get(b, frozenset()).union(chargers)
        return replace(self, chargers={**self.chargers, b: out})


@dataclass(frozen=True, slots=True, kw_only=True)
class Shared:
    """How shares of schedules do things: parts of tasks, panels, chargers."""

    tasks: dict[tuple[int, int], float]
    panels: dict[tuple[int, int], float]
    chargers: dict[tuple[int, int], float]


def halves(
    narrow: Narrow, shared: Shared, able: Mapping[int, Iterable[int]]
) -> tuple[Narrow, Narrow] | None:
    """Either so or not so, the likelier first; ``None`` where nothing is open.

    ``able`` has who may do each task, SOURCE for the sources.
    """
    task = _most_decided(shared.tasks)
    if task is not None:
        t, b = task
        others = [other for other in able[t] if other != b]
        return narrow.without_task(t, others), narrow.without_task(t, [b])
    spot = _most_decided({key: n % 1.0 for key, n in shared.panels.items()})
    if spot is not None:
        fewer = int(shared.panels[spot])
        more = narrow.with_panels(*spot, fewer + 1, _ANY)
        return more, narrow.with_panels(*spot, 0, fewer)
    charger = _most_decided(shared.chargers)
    if charger is not None:
        b, so = charger
        others = [s for bb, s in shared.chargers if bb == b and s != so]
        return narrow.without_chargers(b, others), narrow.without_chargers(b, [so])
    return None


def _most_decided(parts: Mapping[tuple[int, int], float]) -> tuple[int, int] | None:
    """The largest part that is not whole."""
    open_parts = [
        (-part, key) for key, part in parts.items() if _SURE < part < 1.0 - _SURE
    ]
    return min(open_parts)[1] if open_parts else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Half:
    """A part of what is left to look through.

    ``against`` is how often it went against what shares made likely.
    """

    narrow: Narrow = field(default_factory=Narrow)
    against: int = 0
    depth: int = 0


class Halves:
    """What is left to look through, and where to look next.

    A look goes on along what is likely until it ends; the next one begins where
    it goes against that once, or as rarely as is left (limited discrepancy
    search; Harvey and Ginsberg, IJCAI 1995): near the last end, where an end is
    near, and now and then near the begin, from where much is different.
    """

    def __init__(self) -> None:
        self._left = [Half()]
        self._next: Half | None = None
        self._ends = 0

    @property
    def done(self) -> bool:
        """True when nothing is left."""
        return self._next is None and not self._left

    def take(self) -> Half | None:
        """The next part, which is then no longer left; ``None`` when all are done."""
        half, self._next = self._next, None
        if half is not None or not self._left:
            return half
        self._ends += 1
        turn = 1 if self._ends % _FROM_THE_BEGIN else -1
        i, half = min(
            enumerate(self._left),
            key=lambda some: (some[1].against, -turn * some[1].depth, some[0]),
        )
        del self._left[i]
        return half

    def put(self, half: Half, two: tuple[Narrow, Narrow]) -> None:
        """Leave a part as its two halves, the likelier one first."""
        depth = half.depth + 1
        self._next = replace(half, narrow=two[0], depth=depth)
        other = replace(half, narrow=two[1], depth=depth, against=half.against + 1)
        self._left.append(other)
