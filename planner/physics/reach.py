"""What a cold unit can hold: its band (R1) and whether it gets there (R2)."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from planner.physics import constants as k
from planner.physics import cooling
from planner.physics.hours import Hourly, here, hours_here
from planner.physics.loads import ALWAYS_RUNNING, THERMOSTATIC, check_zones, steady_w
from planner.scenario import ColdUnit, UnitType

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
    rooms = hours_here(unit.availability, room_c)
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
    check_zones(unit, set_points_c)
    if not here(unit.availability, room_c.size).any():
        return Reach(ok=False, peak_duty=0.0, reason="Not here during this window.")
    rooms = hours_here(unit.availability, room_c)
    if unit.kind in THERMOSTATIC:
        return _reach_by_duty(unit, set_points_c, rooms)
    coldest_set = min(set_points_c)
    hottest = float(rooms.max())
    peak = 1.0 if unit.kind in ALWAYS_RUNNING else 0.0
    floor = _floor(unit.kind, hottest)
    if floor is not None and coldest_set < floor.temp_c - SLACK:
        return Reach(
            ok=False,
            peak_duty=peak,
            reason=f"{floor.who} gets no colder than {_degrees(floor.temp_c)} when the "
            f"room is {_degrees(hottest)}; the set point is {_degrees(coldest_set)}.",
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


class _Floor(NamedTuple):
    """The coldest inside of a kind of unit, and its name in a sentence."""

    who: str
    temp_c: float


def _floor(kind: UnitType, hottest_c: float) -> _Floor | None:
    """Coldest inside in the hottest hour, for kinds that have such a limit."""
    if kind is UnitType.THERMOELECTRIC:
        coldest = float(cooling.thermoelectric_floor_c(hottest_c))
        return _Floor("A thermoelectric box", coldest)
    if kind is UnitType.EVAPORATIVE:
        coldest = hottest_c - k.EVAPORATIVE_DROP_K.value
        return _Floor("An evaporative cooler", coldest)
    if kind is UnitType.ICE_CHEST:
        return _Floor("A chest of water ice", k.CHEST_RAW_LOW_C.value)
    return None


def _reach_by_duty(
    unit: ColdUnit, set_points_c: tuple[float, ...], rooms: Hourly
) -> Reach:
    """Compare the steady load of every hour with the running watts."""
    load = steady_w(unit, set_points_c, rooms)
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
    """Write a temperature in both scales, to a tenth where it is not whole."""
    celsius, fahrenheit = round(temp_c, 1) + 0.0, round(temp_c * 9 / 5 + 32, 1) + 0.0
    return f"{celsius:g} °C ({fahrenheit:g} °F)"
