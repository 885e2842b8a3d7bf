"""What one battery can carry at best, when every plug has a worth.

A battery with its panels and charger goes through the periods of a rota; in
each it feeds some consumers, as many as its sockets and watts allow, and must
end no hour of that below its reserve.  The best schedule is found exactly, by
working backwards: after each period the most that can still be earned is a
step function of the charge (dynamic programming; Bellman, 1957).
"""

import itertools
import math
from dataclasses import dataclass

import numpy as np

from planner.decide.board import Board, Feeder
from planner.decide.carry_steps import (
    Flags,
    Floats,
    Ints,
    Past,
    Ways,
    look_ahead,
    look_back,
    through,
)
from planner.decide.supplies import Ladder, Supplies, Supply
from planner.physics.profiles import Hourly
from planner.result import PortType

_SLACK_WH = 1e-6

Tasks = tuple[int, ...]
Plugs = tuple[int, ...]
"""The number of the set of plugs in each period."""
Earned = Floats
"""What every set of plugs earns at some prices, period after period."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """Plugs of a battery through a rota, and what they are worth."""

    worth: float
    plugs: Plugs


def plugs_at_most(board: Board) -> int:
    """How many sets of plugs a battery may have in a period, over all batteries."""
    most = 0
    for b, battery in enumerate(board.instance.batteries):
        sockets = battery.ports_12v + battery.outlets_ac
        able: dict[int, int] = {}
        for task in board.tasks:
            mine = sum(not f.source and f.number == b for f in task.feeders)
            able[task.period] = able.get(task.period, 0) + mine
        for n in able.values():
            most = max(most, sum(math.comb(n, i) for i in range(sockets + 1)))
    return most


class Carrier:
    """One battery of a board, with every supply that it may have.

    ``kinds`` has the panels that are alike, kind by kind.  What a period does is
    the same as in ``stretch.py``, worked out for all sets of plugs at once.
    """

    def __init__(
        self, board: Board, battery: int, kinds: tuple[tuple[int, ...], ...]
    ) -> None:
        self.board = board
        self.battery = battery
        self.limits = board.instance.limits[battery]
        self.plugs = [self._plugs(k) for k in range(len(board.periods))]
        self.supplies = Supplies(board, battery, kinds)
        self.work = 0
        sizes = [len(plugs) for plugs in self.plugs]
        self._first = np.cumsum([0, *sizes[:-1]], dtype=np.int64)
        self._period = np.repeat(np.arange(len(sizes)), sizes)
        self._done = self._tasks_done()
        self._rows = self._lay_out()
        self._ways: dict[Supply, Ways] = {}
        self._between: dict[tuple[int, int, int], Ways] = {}

    # -- what there is to choose from ---------------------------------------

    def _plugs(self, k: int) -> list[tuple[int, Tasks]]:
        """Sets of plugs that the sockets carry in a period, with their tasks.

        Plugs are bits as in ``stretch.py``.
        """
        board, b = self.board, self.battery
        battery = board.instance.batteries[b]
        able = [
            (t, 1 << 2 * task.consumer + (feeder.kind is PortType.AC))
            for t, task in enumerate(board.tasks)
            if task.period == k
            for feeder in task.feeders
            if not feeder.source and feeder.number == b
        ]
        found: list[tuple[int, Tasks]] = [(0, ())]
        for n in range(1, battery.ports_12v + battery.outlets_ac + 1):
            for some in itertools.combinations(able, n):
                tasks = tuple(t for t, _ in some)
                bits = sum(bit for _, bit in some)
                if len(set(tasks)) == n and board.carries(b, bits):
                    found.append((bits, tasks))
        return found

    def tasks(self, plugs: Plugs) -> Tasks:
        """Tasks that a schedule does."""
        return tuple(t for k, i in enumerate(plugs) for t in self.plugs[k][i][1])

    def feeders(self, plugs: Plugs) -> list[tuple[int, Feeder]]:
        """Tasks of a schedule, each with the socket it hangs on."""
        found = []
        for k, i in enumerate(plugs):
            bits, tasks = self.plugs[k][i]
            for t in tasks:
                ac = bits >> 2 * self.board.tasks[t].consumer & 2
                kind = PortType.AC if ac else PortType.DC_12V
                found.append((t, Feeder(kind, self.battery)))
        return found

    # -- what a period does --------------------------------------------------

    def ways(self, supply: Supply) -> Ways:
        """Ways through every period with a supply."""
        if supply not in self._ways:
            self._ways[supply] = self._through(self.supplies.income_wh(supply))
        return self._ways[supply]

    def _ways_between(self, ladder: Ladder, first: int, end: int) -> Ways:
        """Ways with the most that any supply of a stretch brings in each hour."""
        key = ladder.charger, first, end
        if key not in self._between:
            most_wh = ladder.come_wh[first:end].max(axis=0)
            self._between[key] = self._through(most_wh)
        return self._between[key]

    def _tasks_done(self) -> Ints:
        """Tasks of every set of plugs, one row each; past the last where no more."""
        every = [tasks for plugs in self.plugs for _, tasks in plugs]
        none = len(self.board.tasks)
        rows = np.full((len(every), max(1, *map(len, every))), none, dtype=np.int64)
        for row, tasks in zip(rows, every, strict=True):
            row[: len(tasks)] = tasks
        return rows

    def _lay_out(self) -> tuple[Ints, Floats, Flags]:
        """What every set of plugs draws in each hour of its period, one row each.

        Returns first and end hour, what is drawn and whether something is fed.
        """
        board = self.board
        longest = max(period.hours for period in board.periods)
        shape = sum(len(plugs) for plugs in self.plugs), longest
        spans = np.zeros((shape[0], 2), dtype=np.int64)
        drawn, feeding = np.zeros(shape), np.zeros(shape, dtype=np.bool_)
        row = 0
        for period, plugs in zip(board.periods, self.plugs, strict=True):
            for bits, _ in plugs:
                out, feeds = board.packs.drawn(self.battery, period, bits)
                spans[row] = period.first, period.end
                drawn[row, : period.hours] = out
                feeding[row, : period.hours] = feeds
                row += 1
        return spans, drawn, feeding

    def _through(self, income_wh: Hourly) -> Ways:
        """Every way through every period; all plugs at once, hour by hour."""
        least_wh = self.limits.floor_wh + self.limits.reserve_wh
        rows, able = through(*self._rows, income_wh, self.limits.full_wh, least_wh)
        (plugs,) = np.nonzero(able)
        at = np.searchsorted(self._period[plugs], np.arange(len(self.plugs) + 1))
        return Ways(rows[plugs], plugs, at, self._first)

    # -- the best schedule ---------------------------------------------------

    def earned(self, worth: list[float]) -> Earned:
        """What plugs earn when every task has a worth."""
        found: Earned = np.array([*worth, 0.0])[self._done].sum(axis=1)
        return found

    def before(self, supply: Supply, earned: Earned) -> Past:
        """Most that can be earned before each period, by the charge left."""
        return self._look_ahead(self.ways(supply), earned)

    def most_before(self, ladder: Ladder, earned: Earned) -> Past:
        """The same with no less coming in than with any supply of a ladder."""
        every = len(ladder.supplies)
        return self._look_ahead(self._ways_between(ladder, 0, every), earned)

    def _look_ahead(self, ways: Ways, earned: Earned) -> Past:
        return look_ahead(ways, earned, self.limits.start_wh + _SLACK_WH)

    def best(
        self,
        supply: Supply,
        earned: Earned,
        past: Past,
        above: float = -math.inf,
    ) -> Schedule | None:
        """The schedule worth most; ``None`` once it is worth no more than ``above``.

        ``past`` is what could be earned before with at least as much coming in.
        """
        worth, plugs = self._look_back(self.ways(supply), earned, past, above)
        if worth == -math.inf:
            return None
        return Schedule(worth=worth, plugs=tuple((plugs - self._first).tolist()))

    def best_between(
        self,
        ladder: Ladder,
        first: int,
        end: int,
        earned: Earned,
        past: Past,
        above: float,
    ) -> float | None:
        """Worth that no supply of a stretch goes beyond, if more than ``above``."""
        ways = self._ways_between(ladder, first, end)
        worth, _ = self._look_back(ways, earned, past, above)
        return None if worth == -math.inf else worth

    def _look_back(
        self, ways: Ways, earned: Earned, past: Past, above: float
    ) -> tuple[float, Ints]:
        start_wh = self.limits.start_wh + _SLACK_WH
        worth, plugs, work = look_back(ways, earned, past, start_wh, above)
        self.work += work
        return worth, plugs
