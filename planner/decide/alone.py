"""Which sockets could carry a consumer through a period if it hung there alone.

The battery is taken as full as it can be when the period begins and gets all
the sun and charger power it can take: where even that runs below the reserve,
no wiring may use the socket.  A consumer split over several batteries hides
this from a model in shares, so it is worked out first.
"""

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
"""Hourly watts, one row a way to run the consumer."""
Able = NDArray[np.bool_]
"""One flag a way to run the consumer."""


class Sockets:
    """What each battery and source could carry at the very best."""

    def __init__(self, instance: Instance) -> None:
        self.instance = instance
        self.income_wh = [self._income_wh(b) for b in range(len(instance.batteries))]
        self.charge_wh = [self._charge_wh(b) for b in range(len(instance.batteries))]

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

    def _charge_wh(self, b: int) -> Hourly:
        """Most that can be in the cells as each hour begins [Wh]."""
        limits = self.instance.limits[b]
        charge = np.zeros(self.instance.hours + 1)
        charge[0] = limits.start_wh
        for h in range(self.instance.hours):
            top = max(limits.full_wh, charge[h])
            charge[h + 1] = min(top, charge[h] + self.income_wh[b][h])
        return charge

    def of_battery(
        self, who: Consumer, ways: Ways, b: int, period: Block
    ) -> tuple[Able, Able]:
        """Whether a 12 V port and an AC outlet can carry each way to run it."""
        inst = self.instance
        battery, limits = inst.batteries[b], inst.limits[b]
        none = np.zeros(len(ways), dtype=bool)
        if not present(battery.availability, period, who):
            return none, none
        dc, ac = plugs(who, battery)
        return (
            self._holds(who, ways / limits.dc_efficiency, b, period) if dc else none,
            self._holds(
                who,
                ways / limits.ac_efficiency + limits.ac_idle_w * who.needed,
                b,
                period,
            )
            if ac
            else none,
        )

    def _holds(self, who: Consumer, out_w: Ways, b: int, period: Block) -> Able:
        limits = self.instance.limits[b]
        least = limits.floor_wh + limits.reserve_wh - _SLACK_WH
        hours = hours_needed(period, who)
        able = np.ones(len(out_w), dtype=bool)
        if not len(hours):
            return able
        charge = np.full(len(out_w), self.charge_wh[b][hours[0]])
        for h in range(hours[0], hours[-1] + 1):
            charge = np.minimum(
                limits.full_wh, charge + self.income_wh[b][h] - out_w[:, h]
            )
            able &= (charge >= least) | (not who.needed[h])
        return able

    def of_source(self, who: Consumer, s: int, period: Block) -> bool:
        """Whether a source serves it for the whole of a period."""
        on = bool(self.instance.feed_on[s][hours_needed(period, who)].all())
        return on and feeds_consumer(who, self.instance.feeds[s])


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
