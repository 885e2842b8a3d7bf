"""Borrow first: the next best loan, found by solving again with it.

At each step the fewest loans are taken that serve the most important need
that loans could serve better; of sets that serve it equally the one that
serves later needs better, then the one that is ready earlier, then the one of
less effort.  The set stays nested, so the list is an order.  Gains always come
from whole plans, never from duals.
"""

import time
from dataclasses import replace

from planner.decide.allocation import Allocation
from planner.decide.borrow_gap import nested_gaps
from planner.decide.borrow_pool import lent, offers
from planner.decide.borrow_search import BorrowSearch, Progress
from planner.decide.borrow_step import BorrowOrder, Step, gains_between, open_needs
from planner.result import Demand
from planner.scenario import Scenario


def borrow_order(
    scenario: Scenario,
    demand: tuple[Demand, ...],
    base: Allocation,
    *,
    time_limit_s: float,
    progress: Progress | None = None,
    pool: frozenset[str] | None = None,
    most_steps: int | None = None,
    gaps: bool = False,
    rewire: bool = True,
    most_looks: int | None = None,
) -> BorrowOrder:
    """Nested order of loans; stops when no three loans serve any need better.

    ``pool`` are the offers to look at, all of them when not given; those that
    ``base`` has already stay.  With ``gaps`` it is said how far the order is
    from the best sets; without ``rewire`` no wiring is made anew; ``most_looks``
    bounds the sets looked at.
    """
    pool = offers(scenario) if pool is None else pool
    if not pool or not open_needs(base.placed.stages):
        return BorrowOrder(steps=(), complete=True)
    search = BorrowSearch(
        scenario, demand, base, pool, ends=time.monotonic() + time_limit_s
    )
    search.tell = progress or search.tell
    if not rewire:
        search.work.plans = 0
    if most_looks is not None:
        search.work.looks = min(search.work.looks, most_looks)
    now = base
    steps: list[Step] = []
    while most_steps is None or len(steps) < most_steps:
        search.begin(len(steps))
        best = search.next_step(now)
        if best is None:
            break
        steps.append(
            Step(
                item_ids=tuple(sorted(lent(best.instance) - lent(now.instance))),
                allocation=best,
                before=now,
                gains=gains_between(now.placed.stages, best.placed.stages),
            )
        )
        now = best
    order = BorrowOrder(steps=tuple(steps), complete=search.complete)
    found = nested_gaps(search, base, order) if gaps else ()
    return replace(order, gaps=found, solved=search.solved)
