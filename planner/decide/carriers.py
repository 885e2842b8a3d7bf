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
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import partial

import numpy as np

from planner.decide.blocks import Block
from planner.decide.board import Board, Feeder
from planner.decide.carry import Carrier, Schedule, plugs_at_most
from planner.decide.instance import Fed, Instance
from planner.decide.ladder import best_supply
from planner.decide.mixed import (
    Column,
    Direct,
    Mixed,
    Offer,
    Prices,
    Worth,
    alike_panels,
)
from planner.decide.narrow import SOURCE, Halves, Narrow, halves
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
_AT_ONCE = 2
_SOME = 1e-2
_HALF_WORK = 10_000_000
_MOST_SUPPLIES = 4096
_MOST_PLUGS = 600
_WHOLE_S = 2.0
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
        self.unsure = False
        self.halves = Halves()
        self.shares: Prices = np.zeros(0)
        self.last: dict[tuple[int, int], int] = {}
        self.able = {
            t: {SOURCE if f.source else f.number for f in task.feeders}
            for t, task in enumerate(self.board.tasks)
        }

    @property
    def work(self) -> int:
        """Steps made so far in looking for schedules."""
        return sum(c.work for c in self.carriers)

    def look(
        self,
        most_work: int,
        ends: float,
        *,
        until: Callable[[], bool] = lambda: False,
    ) -> Seen:
        """Find a wiring, or prove that there is none, within an amount of work.

        The clock ``ends`` stands behind the work, for slow machines; ``until`` says
        that nothing more needs to be known.  Feasible without hookups: it goes in
        shares, and :meth:`halve` looks further.
        """
        self.ends = ends
        if self.too_many or self.goes:
            return Seen(answer=Answer.FEASIBLE if self.goes else Answer.UNKNOWN)
        answer = self._mix(most_work, until)
        self.goes = answer is Answer.FEASIBLE
        return Seen(answer=answer, hookups=self._whole() if self.goes else None)

    def halve(self, looks: int) -> Seen:
        """Look on where shares gave no proof: so, or not so.

        Who does a task is settled one by one, the likeliest first, and where that
        leads nowhere the other way (branch and price; Barnhart and others,
        Operations Research 46, 1998).  Infeasible when all ways are ruled out;
        else a further call goes on from here.
        """
        known = self.undone, self.steady
        answer, found = Answer.UNKNOWN, None
        for _ in range(0 if self.too_many else looks):
            half = None if time.monotonic() >= self.ends else self.halves.take()
            if half is None:
                break
            self.mixed.make_narrow(half.narrow)
            self.undone, self.steady = -math.inf, known[1]
            answer = self._mix(self.work + _HALF_WORK)
            if answer is Answer.INFEASIBLE:
                continue
            two = halves(half.narrow, self.mixed.shared(self.shares), self.able)
            if two is not None:
                self.halves.put(half, two)
                continue
            found = self._wired(self._settled()) if answer is Answer.FEASIBLE else None
            if found is not None:
                break
            self.unsure = True
        self.mixed.make_narrow(Narrow())
        self.undone, self.steady = known
        if found is not None:
            return Seen(answer=Answer.FEASIBLE, hookups=found)
        done = self.halves.done and not (self.unsure or self.too_many)
        return Seen(answer=Answer.INFEASIBLE if done else Answer.UNKNOWN)

    def _mix(self, most_work: int, until: Callable[[], bool] = lambda: False) -> Answer:
        """Feed everything in shares; proven where that cannot be done."""
        while True:
            solved = self.mixed.solve()
            if solved is None:
                break
            cost, prices, self.shares = solved
            if cost <= _UNDONE:
                return Answer.FEASIBLE
            if self.work >= most_work or time.monotonic() >= self.ends or until():
                break
            looked_at = [prices]
            if self.steady is not None:
                old = _OLD_SHARE * self.steady
                looked_at.insert(0, old + (1 - _OLD_SHARE) * prices)
            if not any(self._improve(some, prices) for some in looked_at):
                break
            if self.undone > _SURE:
                return Answer.INFEASIBLE
        return Answer.UNKNOWN

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
        with ThreadPoolExecutor(_AT_ONCE) as pool:
            offers = list(pool.map(partial(self._best, worth=worth), self._all))
        given = sum(
            worth.batteries[b] if one is None else one.gain
            for b, one in enumerate(offers)
        )
        least = sum(worth.tasks) - worth.room - given
        if least > self.undone:
            self.undone, self.steady = least, some
        return self.mixed.add(offers) or self.undone > _SURE

    @property
    def _all(self) -> range:
        return range(len(self.carriers))

    # -- schedules -------------------------------------------------------------

    def _best(self, b: int, worth: Worth) -> Offer | None:
        """The schedule and supply that gain most, if more than the battery's price."""
        carrier = self.carriers[b]
        earned = carrier.earned(self.mixed.narrow.worth(b, worth.tasks))
        offer: Offer | None = None
        gain = worth.batteries[b]
        for ladder in carrier.supplies.ladders:
            prices = self.mixed.asked(b, ladder, worth)
            best = best_supply(carrier, ladder, earned, prices, gain)
            if best is not None:
                offer = _offer(b, *best)
                gain = offer.gain
        return offer

    def _quick(self, b: int, worth: Worth, least: float) -> Offer | None:
        """A schedule that gains more, from the last supply by one panel at a time."""
        carrier = self.carriers[b]
        earned = carrier.earned(self.mixed.narrow.worth(b, worth.tasks))
        found: Offer | None = None
        for ladder in carrier.supplies.ladders:
            past = carrier.most_before(ladder, earned)
            most = float(past.steps[-1, 1])
            prices = self.mixed.asked(b, ladder, worth).tolist()
            now = self.last.get((b, ladder.charger), 0)
            while True:
                before = now
                for near in (now, *ladder.near(now)):
                    price = prices[near]
                    if most - price <= least + _SAME:
                        continue
                    supply = ladder.supplies[near]
                    schedule = carrier.best(supply, earned, past, least + price)
                    if schedule is not None:
                        found = _offer(b, supply, schedule, price)
                        least, now = found.gain, near
                if now == before:
                    break
            self.last[b, ladder.charger] = now
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
        for row, room in enumerate(self.mixed.rooms):
            if row < self.mixed.row_b:
                left = model.var(0, 1)
                undone.append(left)
                model.add("R7", total(rows[row]) + left >= -room)
            elif rows[row]:
                model.add("R7", total(rows[row]) <= room)
        outcome = model.minimise(
            total(undone), time_limit_s=_WHOLE_S, node_limit=_WHOLE_NODES, lean=True
        )
        if not outcome.found or outcome.objective > _UNDONE:
            return None
        chosen = [one for x, one in zip(taken, what, strict=True) if whole(x)]
        return self._wired(chosen)

    def _settled(self) -> list[Column | Direct]:
        """What is done where nothing is open: one schedule a battery that has any."""
        chosen: list[Column | Direct] = []
        seen: set[int] = set()
        for one, share in zip(self.mixed.what, self.shares, strict=True):
            if share < _SOME:
                continue
            if isinstance(one, Direct):
                chosen.append(one)
            elif one.battery not in seen:
                seen.add(one.battery)
                chosen.append(one)
        return chosen

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
