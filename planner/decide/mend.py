"""A scenario with one change applied, and nothing else.

Pure: what a change of ``planner/result_reasons.py`` means in the nouns of the
input.  The reasons are found and checked with it, and so may a screen try one.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import TypeVar

from planner.catalogue import default
from planner.decide.instance import TUB_SHARE
from planner.errors import UsageError
from planner.result_reasons import Change, ChangeKind
from planner.scenario import (
    Battery,
    Chemistry,
    ColdUnit,
    Line,
    Place,
    Scenario,
    Segregation,
    Supply,
    UnitType,
)

ROOM_ID = "change:room"
"""Id of the cold room that a change adds."""
BATTERY_ID = "change:battery"
"""Id of the battery that a change adds."""

_Kit = TypeVar("_Kit", ColdUnit, Battery, Place, Line)


def apply_change(scenario: Scenario, change: Change) -> Scenario:
    """The scenario after one change.

    Raises
    ------
    UsageError
        The change names something that the scenario does not have.
    """
    return _DO[change.kind](scenario, change)


def _only(
    things: tuple[_Kit, ...], key: str, do: Callable[[_Kit], _Kit], of: str = "id"
) -> tuple[_Kit, ...]:
    """The things with one of them replaced."""
    if all(getattr(one, of) != key for one in things):
        msg = f"nothing is called {key!r}"
        raise UsageError(msg)
    return tuple(do(one) if getattr(one, of) == key else one for one in things)


def _unit(
    scenario: Scenario, change: Change, do: Callable[[ColdUnit], ColdUnit]
) -> Scenario:
    return replace(scenario, units=_only(scenario.units, change.item_id, do))


def _battery(
    scenario: Scenario, change: Change, do: Callable[[Battery], Battery]
) -> Scenario:
    return replace(scenario, batteries=_only(scenario.batteries, change.item_id, do))


def _place(scenario: Scenario, name: str, do: Callable[[Place], Place]) -> Scenario:
    return replace(scenario, places=_only(scenario.places, name, do, of="name"))


def _line(scenario: Scenario, change: Change, do: Callable[[Line], Line]) -> Scenario:
    return replace(scenario, lines=_only(scenario.lines, change.line_id, do))


# -- what is known -----------------------------------------------------------


def _allowance(scenario: Scenario, change: Change) -> Scenario:
    return _line(
        scenario,
        change,
        lambda one: replace(
            one, warm_hours=change.amount, warm_max_c=None, out_since=None
        ),
    )


def _band(scenario: Scenario, change: Change) -> Scenario:
    def known(one: Line) -> Line:
        low, high = change.low_c, change.high_c
        return replace(
            one,
            keep_from_c=one.keep_from_c if low is None else low,
            keep_to_c=one.keep_to_c if high is None else high,
        )

    return _line(scenario, change, known)


def _cooler(scenario: Scenario, change: Change) -> Scenario:
    """Rooms without a temperature above ``high_c``."""
    if change.high_c is None:
        raise UsageError("a cooler room needs its highest temperature")
    top = change.high_c
    return _place(
        scenario,
        change.place,
        lambda one: replace(
            one,
            temp_c_by_clock_hour=tuple(min(c, top) for c in one.temp_c_by_clock_hour),
        ),
    )


# -- what is allowed ---------------------------------------------------------


def _night(scenario: Scenario, change: Change) -> Scenario:
    return _place(scenario, change.place, lambda one: replace(one, open_at_night=True))


def _reach(scenario: Scenario, change: Change) -> Scenario:
    def reached(one: Place) -> Place:
        known = one.reached_from
        if known is None or change.place in known:
            return one
        return replace(one, reached_from=(*known, change.place))

    return _place(scenario, change.to_place, reached)


def _move_unit(scenario: Scenario, change: Change) -> Scenario:
    return _unit(scenario, change, lambda one: replace(one, place=change.to_place))


def _move_person(scenario: Scenario, change: Change) -> Scenario:
    return _line(scenario, change, lambda one: replace(one, place=change.to_place))


def _lock(scenario: Scenario, change: Change) -> Scenario:
    return _unit(scenario, change, lambda one: replace(one, lockable=True))


def _tubs(scenario: Scenario, change: Change) -> Scenario:
    del change
    conditions = replace(scenario.conditions, segregation=Segregation.TUBS)
    return replace(scenario, conditions=conditions)


def _conditioned(scenario: Scenario, change: Change) -> Scenario:
    return _unit(scenario, change, lambda one: replace(one, conditioned=True))


def _setting(scenario: Scenario, change: Change) -> Scenario:
    if change.set_point_c is None:
        raise UsageError("a setting needs its temperature")
    points = (change.set_point_c,)
    return _unit(
        scenario,
        change,
        lambda one: replace(
            one, set_points_c=tuple(sorted({*one.set_points_c, *points}))
        ),
    )


# -- when it is here ---------------------------------------------------------


def _sooner(scenario: Scenario, change: Change) -> Scenario:
    def sooner(one: ColdUnit) -> ColdUnit:
        terms = one.availability
        ready_h = max(0, terms.ready_h - round(change.amount))
        return replace(one, availability=replace(terms, ready_h=ready_h))

    return _unit(scenario, change, sooner)


def _longer(scenario: Scenario, change: Change) -> Scenario:
    def longer(one: ColdUnit) -> ColdUnit:
        terms = one.availability
        back_h = None if terms.back_h is None else terms.back_h + round(change.amount)
        return replace(one, availability=replace(terms, back_h=back_h))

    return _unit(scenario, change, longer)


# -- how much there is -------------------------------------------------------


def _socket(scenario: Scenario, change: Change) -> Scenario:
    more = round(change.amount)
    if change.supply is Supply.AC:
        return _battery(
            scenario, change, lambda one: replace(one, outlets_ac=one.outlets_ac + more)
        )
    return _battery(
        scenario, change, lambda one: replace(one, ports_12v=one.ports_12v + more)
    )


def _watts(scenario: Scenario, change: Change) -> Scenario:
    """More output, and with ``supply`` 12V as much more on each port."""
    port_w = change.amount if change.supply is Supply.DC else 0.0
    return _battery(
        scenario,
        change,
        lambda one: replace(
            one,
            max_out_w=one.max_out_w + change.amount,
            port_12v_max_w=one.port_12v_max_w + port_w,
        ),
    )


def _energy(scenario: Scenario, change: Change) -> Scenario:
    """Charged fuller first; what it cannot hold makes it larger and full."""
    reserve = scenario.conditions.reserve_share

    def more(one: Battery) -> Battery:
        empty_wh = one.capacity_wh * max(0.0, 1.0 - one.charge_now)
        charged_wh = min(change.amount, empty_wh)
        charge = one.charge_now
        if one.capacity_wh > 0:
            charge += charged_wh / one.capacity_wh
        rest_wh = change.amount - charged_wh
        if rest_wh <= 0:
            return replace(one, charge_now=min(1.0, charge))
        drawn = max(0.01, one.usable_share * (1.0 - reserve))
        return replace(
            one, charge_now=1.0, capacity_wh=one.capacity_wh + rest_wh / drawn
        )

    return _battery(scenario, change, more)


def _ice(scenario: Scenario, change: Change) -> Scenario:
    kg = scenario.conditions.ice_kg_day + change.amount
    return replace(scenario, conditions=replace(scenario.conditions, ice_kg_day=kg))


def _room_in(scenario: Scenario, change: Change) -> Scenario:
    """A unit larger by what gives one zone that many litres to pack."""
    packed = _packed_share(scenario)

    def larger(one: ColdUnit) -> ColdUnit:
        share = packed * one.usable_share * one.zone_shares[change.zone]
        return replace(
            one, gross_volume_l=one.gross_volume_l + change.amount / max(0.01, share)
        )

    return _unit(scenario, change, larger)


def _packed_share(scenario: Scenario) -> float:
    """Share of the room that is left beside lidded tubs (R4)."""
    tubs = scenario.conditions.segregation is Segregation.TUBS
    return TUB_SHARE if tubs else 1.0


def _battery_more(scenario: Scenario, change: Change) -> Scenario:
    """A full battery with that much to draw; nothing charges it."""
    share = max(0.01, 1.0 - scenario.conditions.reserve_share)
    ac = change.supply is Supply.AC
    fresh = Battery(
        id=BATTERY_ID,
        name="one more battery",
        place=change.place,
        capacity_wh=change.amount / share,
        chemistry=Chemistry.LFP,
        charge_now=1.0,
        usable_share=1.0,
        max_out_w=change.watts,
        ports_12v=0 if ac else 1,
        port_12v_max_w=0.0 if ac else change.watts,
        outlets_ac=1 if ac else 0,
        ac_idle_w=default("battery.ac_idle_w").value if ac else 0.0,
        max_charge_w=0.0,
        solar_input_max_w=0.0,
    )
    return replace(scenario, batteries=(*scenario.batteries, fresh))


def _room_at(scenario: Scenario, change: Change) -> Scenario:
    """A cold room that is kept cold by others, reached from its own place."""
    if change.low_c is None or change.high_c is None:
        raise UsageError("a cold room needs its band")
    fresh = ColdUnit(
        id=ROOM_ID,
        name="cold room with power of its own",
        place=change.place,
        kind=UnitType.ELSEWHERE,
        gross_volume_l=change.amount / _packed_share(scenario),
        usable_share=1.0,
        set_points_c=((change.low_c + change.high_c) / 2,),
        swing_c=(change.high_c - change.low_c) / 2,
        supply=Supply.NONE,
        lockable=change.lockable,
    )
    scenario = replace(scenario, units=(*scenario.units, fresh))
    return _night(scenario, change) if change.night else scenario


_DO: dict[ChangeKind, Callable[[Scenario, Change], Scenario]] = {
    ChangeKind.ALLOWANCE: _allowance,
    ChangeKind.BAND: _band,
    ChangeKind.ROOM_TEMP: _cooler,
    ChangeKind.NIGHT: _night,
    ChangeKind.REACH: _reach,
    ChangeKind.MOVE_UNIT: _move_unit,
    ChangeKind.MOVE_PERSON: _move_person,
    ChangeKind.LOCK: _lock,
    ChangeKind.TUBS: _tubs,
    ChangeKind.CONDITIONED: _conditioned,
    ChangeKind.SETTING: _setting,
    ChangeKind.COOLER: _cooler,
    ChangeKind.SOONER: _sooner,
    ChangeKind.LONGER: _longer,
    ChangeKind.SOCKET: _socket,
    ChangeKind.WATTS: _watts,
    ChangeKind.ENERGY: _energy,
    ChangeKind.ICE: _ice,
    ChangeKind.ROOM_IN: _room_in,
    ChangeKind.BATTERY: _battery_more,
    ChangeKind.ROOM_AT: _room_at,
}
