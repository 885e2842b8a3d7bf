"""What may come into one battery: every choice of panels and of a charger.

Panels that are alike are counted.  A choice that gives no more in any hour than
one with a panel less is left out: the input was full, or the sun not there.
"""

import math
from dataclasses import dataclass

import numpy as np

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


def supplies_at_most(kinds: tuple[tuple[int, ...], ...]) -> int:
    """How many ways there are to give a battery some of the panels."""
    return math.prod(len(kind) + 1 for kind in kinds)


class Supplies:
    """The supplies of one battery of a board.

    ``number`` has those that are worth a look, ``most`` all panels that reach the
    battery, for every source of a charger.
    """

    def __init__(
        self, board: Board, battery: int, kinds: tuple[tuple[int, ...], ...]
    ) -> None:
        self.board = board
        self.battery = battery
        self.kinds = kinds
        self._least: dict[Supply, Supply] = {}
        supplies, self._come = self._incomes()
        self.number = {supply: i for i, supply in enumerate(supplies)}
        self.most = tuple(
            Supply(
                panels=tuple(
                    sum(battery in board.panel_choices[p] for p in kind)
                    for kind in kinds
                ),
                charger=charger,
            )
            for charger in (NONE, *board.charger_choices[battery])
        )

    def income_wh(self, supply: Supply) -> Hourly:
        """What comes into the cells in each hour [Wh]."""
        found: Hourly = self._come[self.number[supply]]
        return found

    def least(self, supply: Supply) -> Supply:
        """The supply with fewest panels that gives as much in every hour."""
        return self._least[supply]

    def near(self, supply: Supply) -> list[Supply]:
        """Supplies with one panel more or less."""
        found = []
        for i, n in enumerate(supply.panels):
            for m in (n + 1, n - 1):
                counts = (*supply.panels[:i], m, *supply.panels[i + 1 :])
                other = Supply(panels=counts, charger=supply.charger)
                if other in self.number:
                    found.append(other)
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
            every = [
                Supply(panels=tuple(row), charger=charger) for row in counts.tolist()
            ]
            more = np.flatnonzero(least == np.arange(len(counts)))
            for supply, other in zip(every, least.tolist(), strict=True):
                # What gives as much comes before it, and is looked up already.
                smaller = every[other]
                self._least[supply] = self._least.get(smaller, smaller)
            supplies += [every[i] for i in more.tolist()]
            rows.append(come[more])
        return supplies, np.concatenate(rows)
