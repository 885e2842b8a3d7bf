"""A wiring for the same units that leaves the most plugs where they are."""

import time

from planner.decide.blocks import rota_levels
from planner.decide.instance import Fed, Instance
from planner.decide.one_site import STEPS_H
from planner.decide.plugged import read_hookups
from planner.decide.simulate import around, thin_hours
from planner.decide.solver import Expr, total, value
from planner.decide.wiring import WiringModel
from planner.result import Hookup, PortType

_NODES = 200
_POLISH_NODES = 30

Ends = tuple[str, str, PortType]
"""Both ends of a plug and the kind of its socket."""


def plugs_at_start(hookups: tuple[Hookup, ...]) -> frozenset[Ends]:
    """Plugs that are in during the first hour."""
    return frozenset((h.from_id, h.to_id, h.port) for h in hookups if h.from_h <= 0)


def fewest_replugs(
    instance: Instance,
    fed: tuple[Fed, ...],
    before: tuple[Hookup, ...],
    *,
    time_limit_s: float,
) -> tuple[Hookup, ...] | None:
    """A wiring that never changes, most of it in place already.

    ``None`` when none is found in time; a wiring with swaps is left alone.
    """
    ends = time.monotonic() + time_limit_s
    there = plugs_at_start(before)
    marks: frozenset[int] = frozenset()
    for sunny_h in STEPS_H:
        wm = WiringModel(
            instance, fed, rota_levels(instance)[0], sunny_h=sunny_h, marks=marks
        )
        stay = total(_in_already(wm, there))
        first = wm.model.minimise(
            -stay,
            time_limit_s=ends - time.monotonic(),
            whole_objective=True,
            node_limit=_NODES,
        )
        if not first.found:
            return None
        found = read_hookups(wm)
        # Then the most charge left, so that no panel stays out that helps.
        wm.model.add("M", stay >= round(value(stay)))
        second = wm.model.minimise(
            wm.charge_spent(),
            time_limit_s=ends - time.monotonic(),
            node_limit=_POLISH_NODES,
        )
        if second.found:
            found = read_hookups(wm)
        thin = thin_hours(instance, fed, found)
        if not thin:
            return found
        marks |= around(thin)
    return None


def _in_already(wm: WiringModel, there: frozenset[Ends]) -> list[Expr]:
    """Plug variables of what is in already."""
    inst = wm.instance
    found: list[tuple[Expr, str, str, PortType]] = []
    for table, port in ((wm.dc, PortType.DC_12V), (wm.ac, PortType.AC)):
        for (c, b, _), v in table.items():
            found.append((v, inst.batteries[b].id, wm.fed[c].consumer.id, port))
    for (c, s, _), v in wm.direct.items():
        for port in (PortType.AC, PortType.DC_12V):
            found.append((v, inst.feeds[s].id, wm.fed[c].consumer.id, port))
    for (p, b), v in wm.panel.items():
        found.append((v, inst.panels[p].id, inst.batteries[b].id, PortType.SOLAR))
    for (b, s), v in wm.charger.items():
        found.append((v, inst.feeds[s].id, inst.batteries[b].id, PortType.CHARGER))
    return [v for v, *ends in found if tuple(ends) in there]
