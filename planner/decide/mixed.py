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
from planner.decide.carry import Carrier, Plugs
from planner.decide.instance import Instance
from planner.decide.linear import LinearProgram
from planner.decide.stretch import NONE
from planner.decide.supplies import Supply

_KW = 1000.0
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

    ``fixed`` are the schedules that are set; the rows have so much less room.
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
        self.columns: dict[Column, None] = {}
        self.fixed: list[Column] = []
        feeds, periods = board.instance.feeds, board.periods
        self.row_b = len(board.tasks)
        self.row_p = self.row_b + len(board.instance.batteries)
        spots = [(s, k) for s in range(len(feeds)) for k in range(len(periods))]
        first = self.row_p + len(kinds)
        self.row_s = {spot: first + i for i, spot in enumerate(spots)}
        self.direct = [
            Direct(t, feeder)
            for t, task in enumerate(board.tasks)
            for feeder in task.feeders
            if feeder.source
        ]

    def add(self, offers: Iterable[Offer | None]) -> bool:
        """Add the schedules that are new; False when none is."""
        before = len(self.columns)
        for one in offers:
            if one is not None:
                self.columns.setdefault(one.column)
        return len(self.columns) > before

    @property
    def what(self) -> list[Column | Direct]:
        """What the columns of a program are, after those of what stays undone."""
        return [*self.direct, *self.columns]

    def program(self) -> LinearProgram:
        """Shares of schedules, fewest tasks undone.

        The first columns are what stays undone, task by task.
        """
        lp, board = LinearProgram(), self.board
        rows: dict[int, list[tuple[int, float]]] = defaultdict(list)
        for t in range(len(board.tasks)):
            rows[t].append((lp.column(1.0), -1.0))
        for one in self.what:
            x = lp.column()
            for row, share in self.terms(one):
                rows[row].append((x, -share if row < self.row_b else share))
        for row, room in enumerate(self.rooms()):
            lp.row(rows[row], room)
        return lp

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

    def rooms(self) -> list[float]:
        """Room of every row, less what the schedules take that are set."""
        inst = self.instance
        rooms = [
            *(-1.0 for _ in self.board.tasks),
            *(1.0 for _ in inst.batteries),
            *(float(len(kind)) for kind in self.kinds),
            *(inst.feeds[s].max_w / _KW for s, _ in self.row_s),
        ]
        for one in self.fixed:
            for row, share in self.terms(one):
                rooms[row] -= -share if row < self.row_b else share
        return rooms

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
        for one in self.direct:
            asked = sources[one.feeder.number, self.board.tasks[one.task].period]
            tasks[one.task] = min(tasks[one.task], asked * self._running_kw(one.task))
        whole_window: dict[int, float] = defaultdict(float)
        for (s, _), price in sources.items():
            whole_window[s] += price
        rooms = np.array(self.rooms())
        given = prices[self.row_p :] @ rooms[self.row_p :]
        return Worth(
            tasks=tasks,
            batteries=prices[self.row_b : self.row_p].tolist(),
            panels=prices[self.row_p : self.row_p + len(self.kinds)].tolist(),
            sources=whole_window,
            room=float(given),
        )

    def asked(self, b: int, supply: Supply, worth: Worth) -> float:
        """What a supply costs at some prices."""
        asked = sum(n * worth.panels[i] for i, n in enumerate(supply.panels) if n)
        if supply.charger != NONE:
            asked += self._charge_kw(b) * worth.sources[supply.charger]
        return asked


def alike_panels(instance: Instance) -> tuple[tuple[int, ...], ...]:
    """Panels that give the same in every hour and reach the same batteries."""
    found: dict[tuple[bytes, str], list[int]] = {}
    for p, (panel, sun_w) in enumerate(
        zip(instance.panels, instance.sun_w, strict=True)
    ):
        found.setdefault((sun_w.tobytes(), panel.place), []).append(p)
    return tuple(tuple(some) for some in found.values())
