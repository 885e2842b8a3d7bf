"""Whether a set of consumers can be wired: whole schedules of batteries as columns.

A battery's schedule says which consumers it feeds in which periods, with which
panels and charger.  A wiring is one schedule a battery, so that every consumer
is fed in every period.  Schedules are mixed in shares first, and made as they
are needed, each the best there is at the prices of the moment (column
generation; Gilmore and Gomory, Operations Research 9, 1961).  A battery that
could carry one and a half fridges through a night carries one in any schedule,
so shares of schedules say far more than shares of plugs.

Where even shares leave something unfed there is no wiring, and the prices
prove it (Lagrangian bound; Geoffrion, Mathematical Programming Study 2, 1974).
"""

import math
import time
from collections import defaultdict
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from planner.decide.blocks import Block
from planner.decide.board import Board, Feeder
from planner.decide.boxes import best_supplies
from planner.decide.carry import Carrier, Schedule, plugs_at_most
from planner.decide.instance import Fed, Instance
from planner.decide.mixed import (
    Column,
    Direct,
    Mixed,
    Offer,
    Prices,
    Worth,
    alike_panels,
)
from planner.decide.simulate import thin_hours
from planner.decide.solver import Answer, Expr, Model, total, whole
from planner.decide.stretch import NONE
from planner.decide.supplies import Supply, supplies_at_most
from planner.result import Hookup

