"""What a wiring in force leaves over, feeder by feeder, hour by hour.

The plugs of a plan stay as they are; here is what each battery and source
could carry besides: sockets, watts and watt-hours.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from planner.decide.alone import hours_needed, present
from planner.decide.blocks import Block
from planner.decide.instance import (
    Consumer,
    Fed,
    Instance,
    charges_battery,
    feeds_consumer,
    plugs,
    sun_reaches,
)
from planner.decide.simulate import thin_hours
from planner.physics.profiles import Hourly
from planner.result import Hookup, Link, PortType
from planner.scenario import (
    Availability,
    Battery,
    Equipment,
    Panel,
    Source,
    Supply,
)

TO_USER = frozenset({Link.BATTERY_TO_UNIT, Link.SOURCE_TO_UNIT})
_WATTS = 1e-6


@dataclass(frozen=True, slots=True)
class Plug:
    """A consumer on one feeder in one period of the rota."""

    who: str
    feeder: str
    port: PortType
    period: int


@dataclass(frozen=True, slots=True)
class Feed:
    """A panel or a source's charger on a battery, for as long as both are here."""

    giver: str
    battery: str


Memory = dict[tuple[object, ...], bool]
"""What feeders were found to carry, by all that it hangs on."""


class InForce:
    """The wiring in force on an instance that may have more equipment."""

    def __init__(
        self,
        instance: Instance,
        fed: tuple[Fed, ...],
        hookups: tuple[Hookup, ...],
        periods: tuple[Block, ...],
        memory: Memory | None = None,
    ) -> None:
        """Set up; ``memory`` keeps what was found for the same plugs."""
        self.instance = instance
        self.hours = instance.hours
        self.periods = periods
        self.fed = {f.consumer.id: f for f in fed}
        self.hookups = tuple(
            h for h in hookups if h.link not in TO_USER or h.to_id in self.fed
        )
        self.batteries = {b.id: n for n, b in enumerate(instance.batteries)}
        self.panels = {p.id: p for p in instance.panels}
        self.sources = {s.id: n for n, s in enumerate(instance.feeds)}
        self._known = {} if memory is None else memory
        # What may differ between two sites of the same plan, by its figures.
        kit: tuple[Equipment, ...] = (
            *instance.batteries,
            *instance.panels,
            *instance.feeds,
        )
        self._marks = {e.id: hash(e) for e in kit}
        self._ports: dict[tuple[str, str, int], tuple[PortType, ...]] = {}
        self._users: dict[str, frozenset[str]] = {}

    @cached_property
    def sits(self) -> dict[str, str]:
        """The battery of every panel that is plugged in."""
        return {
            h.from_id: h.to_id for h in self.hookups if h.link is Link.PANEL_TO_BATTERY
        }

    @cached_property
    def charging(self) -> frozenset[str]:
        """Ids of the sources that charge a battery or feed something."""
        return frozenset(h.from_id for h in self.hookups if h.from_id in self.sources)

    @cached_property
    def charged(self) -> frozenset[str]:
        """Ids of the batteries that have a charger plugged in."""
        return frozenset(
            h.to_id for h in self.hookups if h.link is Link.SOURCE_TO_BATTERY
        )

    def users_of(self, feeder: str) -> frozenset[str]:
        """Consumers that hang on a feeder in some hour."""
        if feeder not in self._users:
            self._users[feeder] = frozenset(
                h.to_id
                for h in self.hookups
                if h.link in TO_USER and h.from_id == feeder
            )
        return self._users[feeder]

    def place_of(self, battery: Battery) -> str:
        """Where a battery's plugs hold it; empty when it is free to go."""
        if not battery.movable:
            return battery.place
        mine = {
            h.place
            for h in self.hookups
            if battery.id in (h.from_id, h.to_id)
            # A panel of no place goes along.
            and not (
                h.link is Link.PANEL_TO_BATTERY and not self.panels[h.from_id].place
            )
        }
        return min(mine, default="")

    def ports_for(self, who: Consumer, feeder: str, k: int) -> tuple[PortType, ...]:
        """Sockets of a feeder that suit a consumer all through a period."""
        key = who.id, feeder, k
        if key not in self._ports:
            self._ports[key] = self._ports_in(who, feeder, self.periods[k])
        return self._ports[key]

    def _ports_in(
        self, who: Consumer, feeder: str, period: Block
    ) -> tuple[PortType, ...]:
        hours = hours_needed(period, who)
        if feeder in self.batteries:
            battery = self.instance.batteries[self.batteries[feeder]]
            if not present(battery.availability, period, who):
                return ()
            held = self.place_of(battery)
            if held and held != who.place:
                return ()
            dc, ac = plugs(who, battery)
            return (*((PortType.DC_12V,) * dc), *((PortType.AC,) * ac))
        n = self.sources[feeder]
        source = self.instance.feeds[n]
        on = bool(self.instance.feed_on[n][hours].all())
        if not on or not feeds_consumer(who, source):
            return ()
        return (_source_port(source, who),)

    def gives_to(self, giver: str, battery: Battery) -> bool:
        """Whether a panel, or a charger, can go over to a battery."""
        held = self.place_of(battery)
        if giver in self.panels:
            panel = self.panels[giver]
            there = not held or not panel.place or panel.place == held
            free = giver not in self.sits
            return free and there and sun_reaches(panel, battery)
        source = self.instance.feeds[self.sources[giver]]
        there = not held or source.place == held
        return (
            battery.id not in self.charged
            and there
            and charges_battery(source, battery)
        )

    # -- whether it holds ----------------------------------------------------

    def carries(
        self,
        feeder: str,
        added: Iterable[tuple[Plug, Fed]],
        feeds: Iterable[Feed],
        staying: Mapping[str, Fed],
    ) -> bool:
        """Whether a feeder carries what is on it, hour by hour.

        ``added`` plugs and ``feeds`` come on top; of the consumers that hang on
        it now only those ``staying`` are left.
        """
        added = tuple(sorted(added, key=lambda one: (one[0].who, one[0].period)))
        feeds = tuple(sorted(feeds, key=lambda one: one.giver))
        users = frozenset(self.users_of(feeder) & staying.keys())
        loads = tuple((p, f.load_w.tobytes()) for p, f in added)
        stay = tuple((w, staying[w].load_w.tobytes()) for w in sorted(users))
        marks = tuple(self._marks[one] for one in (feeder, *(f.giver for f in feeds)))
        key = (marks, loads, feeds, stay)
        if key not in self._known:
            on = self._plugged(feeder, added, feeds, users)
            fed = {w: staying[w] for w in users} | {f.consumer.id: f for _, f in added}
            self._known[key] = self._holds(feeder, on, fed)
        return self._known[key]

    def _plugged(
        self,
        feeder: str,
        added: tuple[tuple[Plug, Fed], ...],
        feeds: tuple[Feed, ...],
        staying: frozenset[str],
    ) -> tuple[Hookup, ...]:
        mine = [
            h
            for h in self.hookups
            if feeder in (h.from_id, h.to_id)
            and (h.link not in TO_USER or h.to_id in staying)
        ]
        mine += [self.hookup(plug, fed.consumer) for plug, fed in added]
        place = added[0][1].consumer.place if added else ""
        mine += [self.feed_hookup(feed, place) for feed in feeds]
        return tuple(mine)

    def _holds(self, feeder: str, on: tuple[Hookup, ...], fed: dict[str, Fed]) -> bool:
        if len({h.place for h in on}) > 1:
            return False
        users = [h for h in on if h.link in TO_USER and h.from_id == feeder]
        if feeder in self.sources:
            return self._source_holds(self.sources[feeder], on, users, fed)
        b = self.batteries[feeder]
        battery, limits = self.instance.batteries[b], self.instance.limits[b]
        for port, most in (
            (PortType.DC_12V, battery.ports_12v),
            (PortType.AC, battery.outlets_ac),
        ):
            if (self._each_hour(users, lambda _: 1.0, port) > most + _WATTS).any():
                return False
        watts = {i: f.consumer.running_w for i, f in fed.items()}
        running = self._each_hour(users, lambda i: watts[i])
        if (running > limits.max_out_w + _WATTS).any():
            return False
        on_ac = self._each_hour(users, lambda i: watts[i], PortType.AC)
        for h in users:
            if h.port is PortType.AC:
                start_w = fed[h.to_id].consumer.surge_w - watts[h.to_id]
                peak = on_ac[h.from_h : h.to_h] + start_w
                if (peak > 2 * limits.max_out_w + _WATTS).any():
                    return False
        alone = replace(self.instance, batteries=(battery,), limits=(limits,))
        return not thin_hours(alone, tuple(fed.values()), on)

    def _source_holds(
        self,
        s: int,
        on: tuple[Hookup, ...],
        users: list[Hookup],
        fed: dict[str, Fed],
    ) -> bool:
        source = self.instance.feeds[s]
        used = self._each_hour(users, lambda i: fed[i].consumer.running_w)
        for h in on:
            if h.link is Link.SOURCE_TO_BATTERY and h.from_id == source.id:
                battery = self.instance.batteries[self.batteries[h.to_id]]
                used[h.from_h : h.to_h] += battery.max_charge_w
        return not (used > source.max_w + _WATTS).any()

    def _each_hour(
        self, users: list[Hookup], worth: object, port: PortType | None = None
    ) -> Hourly:
        found = np.zeros(self.hours)
        for h in users:
            if port is None or h.port is port:
                found[h.from_h : h.to_h] += worth(h.to_id)  # type: ignore[operator]
        return found

    # -- as hookups ----------------------------------------------------------

    def hookup(self, plug: Plug, who: Consumer) -> Hookup:
        """A plug for the hours of its period that the consumer needs."""
        hours = hours_needed(self.periods[plug.period], who)
        link = (
            Link.BATTERY_TO_UNIT
            if plug.feeder in self.batteries
            else Link.SOURCE_TO_UNIT
        )
        return Hookup(
            link=link,
            from_id=plug.feeder,
            to_id=plug.who,
            port=plug.port,
            port_number=1,
            place=who.place,
            from_h=int(hours[0]),
            to_h=int(hours[-1]) + 1,
        )

    def feed_hookup(self, feed: Feed, place: str) -> Hookup:
        """A panel or a charger for as long as it and the battery are here."""
        battery = self.instance.batteries[self.batteries[feed.battery]]
        giver: Panel | Source
        if feed.giver in self.panels:
            giver, link, port = (
                self.panels[feed.giver],
                Link.PANEL_TO_BATTERY,
                PortType.SOLAR,
            )
        else:
            giver = self.instance.feeds[self.sources[feed.giver]]
            link, port = Link.SOURCE_TO_BATTERY, PortType.CHARGER
        first, end = _both_here(giver.availability, battery.availability, self.hours)
        first_place = next(iter(self.instance.charge_at[battery.id]))
        return Hookup(
            link=link,
            from_id=feed.giver,
            to_id=feed.battery,
            port=port,
            port_number=1,
            place=giver.place or self.place_of(battery) or place or first_place,
            from_h=first,
            to_h=end,
        )


def _both_here(one: Availability, two: Availability, hours: int) -> tuple[int, int]:
    backs = [t.back_h for t in (one, two) if t.back_h is not None]
    first = max(one.ready_h, two.ready_h)
    return min(first, hours), max(min(first, hours), min([hours, *backs]))


def _source_port(source: Source, who: Consumer) -> PortType:
    twelve = source.supply is Supply.DC or (
        source.supply is Supply.BOTH and who.supply is Supply.DC
    )
    return PortType.DC_12V if twelve else PortType.AC
