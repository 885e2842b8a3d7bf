"""A scenario as numbers: goods, modes of units, feeders and blocks of hours.

Everything the models need is worked out here once.
"""

import itertools
from dataclasses import dataclass, field, replace
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from planner.decide.feeders import (
    charge_limit_at,
    limits_anywhere,
    load_hours,
    on_hours,
    sun_anywhere_w,
)
from planner.decide.fit import Spot
from planner.decide.goods import Family, Good, SlotKey, make_goods
from planner.physics.profiles import (
    BatteryLimits,
    Hourly,
    held_band,
    ice_kg_day,
    reach,
    room_temp_c,
    start_surge_w,
    unit_load_w,
    usable_l,
)
from planner.result import Demand
from planner.scenario import (
    Battery,
    ColdUnit,
    Equipment,
    Panel,
    Scenario,
    Segregation,
    Source,
    SourceKind,
    Status,
    SunCase,
    Supply,
    UnitType,
)

FILLS = (0.25, 0.5, 0.75, 1.0)
"""Shares of the usable volume for which the pull-down may be planned (R8)."""
TUB_SHARE = 0.9
"""Usable share left when lidded tubs keep feeds and medicines apart (R4)."""

Kit = TypeVar("Kit", ColdUnit, Battery, Panel, Source)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mode:
    """One way to run a unit: set points and the warm fill planned for."""

    unit: int
    unit_id: str
    set_points_c: tuple[float, ...]
    fill: float
    load_w: Hourly
    usable_l: tuple[float, ...]
    ice_kg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """A load before the fridges: watts in every hour, by place."""

    source: Source
    load_w: Hourly


@dataclass(slots=True, kw_only=True)
class Instance:
    """The scenario as numbers; ``optional`` marks equipment to be borrowed.

    ``charge_at`` has the charge limit of each hour [W] by battery and place.
    ``memo`` keeps what is worked out for this instance more than once; a copy
    with other equipment begins with an empty one.
    """

    scenario: Scenario
    hours: int
    units: tuple[ColdUnit, ...]
    batteries: tuple[Battery, ...]
    panels: tuple[Panel, ...]
    feeds: tuple[Source, ...]
    loads: tuple[Load, ...]
    limits: tuple[BatteryLimits, ...]
    charge_at: dict[str, dict[str, Hourly]]
    sun_w: tuple[Hourly, ...]
    feed_on: tuple[NDArray[np.bool_], ...]
    modes: tuple[tuple[Mode, ...], ...]
    goods: tuple[Good, ...]
    families: tuple[Family, ...]
    optional: frozenset[str] = field(default_factory=frozenset)
    memo: dict[object, Any] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    @property
    def power_ids(self) -> frozenset[str]:
        """Ids of the power equipment that is here or may be taken."""
        power: tuple[Equipment, ...] = (*self.batteries, *self.panels, *self.feeds)
        return frozenset(item.id for item in power)

    @property
    def able(self) -> tuple[ColdUnit, ...]:
        """Units that can be run in some way."""
        pairs = zip(self.units, self.modes, strict=True)
        return tuple(unit for unit, modes in pairs if modes)

    @property
    def tubs(self) -> bool:
        """True when feeds and medicines may share a unit in tubs."""
        return self.scenario.conditions.segregation is Segregation.TUBS


def without_power(instance: Instance) -> Instance:
    """The same scenario with every battery and source held for prior loads."""
    return replace(
        instance,
        batteries=(),
        limits=(),
        panels=(),
        sun_w=(),
        feeds=(),
        feed_on=(),
        loads=(),
    )


def in_pool(status: Status, item_id: str, loans: frozenset[str]) -> bool:
    """True for equipment that is here, or an offer under consideration."""
    return status is Status.HERE or (status is Status.OFFERED and item_id in loans)


def build(
    scenario: Scenario,
    demand: tuple[Demand, ...],
    *,
    loans: frozenset[str] = frozenset(),
    optional: frozenset[str] = frozenset(),
    case: SunCase | None = None,
) -> Instance:
    """Turn a scenario into numbers.

    ``loans`` are offers taken as present; ``optional`` those of them that a
    model may take or leave.
    """
    cond = scenario.conditions
    taken = loans | optional
    case = case or cond.sun_case
    rooms = {p.name: room_temp_c(p, cond) for p in scenario.places}

    def there(items: tuple[Kit, ...]) -> tuple[Kit, ...]:
        kept = [i for i in items if in_pool(i.availability.status, i.id, taken)]
        return tuple(sorted(kept, key=lambda i: i.id))

    units = there(scenario.units)
    batteries = there(scenario.batteries)
    panels = there(scenario.panels)
    sources = there(scenario.sources)
    feeds = tuple(s for s in sources if s.kind is not SourceKind.PRIORITY_LOAD)
    loads = tuple(s for s in sources if s.kind is SourceKind.PRIORITY_LOAD)
    spots: dict[SlotKey, Spot] = {}
    for u, unit in enumerate(units):
        spots |= _spots(unit, u, rooms[unit.place])
    goods, families = make_goods(scenario, demand, spots)
    wanted = {slot for g in goods for slot in g.slots}
    return Instance(
        scenario=scenario,
        hours=cond.window_h,
        units=units,
        batteries=batteries,
        panels=panels,
        feeds=feeds,
        loads=tuple(
            Load(source=s, load_w=np.where(load_hours(s, scenario), s.max_w, 0.0))
            for s in loads
        ),
        limits=tuple(limits_anywhere(b, scenario) for b in batteries),
        charge_at={b.id: charge_limit_at(b, scenario) for b in batteries},
        sun_w=tuple(sun_anywhere_w(p, scenario, case) for p in panels),
        feed_on=tuple(on_hours(s, scenario) for s in feeds),
        modes=tuple(
            _modes(u, unit, rooms[unit.place], wanted, cond.segregation)
            for u, unit in enumerate(units)
        ),
        goods=goods,
        families=families,
        optional=optional,
    )


