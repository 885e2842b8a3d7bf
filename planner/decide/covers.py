"""How many consumers a battery can carry through a night, as whole plugs.

A battery that holds one fridge and a half through a night holds one.  For
every run of periods the count is taken at the very best: full when it begins,
all the sun and charger power it can take, and every consumer as light as the
lightest of its kind.  No wiring has more, so the counts may be stated as rows
of any model; what hangs in shares must then keep to whole plugs as well
(cover inequalities; Balas, Mathematical Programming 8, 1975).
"""

import itertools

import numpy as np
from numpy.typing import NDArray

from planner.decide.alone import Sockets
from planner.decide.blocks import Block
from planner.physics.profiles import Hourly

_SLACK_WH = 1e-6
_LONGEST_H = 50
_NEVER = -np.inf

Span = tuple[int, int, int]
"""First period, last period, most plugs in them."""


class Covers:
    """Counts for the batteries of one instance over the periods of a rota."""

    def __init__(self, sockets: Sockets, periods: tuple[Block, ...]) -> None:
        self.sockets = sockets
        self.periods = periods
        # A site is looked at many times, with the same loads and periods.
        self._known: dict[tuple[int, bytes], tuple[Span, ...]] = (
            sockets.instance.memo.setdefault(("covers", periods), {})
        )

    def spans(self, b: int, draw_wh: Hourly) -> tuple[Span, ...]:
        """Runs of periods in which energy allows fewer plugs than sockets do.

        Holds for consumers that each take at least ``draw_wh`` in every hour
        out of the battery's cells.
        """
        key = b, draw_wh.tobytes()
        if key not in self._known:
            self._known[key] = self._spans(b, draw_wh)
        return self._known[key]

    def _spans(self, b: int, draw_wh: Hourly) -> tuple[Span, ...]:
        battery = self.sockets.instance.batteries[b]
        ports = battery.ports_12v + battery.outlets_ac
        most: dict[tuple[int, int], int] = {}
        found = []
        for first in reversed(range(len(self.periods))):
            begins = self.periods[first].first
            charge = np.array([self.sockets.charge_wh[b][begins]])
            for last in range(first, len(self.periods)):
                if self.periods[last].end - begins > _LONGEST_H:
                    break
                charge = self._after(b, draw_wh, self.periods[last], charge, ports)
                most[first, last] = int(np.flatnonzero(charge > _NEVER)[-1])
                parts = (most[first, k] + most[k + 1, last] for k in range(first, last))
                if most[first, last] < min(parts, default=ports):
                    found.append((first, last, most[first, last]))
        return tuple(found)

    def _after(
        self,
        b: int,
        draw_wh: Hourly,
        period: Block,
        charge: NDArray[np.float64],
        ports: int,
    ) -> NDArray[np.float64]:
        """Most charge left after a period, by the plugs used up to its end."""
        limits = self.sockets.instance.limits[b]
        least = limits.floor_wh + limits.reserve_wh - _SLACK_WH
        income = self.sockets.income_wh[b]
        plugs = np.arange(ports + 1)[:, None]
        now = np.repeat(charge[None, :], ports + 1, axis=0)
        for h in range(period.first, period.end):
            top = np.maximum(limits.full_wh, now)
            now = np.minimum(top, now + income[h] - plugs * draw_wh[h])
            if draw_wh[h] > 0:
                now = np.where((now < least) & (plugs > 0), _NEVER, now)
        after = np.full(len(charge) + ports, _NEVER)
        for n, used in itertools.product(range(ports + 1), range(len(charge))):
            after[used + n] = max(after[used + n], now[n, used])
        return after


def no_lighter(draw_wh: Hourly, light_wh: Hourly, period: Block) -> bool:
    """True when a consumer draws at least as much in every hour of a period."""
    return bool((draw_wh[period.span] >= light_wh[period.span] - 1e-9).all())
