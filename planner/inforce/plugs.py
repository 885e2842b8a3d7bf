"""Units, plugs and hourly accounts of a saved plan."""

import math
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

from planner.inforce.values import Entry, Notes, clock, entries
from planner.result import (
    BatteryTrace,
    Cooling,
    Hookup,
    Link,
    PortType,
    Replay,
    UnitUse,
)
from planner.result_replan import FACTOR
from planner.scenario import Scenario, SourceKind, StockClass, SunCase

_MAX_H = 24 * 366
_LEAST, _MOST = 0.5, 2.0
"""Load factors beyond these were not written by this program."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ends:
    """What a plug may have at either end, by kind of connection."""

    feeders: dict[Link, frozenset[str]]
    takers: dict[Link, frozenset[str]]
    places: frozenset[str]
    window_h: int

    @classmethod
    def of(cls, scenario: Scenario) -> "Ends":
        """Ends that today's scenario has."""
        batteries = frozenset(b.id for b in scenario.batteries)
        panels = frozenset(p.id for p in scenario.panels)
        priority = SourceKind.PRIORITY_LOAD
        loads = frozenset(s.id for s in scenario.sources if s.kind is priority)
        feeds = frozenset(s.id for s in scenario.sources) - loads
        fed = frozenset(u.id for u in scenario.units) | loads
        return cls(
            feeders={
                Link.PANEL_TO_BATTERY: panels,
                Link.BATTERY_TO_UNIT: batteries,
                Link.SOURCE_TO_UNIT: feeds,
                Link.SOURCE_TO_BATTERY: feeds,
            },
            takers={
                Link.PANEL_TO_BATTERY: batteries,
                Link.BATTERY_TO_UNIT: fed,
                Link.SOURCE_TO_UNIT: fed,
                Link.SOURCE_TO_BATTERY: batteries,
            },
            places=frozenset(p.name for p in scenario.places),
            window_h=scenario.conditions.window_h,
        )

    def known(self, plug: Hookup) -> bool:
        """True when both ends and the place are there today."""
        return (
            plug.from_id in self.feeders[plug.link]
            and plug.to_id in self.takers[plug.link]
            and plug.place in self.places
        )


def shifted(plug: Hookup, elapsed_h: int, *, old_end_h: int, end_h: int) -> Hookup:
    """A plug in hours of today; one in to the end of its window stays in."""
    stays = plug.to_h >= old_end_h
    return replace(
        plug,
        from_h=max(0, plug.from_h - elapsed_h),
        to_h=end_h if stays else min(end_h, plug.to_h - elapsed_h),
    )


def read_plugs(
    document: dict[str, Any], ends: Ends, elapsed_h: int, notes: Notes
) -> tuple[Hookup, ...]:
    """Plugs of the plan in force that can still be in."""
    old: list[tuple[Entry, Hookup]] = []
    for entry in entries(document, "hookups", notes):
        plug = _plug(entry)
        if plug is not None:
            old.append((entry, plug))
    old_end_h = max((plug.to_h for _, plug in old), default=0)
    found = []
    for entry, plug in old:
        if not ends.known(plug):
            notes.add("plan-plug-gone", entry.where, plug.link.value)
            continue
        now = shifted(plug, elapsed_h, old_end_h=old_end_h, end_h=ends.window_h)
        if now.from_h < now.to_h:
            found.append(now)
    return tuple(found)


def _plug(entry: Entry) -> Hookup | None:
    link, port = _member(entry, "link", Link), _member(entry, "port", PortType)
    ends = {
        name: entry.text(name)
        for name in ("panel", "battery", "source", "unit", "load")
    }
    from_h = entry.whole("from_h", 0, _MAX_H)
    to_h = entry.whole("to_h", 0, _MAX_H)
    number = entry.whole("port_number", 1, 999)
    if not entry.ok or link is None or port is None:
        return None
    start = {
        Link.PANEL_TO_BATTERY: ends["panel"],
        Link.BATTERY_TO_UNIT: ends["battery"],
    }.get(link, ends["source"])
    to_battery = link in {Link.PANEL_TO_BATTERY, Link.SOURCE_TO_BATTERY}
    return Hookup(
        link=link,
        from_id=start,
        to_id=ends["battery"] if to_battery else ends["unit"] or ends["load"],
        port=port,
        port_number=number,
        place=_place(entry),
        from_h=from_h,
        to_h=to_h,
    )


def _place(entry: Entry) -> str:
    """Name of the place, without the apostrophe of a neutralised one."""
    text = entry.text("place")
    return text[1:] if text[:2] in {"'=", "'+", "'-", "'@"} else text


