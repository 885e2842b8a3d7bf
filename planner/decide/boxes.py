"""The supply with which one battery gains most, without trying every supply.

More panels never earn less.  So no supply of a box, from some panels of each
kind to some more, gains more than what all of them would earn at the price of
the fewest.  The box that promises most is halved until one supply is left
(branch and bound; Land and Doig, Econometrica 28, 1960).
"""

import heapq
import itertools
from collections.abc import Callable, Iterator

from planner.decide.carry import Carrier, Earned, Schedule
from planner.decide.supplies import Panels, Supply

_SAME = 1e-9

_Box = tuple[float, int, Panels, Panels, float]
"""Most that may be gained, as a number below nothing; a number; fewest and most
panels; and what the most earn."""


def best_supplies(
    carrier: Carrier,
    most: Supply,
    earned: Earned,
    price_of: Callable[[Supply], float],
    above: float,
) -> Iterator[tuple[Supply, Schedule, float]]:
    """Supplies that gain more than ``above``, each more than the one before.

    The last gains most, of all with the charger of ``most`` and no more panels.
    Each comes with its schedule and its price.
    """
    supplies = carrier.supplies
    past = carrier.before(supplies.least(most), earned)
    numbers = itertools.count()
    boxes: list[_Box] = []
    new: tuple[Panels, Panels] | None = ((0,) * len(most.panels), most.panels)
    while True:
        if new is not None:
            low, high = new
            supply = supplies.least(Supply(panels=high, charger=most.charger))
            least = price_of(Supply(panels=low, charger=most.charger))
            schedule = carrier.best(supply, earned, past, above + least)
            if schedule is not None:
                worth, price = schedule.worth, price_of(supply)
                box = least - worth, next(numbers), low, high, worth
                heapq.heappush(boxes, box)
                if worth - price > above + _SAME:
                    above = worth - price
                    yield supply, schedule, price
        if not boxes or -boxes[0][0] <= above + _SAME:
            return
        _, number, low, high, worth = heapq.heappop(boxes)
        i = _widest(low, high, most.charger, price_of)
        if i is None:
            new = None
            continue
        middle = (low[i] + high[i]) // 2
        new = low, (*high[:i], middle, *high[i + 1 :])
        # The upper half has the same most panels, so they earn as much.
        upper = (*low[:i], middle + 1, *low[i + 1 :])
        least = price_of(Supply(panels=upper, charger=most.charger))
        heapq.heappush(boxes, (least - worth, number, upper, high, worth))


def _widest(
    low: Panels, high: Panels, charger: int, price_of: Callable[[Supply], float]
) -> int | None:
    """The kind over which the price of a box ranges most; ``None`` for one price."""
    least = price_of(Supply(panels=low, charger=charger))
    found, most = None, _SAME
    for i, n in enumerate(high):
        panels = (*low[:i], n, *low[i + 1 :])
        more = price_of(Supply(panels=panels, charger=charger)) - least
        if more > most:
            found, most = i, more
    return found
