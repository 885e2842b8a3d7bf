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
from dataclasses import dataclass
from random import Random

from planner.decide.blocks import Block
from planner.decide.board import Board, Feeder, Undo
from planner.decide.instance import Fed, Instance
from planner.decide.simulate import thin_hours
from planner.decide.stretch import NONE
from planner.result import Hookup

_SEED = 7
_HOT_WH = 200.0
_COLD_WH = 5.0
_ENOUGH_WH = 1e-6
_SETTLE = 4000
_NEAR = 0.01
_MORE_RUNS = 3
_SMALL_RUNS = 8
_SMALL_TASKS = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """The best wiring found, and the energy that it leaves missing [Wh]."""

    hookups: tuple[Hookup, ...] | None
    missing_wh: float


def nearly(fed: tuple[Fed, ...], missing_wh: float, share: float = _NEAR) -> bool:
    """True when no more than a share of the energy is missing."""
    return missing_wh <= share * sum(float(f.load_w.sum()) for f in fed)


def try_wiring(
    instance: Instance,
    fed: tuple[Fed, ...],
    periods: tuple[Block, ...],
    *,
    steps: int,
    runs: int = 2,
    on: Tried | None = None,
    more: bool = True,
) -> Tried:
    """Look for a wiring that feeds everything, within a number of steps.

    After ``runs`` runs it goes on only while next to nothing is missing, and not
    at all without ``more``; what was tried so becomes ``on`` to go on from there.
    """
    board = Board(instance, fed, periods)
    best = on.missing_wh if on is not None else math.inf
    small = len(board.tasks) <= _SMALL_TASKS
    most = runs * (_SMALL_RUNS if small else _MORE_RUNS) if more else runs
    for run in range(runs if on is not None else 0, most):
        if run >= runs and not nearly(fed, best):
            break
        search = _Search(board, Random(_SEED + run))  # noqa: S311 - a fixed draw
        best = min(best, search.anneal(steps))
        if best <= _ENOUGH_WH:
            search.settle(_SETTLE)
            hookups = board.hookups()
            if not thin_hours(instance, fed, hookups):
                return Tried(hookups=hookups, missing_wh=0.0)
            best = math.inf
    return Tried(hookups=None, missing_wh=best)


