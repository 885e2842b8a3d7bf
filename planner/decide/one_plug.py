"""Plugs that are in stay in: what is new goes into a socket that is free.

Plain arithmetic on the wiring in hand, hour by hour, so that small changes
need no search and move no other plug.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from planner.decide.instance import Consumer, Fed, Instance, plugs
from planner.decide.salvage import used
from planner.decide.simulate import first_thin_hour, thin_hours
from planner.decide.sockets import Span, number_sockets
from planner.result import Hookup, Link, PortType
from planner.scenario import Battery

_SLACK_W = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Plugged:
    """A wiring with one more consumer on a battery, and what that lacks.

    ``sockets`` and ``watts`` are what the battery has too few of; energy is
    for :func:`planner.decide.simulate.thin_hours` to tell.
    """

    hookups: tuple[Hookup, ...]
    battery: int
    port: PortType
    sockets: int
    watts: float


def plug_in(
    instance: Instance, fed: tuple[Fed, ...], hookups: tuple[Hookup, ...]
) -> tuple[Hookup, ...] | None:
    """The wiring with everything in ``fed`` on it; ``None`` when that is not seen.

    What has no plug yet gets the first free socket that holds.
    """
    now = kept_plugs(fed, hookups)
    for one in unplugged(fed, now):
        found = next(
            (
                way.hookups
                for way in ways_in(instance, one, fed, now)
                if not way.sockets
                and way.watts <= 0
                and first_thin_hour(instance, way.battery, fed, way.hookups) is None
            ),
            None,
        )
        if found is None:
            return None
        now = found
    return now if not thin_hours(instance, fed, now) else None


def kept_plugs(fed: tuple[Fed, ...], hookups: tuple[Hookup, ...]) -> tuple[Hookup, ...]:
    """The wiring without plugs of what is off, or has them for too short a time."""
    now = used(hookups, fed)
    bare = {f.consumer.id for f in unplugged(fed, now)}
    return tuple(h for h in now if h.to_id not in bare)


def unplugged(fed: tuple[Fed, ...], hookups: tuple[Hookup, ...]) -> list[Fed]:
    """What is to be fed and has no plug in some hour in which it needs one."""
    return [f for f in fed if bool((f.consumer.needed & ~_plugged(f, hookups)).any())]


def _plugged(one: Fed, hookups: tuple[Hookup, ...]) -> NDArray[np.bool_]:
    """Hours in which it hangs on a battery or a source."""
    hours = np.zeros(one.consumer.needed.size, dtype=bool)
    for h in hookups:
        if h.to_id == one.consumer.id:
            hours[h.from_h : h.to_h] = True
    return hours


def ways_in(
    instance: Instance,
    one: Fed,
    fed: tuple[Fed, ...],
    hookups: tuple[Hookup, ...],
) -> Iterator[Plugged]:
    """Each battery and kind of socket that could take one more consumer."""
    who = one.consumer
    hours = np.flatnonzero(who.needed)
    first, end = int(hours[0]), int(hours[-1]) + 1
    for b, battery in enumerate(instance.batteries):
        terms = battery.availability
        back_h = instance.hours if terms.back_h is None else terms.back_h
        if terms.ready_h > first or back_h < end:
            continue
        if _stands_at(battery, hookups) not in {"", who.place}:
            continue
        for port in _ports(who, battery):
            span: Span = (
                Link.BATTERY_TO_UNIT,
                battery.id,
                who.id,
                port,
                who.place,
                first,
                end,
            )
            more = number_sockets([*map(_span, hookups), span])
            yield Plugged(
                hookups=more,
                battery=b,
                port=port,
                sockets=_sockets_short(battery, port, more),
                watts=_watts_short(instance, b, fed, more),
            )


def _span(plug: Hookup) -> Span:
    return (
        plug.link,
        plug.from_id,
        plug.to_id,
        plug.port,
        plug.place,
        plug.from_h,
        plug.to_h,
    )


def _stands_at(battery: Battery, hookups: tuple[Hookup, ...]) -> str:
    """Where the battery has to be; "" when it may be anywhere."""
    if not battery.movable:
        return battery.place
    places = {h.place for h in hookups if battery.id in (h.from_id, h.to_id)}
    return "|".join(sorted(places))


def _ports(who: Consumer, battery: Battery) -> list[PortType]:
    """Kinds of socket, were there enough of them with enough watts."""
    plenty = replace(
        battery,
        ports_12v=max(1, battery.ports_12v),
        outlets_ac=battery.outlets_ac,
        port_12v_max_w=max(battery.port_12v_max_w, who.running_w),
        max_out_w=max(battery.max_out_w, who.running_w, who.surge_w),
    )
    dc, ac = plugs(who, plenty)
    return [p for p, ok in ((PortType.DC_12V, dc), (PortType.AC, ac)) if ok]


def _sockets_short(
    battery: Battery, port: PortType, hookups: tuple[Hookup, ...]
) -> int:
    there = battery.outlets_ac if port is PortType.AC else battery.ports_12v
    most = max(
        (h.port_number for h in hookups if h.from_id == battery.id and h.port is port),
        default=0,
    )
    return max(0, most - there)


def _watts_short(
    instance: Instance, b: int, fed: tuple[Fed, ...], hookups: tuple[Hookup, ...]
) -> float:
    """Watts that the battery's output or a 12 V port is too weak by (R7)."""
    battery = instance.batteries[b]
    who = {f.consumer.id: f.consumer for f in fed}
    mine = [h for h in hookups if h.from_id == battery.id and h.to_id in who]
    short = 0.0
    for h in mine:
        if h.port is PortType.DC_12V:
            short = max(short, who[h.to_id].running_w - battery.port_12v_max_w)
    running: NDArray[np.float64] = np.zeros(instance.hours)
    on_ac: NDArray[np.float64] = np.zeros(instance.hours)
    surge: NDArray[np.float64] = np.zeros(instance.hours)
    for h in mine:
        span = slice(h.from_h, h.to_h)
        watts = who[h.to_id].running_w
        running[span] += watts
        if h.port is PortType.AC:
            on_ac[span] += watts
            start_w = who[h.to_id].surge_w - watts
            surge[span] = np.maximum(surge[span], start_w)
    top = battery.max_out_w
    short = max(short, float(running.max()) - top)
    started = np.where(surge > 0, on_ac + surge, 0.0)
    short = max(short, float(started.max()) / 2 - top)
    return max(0.0, short) if short > _SLACK_W else 0.0
