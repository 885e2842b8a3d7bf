"""Every way to run the consumers of an instance, and the feeders that could carry it.

Periods are those of a rota; a socket is left out where it could not carry a
consumer through one even alone (``alone.py``).
"""

import numpy as np
from numpy.typing import NDArray

from planner.decide.alone import Sockets, wanted
from planner.decide.blocks import charge_steps, plug_periods
from planner.decide.cuts import mode_key
from planner.decide.instance import (
    Consumer,
    Instance,
    consumer_of_load,
    consumer_of_unit,
)
from planner.physics.profiles import Hourly

_STEP_H = 6
_WH = 1000.0


class ConsumerWays:
    """A consumer with every way to run it, and where each could hang."""

    def __init__(
        self, every: "AllWays", sockets: Sockets, who: Consumer, loads: list[Hourly]
    ) -> None:
        inst = every.instance
        self.who = who
        hourly = np.array(loads)
        self.energy_kwh = (
            np.array([hourly[:, s.span].sum(axis=1) for s in every.steps]).T / _WH
        )
        self.dc: dict[tuple[int, int], NDArray[np.bool_]] = {}
        self.ac: dict[tuple[int, int], NDArray[np.bool_]] = {}
        self.direct: set[tuple[int, int]] = set()
        self.periods = [k for k, p in enumerate(every.periods) if wanted(who, p)]
        for k in self.periods:
            period = every.periods[k]
            dc, ac = sockets.of_batteries(who, hourly, period)
            self.dc |= {(b, k): dc[b] for b in np.flatnonzero(dc.any(axis=1)).tolist()}
            self.ac |= {(b, k): ac[b] for b in np.flatnonzero(ac.any(axis=1)).tolist()}
            for s in range(len(inst.feeds)):
                if sockets.of_source(who, s, period):
                    self.direct.add((s, k))

    def feeders_of(self, way: int) -> set[frozenset[int]]:
        """Batteries that could carry one way to run it, for every period of need.

        Periods in which a source can are left out.
        """
        direct = {k for _, k in self.direct}
        return {
            frozenset(
                b
                for table in (self.dc, self.ac)
                for (b, kk), able in table.items()
                if kk == k and able[way]
            )
            for k in self.periods
            if k not in direct
        }


class AllWays:
    """The ways of every consumer, over the periods and the steps of charge.

    ``way_of`` has the number of each mode among the ways of its unit.
    """

    def __init__(self, instance: Instance) -> None:
        self.instance = instance
        self.periods = plug_periods(instance, swaps=True)
        self.steps = charge_steps(instance, self.periods, sunny_h=_STEP_H)
        self.period_of = [
            next(k for k, p in enumerate(self.periods) if s.first < p.end)
            for s in self.steps
        ]
        sockets = Sockets(instance)
        self.loads = tuple(
            ConsumerWays(self, sockets, consumer_of_load(x), [x.load_w])
            for x in instance.loads
        )
        self.units = {
            u: ConsumerWays(
                self,
                sockets,
                consumer_of_unit(unit, instance.hours),
                [m.load_w for m in instance.modes[u]],
            )
            for u, unit in enumerate(instance.units)
            if unit.powered and instance.modes[u]
        }
        self.way_of = {
            mode_key(m): i for modes in instance.modes for i, m in enumerate(modes)
        }
