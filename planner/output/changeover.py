"""Plugs and thermostats between two plans, in the order in which they are done."""

from dataclasses import dataclass
from enum import StrEnum

from planner.output.index import Index
from planner.output.tables_power import NO_DIAL, zone_words
from planner.result import Changeover, Hookup, Link, Plan
from planner.result_moves import Setting
from planner.scenario import UnitType

_INTO_BATTERY = frozenset({Link.PANEL_TO_BATTERY, Link.SOURCE_TO_BATTERY})

_TIMES_SHOWN = 14
"""Clock times of later changes in a sentence; the rest stands on the rota."""


class Do(StrEnum):
    """What is done in one step; each is a message ``change.<value>``.

    A panel or charger is joined to the input of a battery, all else is
    plugged into a socket of its feeder.
    """

    PULL = "pull"
    PART = "part"
    PUT_IN = "put_in"
    JOIN = "join"
    SET = "set"
    ON = "on"
    USE = "use"
    OFF = "off"
    LEAVE = "leave"


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One thing to do with a plug or a unit.

    ``temps_c`` has a set point a zone; it is empty for plugs and for a unit
    that is not used any more.
    """

    do: Do
    unit_id: str = ""
    temps_c: tuple[float, ...] = ()
    plug: Hookup | None = None


def changeover_steps(plan: Plan) -> tuple[tuple[Step, ...], tuple[Step, ...]]:
    """Steps before any bag is carried, and steps when the bags are out.

    All plugs that move are pulled before any is put in, so that no socket is
    still taken.  A unit that is given up keeps its plug until it is empty,
    unless its feeder gets another plug: that may need its socket or its watts.
    Thermostats are set once there is power.
    """
    change = plan.changeover
    given_up = {one.unit_id for one in change.settings if not one.after_c}
    wanted = {one.from_id for one in change.put_in}
    late = {
        one
        for one in change.pulled
        if one.to_id in given_up and one.from_id not in wanted
    }
    kinds = {unit.id: unit.kind for unit in plan.scenario.units}
    first = (
        *(_plug(Do.PULL, one) for one in change.pulled if one not in late),
        *(_plug(Do.PUT_IN, one) for one in change.put_in),
        *(_set(one, kinds) for one in change.settings if one.after_c),
    )
    last = (
        *(_set(one, kinds) for one in change.settings if not one.after_c),
        *(_plug(Do.PULL, one) for one in change.pulled if one in late),
    )
    return first, last


def changeover_words(index: Index) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The same in words, in the manner of the index."""
    first, last = changeover_steps(index.plan)
    return (
        tuple(_words(index, one) for one in first),
        tuple(_words(index, one) for one in last),
    )


def later_words(index: Index) -> str:
    """How many plugs change over after the start, and when; empty when none does."""
    change, how = index.plan.changeover, index.how
    if not change.later_h:
        return ""
    hours, more = later_times_h(change)
    times = [index.clock(hour) for hour in hours]
    if more:
        times.append(how.say("tell.replan.later_rota"))
    said = how.count("tell.replan.later", len(change.later_h), times=how.listed(times))
    if change.before_until is None:
        return said
    key = (
        "tell.replan.later_ended"
        if has_ended(index.plan)
        else "tell.replan.later_before"
    )
    until = index.moment(change.before_until)
    return f"{said} {how.say(key, before=change.later_before, until=until)}"


def has_ended(plan: Plan) -> bool:
    """Whether the plan in force has no hour left that the new plan begins with."""
    until = plan.changeover.before_until
    return until is not None and until <= plan.scenario.conditions.start


def later_times_h(change: Changeover) -> tuple[tuple[int, ...], bool]:
    """Hours of those changes, each once, and whether a long rota has more."""
    hours = tuple(dict.fromkeys(change.later_h))
    return hours[:_TIMES_SHOWN], len(hours) > _TIMES_SHOWN


def numbered(plug: Hookup) -> bool:
    """Only sockets of a battery are told apart by their number."""
    return plug.link is Link.BATTERY_TO_UNIT


def _plug(do: Do, plug: Hookup) -> Step:
    if plug.link in _INTO_BATTERY:
        do = Do.PART if do is Do.PULL else Do.JOIN
    return Step(do=do, unit_id=plug.to_id, plug=plug)


def _set(one: Setting, kinds: dict[str, UnitType]) -> Step:
    no_dial = kinds.get(one.unit_id) in NO_DIAL
    if not one.after_c:
        do = Do.LEAVE if no_dial else Do.OFF
    elif no_dial:
        do = Do.USE
    else:
        do = Do.SET if one.before_c else Do.ON
    return Step(do=do, unit_id=one.unit_id, temps_c=one.after_c)


def _words(index: Index, step: Step) -> str:
    how, plug = index.how, step.plug
    key = f"tell.replan.{step.do.value}"
    if plug is None:
        return how.say(
            key, unit=index.name(step.unit_id), temp=zone_words(step.temps_c, how)
        )
    socket = how.say(f"port.{plug.port.name.lower()}")
    if numbered(plug):
        socket = how.say("tell.replan.socket", socket=socket, number=plug.port_number)
    return how.say(
        key,
        feeder=index.name(plug.from_id),
        taker=index.name(plug.to_id),
        socket=socket,
    )
