"""One card for each chain of panel, battery, port and unit."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from planner.output.ask_whom import ASK
from planner.output.cautions import Topic, cautions
from planner.output.index import SUN_CASES
from planner.output.paper.facts import Facts
from planner.output.paper.goods import units_on
from planner.output.paper.page import PaperSize
from planner.output.paper.pen import TICK, Column, Pen
from planner.output.paper.phrases import (
    at_work,
    lasts,
    load_lasts,
    percent,
    plugged,
    socket,
    tied,
)
from planner.output.paper.rota import INTO_BATTERY
from planner.output.words import energy, power
from planner.result import Hookup, Link, PortType
from planner.scenario import Battery, ColdUnit, SourceKind, SunCase


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """Things that hang together by plugs; ids in a fixed order.

    ``loads`` are the ids of life-support loads.
    """

    plugs: tuple[Hookup, ...]
    batteries: tuple[Battery, ...]
    units: tuple[ColdUnit, ...]
    loads: tuple[str, ...] = ()


def chains(facts: Facts) -> tuple[Chain, ...]:
    """Chains of a plan, by the first name in each."""
    parent: dict[str, str] = {}

    def root(one: str) -> str:
        parent.setdefault(one, one)
        while parent[one] != one:
            one = parent[one]
        return one

    for plug in facts.plan.hookups:
        a, b = sorted((root(plug.from_id), root(plug.to_id)))
        parent[b] = a
    groups: dict[str, list[Hookup]] = {}
    for plug in facts.plan.hookups:
        groups.setdefault(root(plug.from_id), []).append(plug)
    found = [_chain(facts, plugs) for plugs in groups.values()]
    return tuple(sorted(found, key=lambda one: chain_name(facts, one)))


def chain_name(facts: Facts, chain: Chain) -> str:
    """Name of a chain: its batteries, or what feeds it."""
    feeders = [one.id for one in chain.batteries] or sorted(
        {one.from_id for one in chain.plugs}
    )
    return " + ".join(sorted(facts.name(one) for one in feeders))


def wiring_sheet(facts: Facts, chain: Chain, size: PaperSize) -> Pen:
    """Write the wiring card of one chain."""
    title = facts.say("wiring.title", chain=chain_name(facts, chain))
    pen = Pen(size, title, facts.say("page.continued"))
    pen.text(facts.say("wiring.first"), bold=True)
    charging = [one for one in chain.plugs if one.link in INTO_BATTERY]
    feeding = [one for one in chain.plugs if one.link not in INTO_BATTERY]
    for key, plugs in (("wiring.into", charging), ("wiring.out", feeding)):
        if plugs:
            pen.heading(facts.say(key))
            pen.table(_columns(facts), [_row(facts, one) for one in plugs], row_pt=24)
    if chain.batteries:
        pen.heading(facts.say("wiring.switches"))
        pen.points([battery_words(facts, one) for one in chain.batteries])
        pen.points(switch_words(facts, chain))
    if chain.units or chain.loads:
        pen.heading(facts.say("wiring.lasts"))
        pen.points(
            [
                *life_words(facts, chain.loads),
                *(
                    facts.say("wiring.unit_lasts", unit=facts.name(unit.id), lasts="; ".join(said))
                    for unit in chain.units
                    if (said := lasts(facts, unit))
                ),
            ]
        )  # fmt: skip
    for topic in topics(facts, chain):
        mind = [facts.caution(one.text) for one in cautions(topic)]
        pen.heading(
            facts.say(f"mind.{topic.name.lower()}"), keep_pt=pen.height_of(mind) + 50
        )
        pen.text(facts.say("mind.ask", whom=facts.caution(ASK[topic])), bold=True)
        pen.points(mind)
    return pen


def life_words(
    facts: Facts, load_ids: Iterable[str], cases: Sequence[SunCase] = SUN_CASES
) -> tuple[str, ...]:
    """How long each life-support load is fed: it is told before any unit."""
    return tuple(
        facts.say("wiring.life_lasts", load=facts.name(one), lasts="; ".join(said))
        for one in load_ids
        if (said := load_lasts(facts, one, cases))
    )


def dark_life_words(facts: Facts) -> tuple[str, ...]:
    """The life-support loads that go dark in some sun case; none when all are fed."""
    dark = dict.fromkeys(
        load_id
        for (load_id, _), one in facts.index.life_support.items()
        if one.dark_from_h is not None
    )
    return life_words(facts, dark)


def battery_words(facts: Facts, battery: Battery) -> str:
    """What a battery holds and how far it may be drawn."""
    return facts.say(
        "wiring.battery",
        battery=facts.name(battery.id),
        full=tied(energy(battery.capacity_wh)),
        now=percent(battery.charge_now),
        least=percent(1 - battery.usable_share),
    )


def switch_words(facts: Facts, chain: Chain) -> tuple[str, ...]:
    """How the switches of the batteries of a chain stand."""
    ac_batteries = {
        one.from_id
        for one in chain.plugs
        if one.port is PortType.AC and one.link is Link.BATTERY_TO_UNIT
    }
    switches = [
        facts.say(
            "switch.ac_on" if one.id in ac_batteries else "switch.ac_off",
            battery=facts.name(one.id),
        )
        for one in chain.batteries
        if one.outlets_ac
    ]
    direct = any(one.port is PortType.DC_12V for one in chain.plugs)
    return (
        facts.say("switch.saving"),
        *([facts.say("switch.cutoff")] if direct else []),
        *switches,
        *([facts.say("switch.one_by_one")] if len(chain.units) > 1 else []),
    )


def topics(facts: Facts, chain: Chain) -> tuple[Topic, ...]:
    """Topics to mind at the plugs of a chain."""
    feeders = {one.from_id for one in chain.plugs}
    fuel = any(
        one.id in feeders and one.kind in {SourceKind.GENERATOR, SourceKind.VEHICLE}
        for one in facts.plan.scenario.sources
    )
    return (
        *((Topic.BATTERY,) if chain.batteries else ()),
        *((Topic.GENERATOR,) if fuel else ()),
        Topic.ELECTRICAL,
    )


def plug_words(facts: Facts, plug: Hookup) -> str:
    """One plug as a short line: feeder, socket, taker, hours with power."""
    said = facts.say(
        "wiring.plug",
        feeder=facts.name(plug.from_id),
        socket=socket(facts, plug),
        taker=facts.name(plug.to_id),
    )
    runs = at_work(facts, plug)
    return f"{said}; {runs}" if runs else said


def _chain(facts: Facts, plugs: list[Hookup]) -> Chain:
    ids = {one.from_id for one in plugs} | {one.to_id for one in plugs}
    return Chain(
        plugs=tuple(
            sorted(plugs, key=lambda one: (one.from_h, one.from_id, one.port.value, one.port_number, one.to_id))
        ),
        batteries=tuple(one for one in facts.plan.scenario.batteries if one.id in ids),
        units=tuple(one for one in units_on(facts) if one.id in ids),
        loads=tuple(one.id for one in facts.plan.scenario.sources if one.kind is SourceKind.PRIORITY_LOAD and one.id in ids),
    )  # fmt: skip


def _columns(facts: Facts) -> list[Column]:
    return [
        Column(facts.say("head.from"), 15, bold=True),
        Column(facts.say("head.socket"), 11),
        Column(facts.say("head.into"), 17, bold=True),
        Column(facts.say("head.when"), 18),
        Column(facts.say("head.done"), 7),
    ]


def _row(facts: Facts, plug: Hookup) -> tuple[str, ...]:
    watts = _watts(facts, plug)
    taker = facts.name(plug.to_id)
    if plug.place:
        taker = facts.say("wiring.at", thing=taker, place=facts.place(plug.place))
    return (
        facts.name(plug.from_id) + (f", {watts}" if plug.link in INTO_BATTERY and watts else ""),
        "--> " + socket(facts, plug),
        taker + (f", {watts}" if plug.link not in INTO_BATTERY and watts else ""),
        plugged(facts, plug),
        TICK,
    )  # fmt: skip


def _watts(facts: Facts, plug: Hookup) -> str:
    index = facts.index
    if plug.link is Link.PANEL_TO_BATTERY and plug.from_id in index.panels:
        return tied(power(index.panels[plug.from_id].rated_w))
    if plug.to_id in index.units:
        return tied(power(index.units[plug.to_id].running_w))
    if plug.to_id in index.sources:
        return tied(power(index.sources[plug.to_id].max_w))
    return ""
