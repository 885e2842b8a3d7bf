"""R7, the wiring: plugs that fit, places that match, watts that are there.

One function a family of faults; :func:`planner.check.rules_power.check_r7_power`
puts them together with the energy account.
"""

from collections import Counter, defaultdict

from planner.check.case import Case
from planner.check.ground import SMALL, HourLog, broken
from planner.check.hours import plugged_w, source_on
from planner.physics import profiles
from planner.result import Finding, Hookup, Link, PortType
from planner.scenario import Source, Supply

PORTS_OF_LINK = {
    Link.PANEL_TO_BATTERY: (PortType.SOLAR,),
    Link.SOURCE_TO_BATTERY: (PortType.CHARGER,),
    Link.BATTERY_TO_UNIT: (PortType.DC_12V, PortType.AC),
    Link.SOURCE_TO_UNIT: (PortType.DC_12V, PortType.AC),
}
"""Sockets that each kind of connection may use."""
SUPPLIES_OF_PORT = {
    PortType.DC_12V: (Supply.DC, Supply.BOTH),
    PortType.AC: (Supply.AC, Supply.BOTH),
}
"""Supplies that fit each kind of socket."""
SURGE_SHARE = 2.0
"""Start surge an inverter takes over its rating (common practice, no source)."""


def check_plugs(case: Case) -> tuple[Finding, ...]:
    """Every plug fits its socket, and the socket exists."""
    found = []
    for plug in case.claim.hookups:
        for fault in _plug_faults(case, plug):
            ends = f"{case.name(plug.from_id)} to {case.name(plug.to_id)}"
            found.append(broken("R7", plug.to_id, f"{ends}: {fault}"))
    return tuple(found)


def check_sockets(case: Case) -> tuple[Finding, ...]:
    """One plug a socket in every hour; one battery a panel, one charger each."""
    log = HourLog(case.ground.conditions, "R7")
    for hour in range(case.ground.window_h):
        plugs = case.claim.plugs_in(hour)
        taken = Counter(_socket(case, plug) for plug in plugs)
        for (owner, socket), count in taken.items():
            if count > 1:
                log.add(owner, f"{socket} has {count} plugs", hour)
    return log.findings()


def check_standing(case: Case) -> tuple[Finding, ...]:
    """Both ends of a plug stand in the same place; batteries in one at a time."""
    log = HourLog(case.ground.conditions, "R7")
    for hour in range(case.ground.window_h):
        stands: dict[str, list[str]] = defaultdict(list)
        for plug in case.claim.plugs_in(hour):
            for thing_id, place in _fixed_ends(case, plug):
                if place and place != plug.place:
                    name = case.name(thing_id)
                    text = f"{name} stands at {place} but is plugged in at {plug.place}"
                    log.add(thing_id, text, hour)
            for end in (plug.from_id, plug.to_id):
                if end in case.ground.batteries and plug.place not in stands[end]:
                    stands[end].append(plug.place)
        for battery, places in stands.items():
            if len(places) > 1:
                text = f"{case.name(battery)} stands at {' and '.join(sorted(places))}"
                log.add(battery, text, hour)
    return log.findings()


def check_watts(case: Case) -> tuple[Finding, ...]:
    """No battery and no source is asked for more watts than it gives."""
    log = HourLog(case.ground.conditions, "R7")
    ground = case.ground
    for hour in range(ground.window_h):
        feeds: dict[str, list[Hookup]] = defaultdict(list)
        for plug in case.claim.plugs_in(hour):
            feeds[plug.from_id].append(plug)
        for feeder, plugs in feeds.items():
            if feeder in ground.batteries:
                _battery_watts(case, log, feeder, plugs, hour)
            elif feeder in ground.sources:
                _source_watts(case, log, ground.sources[feeder], plugs, hour)
    return log.findings()


