"""One place where a scenario becomes hourly numbers.

Everything here is a pure function of nouns and returns plain floats or
arrays with one value an hour; ``decide`` and ``check`` both start from it.
Hour ``h`` is [start + h, start + h + 1); powers are means over the hour.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.errors import UsageError
from planner.physics import battery as cells
from planner.physics import constants as k
from planner.physics import cooling, ice, solar
from planner.scenario import (
    Availability,
    Battery,
    ColdUnit,
    Conditions,
    Panel,
    Place,
    SunCase,
    UnitType,
)

Hourly = NDArray[np.float64]
"""One float an hour of the window."""

THERMOSTATIC = frozenset({UnitType.COMPRESSOR, UnitType.HOUSEHOLD})
"""Kinds that run only as long as they need to."""

ALWAYS_RUNNING = frozenset({UnitType.THERMOELECTRIC, UnitType.ABSORPTION})
"""Kinds that draw their running watts all day."""

SLACK = 1e-9
"""Room for rounding in comparisons of temperatures and shares."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldBand:
    """Temperatures a zone stays between, in degrees Celsius."""

    low_c: float
    high_c: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """Whether a unit can hold its set points in this room (R2)."""

    ok: bool
    peak_duty: float
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BatteryLimits:
    """Energy and power limits of one battery, derived once."""

    floor_wh: float
    full_wh: float
    start_wh: float
    reserve_wh: float
    charge_limit_w: Hourly
    solar_limit_w: float
    max_out_w: float
    dc_efficiency: float
    ac_efficiency: float
    charge_efficiency: float
    ac_idle_w: float


def room_temp_c(place: Place, conditions: Conditions) -> Hourly:
    """Room temperature of a place for every hour of the window [C]."""
    by_clock = np.array(place.temp_c_by_clock_hour, dtype=np.float64)
    start = conditions.start
    late = start.minute / 60 + start.second / 3600
    now = (start.hour + np.arange(conditions.window_h)) % 24
    return (1.0 - late) * by_clock[now] + late * by_clock[(now + 1) % 24]


def held_band(unit: ColdUnit, set_point_c: float, room_c: Hourly) -> HeldBand:
    """Temperatures that a zone of ``unit`` at ``set_point_c`` stays between (R1).

    Powered units and powered-elsewhere: set point -/+ swing, and as cold as
    the room where that is colder, because a fridge does not heat.
    Thermoelectric: also as cold as the coldest room hour less 20 K, because
    such boxes run on with no thermostat.  Raw ice chest: 0 to 4;
    conditioned: 2 to 8; colder in a room that is.  Cool shelf: coldest to
    hottest room hour.  Evaporative: as the air is dry or damp, whatever the
    set point.
    """
    rooms = _hours_here(unit, room_c)
    coldest, hottest = float(rooms.min()), float(rooms.max())
    if unit.kind is UnitType.COOL_SHELF:
        return HeldBand(low_c=coldest, high_c=hottest)
    if unit.kind is UnitType.EVAPORATIVE:
        return HeldBand(
            low_c=float(cooling.evaporative_c(rooms, k.DRY_AIR_RH.value).min()),
            high_c=float(cooling.evaporative_c(rooms, k.HUMID_AIR_RH.value).max()),
        )
    if unit.kind is UnitType.ICE_CHEST:
        low, high = k.CHEST_RAW_LOW_C.value, k.CHEST_RAW_HIGH_C.value
        if unit.conditioned:
            low = k.CHEST_CONDITIONED_LOW_C.value
            high = k.CHEST_CONDITIONED_HIGH_C.value
        return HeldBand(low_c=min(low, coldest), high_c=high)
    low, high = set_point_c - unit.swing_c, set_point_c + unit.swing_c
    if unit.kind is UnitType.THERMOELECTRIC:
        low = min(low, coldest - k.THERMOELECTRIC_DROP_MAX_K.value)
    return HeldBand(low_c=min(low, coldest), high_c=high)


def reach(unit: ColdUnit, set_points_c: tuple[float, ...], room_c: Hourly) -> Reach:
    """Tell whether the unit can hold these set points in every hour (R2)."""
    _check_zones(unit, set_points_c)
    if not _here(unit.availability, room_c.size).any():
        return Reach(ok=False, peak_duty=0.0, reason="Not here during this window.")
    rooms = _hours_here(unit, room_c)
    if unit.kind in THERMOSTATIC:
        return _reach_by_duty(unit, set_points_c, rooms)
    coldest_set = min(set_points_c)
    hottest = float(rooms.max())
    floor: float | None = None
    if unit.kind is UnitType.THERMOELECTRIC:
        floor = float(cooling.thermoelectric_floor_c(hottest))
        why = "A thermoelectric box"
    elif unit.kind is UnitType.EVAPORATIVE:
        floor = hottest - k.EVAPORATIVE_DROP_K.value
        why = "An evaporative cooler"
    elif unit.kind is UnitType.ICE_CHEST:
        floor = k.CHEST_RAW_LOW_C.value
        why = "A chest of water ice"
    peak = 1.0 if unit.kind in ALWAYS_RUNNING else 0.0
    if floor is not None and coldest_set < floor - SLACK:
        return Reach(
            ok=False,
            peak_duty=peak,
            reason=f"{why} gets no colder than {_degrees(floor)} when the room is "
            f"{_degrees(hottest)}; the set point is {_degrees(coldest_set)}.",
        )
    limit = k.ABSORPTION_ROOM_MAX_C.value
    if unit.kind is UnitType.ABSORPTION and hottest > limit + SLACK:
        return Reach(
            ok=False,
            peak_duty=peak,
            reason=f"An absorption unit holds only up to a room of {_degrees(limit)}; "
            f"the room reaches {_degrees(hottest)}.",
        )
    level = " It must stand level." if unit.kind is UnitType.ABSORPTION else ""
    return Reach(ok=True, peak_duty=peak, reason=f"Can hold its set point.{level}")


