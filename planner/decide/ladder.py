"""The supply with which one battery gains most, without trying every supply.

Supplies stand in order of what they bring in all.  Between two rungs no supply
earns more than the most that comes in with any of them in each hour, nor costs
less than the cheapest.  The stretch that promises most is halved until nothing
promises more than what was found (branch and bound; Land and Doig,
Econometrica 28, 1960).  What a battery earns goes up in few steps, since it
feeds whole plugs: where the cheapest supply of a stretch earns as much as all
of them together, it is the best of them.
"""

import heapq

from planner.decide.carry import Carrier, Earned, Schedule
from planner.decide.carry_steps import Floats
from planner.decide.supplies import Ladder, Supply

_SAME = 1e-9

_Stretch = tuple[float, int, int, float]
"""Most that may be gained, as a number below nothing; first rung and end; and
what is earned at most."""


def best_supply(
    carrier: Carrier,
    ladder: Ladder,
    earned: Earned,
    prices: Floats,
    above: float,
) -> tuple[Supply, Schedule, float] | None:
    """The supply that gains most of a ladder, if more than ``above``.

    ``prices`` has what each costs.  Returned with its schedule and its price.
    """
    past = carrier.most_before(ladder, earned)
    found: tuple[Supply, Schedule, float] | None = None
    stretches: list[_Stretch] = []
    new = [(0, len(prices))]
    while True:
        for first, end in new:
            least = float(prices[first:end].min())
            most = carrier.best_between(ladder, first, end, earned, past, above + least)
            if most is not None:
                heapq.heappush(stretches, (least - most, first, end, most))
        if not stretches or -stretches[0][0] <= above + _SAME:
            return found
        _, first, end, most = heapq.heappop(stretches)
        cheapest = first + int(prices[first:end].argmin())
        supply, price = ladder.supplies[cheapest], float(prices[cheapest])
        schedule = carrier.best(supply, earned, past, above + price)
        if schedule is not None and schedule.worth - price > above + _SAME:
            above = schedule.worth - price
            found = supply, schedule, price
        middle = (first + end) // 2
        new = [(first, middle), (middle, end)] if end - first > 1 else []