def _member(entry: Entry, key: str, kind: type[Any]) -> Any:
    try:
        return kind(entry.get(key))
    except (ValueError, TypeError):
        entry.needed(key)
        if entry.ok:
            entry.whole(key, 0, -1)
        return None


def read_cooling(document: dict[str, Any], scenario: Scenario) -> tuple[Cooling, ...]:
    """Hours from today's start until the units in force are cold, where it says so.

    A unit of which the file says nothing, as older files do, is left out.
    """
    start, today = scenario.conditions.start, {unit.id for unit in scenario.units}
    found = []
    for entry in entries(document, "units", Notes()):
        unit_id, cold_at = entry.text("unit"), clock(entry.get("cold_from"))
        if unit_id not in today:
            continue
        if cold_at is not None:
            cold_h = max(0, math.ceil((cold_at - start) / timedelta(hours=1)))
            found.append(Cooling(unit_id=unit_id, cold_h=cold_h))
        elif entry.get("cold_in_window") is False:
            found.append(Cooling(unit_id=unit_id, cold_h=None))
    return tuple(found)


def window_end(start: datetime, hours: Any) -> datetime | None:
    """When the plan in force ends; ``None`` where the file does not say it."""
    whole = isinstance(hours, int) and not isinstance(hours, bool)
    if not whole or not 0 < hours <= _MAX_H:
        return None
    try:
        return start + timedelta(hours=int(hours))
    except OverflowError:
        return None


def read_units(
    document: dict[str, Any], scenario: Scenario, notes: Notes
) -> tuple[UnitUse, ...]:
    """Units that are on, with what each zone is set to."""
    zones = {unit.id: len(unit.zone_shares) for unit in scenario.units}
    found: dict[str, UnitUse] = {}
    for entry in entries(document, "units", notes):
        unit_id = entry.text("unit")
        if entry.get("on") is not True or unit_id not in zones:
            continue
        points, fill = entry.numbers("set_points_c"), entry.number("warm_fill")
        if not entry.ok or len(points) != zones[unit_id] or unit_id in found:
            continue
        found[unit_id] = UnitUse(
            unit_id=unit_id,
            set_points_c=points,
            stock_classes=_classes(entry.get("stock_classes"), len(points)),
            warm_fill=min(1.0, max(0.0, fill)),
        )
    return tuple(found[one] for one in sorted(found))


def _classes(value: Any, zones: int) -> tuple[StockClass | None, ...]:
    known = {one.value: one for one in StockClass}
    some = value if isinstance(value, list) and len(value) == zones else [None] * zones
    return tuple(known.get(one) if isinstance(one, str) else None for one in some)


def read_replays(
    document: dict[str, Any], scenario: Scenario, notes: Notes
) -> tuple[Replay, ...]:
    """Hourly accounts of the batteries that are still in the workbook."""
    batteries = {battery.id for battery in scenario.batteries}
    found: dict[SunCase, Replay] = {}
    for entry in entries(document, "replay", notes):
        case = _member(entry, "sun_case", SunCase)
        if case is None or case in found:
            continue
        inner = {f"{entry.where}.batteries": entry.get("batteries")}
        traces = [
            _trace(one) for one in entries(inner, f"{entry.where}.batteries", notes)
        ]
        found[case] = Replay(
            sun_case=case,
            batteries=tuple(
                one for one in traces if one is not None and one.battery_id in batteries
            ),
            unit_load_wh=(),
            endurance=(),
        )
    return tuple(found[case] for case in SunCase if case in found)


def _trace(entry: Entry) -> BatteryTrace | None:
    trace = BatteryTrace(
        battery_id=entry.needed("battery"),
        load_wh=entry.numbers("load_wh"),
        harvest_wh=entry.numbers("harvest_wh"),
        charge_wh=entry.numbers("charge_wh"),
        floor_wh=entry.number("floor_wh"),
        full_wh=entry.number("full_wh"),
        start_wh=entry.number("start_wh"),
    )
    lengths = {len(trace.load_wh), len(trace.harvest_wh), len(trace.charge_wh)}
    return trace if entry.ok and len(lengths) == 1 else None


def read_load_factor(document: dict[str, Any], notes: Notes) -> float:
    """The measured load factor of the plan in force; 1 when it has none."""
    for entry in entries(document, "assumptions", notes):
        if entry.get("field") == FACTOR:
            return factor_of(entry.text("value"))
    return 1.0


def factor_of(text: str) -> float:
    """The number that a factor's text begins with, when it is a likely one."""
    try:
        factor = float(text.split(" ", 1)[0])
    except ValueError:
        return 1.0
    return factor if _LEAST <= factor <= _MOST else 1.0