def _plug_faults(case: Case, plug: Hookup) -> list[str]:
    if plug.port not in PORTS_OF_LINK[plug.link]:
        return [f"a {plug.port.value} does not join {plug.link.value}"]
    if plug.link is Link.PANEL_TO_BATTERY:
        return []
    if plug.link is Link.SOURCE_TO_BATTERY:
        return []
    faults = []
    ground = case.ground
    thing = ground.units.get(plug.to_id) or ground.sources[plug.to_id]
    if thing.supply not in SUPPLIES_OF_PORT[plug.port]:
        faults.append(f"runs on {thing.supply.value}, not from a {plug.port.value}")
    if plug.link is Link.SOURCE_TO_UNIT:
        source = ground.sources[plug.from_id]
        if source.supply not in SUPPLIES_OF_PORT[plug.port]:
            faults.append(f"{source.name} has no {plug.port.value}")
        return faults
    battery = ground.batteries[plug.from_id]
    on_dc = plug.port is PortType.DC_12V
    ports = battery.ports_12v if on_dc else battery.outlets_ac
    if plug.port_number > ports:
        faults.append(f"{battery.name} has {ports} of the {plug.port.value} kind")
    needs_w = thing.max_w if isinstance(thing, Source) else thing.running_w
    if on_dc and needs_w > battery.port_12v_max_w + SMALL:
        limit = f"a port of {battery.name} gives {battery.port_12v_max_w:.0f} W"
        faults.append(f"draws {needs_w:.0f} W, {limit}")
    return faults


def _socket(case: Case, plug: Hookup) -> tuple[str, str]:
    """Name the one thing that a plug takes up, and whose it is."""
    # A battery has one charger input; a panel has one lead.
    if plug.link is Link.PANEL_TO_BATTERY:
        return plug.from_id, f"the lead of {case.name(plug.from_id)}"
    if plug.link is Link.SOURCE_TO_BATTERY:
        return plug.to_id, f"the charger input of {case.name(plug.to_id)}"
    socket = f"{plug.port.value} {plug.port_number} of {case.name(plug.from_id)}"
    return plug.from_id, socket


def _fixed_ends(case: Case, plug: Hookup) -> list[tuple[str, str]]:
    """List the ends of a plug that cannot be moved, with their places."""
    ground = case.ground
    fixed = []
    for end in (plug.from_id, plug.to_id):
        if end in ground.batteries:
            battery = ground.batteries[end]
            if not battery.movable:
                fixed.append((end, battery.place))
        elif end in ground.panels:
            fixed.append((end, ground.panels[end].place))
        elif end in ground.units:
            fixed.append((end, ground.units[end].place))
        else:
            fixed.append((end, ground.sources[end].place))
    return fixed


def _battery_watts(
    case: Case, log: HourLog, feeder: str, plugs: list[Hookup], hour: int
) -> None:
    battery = case.ground.batteries[feeder]
    draws = [(plug, plugged_w(case.ground, plug.to_id, hour)) for plug in plugs]
    total_w = sum(watts for _, watts in draws)
    if total_w > battery.max_out_w + SMALL:
        text = (
            f"{total_w:.0f} W on {battery.name}, which gives {battery.max_out_w:.0f} W"
        )
        log.add(feeder, text, hour)
    on_ac = [(plug, watts) for plug, watts in draws if plug.port is PortType.AC]
    running_w = sum(watts for _, watts in on_ac)
    for plug, watts in on_ac:
        start_w = watts
        if plug.to_id in case.ground.units and watts > 0:
            start_w = profiles.start_surge_w(case.ground.units[plug.to_id])
        surge_w = running_w - watts + start_w
        if surge_w > SURGE_SHARE * battery.max_out_w + SMALL:
            text = (
                f"{surge_w:.0f} W on {battery.name} when {case.name(plug.to_id)}"
                f" starts, its inverter takes {SURGE_SHARE * battery.max_out_w:.0f} W"
            )
            log.add(feeder, text, hour)


def _source_watts(
    case: Case, log: HourLog, source: Source, plugs: list[Hookup], hour: int
) -> None:
    on = source_on(case.ground, source, hour)
    total_w = 0.0
    for plug in plugs:
        if plug.link is Link.SOURCE_TO_UNIT:
            total_w += plugged_w(case.ground, plug.to_id, hour)
            if not on:
                text = f"{source.name} is off while {case.name(plug.to_id)} hangs on it"
                log.add(source.id, text, hour)
        elif on:
            cell = case.planned.cells[plug.to_id]
            limits = cell.limits[cell.stands[hour]]
            total_w += float(limits.charge_limit_w[hour])
    if on and total_w > source.max_w + SMALL:
        text = f"{total_w:.0f} W on {source.name}, which gives {source.max_w:.0f} W"
        log.add(source.id, text, hour)
