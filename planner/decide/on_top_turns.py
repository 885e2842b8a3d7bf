"""Feeders that take turns with one unit, on top of a wiring in force."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from planner.decide.alone import wanted
from planner.decide.instance import Fed, Instance
from planner.decide.on_top_feeders import TO_USER, Feed, InForce, Plug
from planner.result import Link

_MOST_FEEDERS = 4
"""Feeders that take turns with one unit."""


@dataclass(slots=True)
class Turns:
    """New plugs by feeder, and the panels and chargers that go with them."""

    plugs: dict[str, list[tuple[Plug, Fed]]] = field(default_factory=dict)
    feeds: dict[str, list[Feed]] = field(default_factory=dict)

    def copy(self) -> "Turns":
        """The same plugs, to be added to."""
        return Turns(
            {f: list(p) for f, p in self.plugs.items()},
            {f: list(x) for f, x in self.feeds.items()},
        )


def free_feeds(force: InForce) -> dict[str, list[Feed]]:
    """Every free panel and charger on the battery that has most use of it.

    First the batteries with no income yet, then those that take in most.
    """
    instance = force.instance
    found: dict[str, list[Feed]] = {}
    taken: dict[str, float] = {}
    free = [p for p in force.panels if p not in force.sits]
    free.sort(key=lambda p: -float(instance.sun_w[panel_number(instance, p)].sum()))
    for giver in (*free, *force.sources):
        if giver in force.sources and giver in force.charging:
            continue
        fits = [b for b in instance.batteries if force.gives_to(giver, b)]
        if not fits:
            continue

        def use(b: int) -> tuple[float, float, int]:
            limits = instance.limits[b]
            name = instance.batteries[b].id
            solar_w = limits.solar_limit_w - taken.get(name, 0.0)
            room_w = solar_w if giver in force.panels else 1.0  # noqa: B023
            return (
                float(room_w > 0),
                float(limits.start_wh + limits.full_wh),
                -b,
            )

        best = max((force.batteries[b.id] for b in fits), key=use)
        name = instance.batteries[best].id
        found.setdefault(name, []).append(Feed(giver, name))
        if giver in force.panels:
            taken[name] = taken.get(name, 0.0) + force.panels[giver].rated_w
    return found


def spare_wh(force: InForce, feeds: Mapping[str, list[Feed]], b: int) -> float:
    """Most that a battery can give on top of what it gives [Wh]."""
    inst = force.instance
    battery, limits = inst.batteries[b], inst.limits[b]
    sun = np.zeros(inst.hours)
    out_wh = 0.0
    for h in force.hookups:
        span = slice(h.from_h, h.to_h)
        if h.to_id == battery.id and h.link is Link.PANEL_TO_BATTERY:
            sun[span] += inst.sun_w[panel_number(inst, h.from_id)][span]
        elif h.to_id == battery.id and h.link is Link.SOURCE_TO_BATTERY:
            on = inst.feed_on[force.sources[h.from_id]][span]
            sun[span] += limits.charge_limit_w[span] * on
        elif h.from_id == battery.id and h.link in TO_USER:
            out_wh += float(force.fed[h.to_id].load_w[span].sum())
    for feed in feeds.get(battery.id, ()):
        if feed.giver in force.panels:
            sun += inst.sun_w[panel_number(inst, feed.giver)]
        else:
            sun += limits.charge_limit_w * inst.feed_on[force.sources[feed.giver]]
    come = float(np.minimum(sun, limits.charge_limit_w).sum())
    stored = limits.start_wh - min(limits.floor_wh + limits.reserve_wh, limits.start_wh)
    return max(0.0, stored + come * limits.charge_efficiency - out_wh)


def relay(
    force: InForce, fed: Fed, turns: Turns, staying: Mapping[str, Fed]
) -> Turns | None:
    """The turns with one more consumer fed; ``None`` when it cannot be.

    At each change the feeder that carries it longest takes over.
    """
    who = fed.consumer
    staying = {w: f for w, f in staying.items() if w != who.id}
    periods = [k for k, p in enumerate(force.periods) if wanted(who, p)]
    turns = turns.copy()
    at, feeders = 0, 0
    while at < len(periods):
        best: tuple[int, str, list[Plug]] | None = None
        for feeder in (*force.batteries, *force.sources):
            plugs = _run(force, fed, feeder, periods[at:], turns, staying)
            if plugs and (best is None or len(plugs) > best[0]):
                best = len(plugs), feeder, plugs
        if best is None or feeders >= _MOST_FEEDERS:
            return None
        turns.plugs.setdefault(best[1], []).extend((p, fed) for p in best[2])
        at += best[0]
        feeders += 1
    return turns


def _run(
    force: InForce,
    fed: Fed,
    feeder: str,
    periods: list[int],
    turns: Turns,
    staying: Mapping[str, Fed],
) -> list[Plug]:
    """Plugs for as many periods from the first as a feeder carries it."""
    who = fed.consumer
    added = turns.plugs.get(feeder, [])
    feeds = turns.feeds.get(feeder, [])
    for port in force.ports_for(who, feeder, periods[0]):
        plugs: list[Plug] = []
        for k in periods:
            if port not in force.ports_for(who, feeder, k):
                break
            plugs.append(Plug(who.id, feeder, port, k))

        def carries(count: int) -> bool:
            more = [*added, *((p, fed) for p in plugs[:count])]  # noqa: B023
            return force.carries(feeder, more, feeds, staying)

        # What is carried for long is carried for less: all of it is tried first.
        low, high = 0, len(plugs) + 1
        at = len(plugs)
        while high - low > 1:
            low, high = (at, high) if carries(at) else (low, at)
            at = (low + high) // 2
        if low:
            return plugs[:low]
    return []


def panel_number(instance: Instance, panel_id: str) -> int:
    """Number of a panel."""
    return next(n for n, p in enumerate(instance.panels) if p.id == panel_id)
