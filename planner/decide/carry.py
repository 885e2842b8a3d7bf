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
from numpy.typing import NDArray

from planner.decide.board import Board, Feeder
from planner.decide.supplies import Supplies, Supply
from planner.physics.profiles import Hourly
from planner.result import PortType

_SLACK_WH = 1e-6
_SAME = 1e-9

Tasks = tuple[int, ...]
Plugs = tuple[int, ...]
"""The number of the set of plugs in each period."""
Earned = list[list[float]]
"""What every set of plugs earns at some prices, period by period."""

_Way = tuple[float, float, float, float, int]
"""One way through a period: charge gained, charge at least and at most at its
end, charge needed at its begin, and the number of its set of plugs."""
_Past = tuple[float, float]
"""With this charge left at most so much has been earned."""
_Step = tuple[float, float, int, "_Step | None"]
"""From this charge on so much can be earned, as a number below nothing (so that
steps sort), with this set of plugs and then what follows."""


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
        self._rows = self._lay_out()
        self._ways: dict[Supply, list[list[_Way]]] = {}

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

    def ways(self, supply: Supply) -> list[list[_Way]]:
        """Ways through every period with a supply."""
        if supply not in self._ways:
            self._ways[supply] = self._through(self.supplies.income_wh(supply))
        return self._ways[supply]

    def _lay_out(self) -> tuple[NDArray[np.int_], Hourly, NDArray[np.bool_]]:
        """Hours of every set of plugs of every period, one row each.

        Returns hours (the window's end where the period has no more), what is
        drawn and whether something is fed.
        """
        board = self.board
        longest = max(period.hours for period in board.periods)
        hours, drawn, feeding = [], [], []
        for k, period in enumerate(board.periods):
            shape = len(self.plugs[k]), longest
            at = np.full(shape, board.instance.hours)
            at[:, : period.hours] = np.arange(period.first, period.end)
            out, feeds = np.zeros(shape), np.zeros(shape, dtype=bool)
            for i, (bits, _) in enumerate(self.plugs[k]):
                out[i, : period.hours], feeds[i, : period.hours] = board.packs.drawn(
                    self.battery, period, bits
                )
            hours.append(at)
            drawn.append(out)
            feeding.append(feeds)
        return np.concatenate(hours), np.concatenate(drawn), np.concatenate(feeding)

    def _through(self, income_wh: Hourly) -> list[list[_Way]]:
        """Every way through every period; all plugs at once, hour by hour."""
        hours, drawn_wh, feeds = self._rows
        net_wh = np.append(income_wh, 0.0)[hours] - drawn_wh
        full_wh = self.limits.full_wh
        least = self.limits.floor_wh + self.limits.reserve_wh
        gain = np.zeros(len(hours))
        low, high = np.full(len(hours), -math.inf), np.full(len(hours), math.inf)
        needed = np.full(len(hours), -math.inf)
        able = np.ones(len(hours), dtype=bool)
        for h in range(hours.shape[1]):
            gain = gain + net_wh[:, h]
            low = np.minimum(low + net_wh[:, h], full_wh)
            high = np.minimum(high + net_wh[:, h], full_wh)
            on = feeds[:, h]
            able &= ~on | (high >= least - _SLACK_WH)
            short = on & (low < least)
            needed = np.where(short, np.maximum(needed, least - gain), needed)
            low = np.where(on, np.maximum(low, least), low)
            high = np.where(on, np.maximum(high, least), high)
        rows = np.stack([gain, low, high, needed - _SLACK_WH], axis=1).tolist()
        fits = able.tolist()
        found: list[list[_Way]] = []
        first = 0
        for plugs in self.plugs:
            found.append(
                [(*rows[first + i], i) for i in range(len(plugs)) if fits[first + i]]
            )
            first += len(plugs)
        return found

    # -- the best schedule ---------------------------------------------------

    def earned(self, worth: list[float]) -> Earned:
        """What plugs earn when every task has a worth."""
        return [
            [sum(worth[t] for t in tasks) for _, tasks in plugs] for plugs in self.plugs
        ]

    def before(self, supply: Supply, earned: Earned) -> list[list[_Past]]:
        """Most that can be earned before each period, by the charge left."""
        past: list[_Past] = [(self.limits.start_wh + _SLACK_WH, 0.0)]
        found = [past]
        for ways, mine in zip(self.ways(supply), earned, strict=True):
            past = _after(ways, mine, past)
            found.append(past)
        return found

    def best(
        self,
        supply: Supply,
        earned: Earned,
        past: list[list[_Past]],
        above: float = -math.inf,
    ) -> Schedule | None:
        """The schedule worth most; ``None`` once it is worth no more than ``above``.

        ``past`` is what could be earned before with at least as much coming in.
        """
        steps: list[_Step] = [(-math.inf, 0.0, 0, None)]
        ways = self.ways(supply)
        for k in reversed(range(len(ways))):
            steps = _useful(steps, past[k + 1], above + _SAME)
            if not steps:
                return None
            self.work += len(ways[k]) * len(steps)
            steps = _before(ways[k], earned[k], steps)
        charge = self.limits.start_wh + _SLACK_WH
        reached = [one for one in steps if one[0] <= charge]
        if not reached or -reached[-1][1] <= above + _SAME:
            return None
        plugs = []
        step: _Step = reached[-1]
        worth = -step[1]
        while step[3] is not None:
            plugs.append(step[2])
            step = step[3]
        return Schedule(worth=worth, plugs=tuple(plugs))


def _useful(steps: list[_Step], past: list[_Past], above: float) -> list[_Step]:
    """Steps from which, with what came before, more than so much is earned."""
    kept = []
    i = len(past) - 1
    for step in steps:
        # Past is by falling charge: the last with enough has earned most.
        while i >= 0 and past[i][0] < step[0]:
            i -= 1
        if i < 0:
            break
        if past[i][1] - step[1] > above:
            kept.append(step)
    return kept


def _after(ways: list[_Way], earned: list[float], past: list[_Past]) -> list[_Past]:
    """Charge and earnings after a period; falling charge, rising earnings."""
    found = []
    for gain, low, high, needed, i in ways:
        more = earned[i]
        if i and more <= 0.0:
            continue
        for charge, worth in past:
            if charge < needed:
                break
            found.append((min(high, max(low, charge + gain)) + _SLACK_WH, more + worth))
    found.sort(key=lambda one: (-one[0], -one[1]))
    kept: list[_Past] = []
    most = -1.0
    for one in found:
        if one[1] > most + _SAME:
            most = one[1]
            kept.append(one)
    return kept


def _before(ways: list[_Way], earned: list[float], after: list[_Step]) -> list[_Step]:
    """The step function before a period, from the one after it."""
    found: list[_Step] = []
    for gain, low, high, needed, i in ways:
        more = earned[i]
        if i and more <= 0.0:
            continue
        top = high + _SLACK_WH
        for step in after:
            at = step[0]
            if at > top:
                break
            begin = at - gain
            if at <= low or begin < needed:
                begin = needed
            found.append((begin, step[1] - more, i, step))
    # By charge, the most earned first where it is the same.
    found.sort()
    kept: list[_Step] = []
    least = 1.0
    for step in found:
        if step[1] < least - _SAME:
            least = step[1]
            kept.append(step)
    return kept
