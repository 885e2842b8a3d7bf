"""The program that mixes whole schedules of batteries: its columns and rows.

A column is a schedule of a battery with the supply it takes, or a task done by
a source itself; a row is a task to be done, a battery, a kind of panels, or a
source in a period.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.decide.board import Board, Feeder
from planner.decide.carry import Carrier, Plugs, Tasks
from planner.decide.instance import Instance
from planner.decide.linear import GrowingProgram
from planner.decide.narrow import SOURCE, Narrow, Shared
from planner.decide.stretch import NONE
from planner.decide.supplies import Ladder, Supply

_KW = 1000.0
_DUST = 1e-9
_GRAIN = 1.0 / 1024
"""Worth of a task is rounded to this: few sums are then alike but for dust."""

Prices = NDArray[np.float64]
"""What the room of every row is worth."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A schedule of a battery, by its number, with the supply it needs."""

    battery: int
    supply: Supply
    plugs: Plugs


@dataclass(frozen=True, slots=True)
class Direct:
    """A task done by a source itself."""

    task: int
    feeder: Feeder


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """A schedule, and what it is worth beyond the price of its supply."""

    gain: float
    column: Column


@dataclass(frozen=True, slots=True, kw_only=True)
class Worth:
    """Prices of tasks, batteries, kinds of panels and sources over the window.

    ``room`` is what all panels and sources are worth.
    """

    tasks: list[float]
    batteries: list[float]
    panels: list[float]
    sources: dict[int, float]
    room: float


