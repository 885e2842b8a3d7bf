"""Step functions of the charge, period by period, made into machine code.

Forwards: the most that can have been earned with so much charge left.
Backwards: the most that can still be earned from so much charge on.  What a
set of plugs does in a period is one row: the charge at the end is the charge
at the begin plus a gain, at least and at most so much, and the begin needs so
much.  ``carry.py`` says what the rows mean.
"""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from planner.decide.compiled import compiled, part

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

_SLACK_WH = 1e-6
_SAME = 1e-9
_GAIN, _LOW, _HIGH, _NEEDED = 0, 1, 2, 3
_CHARGE, _WORTH = 0, 1
_PLUGS, _NEXT = 0, 1
_LAST = -1


class Ways(NamedTuple):
    """Ways through every period with one supply.

    ``rows`` has gain, least and most at the end, and need at the begin; ``plugs``
    the number of the set of plugs among all, ``first`` that of the empty set of
    each period; those of a period lie from ``at`` to the next.
    """

    rows: Floats
    plugs: Ints
    at: Ints
    first: Ints


class Past(NamedTuple):
    """Before each period: falling charge, with the rising worth earned so far.

    Those of a period lie from ``at`` to the next.
    """

    steps: Floats
    at: Ints


@compiled
def through(
    spans: Ints,
    drawn_wh: Floats,
    feeds: Flags,
    income_wh: Floats,
    full_wh: float,
    least_wh: float,
) -> tuple[Floats, Flags]:
    """What a battery's periods do with every set of plugs, with some income.

    ``spans`` has first and end hour of a set's period; ``drawn_wh`` and ``feeds``
    its hours from there.  Returns the rows of :class:`Ways`, and whether a set
    can be fed at all.
    """
    sets = len(spans)
    rows, able = np.empty((sets, 4)), np.ones(sets, dtype=np.bool_)
    for i in range(sets):
        gain, low, high, needed = 0.0, -math.inf, math.inf, -math.inf
        for h in range(spans[i, 0], spans[i, 1]):
            x = h - spans[i, 0]
            net = income_wh[h] - drawn_wh[i, x]
            gain += net
            low, high = min(low + net, full_wh), min(high + net, full_wh)
            if feeds[i, x]:
                if high < least_wh - _SLACK_WH:
                    able[i] = False
                    break
                if low < least_wh:
                    needed = max(needed, least_wh - gain)
                low, high = max(low, least_wh), max(high, least_wh)
        rows[i, _GAIN], rows[i, _LOW] = gain, low
        rows[i, _HIGH], rows[i, _NEEDED] = high, needed - _SLACK_WH
    return rows, able


@part
def _longer(some: Floats, n: int) -> Floats:
    """The same numbers with room for ``n`` at least."""
    if n <= len(some):
        return some
    more = np.empty((max(n, 2 * len(some)), 2))
    for i in range(len(some)):
        more[i, 0] = some[i, 0]
        more[i, 1] = some[i, 1]
    return more


@part
def _longer_ints(some: Ints, n: int) -> Ints:
    if n <= len(some):
        return some
    more = np.empty((max(n, 2 * len(some)), 2), dtype=np.int64)
    for i in range(len(some)):
        more[i, 0] = some[i, 0]
        more[i, 1] = some[i, 1]
    return more


@compiled
def look_ahead(ways: Ways, earned: Floats, start_wh: float) -> Past:
    """Most that can have been earned before each period, by the charge left."""
    periods = len(ways.at) - 1
    at = np.zeros(periods + 2, dtype=np.int64)
    steps = np.empty((64, 2))
    steps[0, _CHARGE], steps[0, _WORTH] = start_wh, 0.0
    at[1] = 1
    here, other = np.empty((64, 2)), np.empty((64, 2))
    for k in range(periods):
        n = 0
        for w in range(ways.at[k], ways.at[k + 1]):
            more = earned[ways.plugs[w]]
            if ways.plugs[w] != ways.first[k] and more <= 0.0:
                continue
            size = at[k + 1] - at[k]
            other = _longer(other, n + size)
            n = _join_ahead(here, n, other, ways.rows, w, steps, at[k], size, more)
            here, other = other, here
        steps = _longer(steps, at[k + 1] + n)
        for i in range(n):
            steps[at[k + 1] + i, 0] = here[i, 0]
            steps[at[k + 1] + i, 1] = here[i, 1]
        at[k + 2] = at[k + 1] + n
    return Past(steps[: at[periods + 1]].copy(), at)


@part
def _join_ahead(
    here: Floats,
    n: int,
    out: Floats,
    rows: Floats,
    w: int,
    steps: Floats,
    first: int,
    size: int,
    more: float,
) -> int:
    """Put one way through a period beside the others; returns how many are kept."""
    gain, low, high = rows[w, _GAIN], rows[w, _LOW], rows[w, _HIGH]
    kept, most, i, j = 0, -1.0, 0, 0
    while i < n or j < size:
        charge = worth = -math.inf
        if j < size:
            begin = steps[first + j, _CHARGE]
            if begin < rows[w, _NEEDED]:
                j = size
                continue
            charge = min(high, max(low, begin + gain)) + _SLACK_WH
            worth = more + steps[first + j, _WORTH]
        # The greater charge first, and of equals what has earned more.
        if i < n and (
            here[i, _CHARGE] > charge
            or (here[i, _CHARGE] == charge and here[i, _WORTH] >= worth)
        ):
            charge, worth = here[i, _CHARGE], here[i, _WORTH]
            i += 1
        else:
            j += 1
        if worth > most + _SAME:
            most = worth
            if kept and out[kept - 1, _CHARGE] == charge:
                kept -= 1
            out[kept, _CHARGE], out[kept, _WORTH] = charge, worth
            kept += 1
    return kept