_UNDONE = 1e-6
_SURE = 1e-4
_SAME = 1e-9
_OLD_SHARE = 0.6
"""Share of the best prices so far in the next ones looked at: steadier."""
_GAIN = 1e-7
_A_TIME = 4
_DIVES = 3
_EVERY = 3
_MOST_SUPPLIES = 4096
_MOST_PLUGS = 600
_WHOLE_S = 20.0
_WHOLE_NODES = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What came out: hookups, the fact that there are none, or nothing."""

    answer: Answer
    hookups: tuple[Hookup, ...] | None = None


class Carriers:
    """All batteries of one site that has one place.

    ``undone`` is how many tasks any wiring leaves undone at least, as far as is
    known, and ``steady`` the prices that show it.
    """

    def __init__(
        self, instance: Instance, fed: tuple[Fed, ...], periods: tuple[Block, ...]
    ) -> None:
        self.instance = instance
        self.board = Board(instance, fed, periods)
        self.kinds = alike_panels(instance)
        self.too_many = (
            supplies_at_most(self.kinds) > _MOST_SUPPLIES
            or plugs_at_most(self.board) > _MOST_PLUGS
        )
        self.carriers = tuple(
            Carrier(self.board, b, self.kinds)
            for b in range(0 if self.too_many else len(instance.batteries))
        )
        self.mixed = Mixed(self.board, self.kinds, self.carriers)
        self.undone = -math.inf
        self.steady: Prices | None = None
        self.turn = 0
        self.ends = math.inf
        self.goes = False
        self.tried: set[Column] = set()
        self.shares: Prices = np.zeros(0)
        self.last: dict[tuple[int, int], Supply] = {}

    @property
    def work(self) -> int:
        """Steps made so far in looking for schedules."""
        return sum(c.work for c in self.carriers)

    def look(self, most_work: int, ends: float) -> Seen:
        """Find a wiring, or prove that there is none, within an amount of work.

        The clock ``ends`` stands behind the work, for slow machines.  Feasible
        without hookups: it goes in shares, and :meth:`dive` looks further.
        """
        self.ends = ends
        if self.too_many or self.goes:
            return Seen(answer=Answer.FEASIBLE if self.goes else Answer.UNKNOWN)
        answer = self._mix(most_work)
        self.goes = answer is Answer.FEASIBLE
        return Seen(answer=answer, hookups=self._whole() if self.goes else None)

    def dive(self, more_work: int) -> tuple[Hookup, ...] | None:
        """Look on for a wiring where everything could be fed in shares."""
        most_work = self.work + more_work
        for _ in range(_DIVES if self.goes else 0):
            # Shares of what an earlier dive had set, or was setting, say nothing.
            self.mixed.fixed.clear()
            if self._mix(most_work) is not Answer.FEASIBLE:
                break
            found = self._dive(most_work)
            if found is not None:
                return found
            self.tried.update(self.mixed.fixed[:1])
        return None

    def _dive(self, most_work: int) -> tuple[Hookup, ...] | None:
        """Whole schedules; where that fails the largest share is set, and so on."""
        for depth in self._all:
            # Shares come near to whole ones as schedules are set.
            if depth % _EVERY == _EVERY - 1:
                found = self._whole()
                if found is not None:
                    return found
            largest = self._largest()
            if largest is None:
                break
            self.mixed.fixed.append(largest)
            if self._mix(most_work) is not Answer.FEASIBLE:
                break
        return None

    def _mix(self, most_work: int) -> Answer:
        """Feed everything in shares; proven where that cannot be done."""
        while self.work < most_work and time.monotonic() < self.ends:
            program = self.mixed.program()
            solved = program.prices()
            if solved is None:
                break
            cost, prices = solved
            self.shares = program.shares[len(self.board.tasks) :]
            if cost <= _UNDONE:
                return Answer.FEASIBLE
            looked_at = [prices]
            if self.steady is not None and not self.mixed.fixed:
                old = _OLD_SHARE * self.steady
                looked_at.insert(0, old + (1 - _OLD_SHARE) * prices)
            if not any(self._improve(some, prices) for some in looked_at):
                break
            if self.undone > _SURE:
                return Answer.INFEASIBLE
        return Answer.UNKNOWN

    def _largest(self) -> Column | None:
        """The schedule with the largest share that is not set, nor was in vain."""
        taken = self.tried.union(self.mixed.fixed)
        left = [
            (share, -i, one)
            for i, (share, one) in enumerate(
                zip(self.shares, self.mixed.what, strict=True)
            )
            if isinstance(one, Column) and one not in taken
        ]
        return max(left, key=lambda some: some[:2])[2] if left else None

    def _improve(self, some: Prices, prices: Prices) -> bool:
        """Add schedules that gain at some prices; False when there are none."""
        worth = self.mixed.worth(some)
        paid = prices[self.mixed.row_b : self.mixed.row_p].tolist()
        found = 0
        for _ in self._all:
            # In turns, and with new prices soon: fewer are looked for in vain.
            self.turn = (self.turn + 1) % len(self.carriers)
            least = paid[self.turn] + _GAIN
            found += self.mixed.add([self._quick(self.turn, worth, least)])
            if found == _A_TIME:
                break
        if found:
            return True
        offers = [self._best(b, worth) for b in self._all]
        given = sum(
            worth.batteries[b] if one is None else one.gain
            for b, one in enumerate(offers)
        )
        least = sum(worth.tasks) - worth.room - given
        # With some schedules set it says nothing about wirings at large.
        if least > self.undone and not self.mixed.fixed:
            self.undone, self.steady = least, some
        return self.mixed.add(offers) or self.undone > _SURE

    @property
    def _all(self) -> range:
        return range(len(self.carriers))

    # -- schedules -------------------------------------------------------------

    def _best(self, b: int, worth: Worth) -> Offer | None:
        """The schedule and supply that gain most, if more than the battery's price."""
        carrier = self.carriers[b]
        earned = carrier.earned(worth.tasks)
        found: Offer | None = None
        gain = worth.batteries[b]
        for most in carrier.supplies.most:
            for supply, schedule, price in best_supplies(
                carrier, most, earned, partial(self.mixed.asked, b, worth=worth), gain
            ):
                found = _offer(b, supply, schedule, price)
                gain = found.gain
        return found

    def _quick(self, b: int, worth: Worth, least: float) -> Offer | None:
        """A schedule that gains more, from the last supply by one panel at a time."""
        carrier = self.carriers[b]
        earned = carrier.earned(worth.tasks)
        found: Offer | None = None
        for full in carrier.supplies.most:
            past = carrier.before(carrier.supplies.least(full), earned)
            most = float(past.steps[-1, 1])
            none = replace(full, panels=(0,) * len(full.panels))
            now = self.last.get((b, full.charger), none)
            while True:
                before = now
                for near in (now, *carrier.supplies.near(now)):
                    price = self.mixed.asked(b, near, worth)
                    if most - price <= least + _SAME:
                        continue
                    schedule = carrier.best(near, earned, past, least + price)
                    if schedule is not None:
                        found = _offer(b, near, schedule, price)
                        least, now = found.gain, near
                if now == before:
                    break
            self.last[b, full.charger] = now
        return found

    # -- a wiring ----------------------------------------------------------------

    def _whole(self) -> tuple[Hookup, ...] | None:
        """Whole schedules in the place of shares, of those that are known."""
        model = Model("schedules")
        what = self.mixed.what
        taken = [model.binary() for _ in what]
        rows: dict[int, list[Expr]] = defaultdict(list)
        for x, one in zip(taken, what, strict=True):
            for row, share in self.mixed.terms(one):
                rows[row].append(share * x)
        undone = []
        for row, room in enumerate(self.mixed.rooms()):
            if row < self.mixed.row_b:
                left = model.var(0, 1)
                undone.append(left)
                model.add("R7", total(rows[row]) + left >= -room)
            elif rows[row]:
                model.add("R7", total(rows[row]) <= room)
        outcome = model.minimise(
            total(undone), time_limit_s=_WHOLE_S, node_limit=_WHOLE_NODES
        )
        if not outcome.found or outcome.objective > _UNDONE:
            return None
        chosen = [one for x, one in zip(taken, what, strict=True) if whole(x)]
        return self._wired([*self.mixed.fixed, *chosen])

    def _wired(self, chosen: list[Column | Direct]) -> tuple[Hookup, ...] | None:
        """Set the board's plugs as chosen, and look at every hour of it."""
        board = self.board
        free = [list(kind) for kind in self.kinds]
        # Everything is set anew, whatever an earlier look left in.
        plugs: dict[int, Feeder | None] = {}
        panels = dict.fromkeys(range(len(board.panel)), NONE)
        chargers = dict.fromkeys(self._all, NONE)
        for one in chosen:
            if isinstance(one, Direct):
                plugs[one.task] = one.feeder
                continue
            b = one.battery
            chargers[b] = one.supply.charger
            for kind, n in zip(free, one.supply.panels, strict=True):
                able = [p for p in kind if b in board.panel_choices[p]][:n]
                panels |= dict.fromkeys(able, b)
                kind[:] = [p for p in kind if p not in able]
            plugs |= dict(self.carriers[b].feeders(one.plugs))
        if len(plugs) < len(board.tasks):
            return None
        if board.change(plugs=plugs, panels=panels, chargers=chargers) is None:
            return None
        hookups = board.hookups()
        return None if thin_hours(self.instance, board.fed, hookups) else hookups


def _offer(b: int, supply: Supply, schedule: Schedule, price: float) -> Offer:
    column = Column(battery=b, supply=supply, plugs=schedule.plugs)
    return Offer(gain=schedule.worth - price, column=column)