def usable_l(
    unit: ColdUnit, set_points_c: tuple[float, ...], room_c: Hourly
) -> tuple[float, ...]:
    """Litres of packed goods each zone takes, ice already taken out (R3)."""
    _check_zones(unit, set_points_c)
    litres = unit.gross_volume_l * unit.usable_share
    if unit.kind is UnitType.ICE_CHEST:
        mean_c = ice.worst_day_mean_c(_hours_here(unit, room_c))
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
    _check_zones(unit, set_points_c)
    here = _here(unit.availability, room_c.size)
    if unit.kind in ALWAYS_RUNNING:
        return np.where(here, unit.running_w, 0.0)
    if unit.kind not in THERMOSTATIC:
        return np.zeros(room_c.size)
    steady = np.where(here, _steady_w(unit, set_points_c, room_c), 0.0)
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
    _check_zones(unit, set_points_c)
    if unit.kind in ALWAYS_RUNNING:
        return room_c.size if warm_fill > 0 else 0
    if unit.kind not in THERMOSTATIC:
        return 0
    here = _here(unit.availability, room_c.size)
    need_wh = _pull_down_wh(unit, set_points_c, room_c, warm_fill)
    if need_wh <= 0:
        return 0
    steady = np.where(here, _steady_w(unit, set_points_c, room_c), 0.0)
    pulled_wh = _pulled_wh(unit, set_points_c, room_c, warm_fill, steady)
    done = np.flatnonzero(pulled_wh >= need_wh * (1.0 - SLACK))
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
    _check_zones(unit, set_points_c)
    if unit.kind is not UnitType.ICE_CHEST:
        return 0.0
    rooms = _hours_here(unit, room_c)
    goods_kg = sum(usable_l(unit, set_points_c, room_c)) * warm_fill
    goods_kg *= k.PACKED_KG_L.value
    first = ice.melt_kg_day(unit.ua_w_per_k, ice.worst_day_mean_c(rooms[:24]))
    first += ice.warm_contents_kg(goods_kg, float(rooms[0]), k.CHEST_RAW_HIGH_C.value)
    worst = ice.melt_kg_day(unit.ua_w_per_k, ice.worst_day_mean_c(rooms))
    return max(first, worst)


def start_surge_w(unit: ColdUnit) -> float:
    """Watts drawn at a compressor start."""
    if not unit.powered:
        return 0.0
    factor = k.SURGE_FACTOR.get(unit.kind)
    return unit.running_w * (1.0 if factor is None else factor.value)


def battery_limits(
    battery: Battery, room_c: Hourly, conditions: Conditions
) -> BatteryLimits:
    """Limits of a battery standing in a room of ``room_c``.

    ``full_wh`` is what it holds when charged, ``floor_wh`` the part that may
    not be drawn, ``reserve_wh`` the planning reserve above the floor.
    ``charge_limit_w`` is the charge power allowed in each hour, zero where
    a lithium battery is outside 0-40 C; ``solar_limit_w`` the solar input cap.
    """
    here = _here(battery.availability, room_c.size)
    rooms = room_c[here] if here.any() else room_c
    cold = cells.cold_factor(battery.chemistry, float(rooms.min()))
    full_wh = battery.capacity_wh * cold
    drawable_wh = cells.usable_wh(battery.capacity_wh, battery.usable_share, cold)
    charging = here & cells.charge_allowed(battery.chemistry, room_c)
    return BatteryLimits(
        floor_wh=full_wh - drawable_wh,
        full_wh=full_wh,
        start_wh=full_wh * battery.charge_now,
        reserve_wh=conditions.reserve_share * drawable_wh,
        charge_limit_w=np.where(charging, battery.max_charge_w, 0.0),
        solar_limit_w=min(battery.solar_input_max_w, battery.max_charge_w),
        max_out_w=battery.max_out_w,
        dc_efficiency=battery.dc_efficiency,
        ac_efficiency=battery.ac_efficiency,
        charge_efficiency=battery.charge_efficiency,
        ac_idle_w=battery.ac_idle_w,
    )


