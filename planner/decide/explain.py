"""Why a line is short: which family of rules binds, and what would help.

A family binds when the line is placed as soon as that family alone is set
aside and everything else, every tier's bags included, is kept.
"""

import math
from dataclasses import dataclass

from planner.decide.allocation import Allocation
from planner.decide.at_once import AsPlaced
from planner.decide.fit import Spot, refusal
from planner.decide.goods import Good, SlotKey
from planner.decide.instance import Instance
from planner.decide.placement import PlacementModel
from planner.decide.solver import total
from planner.decide.triage import outlasts_window
from planner.physics.profiles import held_band, room_temp_c
from planner.result import Demand, Placement, ReasonFamily, Shortfall, WarmClock
from planner.scenario import Line, Scenario, StockClass

_SOLVE_LIMIT_S = 5.0
_NODES = 20
_COLUMNS = 400_000
"""Work for the solves of one plan, in columns of the models built and solved."""
_ORDER = (
    ReasonFamily.POWER,
    ReasonFamily.VOLUME,
    ReasonFamily.SEGREGATION,
    ReasonFamily.ICE,
)


_Alike = tuple[tuple[SlotKey, ...], StockClass, ReasonFamily]
"""Bags that fit alike but for their size; largest that fits, smallest that fails."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Unplaced:
    """What happens to the bags that found no cold place."""

    shortfalls: tuple[Shortfall, ...]
    warm_clocks: tuple[WarmClock, ...]


def unplaced(
    allocation: Allocation,
    demand: tuple[Demand, ...],
    placements: tuple[Placement, ...],
) -> Unplaced:
    """Sort unplaced bags into written clocks and shortfalls with a reason."""
    instance = allocation.instance
    scenario = instance.scenario
    window_h = scenario.conditions.window_h
    lines = {line.id: line for line in scenario.lines}
    got: dict[tuple[str, bool], int] = {}
    for p in placements:
        got[p.line_id, p.surplus] = got.get((p.line_id, p.surplus), 0) + p.count
    reasons = _Reasons(allocation)
    shortfalls: list[Shortfall] = []
    clocks: list[WarmClock] = []
    for d in demand:
        left = d.count - got.get((d.line_id, d.surplus), 0)
        if left <= 0:
            continue
        line = lines[d.line_id]
        if outlasts_window(d, window_h):
            clocks.append(
                WarmClock(
                    line_id=line.id,
                    count=left,
                    until=d.safe_until,
                    why="the label allowance outlasts the window; write the clock on it",
                )
            )
            continue
        family, detail = reasons.of(line, d, left)
        shortfalls.append(
            Shortfall(
                line_id=line.id,
                tier=d.tier,
                count=left,
                surplus=d.surplus,
                reason=family,
                detail=detail,
                safe_until=d.safe_until,
                next_step=next_step(family, line, d),
            )
        )
    return Unplaced(shortfalls=tuple(shortfalls), warm_clocks=tuple(clocks))


class _Reasons:
    """Answers for one allocation: one model a family, one solve a good."""

    def __init__(self, allocation: Allocation) -> None:
        self.allocation = allocation
        self.instance: Instance = allocation.instance
        self.as_placed = AsPlaced(allocation.instance, allocation.placed)
        self.columns = _COLUMNS
        self.known: dict[_Alike, tuple[float, float]] = {}
        self.models: dict[ReasonFamily, PlacementModel] = {}
        self.now: dict[int, int] = {}
        for (g, _), n in allocation.placed.counts.items():
            self.now[g] = self.now.get(g, 0) + n
        self.good_of: dict[tuple[str, bool], int] = {
            (part.line_id, good.surplus): g
            for g, good in enumerate(self.instance.goods)
            for part in good.parts
        }

    def of(self, line: Line, d: Demand, left: int) -> tuple[ReasonFamily, str]:
        """Binding family of one unplaced demand, and the amount missing."""
        g = self.good_of[d.line_id, d.surplus]
        good = self.instance.goods[g]
        if not good.slots:
            return _never_fits(self.instance.scenario, self.instance, line, d)
        if not self._runnable(good):
            return (
                ReasonFamily.REACH,
                "no unit here can hold this band in a room as warm as this",
            )
        litres = left * line.volume_l
        for family in _ORDER:
            if self._helps(g, family):
                return family, _detail(family, litres)
        detail = _detail(ReasonFamily.VOLUME, litres)
        if self.columns > 0:
            detail += ", nor power for it"
        return ReasonFamily.VOLUME, detail

    def _runnable(self, good: Good) -> bool:
        runs = {
            (m.unit, z, s)
            for modes in self.instance.modes
            for m in modes
            for z, s in enumerate(m.set_points_c)
        }
        return any(slot in runs for slot in good.slots)

    def _helps(self, g: int, family: ReasonFamily) -> bool:
        """True when one more bag of the good fits once the family is set aside.

        Every bag that is placed now keeps a place, though not always the same.
        What fits for one bag fits for a smaller one of the same kind.  When the
        work allowed is done only what is seen at once counts.
        """
        good = self.instance.goods[g]
        if self.as_placed.lets_in(good, family):
            return True
        alike = (good.slots, good.stock_class, family)
        fits_l, fails_l = self.known.get(alike, (0.0, math.inf))
        if good.volume_l <= fits_l:
            return True
        if good.volume_l >= fails_l:
            return False
        if self.columns <= 0:
            return False
        model = self._model(family)
        self.columns -= model.model.size[0]
        more = total(model.bags_of[g])
        outcome = model.model.minimise(
            -more,
            time_limit_s=_SOLVE_LIMIT_S,
            whole_objective=True,
            node_limit=_NODES,
        )
        most = -outcome.objective if outcome.found else 0
        fits = most > self.now.get(g, 0) + 0.5
        if fits:
            fits_l = max(fits_l, good.volume_l)
        else:
            fails_l = min(fails_l, good.volume_l)
        self.known[alike] = (fits_l, fails_l)
        return fits

    def _model(self, family: ReasonFamily) -> PlacementModel:
        """The placement with a family set aside and every bag held."""
        if family not in self.models:
            power = family is ReasonFamily.POWER
            model = PlacementModel(
                self.instance,
                cuts=() if power else self.allocation.cuts,
                relax=frozenset({family}),
                check=None if power else self.allocation.check,
            )
            for g, n in sorted(self.now.items()):
                model.model.add("T", total(model.bags_of[g]) >= n)
            self.columns -= model.model.size[0]
            self.models[family] = model
        return self.models[family]


_DEPTH = (
    ReasonFamily.BAND,
    ReasonFamily.CUSTODY,
    ReasonFamily.ACCESS,
    ReasonFamily.READY,
)


def _never_fits(
    scenario: Scenario, instance: Instance, line: Line, d: Demand
) -> tuple[ReasonFamily, str]:
    """The rule that the nearest unit fails on."""
    families = {ReasonFamily.BAND}
    for unit in instance.units:
        room_c = room_temp_c(scenario.place(unit.place), scenario.conditions)
        for set_c in unit.set_points_c:
            spot = Spot(
                unit=unit,
                zone=0,
                set_point_c=set_c,
                held=held_band(unit, set_c, room_c),
            )
            family = refusal(scenario, line, spot, d.allowance_h)
            if family is not None:
                families.add(family)
    family = max(families, key=_DEPTH.index)
    return family, {
        ReasonFamily.BAND: "no unit here holds this item's band",
        ReasonFamily.CUSTODY: "the units that hold its band have no lock",
        ReasonFamily.ACCESS: "the units that hold its band cannot be reached, "
        "or are locked at night",
        ReasonFamily.READY: "the units that hold its band come too late or leave too early",
    }[family]


def _detail(family: ReasonFamily, litres: float) -> str:
    room = f"{litres:.1f} L"
    return {
        ReasonFamily.POWER: f"{room} of bags would fit if there were power",
        ReasonFamily.VOLUME: f"{room} of bags find no room in their band",
        ReasonFamily.SEGREGATION: f"{room} of bags would fit if feeds and medicines shared a unit in tubs",
        ReasonFamily.ICE: f"{room} of bags would fit if there were ice",
    }[family]


def next_step(family: ReasonFamily, line: Line, d: Demand) -> str:
    """Next best action that does not depend on a loan."""
    if d.allowance_h is None and not line.frozen:
        first = "ask a pharmacist how long it may stay out; no allowance is known"
    elif line.frozen:
        first = "ask for a freezer place elsewhere; it must not thaw"
    else:
        first = "write the clock on it and keep it in the coolest room"
    second = {
        ReasonFamily.POWER: "borrow a charged battery or a panel",
        ReasonFamily.VOLUME: "repack to the window's need, then borrow cold room",
        ReasonFamily.BAND: "borrow a unit that holds its band",
        ReasonFamily.REACH: "move a unit to a cooler room or borrow a compressor unit",
        ReasonFamily.SEGREGATION: "decide whether lidded tubs may share a unit",
        ReasonFamily.CUSTODY: "find a lockable box or unit, or let the resident keep it",
        ReasonFamily.ACCESS: "ask for night access, or place it where it can be reached",
        ReasonFamily.ICE: "ask for ice every day",
        ReasonFamily.READY: "ask the lender to come sooner or stay longer",
        ReasonFamily.DATA: "answer the open question on this row",
    }[family]
    return f"{first}; {second}"
