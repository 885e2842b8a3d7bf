"""What a cold unit takes: litres, watts hour by hour, ice.

A unit's zones share its gross volume; each has one set point.
"""

from dataclasses import replace

import numpy as np

from planner.errors import UsageError
from planner.physics import constants as k
from planner.physics import cooling, ice
from planner.physics.hours import Hourly, here, hours_here
from planner.scenario import ColdUnit, UnitType

THERMOSTATIC = frozenset({UnitType.COMPRESSOR, UnitType.HOUSEHOLD})
"""Kinds that run only as long as they need to."""

ALWAYS_RUNNING = frozenset({UnitType.THERMOELECTRIC, UnitType.ABSORPTION})
"""Kinds that draw their running watts all day."""

DONE_SHARE = 1.0 - 1e-9
"""Share of the pull-down at which it counts as done, for rounding."""


def opened_often(unit: ColdUnit) -> ColdUnit:
    """Give the unit with the energy of a door opened 8 times an hour.

    Only kinds with a thermostat make up for it with a longer run; others are
    left as they are.
    """
    if unit.kind not in THERMOSTATIC:
        return unit
    return replace(unit, rated_wh_day=unit.rated_wh_day * k.OPENING_LOAD.value)


def check_zones(unit: ColdUnit, set_points_c: tuple[float, ...]) -> None:
    """Raise ``UsageError`` unless there is one set point a zone."""
    if len(set_points_c) != len(unit.zone_shares):
        msg = (
            f"{unit.id}: {len(set_points_c)} set points for "
            f"{len(unit.zone_shares)} zones"
        )
        raise UsageError(msg)


def usable_l(
    unit: ColdUnit, set_points_c: tuple[float, ...], room_c: Hourly
) -> tuple[float, ...]:
    """Litres of packed goods each zone takes, ice already taken out (R3)."""
    check_zones(unit, set_points_c)
    litres = unit.gross_volume_l * unit.usable_share
    if unit.kind is UnitType.ICE_CHEST:
        mean_c = ice.worst_day_mean_c(hours_here(unit.availability, room_c))
        litres = ice.litres_left(litres, ice.melt_kg_day(unit.ua_w_per_k, mean_c))
    return tuple(litres * share for share in unit.zone_shares)


def unit_load_w(
    unit: ColdUnit,
    set_points_c: tuple[float, ...],
    room_c: Hourly,
    warm_fill: float,
) -> Hourly:
    """Mean electric power at the unit's plug for every hour [W].

    Steady load plus the pull-down of ``warm_fill`` (0..1) of the usable
    volume going in at room temperature at the ready hour, drawn from the
    spare compressor power until done (R8).  Zero outside the hours the unit
    is available and for units that need no power.
    """
    check_zones(unit, set_points_c)
    at_hand = here(unit.availability, room_c.size)
    if unit.kind in ALWAYS_RUNNING:
        return np.where(at_hand, unit.running_w, 0.0)
    if unit.kind not in THERMOSTATIC:
        return np.zeros(room_c.size)
    steady = np.where(at_hand, steady_w(unit, set_points_c, room_c), 0.0)
    pulled_wh = _pulled_wh(unit, set_points_c, room_c, warm_fill, steady)
    return steady + np.diff(pulled_wh, prepend=0.0)


def cold_after_h(
    unit: ColdUnit,
    set_points_c: tuple[float, ...],
    room_c: Hourly,
    warm_fill: float,
) -> int:
    """Hours from the ready hour until the pull-down is done.

    The window's length when it is not done by its end; units that always
    run have no spare power to do it with.  0 for units that draw nothing.
    """
    check_zones(unit, set_points_c)
    if unit.kind in ALWAYS_RUNNING:
        return room_c.size if warm_fill > 0 else 0
    if unit.kind not in THERMOSTATIC:
        return 0
    at_hand = here(unit.availability, room_c.size)
    need_wh = _pull_down_wh(unit, set_points_c, room_c, warm_fill)
    if need_wh <= 0:
        return 0
    steady = np.where(at_hand, steady_w(unit, set_points_c, room_c), 0.0)
    pulled_wh = _pulled_wh(unit, set_points_c, room_c, warm_fill, steady)
    done = np.flatnonzero(pulled_wh >= need_wh * DONE_SHARE)
    if done.size == 0:
        return room_c.size
    return int(done[0]) + 1 - max(0, unit.availability.ready_h)


