"""Which sockets could carry a consumer through a period if it hung there alone.

The battery is taken as full as it can be when the period begins and gets all
the sun and charger power it can take: where even that runs below the reserve,
no wiring may use the socket.  A consumer split over several batteries hides
this from a model in shares, so it is worked out first.
"""

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from planner.decide.blocks import Block
from planner.decide.instance import (
    Consumer,
    Instance,
    charges_battery,
    feeds_consumer,
    plugs,
    sun_reaches,
)
from planner.physics.profiles import Hourly
from planner.scenario import Availability

_SLACK_WH = 1e-6

Ways = NDArray[np.float64]
"""Hourly watts, one row a way to run the consumer; or such a table a battery."""
Able = NDArray[np.bool_]


class Sockets:
    """What each battery and source could carry at the very best."""

    def __init__(self, instance: Instance) -> None:
        self.instance = instance
        hours, many = instance.hours, range(len(instance.batteries))
        incomes = [self._income_wh(b) for b in many]
        charges = [self._charge_wh(b, incomes[b]) for b in many]
        self.income_wh = np.array(incomes).reshape(-1, hours)
        self.charge_wh = np.array(charges).reshape(-1, hours + 1)
        self.full_wh = _column(x.full_wh for x in instance.limits)
        self.least_wh = _column(
            x.floor_wh + x.reserve_wh - _SLACK_WH for x in instance.limits
        )

    def _income_wh(self, b: int) -> Hourly:
        """Most that can come into the cells in each hour [Wh]."""
        inst = self.instance
        battery, limits = inst.batteries[b], inst.limits[b]
        sun = np.zeros(inst.hours)
        for panel, sun_w in zip(inst.panels, inst.sun_w, strict=True):
            if sun_reaches(panel, battery):
                sun += sun_w
        solar = np.minimum(sun, np.minimum(limits.solar_limit_w, limits.charge_limit_w))
        on = np.zeros(inst.hours, dtype=bool)
        for source, hours in zip(inst.feeds, inst.feed_on, strict=True):
            if charges_battery(source, battery):
                on |= hours
        best: Hourly = np.where(on, limits.charge_limit_w, solar)
        return best * limits.charge_efficiency

    def _charge_wh(self, b: int, income_wh: Hourly) -> Hourly:
        """Most that can be in the cells as each hour begins [Wh]."""
        limits = self.instance.limits[b]
        charge = np.zeros(self.instance.hours + 1)
        charge[0] = limits.start_wh
        for h in range(self.instance.hours):
            top = max(limits.full_wh, charge[h])
            charge[h + 1] = min(top, charge[h] + income_wh[h])
        return charge

    def of_batteries(
        self, who: Consumer, ways: Ways, period: Block
    ) -> tuple[Able, Able]:
        """Whether the 12 V ports and the AC outlets can carry each way to run it.

        One row a battery, one column a way to run it.
        """
        inst = self.instance
        there = [present(b.availability, period, who) for b in inst.batteries]
        dc, ac = np.zeros((2, len(there)), dtype=bool)
        for b, battery in enumerate(inst.batteries):
            if there[b]:
                dc[b], ac[b] = plugs(who, battery)
        idle_w = _column(x.ac_idle_w for x in inst.limits) * who.needed
        by_dc = _column(x.dc_efficiency for x in inst.limits)[:, None]
        by_ac = _column(x.ac_efficiency for x in inst.limits)[:, None]
        return (
            self._hold(who, ways / by_dc[dc], dc, period),
            self._hold(who, ways / by_ac[ac] + idle_w[ac, None, :], ac, period),
        )

    def _hold(self, who: Consumer, out_w: Ways, some: Able, period: Block) -> Able:
        """Which of ``some`` batteries last the period when so much goes out of each."""
        able = np.zeros((len(some), out_w.shape[1]), dtype=bool)
        hours = hours_needed(period, who)
        able[some] = True
        if not len(hours) or not some.any():
            return able
        full_wh = self.full_wh[some]
        least_wh = self.least_wh[some]
        charge = np.broadcast_to(self.charge_wh[some][:, hours[:1]], out_w.shape[:2])
        lasts = np.ones(out_w.shape[:2], dtype=bool)
        for h in range(hours[0], hours[-1] + 1):
            came_in = charge + self.income_wh[some][:, [h]]
            charge = np.minimum(full_wh, came_in - out_w[:, :, h])
            if who.needed[h]:
                lasts &= charge >= least_wh
        able[some] = lasts
        return able

    def of_source(self, who: Consumer, s: int, period: Block) -> bool:
        """Whether a source serves it for the whole of a period."""
        on = bool(self.instance.feed_on[s][hours_needed(period, who)].all())
        return on and feeds_consumer(who, self.instance.feeds[s])


def _column(values: Iterable[float]) -> NDArray[np.float64]:
    """Numbers below each other, one row a battery."""
    return np.array(list(values), dtype=float)[:, None]


def wanted(who: Consumer, period: Block) -> bool:
    """True when the consumer must be fed at some hour of the period."""
    return bool(who.needed[period.span].any())


def hours_needed(period: Block, who: Consumer) -> NDArray[np.int_]:
    """Hours of the period in which the consumer must be fed."""
    return period.first + np.flatnonzero(who.needed[period.span])


def present(terms: Availability, period: Block, who: Consumer) -> bool:
    """True when a lent battery is there whenever the consumer needs it (R11)."""
    hours = hours_needed(period, who)
    return len(hours) == 0 or bool(
        hours[0] >= terms.ready_h and (terms.back_h is None or hours[-1] < terms.back_h)
    )
