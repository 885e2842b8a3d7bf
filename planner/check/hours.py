"""The engine of the replay: one window, hour after hour, in plain arithmetic.

No look ahead and no solver: each hour knows only what was stored before it.
"""

from dataclasses import dataclass, field

from planner.check.ground import WH_SLACK, Claim, Ground
from planner.physics import profiles
from planner.physics.profiles import BatteryLimits
from planner.result import Hookup, Link, PortType
from planner.scenario import Battery, Source, SourceKind, Status, SunCase


@dataclass(slots=True, kw_only=True)
class Cell:
    """One battery during a run; lists have one entry an hour passed.

    ``stands`` is the place of each hour, ``limits`` the limits by place;
    floor, full, start and reserve are the cautious ones of those places.
    """

    battery: Battery
    stands: list[str]
    limits: dict[str, BatteryLimits]
    there: range
    floor_wh: float
    full_wh: float
    start_wh: float
    reserve_wh: float
    load_wh: list[float] = field(default_factory=list)
    idle_wh: list[float] = field(default_factory=list)
    harvest_wh: list[float] = field(default_factory=list)
    spilled_wh: list[float] = field(default_factory=list)
    charge_wh: list[float] = field(default_factory=list)
    feeding: list[bool] = field(default_factory=list)
    dark: list[bool] = field(default_factory=list)

    def take_in(
        self, hour: int, solar_w: float, charger_w: float
    ) -> tuple[float, float]:
        """Solar and charger watt-hours that get in during an hour."""
        limit = self.limits[self.stands[hour]]
        cap_w = float(limit.charge_limit_w[hour])
        solar_wh = min(solar_w, limit.solar_limit_w, cap_w)
        return solar_wh, min(charger_w, cap_w - solar_wh)

    def close_hour(self, *, in_wh: float, out_wh: float, idle_wh: float) -> None:
        """Book one hour; loads that cannot all be met are all dark."""
        before = self.charge_wh[-1] if self.charge_wh else self.start_wh
        limit = self.limits[self.stands[len(self.charge_wh)]]
        stored = limit.charge_efficiency * in_wh
        wanted = out_wh + idle_wh
        dark = wanted > 0 and before + stored - wanted < self.floor_wh - WH_SLACK
        if dark:
            wanted = idle_wh = 0.0
        after = before + stored - wanted
        self.load_wh.append(wanted)
        self.idle_wh.append(idle_wh)
        self.harvest_wh.append(in_wh)
        self.spilled_wh.append(max(0.0, after - self.full_wh))
        self.charge_wh.append(min(after, self.full_wh))
        self.feeding.append(wanted > 0)
        self.dark.append(dark)


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A finished run under one sun case.

    ``wanted_w`` is what each unit that is on, and each priority load, draws
    in each hour when it is fed; ``fed`` tells in which hours it was.
    """

    sun_case: SunCase
    cells: dict[str, Cell]
    wanted_w: dict[str, list[float]]
    fed: dict[str, list[bool]]


def run_hours(ground: Ground, claim: Claim, case: SunCase) -> Run:
    """Run the window once; ids of ``claim`` must be known."""
    wanted_w = _wanted(ground, claim)
    fed = {thing: [False] * ground.window_h for thing in wanted_w}
    cells = {
        battery.id: _cell(ground, battery, claim)
        for battery in (ground.scenario.batteries if ground.rooms else ())
    }
    sun = _Sun(ground, case)
    for hour in range(ground.window_h):
        plugs = claim.plugs_in(hour)
        spare_w = _source_spare_w(ground, plugs, hour)
        for cell in cells.values():
            _battery_hour(cell, hour, plugs, wanted_w, sun, spare_w)
        for plug in plugs:
            if plug.to_id in fed and _gives(ground, cells, plug, hour):
                fed[plug.to_id][hour] = True
    return Run(sun_case=case, cells=cells, wanted_w=wanted_w, fed=fed)


def held_hours(ground: Ground, run: Run, unit_id: str) -> list[int]:
    """Hours in which a unit is there and held cold by its feed or itself."""
    unit = ground.units[unit_id]
    there = ground.available_hours(unit.availability)
    return [h for h in there if not unit.powered or run.fed[unit_id][h]]


def dark_from(ground: Ground, run: Run, unit_id: str) -> int | None:
    """First hour from the ready hour on in which a unit is not held."""
    held = set(held_hours(ground, run, unit_id))
    ready = ground.units[unit_id].availability.ready_h
    return next((h for h in range(ready, ground.window_h) if h not in held), None)


class _Sun:
    """Panel power by the place where the panel stands, made once each."""

    def __init__(self, ground: Ground, case: SunCase) -> None:
        self._ground, self._case = ground, case
        self._known: dict[tuple[str, str], list[float]] = {}

    def power_w(self, plug: Hookup, hour: int) -> float:
        key = plug.from_id, plug.place
        if key not in self._known:
            panel = self._ground.panels[plug.from_id]
            there = self._ground.available_hours(panel.availability)
            power = profiles.panel_w(
                panel,
                self._ground.conditions,
                self._ground.rooms[plug.place],
                self._case,
            )
            self._known[key] = [
                float(watts) if h in there else 0.0 for h, watts in enumerate(power)
            ]
        return self._known[key][hour]


def _wanted(ground: Ground, claim: Claim) -> dict[str, list[float]]:
    wanted: dict[str, list[float]] = {}
    for use in claim.units_on:
        unit = ground.units[use.unit_id]
        there = ground.available_hours(unit.availability)
        load = profiles.unit_load_w(
            unit, use.set_points_c, ground.rooms[unit.place], use.warm_fill
        )
        wanted[use.unit_id] = [
            float(watts) if h in there else 0.0 for h, watts in enumerate(load)
        ]
    for source in ground.priority_loads():
        wanted[source.id] = [
            source.max_w if needed else 0.0 for needed in ground.load_needed[source.id]
        ]
    return wanted


def _cell(ground: Ground, battery: Battery, claim: Claim) -> Cell:
    stands = _stands(ground, battery, claim)
    limits = {
        place: profiles.battery_limits(battery, ground.rooms[place], ground.conditions)
        for place in dict.fromkeys(stands)
    }
    each = list(limits.values())
    return Cell(
        battery=battery,
        stands=stands,
        limits=limits,
        there=ground.available_hours(battery.availability),
        floor_wh=max(limit.floor_wh for limit in each),
        full_wh=min(limit.full_wh for limit in each),
        start_wh=min(limit.start_wh for limit in each),
        reserve_wh=max(limit.reserve_wh for limit in each),
    )


def _stands(ground: Ground, battery: Battery, claim: Claim) -> list[str]:
    """Place of a battery in each hour: where its plugs are, else where it was."""
    # A battery of no place starts out at the site's first one.
    known = battery.place in ground.rooms
    place = battery.place if known else ground.scenario.places[0].name
    stands = []
    for hour in range(ground.window_h):
        for plug in claim.plugs_in(hour):
            if battery.movable and battery.id in (plug.from_id, plug.to_id):
                place = plug.place
        stands.append(place)
    return stands


def _source_spare_w(ground: Ground, plugs: list[Hookup], hour: int) -> dict[str, float]:
    """Watts each source that is on has left for chargers, loads served first."""
    spare = {
        source.id: source.max_w
        for source in ground.scenario.sources
        if source_on(ground, source, hour)
    }
    for plug in plugs:
        if plug.link is Link.SOURCE_TO_UNIT and plug.from_id in spare:
            spare[plug.from_id] -= plugged_w(ground, plug.to_id, hour)
    return {source_id: max(0.0, watts) for source_id, watts in spare.items()}


def source_on(ground: Ground, source: Source, hour: int) -> bool:
    """Tell whether a mains, generator or vehicle source gives power all hour."""
    return (
        source.kind is not SourceKind.PRIORITY_LOAD
        and source.availability.status is not Status.OUT
        and source.on_in_hour(ground.conditions.start, hour)
    )


def plugged_w(ground: Ground, thing_id: str, hour: int) -> float:
    """Watts a unit or a priority load pulls while it runs."""
    if thing_id in ground.units:
        unit = ground.units[thing_id]
        there = ground.available_hours(unit.availability)
        return unit.running_w if hour in there else 0.0
    needed = ground.load_needed[thing_id][hour]
    return ground.sources[thing_id].max_w if needed else 0.0


def _battery_hour(
    cell: Cell,
    hour: int,
    plugs: list[Hookup],
    wanted_w: dict[str, list[float]],
    sun: _Sun,
    spare_w: dict[str, float],
) -> None:
    battery = cell.battery
    if hour not in cell.there:
        cell.close_hour(in_wh=0.0, out_wh=0.0, idle_wh=0.0)
        return
    solar_w = charger_w = out_wh = idle_wh = 0.0
    charger = ""
    limit = cell.limits[cell.stands[hour]]
    for plug in plugs:
        if plug.link is Link.PANEL_TO_BATTERY and plug.to_id == battery.id:
            solar_w += sun.power_w(plug, hour)
        elif plug.link is Link.SOURCE_TO_BATTERY and plug.to_id == battery.id:
            if not charger and plug.from_id in spare_w:
                charger, charger_w = plug.from_id, spare_w[plug.from_id]
        elif plug.link is Link.BATTERY_TO_UNIT and plug.from_id == battery.id:
            on_ac = plug.port is PortType.AC
            share = limit.ac_efficiency if on_ac else limit.dc_efficiency
            if plug.to_id in wanted_w:
                out_wh += wanted_w[plug.to_id][hour] / share
            idle_wh = limit.ac_idle_w if on_ac else idle_wh
    solar_wh, charger_wh = cell.take_in(hour, solar_w, charger_w)
    if charger:
        spare_w[charger] -= charger_wh
    cell.close_hour(in_wh=solar_wh + charger_wh, out_wh=out_wh, idle_wh=idle_wh)


def _gives(ground: Ground, cells: dict[str, Cell], plug: Hookup, hour: int) -> bool:
    if plug.link is Link.BATTERY_TO_UNIT:
        cell = cells[plug.from_id]
        return hour in cell.there and not cell.dark[hour]
    if plug.link is Link.SOURCE_TO_UNIT:
        source = ground.sources[plug.from_id]
        return source_on(ground, source, hour)
    return False