def panel_w(
    panel: Panel, conditions: Conditions, outdoor_c: Hourly, case: SunCase
) -> Hourly:
    """Power a panel delivers to a battery input in each hour [W].

    After losses, heat, controller, shade and the sky of ``case``, before
    the battery's input cap.  Zero outside the panel's available hours.

    Raises
    ------
    UsageError
        If the conditions give neither peak sun hours nor a latitude and
        longitude, or ``outdoor_c`` is not one value an hour.
    """
    hours = conditions.window_h
    if outdoor_c.size != hours:
        msg = f"outdoor_c has {outdoor_c.size} values for {hours} hours"
        raise UsageError(msg)
    if case is SunCase.NONE:
        return np.zeros(hours)
    mean = solar.delivered_w(
        panel.rated_w,
        _mean_sun_w_m2(panel, conditions),
        outdoor_c,
        panel.controller,
        panel.shade_share,
    )
    share = conditions.poor_share if case is SunCase.POOR else 1.0
    return np.where(_here(panel.availability, hours), share * mean, 0.0)


def _mean_sun_w_m2(panel: Panel, conditions: Conditions) -> Hourly:
    """Sun in the panel's plane on the mean day [W/m2]."""
    latitude, longitude = conditions.latitude, conditions.longitude
    if conditions.peak_sun_hours is not None:
        return solar.peak_sun_day_w_m2(
            conditions.start,
            conditions.window_h,
            conditions.peak_sun_hours,
            conditions.utc_offset_h,
            latitude,
            longitude,
        )
    if latitude is None or longitude is None:
        msg = "sun needs peak sun hours, or a latitude and a longitude"
        raise UsageError(msg)
    clear = solar.clear_sky_w_m2(
        conditions.start,
        conditions.window_h,
        conditions.utc_offset_h,
        latitude,
        longitude,
        panel.tilt_deg,
        panel.azimuth_deg,
    )
    return conditions.sky_factor * clear


def _here(availability: Availability, hours: int) -> NDArray[np.bool_]:
    """Mark the hours in which a piece of equipment can be used (R11)."""
    hour = np.arange(hours)
    here = hour >= availability.ready_h
    if availability.back_h is not None:
        here &= hour < availability.back_h
    return here


def _hours_here(unit: ColdUnit, room_c: Hourly) -> Hourly:
    """Room hours in which the unit can be used; all of them if there are none."""
    if room_c.size == 0:
        msg = "the window has no hours"
        raise UsageError(msg)
    here = _here(unit.availability, room_c.size)
    return room_c[here] if here.any() else room_c


def _check_zones(unit: ColdUnit, set_points_c: tuple[float, ...]) -> None:
    """Raise ``UsageError`` unless there is one set point a zone."""
    if len(set_points_c) != len(unit.zone_shares):
        msg = (
            f"{unit.id}: {len(set_points_c)} set points for "
            f"{len(unit.zone_shares)} zones"
        )
        raise UsageError(msg)


def _steady_w(
    unit: ColdUnit, set_points_c: tuple[float, ...], room_c: Hourly
) -> Hourly:
    """Power that holds the set points in every hour, at hand or not [W]."""
    total = np.zeros(room_c.size)
    for share, set_c in zip(unit.zone_shares, set_points_c, strict=True):
        total += share * cooling.scale_factor(
            unit.rated_ambient_c, unit.rated_inside_c, room_c, set_c
        )
    return unit.rated_wh_day / 24.0 * total


def _pull_down_wh(
    unit: ColdUnit, set_points_c: tuple[float, ...], room_c: Hourly, warm_fill: float
) -> float:
    """Electricity to cool the cabinet and its warm contents once [Wh].

    Contents of a freezing zone arrive frozen and are only cooled further.
    """
    if not _here(unit.availability, room_c.size).any():
        return 0.0
    room = float(_hours_here(unit, room_c)[0])
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
    steady_w: Hourly,
) -> Hourly:
    """Pull-down energy drawn by the end of each hour, from spare power [Wh]."""
    here = _here(unit.availability, room_c.size)
    spare = np.where(here, np.maximum(0.0, unit.running_w - steady_w), 0.0)
    need = _pull_down_wh(unit, set_points_c, room_c, warm_fill)
    drawn: Hourly = np.minimum(np.cumsum(spare), need)
    return drawn


def _reach_by_duty(
    unit: ColdUnit, set_points_c: tuple[float, ...], rooms: Hourly
) -> Reach:
    """Compare the steady load of every hour with the running watts."""
    load = _steady_w(unit, set_points_c, rooms)
    worst = int(np.argmax(load))
    peak = float(cooling.duty(load, unit.running_w)[worst])
    ok = peak <= 1.0 + SLACK
    sets = " and ".join(_degrees(set_c) for set_c in set_points_c)
    verb = "Holds" if ok else "Cannot hold"
    return Reach(
        ok=ok,
        peak_duty=peak,
        reason=f"{verb} {sets} when the room is {_degrees(float(rooms[worst]))}: "
        f"needs {load[worst]:.0f} W on average and runs at {unit.running_w:.0f} W.",
    )


def _degrees(temp_c: float) -> str:
    """Write a temperature in both scales."""
    return f"{round(temp_c)} °C ({round(temp_c * 9 / 5 + 32)} °F)"
