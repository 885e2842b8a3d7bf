"""Plugs that change over during the plan, counted from the wiring alone."""

from collections import defaultdict
from collections.abc import Iterable

from planner.result import Hookup, Link


def later_swaps(hookups: Iterable[Hookup]) -> tuple[int, ...]:
    """Hours at which a plug goes over to another feeder or kind of socket.

    One entry a plug, in order of time; what is plugged in at the start is none, and
    so is a plug that comes in later for the first time.
    """
    ways: defaultdict[str, list[tuple[int, str, str]]] = defaultdict(list)
    for plug in hookups:
        # A battery has many panels and one charger, a panel hangs on one battery.
        mover, other = plug.to_id, plug.from_id
        if plug.link is Link.PANEL_TO_BATTERY:
            mover, other = other, mover
        ways[mover].append((plug.from_h, other, plug.port.value))
    found: list[int] = []
    for way in ways.values():
        way.sort()
        before = way[0][1:]
        for from_h, *now in way:
            if from_h > 0 and tuple(now) != before:
                found.append(from_h)
            before = (now[0], now[1])
    return tuple(sorted(found))
