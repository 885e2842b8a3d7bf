"""A solved monolith read back as hookups."""

from collections.abc import Iterator

from planner.decide.sockets import Span, merge, number_sockets
from planner.result import Hookup, Link, PortType
from planner.scenario import Supply
from tests.bench.monolith_power import PowerRows, Taker
from tests.bench.spans import both_here


def hookups(
    power: PowerRows, values: list[int], on: frozenset[str]
) -> tuple[Hookup, ...]:
    """Plugs of a solution, of the units in ``on`` and the prior loads."""
    spans = [
        *_lead_spans(power, values),
        *_plug_spans(power, values, on),
    ]
    return number_sockets(merge(spans))


def _lead_spans(power: PowerRows, values: list[int]) -> Iterator[Span]:
    inst = power.instance
    for (p, b), v in power.panel.items():
        panel, battery = inst.panels[p], inst.batteries[b]
        for k, period in enumerate(power.periods if values[v] else ()):
            hours = both_here(
                panel.availability, battery.availability, period.first, period.end
            )
            place = panel.place or _where(power, values, b, k)
            yield (
                Link.PANEL_TO_BATTERY,
                panel.id,
                battery.id,
                PortType.SOLAR,
                place,
                *hours,
            )
    for (b, s), v in power.charger.items():
        source, battery = inst.feeds[s], inst.batteries[b]
        if values[v]:
            hours = both_here(source.availability, battery.availability, 0, inst.hours)
            yield (
                Link.SOURCE_TO_BATTERY,
                source.id,
                battery.id,
                PortType.CHARGER,
                source.place,
                *hours,
            )


def _plug_spans(
    power: PowerRows, values: list[int], on: frozenset[str]
) -> Iterator[Span]:
    inst = power.instance
    for (t, b, port, k), v in power.plug.items():
        taker = power.takers[t]
        if values[v] and (taker.always or taker.who.id in on):
            feeder = inst.batteries[b].id
            yield _span(power, Link.BATTERY_TO_UNIT, feeder, taker, port, k)
    for (t, s, k), v in power.direct.items():
        taker, source = power.takers[t], inst.feeds[s]
        if values[v] and (taker.always or taker.who.id in on):
            dc = Supply.DC in (source.supply, taker.who.supply)
            port = PortType.DC_12V if dc else PortType.AC
            yield _span(power, Link.SOURCE_TO_UNIT, source.id, taker, port, k)


def _span(
    power: PowerRows, link: Link, feeder: str, taker: Taker, port: PortType, k: int
) -> Span:
    who, period = taker.who, power.periods[k]
    first, end = max(period.first, who.ready_h), min(period.end, who.back_h)
    return (link, feeder, who.id, port, who.place, first, end)


def _where(power: PowerRows, values: list[int], b: int, k: int) -> str:
    """Place where a battery stands in a period."""
    for (bb, name, kk), v in power.stands.items():
        if (bb, kk) == (b, k) and values[v]:
            return name
    return next(iter(power.instance.charge_at[power.instance.batteries[b].id]))