def ice_kg_day(
    unit: ColdUnit, set_points_c: tuple[float, ...], room_c: Hourly, warm_fill: float
) -> float:
    """Kilograms of ice the unit melts on its worst day (R10); 0 if none.

    Heat through the walls on the warmest 24 hours, and on the first day
    also the warm contents; the larger of the two days.
    """
    check_zones(unit, set_points_c)
    if unit.kind is not UnitType.ICE_CHEST:
        return 0.0
    rooms = hours_here(unit.availability, room_c)
    goods_kg = sum(usable_l(unit, set_points_c, room_c)) * warm_fill
    goods_kg *= k.PACKED_KG_L.value
    first = ice.melt_kg_day(unit.ua_w_per_k, ice.worst_day_mean_c(rooms[:24]))
    first += ice.warm_contents_kg(goods_kg, float(rooms[0]), k.CHEST_RAW_HIGH_C.value)
    worst = ice.melt_kg_day(unit.ua_w_per_k, ice.worst_day_mean_c(rooms))
    return max(first, worst)


def steady_w(unit: ColdUnit, set_points_c: tuple[float, ...], room_c: Hourly) -> Hourly:
    """Power that holds the set points in every hour, at hand or not [W]."""
    wh_day = np.zeros(room_c.size)
    for share, set_c in zip(unit.zone_shares, set_points_c, strict=True):
        wh_day += share * cooling.scale_energy(
            unit.rated_wh_day, unit.rated_ambient_c, unit.rated_inside_c, room_c, set_c
        )
    return wh_day / 24.0


def start_surge_w(unit: ColdUnit) -> float:
    """Watts drawn at a compressor start."""
    if not unit.powered:
        return 0.0
    factor = k.SURGE_FACTOR.get(unit.kind)
    return unit.running_w * (1.0 if factor is None else factor.value)


def _pull_down_wh(
    unit: ColdUnit, set_points_c: tuple[float, ...], room_c: Hourly, warm_fill: float
) -> float:
    """Electricity to cool the cabinet and its warm contents once [Wh].

    Contents of a freezing zone arrive frozen and are only cooled further.
    """
    if not here(unit.availability, room_c.size).any():
        return 0.0
    room = float(hours_here(unit.availability, room_c)[0])
    zones_l = usable_l(unit, set_points_c, room_c)
    total = 0.0
    for share, litres, set_c in zip(
        unit.zone_shares, zones_l, set_points_c, strict=True
    ):
        goods_kg = litres * warm_fill * k.PACKED_KG_L.value
        specific, from_c = k.WATER_KJ_KG_K.value, room
        if set_c < 0:
            specific = k.ICE_KJ_KG_K.value
            from_c = min(room, k.FROZEN_ARRIVES_C.value)
        heat = cooling.sensible_heat_wh(goods_kg, specific, from_c, set_c)
        heat += cooling.sensible_heat_wh(
            unit.gross_volume_l * share, k.CABINET_KJ_L_K.value, room, set_c
        )
        total += heat / cooling.small_unit_cop(set_c, room)
    return total


def _pulled_wh(
    unit: ColdUnit,
    set_points_c: tuple[float, ...],
    room_c: Hourly,
    warm_fill: float,
    steady: Hourly,
) -> Hourly:
    """Pull-down energy drawn by the end of each hour, from spare power [Wh]."""
    at_hand = here(unit.availability, room_c.size)
    spare = np.where(at_hand, np.maximum(0.0, unit.running_w - steady), 0.0)
    need = _pull_down_wh(unit, set_points_c, room_c, warm_fill)
    drawn: Hourly = np.minimum(np.cumsum(spare), need)
    return drawn