class Mixed:
    """Columns and rows for the batteries of one site.

    ``what`` has the columns after those of what stays undone; those that
    ``narrow`` leaves out are held at nothing.
    """

    def __init__(
        self,
        board: Board,
        kinds: tuple[tuple[int, ...], ...],
        carriers: tuple[Carrier, ...],
    ) -> None:
        self.board = board
        self.instance = board.instance
        self.kinds = kinds
        self.carriers = carriers
        self.narrow = Narrow()
        feeds, periods = board.instance.feeds, board.periods
        self.row_b = len(board.tasks)
        self.row_p = self.row_b + len(board.instance.batteries)
        spots = [(s, k) for s in range(len(feeds)) for k in range(len(periods))]
        first = self.row_p + len(kinds)
        self.row_s = {spot: first + i for i, spot in enumerate(spots)}
        self.rooms = [
            *(-1.0 for _ in board.tasks),
            *(1.0 for _ in board.instance.batteries),
            *(float(len(kind)) for kind in kinds),
            *(feeds[s].max_w / _KW for s, _ in self.row_s),
        ]
        self.program = GrowingProgram(self.rooms)
        for t in range(len(board.tasks)):
            self.program.add(1.0, [(t, -1.0)])
        self.what: list[Direct | Column] = []
        self._known: set[Column] = set()
        self._tasks: list[Tasks] = []
        self._bits: list[int] = []
        for t, task in enumerate(board.tasks):
            for feeder in task.feeders:
                if feeder.source:
                    self._put(Direct(t, feeder), (t,))

    def _put(self, one: "Column | Direct", tasks: Tasks) -> None:
        terms = self.terms(one)
        shares = [(row, -n if row < self.row_b else n) for row, n in terms]
        self.program.add(0.0, shares)
        self.what.append(one)
        self._tasks.append(tasks)
        self._bits.append(sum(1 << t for t in tasks))

    def add(self, offers: Iterable[Offer | None]) -> bool:
        """Add the schedules that are new; False when none is."""
        before = len(self.what)
        for one in offers:
            if one is not None and one.column not in self._known:
                self._known.add(one.column)
                carrier = self.carriers[one.column.battery]
                self._put(one.column, carrier.tasks(one.column.plugs))
        return len(self.what) > before

    def make_narrow(self, narrow: Narrow) -> None:
        """Leave out what ``narrow`` does, and nothing else."""
        self.narrow = narrow
        first = len(self.board.tasks)
        self.program.close(
            first + i for i in range(len(self.what)) if not self._allowed(i)
        )

    def _allowed(self, i: int) -> bool:
        """True when a column is not left out."""
        one, tasks = self.what[i], self._bits[i]
        if isinstance(one, Direct):
            return self.narrow.allows(SOURCE, None, tasks)
        return self.narrow.allows(one.battery, one.supply, tasks)

    def solve(self) -> tuple[float, Prices, Prices] | None:
        """Fewest tasks undone, prices of the rows, and shares of the columns."""
        solved = self.program.solve()
        if solved is None:
            return None
        cost, prices, values = solved
        return cost, prices, values[len(self.board.tasks) :]

    def shared(self, shares: Prices) -> Shared:
        """How shares of the columns do the tasks, and what batteries get."""
        tasks: dict[tuple[int, int], float] = defaultdict(float)
        panels: dict[tuple[int, int], float] = defaultdict(float)
        chargers: dict[tuple[int, int], float] = {
            (b, ladder.charger): 0.0
            for b, carrier in enumerate(self.carriers)
            for ladder in carrier.supplies.ladders
        }
        for i in np.flatnonzero(shares > _DUST).tolist():
            one, mine, share = self.what[i], self._tasks[i], shares[i]
            if isinstance(one, Direct):
                tasks[one.task, SOURCE] += float(share)
                continue
            for t in mine:
                tasks[t, one.battery] += float(share)
            for kind, n in enumerate(one.supply.panels):
                panels[one.battery, kind] += n * float(share)
            chargers[one.battery, one.supply.charger] += float(share)
        return Shared(tasks=dict(tasks), panels=dict(panels), chargers=chargers)

    def terms(self, one: "Column | Direct") -> Iterator[tuple[int, float]]:
        """Rows of a column, and its share of each: tasks it does, kit it takes."""
        if isinstance(one, Direct):
            period = self.board.tasks[one.task].period
            yield one.task, 1.0
            yield self.row_s[one.feeder.number, period], self._running_kw(one.task)
            return
        for t in self.carriers[one.battery].tasks(one.plugs):
            yield t, 1.0
        yield self.row_b + one.battery, 1.0
        for kind, n in enumerate(one.supply.panels):
            if n:
                yield self.row_p + kind, float(n)
        if one.supply.charger != NONE:
            for (s, _), row in self.row_s.items():
                if s == one.supply.charger:
                    yield row, self._charge_kw(one.battery)

    def _running_kw(self, t: int) -> float:
        who = self.board.fed[self.board.tasks[t].consumer].consumer
        return who.running_w / _KW

    def _charge_kw(self, b: int) -> float:
        return self.instance.batteries[b].max_charge_w / _KW

    # -- prices ----------------------------------------------------------------

    def worth(self, prices: Prices) -> Worth:
        """Read prices; no task is worth more than what a source asks for it."""
        n_t = len(self.board.tasks)
        sources = {spot: float(prices[row]) for spot, row in self.row_s.items()}
        tasks = (np.round(prices[:n_t] / _GRAIN) * _GRAIN).tolist()
        for one in self.what:
            if not isinstance(one, Direct):
                break
            if not self.narrow.allows(SOURCE, None, 1 << one.task):
                continue
            asked = sources[one.feeder.number, self.board.tasks[one.task].period]
            tasks[one.task] = min(tasks[one.task], asked * self._running_kw(one.task))
        whole_window: dict[int, float] = defaultdict(float)
        for (s, _), price in sources.items():
            whole_window[s] += price
        given = prices[self.row_p :] @ np.array(self.rooms[self.row_p :])
        return Worth(
            tasks=tasks,
            batteries=prices[self.row_b : self.row_p].tolist(),
            panels=prices[self.row_p : self.row_p + len(self.kinds)].tolist(),
            sources=whole_window,
            room=float(given),
        )

    def asked(self, b: int, ladder: Ladder, worth: Worth) -> Prices:
        """What every supply of a ladder costs at some prices."""
        asked: Prices = ladder.panels @ np.array(worth.panels, dtype=float)
        if ladder.charger != NONE:
            asked = asked + self._charge_kw(b) * worth.sources[ladder.charger]
        return self.narrow.prices(b, ladder, asked)


def alike_panels(instance: Instance) -> tuple[tuple[int, ...], ...]:
    """Panels that give the same in every hour and reach the same batteries."""
    found: dict[tuple[bytes, str], list[int]] = {}
    for p, (panel, sun_w) in enumerate(
        zip(instance.panels, instance.sun_w, strict=True)
    ):
        found.setdefault((sun_w.tobytes(), panel.place), []).append(p)
    return tuple(tuple(some) for some in found.values())
