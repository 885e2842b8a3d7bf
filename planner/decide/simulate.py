"""Quick hour-by-hour look at a wiring, used only to accept or reject it.

The replay that is shown to people is made in the check room, which shares
nothing with this module.
"""

import numpy as np

from planner.decide.instance import Fed, Instance
from planner.physics.profiles import Hourly
from planner.result import Hookup, Link, PortType

_SLACK_WH = 1e-6


def thin_hours(
    instance: Instance, fed: tuple[Fed, ...], hookups: tuple[Hookup, ...]
) -> tuple[int, ...]:
    """Hours at which some battery first feeds below its reserve (R7).

    Empty when the wiring holds.
    """
    found = (
        first_thin_hour(instance, b, fed, hookups)
        for b in range(len(instance.batteries))
    )
    return tuple(sorted({h for h in found if h is not None}))


def around(thin: tuple[int, ...]) -> frozenset[int]:
    """Hours to look at closer: where charge was thin, and just before and after."""
    return frozenset(h + d for h in thin for d in range(-1, 3))


def first_thin_hour(
    instance: Instance,
    b: int,
    fed: tuple[Fed, ...],
    hookups: tuple[Hookup, ...],
    *,
    given_wh: Hourly | None = None,
) -> int | None:
    """Hour at which battery ``b`` first feeds below its reserve.

    ``given_wh`` is put into its cells besides, hour by hour.
    """
    battery, limits = instance.batteries[b], instance.limits[b]
    hours = instance.hours
    loads = {f.consumer.id: f.load_w for f in fed}
    suns = {p.id: w for p, w in zip(instance.panels, instance.sun_w, strict=True)}
    mains = {s.id: on for s, on in zip(instance.feeds, instance.feed_on, strict=True)}
    sun = np.zeros(hours)
    charger = np.zeros(hours, dtype=bool)
    out = np.zeros(hours)
    idle = np.zeros(hours, dtype=bool)
    feeding = np.zeros(hours, dtype=bool)
    for hookup in hookups:
        span = slice(hookup.from_h, hookup.to_h)
        if hookup.to_id == battery.id and hookup.link is Link.PANEL_TO_BATTERY:
            sun[span] += suns[hookup.from_id][span]
        elif hookup.to_id == battery.id and hookup.link is Link.SOURCE_TO_BATTERY:
            charger[span] |= mains[hookup.from_id][span]
        elif hookup.from_id == battery.id and hookup.link is Link.BATTERY_TO_UNIT:
            ac = hookup.port is PortType.AC
            efficiency = limits.ac_efficiency if ac else limits.dc_efficiency
            out[span] += loads[hookup.to_id][span] / efficiency
            feeding[span] = True
            if ac:
                idle[span] = True
    limit_w = _charge_limit_w(instance, b, hookups)
    solar = np.minimum(np.minimum(sun, limits.solar_limit_w), limit_w)
    income = np.where(charger, limit_w, solar) * limits.charge_efficiency
    if given_wh is not None:
        income = income + given_wh
    out += np.where(idle, limits.ac_idle_w, 0.0)
    least = limits.floor_wh + limits.reserve_wh
    charge = limits.start_wh
    for h in range(hours):
        charge = min(limits.full_wh, charge + income[h] - out[h])
        if feeding[h] and charge < least - _SLACK_WH:
            return h
    return None


def _charge_limit_w(instance: Instance, b: int, hookups: tuple[Hookup, ...]) -> Hourly:
    """Charge limit of each hour where the plugs say that the battery stands."""
    battery = instance.batteries[b]
    by_place = instance.charge_at[battery.id]
    place = next(iter(by_place))
    if all(np.array_equal(by_place[place], one) for one in by_place.values()):
        return by_place[place]
    mine = [h for h in hookups if battery.id in (h.from_id, h.to_id)]
    limit_w = np.zeros(instance.hours)
    for hour in range(instance.hours):
        if battery.movable:
            here = (h.place for h in mine if h.from_h <= hour < h.to_h)
            place = next(here, place)
        limit_w[hour] = by_place[place][hour]
    return limit_w