@compiled
def look_back(
    ways: Ways, earned: Floats, past: Past, start_wh: float, above: float
) -> tuple[float, Ints, int]:
    """The schedule worth most, if that is more than ``above``.

    Returns its worth (minus infinity where there is none), the number of its set
    of plugs in each period, and the steps that were looked at.
    """
    periods = len(ways.at) - 1
    plugs = np.zeros(periods, dtype=np.int64)
    steps, links = np.empty((256, 2)), np.empty((256, 2), dtype=np.int64)
    here, other = np.empty((64, 2)), np.empty((64, 2))
    mine, others = np.empty((64, 2), dtype=np.int64), np.empty((64, 2), dtype=np.int64)
    here[0, _CHARGE], here[0, _WORTH] = -math.inf, 0.0
    mine[0, _PLUGS], mine[0, _NEXT] = 0, _LAST
    n, base, work = 1, 0, 0
    for k in range(periods - 1, -1, -1):
        steps = _longer(steps, base + n)
        links = _longer_ints(links, base + n)
        size = _useful(here, mine, n, steps, links, base, past, k + 1, above + _SAME)
        if size == 0:
            return -math.inf, plugs, work
        work += (ways.at[k + 1] - ways.at[k]) * size
        n = 0
        for w in range(ways.at[k], ways.at[k + 1]):
            more = earned[ways.plugs[w]]
            if ways.plugs[w] != ways.first[k] and more <= 0.0:
                continue
            other = _longer(other, n + size)
            others = _longer_ints(others, n + size)
            n = _join_back(
                here, mine, n, other, others, ways, w, steps, base, size, more
            )
            here, other = other, here
            mine, others = others, mine
        base += size
    found = -1
    for i in range(n):
        if here[i, _CHARGE] <= start_wh:
            found = i
    if found < 0 or -here[found, _WORTH] <= above + _SAME:
        return -math.inf, plugs, work
    plugs[0] = mine[found, _PLUGS]
    step = mine[found, _NEXT]
    for k in range(1, periods):
        plugs[k] = links[step, _PLUGS]
        step = links[step, _NEXT]
    return -here[found, _WORTH], plugs, work


@part
def _useful(
    here: Floats,
    mine: Ints,
    n: int,
    steps: Floats,
    links: Ints,
    base: int,
    past: Past,
    k: int,
    above: float,
) -> int:
    """Keep steps from which, with what came before, more than so much is earned."""
    kept = 0
    i = past.at[k + 1] - 1
    for j in range(n):
        # Past is by falling charge: the last with enough has earned most.
        while i >= past.at[k] and past.steps[i, _CHARGE] < here[j, _CHARGE]:
            i -= 1
        if i < past.at[k]:
            break
        if past.steps[i, _WORTH] - here[j, _WORTH] > above:
            steps[base + kept, 0], steps[base + kept, 1] = here[j, 0], here[j, 1]
            links[base + kept, 0], links[base + kept, 1] = mine[j, 0], mine[j, 1]
            kept += 1
    return kept


@part
def _join_back(
    here: Floats,
    mine: Ints,
    n: int,
    out: Floats,
    outs: Ints,
    ways: Ways,
    w: int,
    steps: Floats,
    base: int,
    size: int,
    more: float,
) -> int:
    """Put one way through a period beside the others; returns how many are kept.

    Worth is kept as a number below nothing: by rising charge it falls.
    """
    gain, low = ways.rows[w, _GAIN], ways.rows[w, _LOW]
    top, needed = ways.rows[w, _HIGH] + _SLACK_WH, ways.rows[w, _NEEDED]
    kept, least, i, j = 0, 1.0, 0, 0
    while i < n or j < size:
        charge = worth = math.inf
        if j < size:
            end = steps[base + j, _CHARGE]
            if end > top:
                size = j
                continue
            charge = end - gain
            if end <= low or charge < needed:
                charge = needed
            worth = steps[base + j, _WORTH] - more
        plugs, step = ways.plugs[w], base + j
        # The lesser charge first, and of equals what earns more.
        if i < n and (
            here[i, _CHARGE] < charge
            or (here[i, _CHARGE] == charge and here[i, _WORTH] <= worth)
        ):
            charge, worth = here[i, _CHARGE], here[i, _WORTH]
            plugs, step = mine[i, _PLUGS], mine[i, _NEXT]
            i += 1
        else:
            j += 1
        if worth < least - _SAME:
            least = worth
            if kept and out[kept - 1, _CHARGE] == charge:
                kept -= 1
            out[kept, _CHARGE], out[kept, _WORTH] = charge, worth
            outs[kept, _PLUGS], outs[kept, _NEXT] = plugs, step
            kept += 1
    return kept
