"""What a period does to a battery, worked out once and remembered.

Adding and holding between two limits is again adding and holding, so the hours
of a period become one step: a search that moves plugs about asks the same
questions many thousand times.
"""

import math

import numpy as np

from planner.decide.alone import hours_needed
from planner.decide.blocks import Block
from planner.decide.instance import Fed, Instance
from planner.physics.profiles import Hourly

NONE = -1
"""No battery, or no charger."""

Supply = tuple[int, tuple[int, ...], int]
"""A battery, the panels plugged into it, and the source of its charger."""

Stretch = tuple[float, float, float, float, float]
"""What one period does to a battery: charge at its end is the charge at its
begin plus the first, at least the second, at most the third; missing is the
fifth, and what the charge at its begin is below the fourth."""


class Packs:
    """The batteries of one wiring, each counted by itself."""

    def __init__(
        self, instance: Instance, fed: tuple[Fed, ...], periods: tuple[Block, ...]
    ) -> None:
        self.instance = instance
        self.fed = fed
        self.periods = periods
        self._draws: dict[tuple[int, int, int], tuple[list[float], list[bool]]] = {}
        self._incomes: dict[Supply, list[float]] = {}
        self._stretches: dict[Supply, dict[tuple[int, int], Stretch]] = {}

    def missing_wh(
        self, b: int, panels: tuple[int, ...], charger: int, on: list[int]
    ) -> float:
        """Energy missing at a battery, with its panels, charger and plugs.

        ``on`` has the plugs of each period: two bits a consumer, for a 12 V port
        and an AC outlet.
        """
        charge, missing = self.instance.limits[b].start_wh, 0.0
        source = b, panels, charger
        known = self._stretches.setdefault(source, {})
        for k, plugs in enumerate(on):
            key = k, plugs
            if key not in known:
                known[key] = self._stretch(source, k, plugs)
            gain, low, high, needed, lost = known[key]
            missing += lost
            if charge < needed:
                missing += needed - charge
            charge = min(high, max(low, charge + gain))
        return missing

    def _stretch(self, source: Supply, k: int, plugs: int) -> Stretch:
        """What a period does, hour by hour, topped up where it runs short."""
        b, period = source[0], self.periods[k]
        limits = self.instance.limits[b]
        if (b, k, plugs) not in self._draws:
            self._draws[b, k, plugs] = self.drawn(b, period, plugs)
        if source not in self._incomes:
            self._incomes[source] = self.income_wh(*source)
        out, feeding = self._draws[b, k, plugs]
        income = self._incomes[source][period.span]
        least = limits.floor_wh + limits.reserve_wh
        gain, low, high, needed, lost = 0.0, -math.inf, math.inf, -math.inf, 0.0
        for came, went, feeds in zip(income, out, feeding, strict=True):
            net = came - went
            gain += net
            low, high = low + net, high + net
            low, high = min(low, limits.full_wh), min(high, limits.full_wh)
            if not feeds:
                continue
            if low < min(least, high):
                # A charge at the begin below this one is missing here in full.
                needed = max(needed, min(least, high) - gain)
            if high < least:
                lost += least - high
            low, high = max(low, least), max(high, least)
        return gain, low, high, needed, lost

    def drawn(
        self, b: int, period: Block, plugs: int
    ) -> tuple[list[float], list[bool]]:
        """What the plugs of a period take out of the cells, and when any does."""
        limits = self.instance.limits[b]
        out = np.zeros(period.hours)
        idle = np.zeros(period.hours)
        feeding = np.zeros(period.hours, dtype=bool)
        for c, fed in enumerate(self.fed):
            for bit, share, idle_w in (
                (2 * c, limits.dc_efficiency, 0.0),
                (2 * c + 1, limits.ac_efficiency, limits.ac_idle_w),
            ):
                if plugs >> bit & 1:
                    hours = hours_needed(period, fed.consumer) - period.first
                    span = slice(hours[0], hours[-1] + 1)
                    out[span] += fed.load_w[period.span][span] / share
                    idle[span] = np.maximum(idle[span], idle_w)
                    feeding[span] = True
        return (out + idle).tolist(), feeding.tolist()

    def income_wh(self, b: int, panels: tuple[int, ...], charger: int) -> list[float]:
        """What comes into the cells in each hour [Wh]."""
        sun = np.zeros(self.instance.hours)
        for p in panels:
            sun += self.instance.sun_w[p]
        come: list[float] = self.let_in_wh(b, sun, charger).tolist()
        return come

    def let_in_wh(self, b: int, sun_w: Hourly, charger: int) -> Hourly:
        """What of some sun, and of a charger, comes into the cells [Wh].

        Hours stand last in ``sun_w``, so that many panels are worked out at once.
        """
        inst, limits = self.instance, self.instance.limits[b]
        limit_w = next(iter(inst.charge_at[inst.batteries[b].id].values()))
        come: Hourly = np.minimum(np.minimum(sun_w, limits.solar_limit_w), limit_w)
        if charger != NONE:
            come = np.where(inst.feed_on[charger], limit_w, come)
        return come * limits.charge_efficiency
