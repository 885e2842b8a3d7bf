"""A wiring by trial: plugs are moved about until nothing runs short.

Models of whole plugs take long to find a wiring where energy is tight, even
for four units and ten batteries.  Here every plug has a place at once, what
is missing is counted in watt-hours, and plugs, panels and chargers are moved
one or two at a time, at first also for the worse (simulated annealing;
Kirkpatrick, Gelatt and Vecchi, Science 220, 1983).  It proves nothing; what
it finds is counted hour by hour.  The draw is fixed, so the same input gives
the same wiring.
"""

import math
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

from planner.decide.blocks import Block
from planner.decide.board import Board
from planner.decide.instance import Fed, Instance
from planner.decide.simulate import thin_hours
from planner.decide.trial_moves import (
    ENOUGH_WH,
    Tables,
    anneal,
    count,
    new_change,
    new_state,
    settle,
)
from planner.decide.trial_tables import feeder_of, number_of, tables_of
from planner.result import Hookup

_SEED = 7
_HOT_WH = 200.0
_WARM_WH = 40.0
_SETTLE = 20_000
_NEAR = 0.01
_WORTH_MORE = 0.06
"""Share of the energy that may be missing for the best runs to go on."""
_AT_ONCE = 2
"""Runs beside each other: a modest laptop has two cores."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Effort:
    """How much is tried: many short runs, of which the best ``kept`` go on.

    Some wirings lie where only a lucky start leads, others at the end of a long
    search.  Runs are numbered from ``first``, and each number has its own draw.
    """

    starts: int
    steps: int
    kept: int
    more_steps: int
    first: int = 0


QUICK = Effort(starts=12, steps=5_000, kept=3, more_steps=20_000)
LONG = Effort(starts=16, steps=5_000, kept=4, more_steps=250_000, first=100)
LAST = Effort(starts=64, steps=5_000, kept=8, more_steps=300_000, first=1000)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """The wiring found, or the least energy that a try left missing [Wh]."""

    hookups: tuple[Hookup, ...] | None
    missing_wh: float

    def or_else(self, other: "Tried") -> "Tried":
        """The one of two tries that lacks less."""
        return min(self, other, key=lambda one: one.missing_wh)


def nearly(fed: tuple[Fed, ...], missing_wh: float, share: float = _NEAR) -> bool:
    """True when no more than a share of the energy is missing."""
    return missing_wh <= share * sum(float(f.load_w.sum()) for f in fed)


def try_wiring(
    instance: Instance,
    fed: tuple[Fed, ...],
    periods: tuple[Block, ...],
    effort: Effort = QUICK,
) -> Tried:
    """Look for a wiring that feeds everything, with so much effort."""
    board = Board(instance, fed, periods)
    board.start()
    tables = tables_of(board)
    runs = range(effort.first, effort.first + effort.starts)
    searches = [_Search(board, tables, _SEED + run) for run in runs]
    for kept, steps, heat_wh in (
        (effort.starts, effort.steps, _HOT_WH),
        (effort.kept, effort.more_steps, _WARM_WH),
    ):
        searches = searches[:kept]
        if not _all_run(searches, steps, heat_wh):
            break
        searches.sort(key=lambda one: one.missing_wh)
        if not nearly(fed, searches[0].missing_wh, _WORTH_MORE):
            break
    found = next((one.hookups for one in searches if one.hookups is not None), None)
    least_wh = min(one.missing_wh for one in searches)
    return Tried(hookups=found, missing_wh=least_wh)


def _all_run(searches: list["_Search"], steps: int, heat_wh: float) -> bool:
    """Let searches run, some beside each other, until one has found a wiring."""
    with ThreadPoolExecutor(_AT_ONCE) as threads:
        for first in range(0, len(searches), _AT_ONCE):
            some = searches[first : first + _AT_ONCE]
            list(threads.map(lambda one: one.run(steps, heat_wh), some))
            if any(one.hookups is not None for one in some):
                return False
    return True


class _Search:
    """A run over the places of plugs, panels and chargers, from a board's on.

    ``hookups`` is the wiring that it found, else ``missing_wh`` what it lacks.
    """

    def __init__(self, board: Board, tables: Tables, seed: int) -> None:
        self.board = board
        self.tables = tables
        self.state = new_state(tables, seed)
        self.change = new_change(tables)
        n_b = len(tables.battery)
        self.state.plug[:] = [number_of(f, n_b) for f in board.plug]
        self.state.panel[:] = board.panel
        self.state.charger[:] = board.charger
        count(tables, self.state)
        self.hookups: tuple[Hookup, ...] | None = None
        self.missing_wh = math.inf

    def run(self, steps: int, heat_wh: float) -> None:
        """Move plugs until nothing is missing, then for fewer moves of plugs.

        What is found is looked at hour by hour before it is believed.
        """
        missing_wh = anneal(self.tables, self.state, self.change, steps, heat_wh)
        if missing_wh > ENOUGH_WH:
            self.missing_wh = min(self.missing_wh, missing_wh)
            return
        settle(self.tables, self.state, self.change, _SETTLE)
        hookups = self._plugged()
        if not thin_hours(self.board.instance, self.board.fed, hookups):
            self.hookups, self.missing_wh = hookups, 0.0

    def _plugged(self) -> tuple[Hookup, ...]:
        """The plugs as they are now."""
        n_b = len(self.tables.battery)
        return self.board.as_set(
            plug=[
                feeder_of(int(f), task, n_b)
                for f, task in zip(self.state.plug, self.board.tasks, strict=True)
            ],
            panel=self.state.panel.tolist(),
            charger=self.state.charger.tolist(),
        )
