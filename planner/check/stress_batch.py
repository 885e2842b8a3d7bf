"""The replay for many variants of one plan at once, in arrays.

The same arithmetic as :mod:`planner.check.hours`, in the same order, with one
row a variant: another sun, or another hour at which something is cut off.
``tests/test_check_stress_batch.py`` holds the two to the same results.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.check.ground import WH_SLACK, Claim, Ground
from planner.check.hours import Cell, Run, plugged_w, source_on
from planner.physics import profiles
from planner.result import Hookup, Link, PortType
from planner.scenario import SunCase

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
PanelSpot = tuple[str, str]
"""Panel id, and the place where it is plugged in."""
LivePlug = tuple[Hookup, Bools]
"""A plug, and the rows in which it joins two things that work."""
NEVER_H = 1 << 30
"""Hour at which something happens that does not happen."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Variants:
    """What differs from row to row.

    ``sun_w`` has rows x hours a panel spot, ``cut_h`` the hour a row from
    which a thing and all its plugs are out.
    """

    rows: int
    sun_w: Mapping[PanelSpot, Floats]
    cut_h: Mapping[str, NDArray[np.int64]]

    def live(self, plug: Hookup, hour: int) -> Bools:
        """Rows in which a plug still joins two things that work."""
        alive = np.ones(self.rows, dtype=np.bool_)
        for end in (plug.from_id, plug.to_id):
            if end in self.cut_h:
                alive &= self.cut_h[end] > hour
        return alive


def panel_spots(claim: Claim) -> tuple[PanelSpot, ...]:
    """Every panel with the place where it is plugged in, once each."""
    plugs = [p for p in claim.hookups if p.link is Link.PANEL_TO_BATTERY]
    return tuple(dict.fromkeys((plug.from_id, plug.place) for plug in plugs))


def planned_sun_w(
    ground: Ground, claim: Claim, case: SunCase
) -> dict[PanelSpot, Floats]:
    """Panel power under one sun case, as one row [W]."""
    found = {}
    for panel_id, place in panel_spots(claim):
        panel = ground.panels[panel_id]
        power = profiles.panel_w(panel, ground.conditions, ground.rooms[place], case)
        found[panel_id, place] = _while_there(ground, panel_id, power[np.newaxis, :])
    return found


def sampled_sun_w(
    ground: Ground, claim: Claim, shares: Floats
) -> dict[PanelSpot, Floats]:
    """Panel power under many skies, one row a sky [W]."""
    found = {}
    for panel_id, place in panel_spots(claim):
        panel = ground.panels[panel_id]
        power = profiles.panel_w_each(
            panel, ground.conditions, ground.rooms[place], shares
        )
        found[panel_id, place] = _while_there(ground, panel_id, power)
    return found


def fed_each(
    ground: Ground, claim: Claim, run: Run, variants: Variants
) -> dict[str, Bools]:
    """Tell which unit and load is fed in which hour, one row a variant.

    ``run`` is a run of the same claim; its loads and battery limits are used.
    """
    state = _State(ground, run, variants)
    for hour in range(ground.window_h):
        plugs = [(plug, variants.live(plug, hour)) for plug in claim.plugs_in(hour)]
        spare_w = state.source_spare_w(plugs, hour)
        at_battery = _by_battery(plugs)
        for battery_id in run.cells:
            ends = at_battery.get(battery_id, [])
            state.battery_hour(battery_id, hour, ends, spare_w)
        for plug, live in plugs:
            if plug.to_id in state.fed:
                state.fed[plug.to_id][:, hour] |= live & state.gives(plug, hour)
    return state.fed


def dark_from_each(
    ground: Ground, fed: Mapping[str, Bools]
) -> dict[str, NDArray[np.int64]]:
    """First hour in which each thing is needed and not fed; ``NEVER_H`` if none.

    Units count from their ready hour on, as in the replay; life-support
    loads in the hours in which they are needed.
    """
    found = {}
    for thing_id, rows in fed.items():
        dark = ~rows & _needed(ground, thing_id)[np.newaxis, :]
        first = np.argmax(dark, axis=1)
        found[thing_id] = np.where(dark.any(axis=1), first, NEVER_H).astype(np.int64)
    return found


