"""What may come into one battery: every choice of panels and of a charger.

Panels that are alike are counted.  A choice that gives no more in any hour than
one with a panel less is left out: the input was full, or the sun not there.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.decide.board import Board
from planner.decide.stretch import NONE
from planner.physics.profiles import Hourly

Panels = tuple[int, ...]
"""How many panels of each kind."""


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class Supply:
    """What comes in: panels by kind, and the source of the charger or NONE."""

    panels: Panels
    charger: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ladder:
    """Supplies with one charger, from little to much in all.

    ``panels`` and ``come_wh`` have one row a supply: how many of each kind, and
    what comes into the cells in each hour [Wh].  ``at`` has the number of a
    supply by its panels.
    """

    charger: int
    supplies: tuple[Supply, ...]
    panels: NDArray[np.int64]
    come_wh: Hourly
    at: dict[Panels, int]

    def near(self, i: int) -> Iterator[int]:
        """Numbers of the supplies with one panel more or less."""
        panels = self.supplies[i].panels
        for kind, n in enumerate(panels):
            for m in (n + 1, n - 1):
                other = self.at.get((*panels[:kind], m, *panels[kind + 1 :]))
                if other is not None:
                    yield other


def supplies_at_most(kinds: tuple[tuple[int, ...], ...]) -> int:
    """How many ways there are to give a battery some of the panels."""
    return math.prod(len(kind) + 1 for kind in kinds)


class Supplies:
    """The supplies of one battery of a board.

    ``number`` has those that are worth a look, ``ladders`` the same for every
    source of a charger.
    """

    def __init__(
        self, board: Board, battery: int, kinds: tuple[tuple[int, ...], ...]
    ) -> None:
        self.board = board
        self.battery = battery
        self.kinds = kinds
        supplies, self._come = self._incomes()
        self.number = {supply: i for i, supply in enumerate(supplies)}
        chargers = (NONE, *board.charger_choices[battery])
        self.ladders = tuple(self._ladder(charger) for charger in chargers)

    def _ladder(self, charger: int) -> Ladder:
        mine = [s for s in self.number if s.charger == charger]
        come_wh = self._come[[self.number[s] for s in mine]]
        order = np.argsort(come_wh.sum(axis=1), kind="stable").tolist()
        at = {mine[i].panels: rung for rung, i in enumerate(order)}
        return Ladder(
            charger=charger,
            supplies=tuple(mine[i] for i in order),
            panels=np.array(list(at), dtype=np.int64).reshape(len(at), -1),
            come_wh=come_wh[order],
            at=at,
        )

    def income_wh(self, supply: Supply) -> Hourly:
        """What comes into the cells in each hour [Wh]."""
        found: Hourly = self._come[self.number[supply]]
        return found

    def _incomes(self) -> tuple[list[Supply], Hourly]:
        """Every supply that gives more than a smaller one, and its income [Wh]."""
        board, b = self.board, self.battery
        inst = board.instance
        mine = [[p for p in kind if b in board.panel_choices[p]] for kind in self.kinds]
        sizes = [len(kind) + 1 for kind in mine]
        counts = np.array(list(np.ndindex(*sizes)), dtype=int)
        counts = counts.reshape(math.prod(sizes), len(sizes))
        sun = np.zeros((len(counts), inst.hours))
        for i, kind in enumerate(self.kinds):
            sun += counts[:, i : i + 1] * inst.sun_w[kind[0]]
        steps = [math.prod(sizes[i + 1 :]) for i in range(len(sizes))]
        supplies: list[Supply] = []
        rows = []
        for charger in (NONE, *board.charger_choices[b]):
            come = board.packs.let_in_wh(b, sun, charger)
            least = np.arange(len(counts))
            for i, step in enumerate(steps):
                some = np.flatnonzero(counts[:, i])
                same = (come[some] == come[some - step]).all(axis=1)
                least[some[same]] = some[same] - step
            more = np.flatnonzero(least == np.arange(len(counts)))
            supplies += [
                Supply(panels=tuple(row), charger=charger)
                for row in counts[more].tolist()
            ]
            rows.append(come[more])
        return supplies, np.concatenate(rows)
