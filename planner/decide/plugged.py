"""A solved wiring model read back as hookups."""

from planner.decide.alone import hours_needed
from planner.decide.instance import Consumer, Instance
from planner.decide.sockets import Span, merge, number_sockets
from planner.decide.solver import whole
from planner.decide.wiring import WiringModel
from planner.result import Hookup, Link, PortType
from planner.scenario import Availability, Source, Supply


def read_hookups(wm: WiringModel) -> tuple[Hookup, ...]:
    """Plugs of the last solution, spans joined, sockets numbered."""
    spans = [*_panels(wm), *_chargers(wm), *_consumers(wm)]
    return number_sockets(merge(spans))


def _panels(wm: WiringModel) -> list[Span]:
    spans: list[Span] = []
    for (p, b), v in wm.panel.items():
        if not whole(v):
            continue
        for k, period in enumerate(wm.periods):
            # A panel of no place goes along with a battery that is carried.
            span = panel_span(wm.instance, p, b, _where(wm, b, k))
            spans.append(
                (*span[:5], max(span[5], period.first), min(span[6], period.end))
            )
    return spans


def panel_span(inst: Instance, p: int, b: int, stands: str) -> Span:
    """A panel plugged into a battery while both are here."""
    panel, battery = inst.panels[p], inst.batteries[b]
    return (
        Link.PANEL_TO_BATTERY,
        panel.id,
        battery.id,
        PortType.SOLAR,
        panel.place or stands,
        *_both_there(panel.availability, battery.availability, inst.hours),
    )


def _chargers(wm: WiringModel) -> list[Span]:
    return [
        charger_span(wm.instance, b, s) for (b, s), v in wm.charger.items() if whole(v)
    ]


def charger_span(inst: Instance, b: int, s: int) -> Span:
    """A charger plugged into a source while both it and the battery are here."""
    source, battery = inst.feeds[s], inst.batteries[b]
    return (
        Link.SOURCE_TO_BATTERY,
        source.id,
        battery.id,
        PortType.CHARGER,
        source.place,
        *_both_there(source.availability, battery.availability, inst.hours),
    )


def _consumers(wm: WiringModel) -> list[Span]:
    inst = wm.instance
    spans: list[Span] = []

    def plug(c: int, k: int, link: Link, feeder_id: str, port: PortType) -> None:
        who, period = wm.fed[c].consumer, wm.periods[k]
        hours = hours_needed(period, who)
        first, end = int(hours[0]), int(hours[-1]) + 1
        spans.append((link, feeder_id, who.id, port, who.place, first, end))

    for table, port in ((wm.dc, PortType.DC_12V), (wm.ac, PortType.AC)):
        for (c, b, k), v in table.items():
            if whole(v):
                plug(c, k, Link.BATTERY_TO_UNIT, inst.batteries[b].id, port)
    for (c, s, k), v in wm.direct.items():
        if whole(v):
            source = inst.feeds[s]
            socket = source_socket(source, wm.fed[c].consumer)
            plug(c, k, Link.SOURCE_TO_UNIT, source.id, socket)
    return spans


def source_socket(source: Source, consumer: Consumer) -> PortType:
    """12 V where the source has only that, or the consumer takes only that."""
    twelve = source.supply is Supply.DC or (
        source.supply is Supply.BOTH and consumer.supply is Supply.DC
    )
    return PortType.DC_12V if twelve else PortType.AC


def _where(wm: WiringModel, b: int, k: int) -> str:
    """Place where a battery stands in a period."""
    for (bb, name, kk), v in wm.stands.items():
        if bb == b and kk == k and whole(v):
            return name
    return home(wm.instance, b)


def home(inst: Instance, b: int) -> str:
    """Place where a battery stands at first."""
    return next(iter(inst.charge_at[inst.batteries[b].id]))


def _both_there(one: Availability, two: Availability, hours: int) -> tuple[int, int]:
    """Hours in which two lent things are both here."""
    backs = [t.back_h for t in (one, two) if t.back_h is not None]
    first = max(one.ready_h, two.ready_h)
    return first, max(first, min([hours, *backs]))