class _State:
    """Charge and fed hours of every row while the hours pass."""

    def __init__(self, ground: Ground, run: Run, variants: Variants) -> None:
        self._ground, self._run, self._variants = ground, run, variants
        shape = variants.rows, ground.window_h
        self.fed = {thing: np.zeros(shape, dtype=np.bool_) for thing in run.wanted_w}
        self._charge = {
            battery_id: np.full(variants.rows, cell.start_wh)
            for battery_id, cell in run.cells.items()
        }
        self._dark: dict[str, Bools] = {}

    def source_spare_w(self, plugs: list[LivePlug], hour: int) -> dict[str, Floats]:
        ground = self._ground
        spare = {
            source.id: np.full(self._variants.rows, source.max_w)
            for source in ground.scenario.sources
            if source_on(ground, source, hour)
        }
        for plug, live in plugs:
            if plug.link is Link.SOURCE_TO_UNIT and plug.from_id in spare:
                spare[plug.from_id] -= live * plugged_w(ground, plug.to_id, hour)
        return {source: np.maximum(0.0, watts) for source, watts in spare.items()}

    def battery_hour(
        self,
        battery_id: str,
        hour: int,
        plugs: list[LivePlug],
        spare_w: dict[str, Floats],
    ) -> None:
        cell = self._run.cells[battery_id]
        if hour not in cell.there:
            return
        in_wh = self._taken_in(cell, hour, plugs, spare_w)
        wanted = self._wanted_wh(cell, hour, plugs)
        limit = cell.limits[cell.stands[hour]]
        before = self._charge[battery_id]
        stored = limit.charge_efficiency * in_wh
        dark = (wanted > 0) & (before + stored - wanted < cell.floor_wh - WH_SLACK)
        after = before + stored - np.where(dark, 0.0, wanted)
        self._dark[battery_id] = dark
        self._charge[battery_id] = np.minimum(after, cell.full_wh)

    def gives(self, plug: Hookup, hour: int) -> Bools:
        rows = self._variants.rows
        if plug.link is Link.BATTERY_TO_UNIT:
            if hour not in self._run.cells[plug.from_id].there:
                return np.zeros(rows, dtype=np.bool_)
            return ~self._dark[plug.from_id]
        on = plug.link is Link.SOURCE_TO_UNIT and source_on(
            self._ground, self._ground.sources[plug.from_id], hour
        )
        return np.full(rows, on, dtype=np.bool_)

    def _wanted_wh(self, cell: Cell, hour: int, plugs: list[LivePlug]) -> Floats:
        limit = cell.limits[cell.stands[hour]]
        out_wh, idle_wh = np.zeros(self._variants.rows), np.zeros(self._variants.rows)
        for plug, live in _of(plugs, Link.BATTERY_TO_UNIT):
            on_ac = plug.port is PortType.AC
            share = limit.ac_efficiency if on_ac else limit.dc_efficiency
            if plug.to_id in self._run.wanted_w:
                out_wh += live * (self._run.wanted_w[plug.to_id][hour] / share)
            if on_ac:
                idle_wh = np.where(live, limit.ac_idle_w, idle_wh)
        return out_wh + idle_wh

    def _taken_in(
        self,
        cell: Cell,
        hour: int,
        plugs: list[LivePlug],
        spare_w: dict[str, Floats],
    ) -> Floats:
        limit = cell.limits[cell.stands[hour]]
        cap_w = float(limit.charge_limit_w[hour])
        solar_w = np.zeros(self._variants.rows)
        for plug, live in _of(plugs, Link.PANEL_TO_BATTERY):
            solar_w += live * self._variants.sun_w[plug.from_id, plug.place][:, hour]
        solar_wh = np.minimum(np.minimum(solar_w, limit.solar_limit_w), cap_w)
        charger_wh = np.zeros(self._variants.rows)
        free = np.ones(self._variants.rows, dtype=np.bool_)
        for plug, live in _of(plugs, Link.SOURCE_TO_BATTERY):
            if plug.from_id not in spare_w:
                continue
            uses = free & live
            taken = np.minimum(spare_w[plug.from_id], cap_w - solar_wh)
            charger_wh = np.where(uses, taken, charger_wh)
            spare_w[plug.from_id] = spare_w[plug.from_id] - np.where(uses, taken, 0.0)
            free &= ~live
        return solar_wh + charger_wh


def _by_battery(plugs: list[LivePlug]) -> dict[str, list[LivePlug]]:
    """Plugs at each battery, in their order."""
    found: dict[str, list[LivePlug]] = {}
    for plug, live in plugs:
        if plug.link is not Link.SOURCE_TO_UNIT:
            end = plug.from_id if plug.link is Link.BATTERY_TO_UNIT else plug.to_id
            found.setdefault(end, []).append((plug, live))
    return found


def _of(plugs: list[LivePlug], link: Link) -> Iterator[LivePlug]:
    """Plugs of one kind of connection."""
    return ((plug, live) for plug, live in plugs if plug.link is link)


def _while_there(ground: Ground, panel_id: str, power_w: Floats) -> Floats:
    there = ground.available_hours(ground.panels[panel_id].availability)
    hours = np.array([hour in there for hour in range(ground.window_h)])
    return np.where(hours[np.newaxis, :], power_w, 0.0)


def _needed(ground: Ground, thing_id: str) -> Bools:
    if thing_id in ground.load_needed:
        return np.array(ground.load_needed[thing_id], dtype=np.bool_)
    unit = ground.units[thing_id]
    hours = np.arange(ground.window_h)
    if not unit.powered:
        there = ground.available_hours(unit.availability)
        return (hours >= unit.availability.ready_h) & (hours >= there.stop)
    return hours >= unit.availability.ready_h