def _spots(unit: ColdUnit, u: int, room_c: Hourly) -> dict[SlotKey, Spot]:
    """Every zone and set point of a unit with the band held there."""
    return {
        (u, zone, set_c): Spot(
            unit=unit,
            zone=zone,
            set_point_c=set_c,
            held=held_band(unit, set_c, room_c),
        )
        for zone in range(len(unit.zone_shares))
        for set_c in sorted(set(unit.set_points_c))
    }


def _modes(
    u: int,
    unit: ColdUnit,
    room_c: Hourly,
    wanted: set[SlotKey],
    segregation: Segregation,
) -> tuple[Mode, ...]:
    """Ways to run the unit that some good has a use for and that hold (R2)."""
    zones = range(len(unit.zone_shares))
    choices = [
        [s for s in sorted(set(unit.set_points_c)) if (u, z, s) in wanted]
        for z in zones
    ]
    if not any(choices):
        return ()
    # A zone that is not needed may run at the mildest setting, which costs least.
    mildest = max(unit.set_points_c)
    choices = [sorted({*c, mildest}) for c in choices]
    # What goes in warm costs energy, or ice in a chest.
    by_fill = unit.powered or unit.kind is UnitType.ICE_CHEST
    fills = FILLS if by_fill else FILLS[-1:]
    share = TUB_SHARE if segregation is Segregation.TUBS else 1.0
    modes = []
    for points in itertools.product(*choices):
        if not reach(unit, points, room_c).ok:
            continue
        litres = tuple(v * share for v in usable_l(unit, points, room_c))
        for fill in fills:
            modes.append(
                Mode(
                    unit=u,
                    unit_id=unit.id,
                    set_points_c=points,
                    fill=fill,
                    load_w=unit_load_w(unit, points, room_c, fill),
                    usable_l=litres,
                    ice_kg=ice_kg_day(unit, points, room_c, fill),
                )
            )
    return tuple(modes)


@dataclass(frozen=True, slots=True, kw_only=True)
class Consumer:
    """Something that is plugged in: a cold unit or a load before the fridges.

    ``needed`` says in which hours it must be fed.
    """

    id: str
    place: str
    supply: Supply
    running_w: float
    surge_w: float
    needed: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fed:
    """A consumer with what it draws in every hour."""

    consumer: Consumer
    load_w: Hourly


def consumer_of_unit(unit: ColdUnit, hours: int) -> Consumer:
    """A powered unit seen from the socket."""
    terms = unit.availability
    needed = np.arange(hours) >= terms.ready_h
    if terms.back_h is not None:
        needed &= np.arange(hours) < terms.back_h
    return Consumer(
        id=unit.id,
        place=unit.place,
        supply=unit.supply,
        running_w=unit.running_w,
        surge_w=start_surge_w(unit),
        needed=needed,
    )


def consumer_of_load(load: Load) -> Consumer:
    """A prior load seen from the socket."""
    return Consumer(
        id=load.source.id,
        place=load.source.place,
        supply=load.source.supply,
        running_w=load.source.max_w,
        surge_w=load.source.max_w,
        needed=load.load_w > 0,
    )


def plugs(consumer: Consumer, battery: Battery) -> tuple[bool, bool]:
    """Whether a consumer can use a 12 V port and an AC outlet of the battery."""
    if not (battery.movable or battery.place == consumer.place):
        return False, False
    strong = consumer.running_w <= battery.max_out_w + 1e-9
    dc = (
        strong
        and consumer.supply in {Supply.DC, Supply.BOTH}
        and battery.ports_12v > 0
        and consumer.running_w <= battery.port_12v_max_w + 1e-9
    )
    ac = (
        strong
        and consumer.supply in {Supply.AC, Supply.BOTH}
        and battery.outlets_ac > 0
        and consumer.surge_w <= 2 * battery.max_out_w + 1e-9
    )
    return dc, ac


def feeds_consumer(consumer: Consumer, source: Source) -> bool:
    """Whether a source's socket suits the consumer."""
    suits = (
        consumer.supply in {source.supply, Supply.BOTH} or source.supply is Supply.BOTH
    )
    return (
        suits
        and source.place == consumer.place
        and consumer.running_w <= source.max_w + 1e-9
    )


def sun_reaches(panel: Panel, battery: Battery) -> bool:
    """Whether a panel can be plugged into the battery where they stand."""
    return not panel.place or battery.movable or panel.place == battery.place


def charges_battery(source: Source, battery: Battery) -> bool:
    """Whether a source can charge the battery at full charger power."""
    return (
        (battery.movable or source.place == battery.place)
        and battery.max_charge_w > 0
        and battery.max_charge_w <= source.max_w + 1e-9
    )