class _Search:
    """One run over the states of a board."""

    def __init__(self, board: Board, draw: Random) -> None:
        self.board = board
        self.draw = draw
        board.start()

    def anneal(self, steps: int) -> float:
        """Move plugs until nothing is missing; returns the least missing [Wh]."""
        board, draw = self.board, self.draw
        now = best = board.missing_wh
        cool = (_COLD_WH / _HOT_WH) ** (1.0 / max(1, steps))
        heat = _HOT_WH
        for _ in range(steps):
            if now <= _ENOUGH_WH:
                return now
            heat *= cool
            undo = self._move()
            if undo is None:
                continue
            after = board.missing_wh
            if after <= now or draw.random() < math.exp((now - after) / heat):
                now = after
                best = min(best, now)
            else:
                board.restore(undo)
        return best

    def _move(self) -> Undo | None:
        """One change at random, most often where something is missing."""
        draw = self.draw.random()
        for share, move in (
            (0.35, self._replug),
            (0.5, self._swap),
            (0.7, self._exchange),
            (0.85, self._panel),
            (0.95, self._charger),
        ):
            if draw < share:
                return move()
        return self._trade()

    def _exchange(self) -> Undo | None:
        """Let two batteries change all their plugs over some periods in a row."""
        board, draw = self.board, self.draw
        one = board.plug[self._weak_task()]
        if one is None or one.source or len(board.on) < 2:
            return None
        two = draw.randrange(len(board.on))
        first = draw.randrange(len(board.periods))
        last = min(len(board.periods) - 1, first + draw.randrange(4))
        other = {one.number: two, two: one.number}
        plugs: dict[int, Feeder | None] = {}
        for t, plug in enumerate(board.plug):
            task = board.tasks[t]
            if plug is None or plug.source or not first <= task.period <= last:
                continue
            if plug.number not in other or two == one.number:
                continue
            there = [
                f
                for f in task.feeders
                if not f.source and f.number == other[plug.number]
            ]
            if not there:
                return None
            plugs[t] = there[draw.randrange(len(there))]
        return board.change(plugs=plugs) if plugs else None

    def _trade(self) -> Undo | None:
        """Let two batteries change their panels, and chargers where they can."""
        board, draw = self.board, self.draw
        if len(board.on) < 2:
            return None
        one, two = draw.randrange(len(board.on)), draw.randrange(len(board.on))
        if one == two:
            return None
        other = {one: two, two: one}
        panels = {
            p: other[b]
            for p, b in enumerate(board.panel)
            if b in other and other[b] in board.panel_choices[p]
        }
        chargers = {}
        if all(
            board.charger[b] == NONE or board.charger[b] in board.charger_choices[a]
            for a, b in other.items()
        ):
            chargers = {a: board.charger[b] for a, b in other.items()}
        return board.change(panels=panels, chargers=chargers)

    def _weak_task(self) -> int:
        """A task of a battery that runs short, or one that hangs nowhere."""
        board = self.board
        loose = [t for t, plug in enumerate(board.plug) if plug is None]
        weak = [
            t
            for t, plug in enumerate(board.plug)
            if plug is not None and not plug.source and board.short[plug.number] > 0
        ]
        some = loose + weak
        if not some or self.draw.random() < 0.3:
            return self.draw.randrange(len(board.plug))
        return some[self.draw.randrange(len(some))]

    def _replug(self) -> Undo | None:
        """Move a consumer to another feeder for one period or some in a row."""
        board = self.board
        t = self._weak_task()
        task = board.tasks[t]
        if not task.feeders:
            return None
        feeder = task.feeders[self.draw.randrange(len(task.feeders))]
        last = t
        while self.draw.random() < 0.4 and last + 1 < len(board.tasks):
            after = board.tasks[last + 1]
            if after.consumer != task.consumer or feeder not in after.feeders:
                break
            last += 1
        plugs: dict[int, Feeder | None] = {
            x: feeder for x in range(t, last + 1) if board.plug[x] != feeder
        }
        return board.change(plugs=plugs) if plugs else None

    def _swap(self) -> Undo | None:
        """Let two consumers change places for a period."""
        board = self.board
        one = self._weak_task()
        others = [
            t
            for t, task in enumerate(board.tasks)
            if task.period == board.tasks[one].period and t != one
        ]
        if not others:
            return None
        two = others[self.draw.randrange(len(others))]
        a, b = board.plug[one], board.plug[two]
        if a == b:
            return None
        if (a is not None and a not in board.tasks[two].feeders) or (
            b is not None and b not in board.tasks[one].feeders
        ):
            return None
        return board.change(plugs={one: b, two: a})

    def _panel(self) -> Undo | None:
        """Plug a panel into another battery, or let two change places."""
        board = self.board
        if not board.panel:
            return None
        p = self.draw.randrange(len(board.panel))
        choices = board.panel_choices[p]
        if not choices:
            return None
        b = choices[self.draw.randrange(len(choices))]
        if b == board.panel[p]:
            return None
        there = [q for q, at in enumerate(board.panel) if at == b]
        if there and self.draw.random() < 0.5:
            q = there[self.draw.randrange(len(there))]
            if board.panel[p] in board.panel_choices[q] or board.panel[p] == NONE:
                return board.change(panels={p: b, q: board.panel[p]})
        return board.change(panels={p: b})

    def _charger(self) -> Undo | None:
        """Plug a battery's charger in or out, or give its place to another."""
        board = self.board
        able = [b for b, some in enumerate(board.charger_choices) if some]
        if not able:
            return None
        b = able[self.draw.randrange(len(able))]
        choices = (NONE, *board.charger_choices[b])
        s = choices[self.draw.randrange(len(choices))]
        if s == board.charger[b]:
            return None
        chargers = {b: s}
        # Others make way until the source can carry it.
        rivals = [x for x in able if board.charger[x] == s and x != b and s != NONE]
        while rivals and not board.supplies(s, chargers):
            chargers[rivals.pop(self.draw.randrange(len(rivals)))] = NONE
        return board.change(chargers=chargers)

    def settle(self, steps: int) -> None:
        """Fewer moves of plugs, as long as nothing runs short.

        A consumer is put where it hangs in the period before or after, alone
        or in exchange with another; what makes no more moves is kept.
        """
        board = self.board
        now = board.moves
        for _ in range(steps):
            if not now:
                return
            t = self.draw.randrange(len(board.tasks))
            beside = t + (1 if self.draw.random() < 0.5 else -1)
            if not 0 <= beside < len(board.tasks):
                continue
            feeder = board.plug[beside]
            if (
                board.tasks[beside].consumer != board.tasks[t].consumer
                or feeder is None
                or feeder == board.plug[t]
                or feeder not in board.tasks[t].feeders
            ):
                undo = self._panel() if self.draw.random() < 0.2 else self._swap()
            else:
                undo = self._put(t, feeder)
            if undo is None:
                continue
            after = board.moves
            if board.missing_wh <= _ENOUGH_WH and after <= now:
                now = after
            else:
                board.restore(undo)

    def _put(self, t: int, feeder: Feeder) -> Undo | None:
        """Plug a consumer in there, changing places with who is in the way."""
        board, draw = self.board, self.draw
        rivals = [
            x
            for x, task in enumerate(board.tasks)
            if task.period == board.tasks[t].period
            and x != t
            and board.plug[x] == feeder
            and board.plug[t] in task.feeders
        ]
        if rivals and draw.random() < 0.5:
            rival = rivals[draw.randrange(len(rivals))]
            return board.change(plugs={t: feeder, rival: board.plug[t]})
        return board.change(plugs={t: feeder})
