"""What would help without equipment, each looked at by itself.

Every step is the scenario with one thing changed, planned for on top of the
plan in force; none of them is advice on a medicine.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import ceil
from typing import Any

import numpy as np

from planner.catalogue import unit_default
from planner.decide.allocation import Allocation
from planner.decide.borrow_looks import Looks, gains_of, least_gain, rank
from planner.decide.borrow_step import open_needs
from planner.decide.triage import allowance_left
from planner.result import Demand, Placement, TierGain
from planner.result_borrow import OtherKind, OtherStep
from planner.scenario import (
    Battery,
    ColdUnit,
    Line,
    Scenario,
    Status,
    Supply,
    Tier,
    UnitType,
)

_SMALLER = 0.05
_SMALLEST = 6
"""At most this many times five per cent are packed away."""
_MOST_ICE_KG = 20
_MOST_MOVED = 3
_CHEST_ID = "ask:ice_chest"
_INVERTER_W = 300.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """Steps without equipment, best first, and the placements solved for them."""

    steps: tuple[OtherStep, ...]
    solved: int


def other_steps(
    scenario: Scenario,
    demand: tuple[Demand, ...],
    base: Allocation,
    placed: tuple[Placement, ...],
    *,
    least_too: bool = True,
    tell: Callable[[], None] = lambda: None,
) -> Found:
    """Every step that serves a bag by itself: most gain first, then least effort.

    ``placed`` are the bags by line; ``least_too`` looks for least amounts.
    """
    if not open_needs(base.placed.stages) or not base.loads_fed:
        return Found(steps=(), solved=0)
    others = _Others(scenario, demand, base, placed)
    found: list[OtherStep] = []
    for look in (
        others.cool_shelf,
        others.repack,
        others.ice,
        others.refill,
        others.other_place,
        others.move_person,
        others.thermometer,
        others.inverter,
        others.lead,
    ):
        found += look(least_too=least_too)
        tell()
    ranked = sorted(found, key=lambda s: (rank(s), s.effort, s.kind, s.place))
    return Found(steps=tuple(ranked), solved=others.solved)


class _Others(Looks):
    """Looks one by one."""

    def cool_shelf(self, *, least_too: bool) -> list[OtherStep]:
        """A measured cool spot in which the label allowance outlasts the window."""
        cond = self.scenario.conditions
        limits = sorted(
            {
                line.warm_max_c
                for d, _ in self.short
                if (line := self.lines[d.line_id]).warm_max_c is not None
            },
            reverse=True,
        )
        best: list[OtherStep] = []
        for limit in limits:
            room = np.full(cond.window_h, limit)
            saved = [
                (d, left)
                for d, left in self.short
                if (allowed := allowance_left(self.lines[d.line_id], room, cond).hours)
                is not None
                and allowed >= cond.window_h
            ]
            step = self.step(
                OtherKind.COOL_SHELF,
                self.counted(saved),
                amount=limit,
                line_ids=tuple(sorted(d.line_id for d, _ in saved)),
            )
            # The warmest spot that does is the easiest to find.
            if step and (not best or rank(step[0]) < rank(best[0])):
                best = step
        return best

    def repack(self, *, least_too: bool) -> list[OtherStep]:
        """The same bags in less packing."""

        def smaller(steps: int) -> tuple[TierGain, ...]:
            share = 1 - _SMALLER * steps
            lines = tuple(
                replace(line, volume_l=line.volume_l * share)
                for line in self.scenario.lines
            )
            return self.gains(replace(self.scenario, lines=lines))

        gains, steps = least_gain(smaller, _SMALLEST, least_too=least_too)
        return self.step(OtherKind.REPACK, gains, amount=1 - _SMALLER * steps)

    def ice(self, *, least_too: bool) -> list[OtherStep]:
        """More ice a day for the chests here, or for a chest asked for with it."""
        found: list[OtherStep] = []
        cond = self.scenario.conditions
        scenario, more = self.scenario, frozenset[str]()
        if not any(u.kind is UnitType.ICE_CHEST for u in self.base.instance.units):
            scenario = replace(
                scenario, units=(*scenario.units, _chest(self.short_place()))
            )
            more = frozenset({_CHEST_ID})

        def colder(kg: int) -> tuple[TierGain, ...]:
            ice = replace(cond, ice_kg_day=cond.ice_kg_day + kg)
            return self.gains(replace(scenario, conditions=ice), more=more)

        gains, kg = least_gain(colder, _MOST_ICE_KG, least_too=least_too)
        found += self.step(
            OtherKind.ICE,
            gains,
            amount=cond.ice_kg_day + kg,
            place=self.short_place() if more else "",
        )
        return found

    def refill(self, *, least_too: bool) -> list[OtherStep]:
        """Supplies for a day at a time instead of the whole window's."""
        about = sorted(
            {d.line_id for d, _ in self.short if self.lines[d.line_id].daily_use}
        )
        fewer = tuple(
            replace(d, count=min(d.count, max(1, ceil(use))))
            if d.line_id in about
            and not d.surplus
            and (use := self.lines[d.line_id].daily_use) is not None
            else d
            for d in self.demand
        )
        if not about or fewer == self.demand:
            return []
        stages = self.stages_with(self.scenario, fewer, frozenset())
        gains = gains_of(self.base.placed.stages, stages)
        return self.step(OtherKind.REFILL, gains, line_ids=tuple(about))

    def other_place(self, *, least_too: bool) -> list[OtherStep]:
        """Bags kept at any place, carried there and fetched when needed."""
        places = tuple(
            replace(p, reached_from=None, open_at_night=True)
            for p in self.scenario.places
        )
        if places == self.scenario.places:
            return []
        gains = self.gains(replace(self.scenario, places=places))
        kept_out = [
            d.line_id for d, _ in self.short if self._kept_out(self.lines[d.line_id])
        ]
        return self.step(OtherKind.OTHER_PLACE, gains, line_ids=tuple(sorted(kept_out)))

    def _kept_out(self, line: Line) -> bool:
        return any(
            (line.night_need and not p.open_at_night)
            or not (
                p.reached_from is None
                or line.place == p.name
                or line.place in p.reached_from
            )
            for p in self.scenario.places
        )

    def move_person(self, *, least_too: bool) -> list[OtherStep]:
        """One household goes, with what it needs, where there is power."""
        homes: dict[str, list[int]] = {}
        for d, left in self.short:
            count = homes.setdefault(self.lines[d.line_id].household, [0] * len(Tier))
            count[list(Tier).index(d.tier)] += left
        ranked = sorted(homes, key=lambda h: ([-n for n in homes[h]], h))
        best: list[OtherStep] = []
        for home in ranked[:_MOST_MOVED]:
            mine = {i for i, line in self.lines.items() if line.household == home}
            rest = tuple(d for d in self.demand if d.line_id not in mine)
            stages = self.stages_with(self.scenario, rest, frozenset())
            about = tuple(sorted({d.line_id for d, _ in self.short} & mine))
            step = self.step(
                OtherKind.MOVE_PERSON,
                gains_of(self.base.placed.stages, stages),
                line_ids=about,
            )
            if step and (not best or rank(step[0]) < rank(best[0])):
                best = step
        return best

    # -- small things that let what is here serve more ----------------------------

    def thermometer(self, *, least_too: bool) -> list[OtherStep]:
        """Conditioned packs, a barrier and a thermometer for each chest."""

        def packed(unit: ColdUnit) -> ColdUnit:
            if unit.kind is not UnitType.ICE_CHEST or unit.conditioned:
                return unit
            return replace(unit, conditioned=True, set_points_c=(5.0,))

        units = tuple(packed(u) for u in self.scenario.units)
        return self._kit_step(OtherKind.THERMOMETER, units=units)

    def inverter(self, *, least_too: bool) -> list[OtherStep]:
        """An outlet on a battery that has none."""

        def fitted(one: Battery) -> Battery:
            if one.outlets_ac:
                return one
            watts = max(one.max_out_w, _INVERTER_W)
            return replace(one, outlets_ac=1, max_out_w=watts)

        return self._kit_step(
            OtherKind.INVERTER,
            batteries=tuple(fitted(x) for x in self.scenario.batteries),
        )

    def lead(self, *, least_too: bool) -> list[OtherStep]:
        """The lead for the other socket, for compressor units that take both."""

        def fitted(unit: ColdUnit) -> ColdUnit:
            one = unit.kind is UnitType.COMPRESSOR and unit.supply in {
                Supply.AC,
                Supply.DC,
            }
            return replace(unit, supply=Supply.BOTH) if one else unit

        return self._kit_step(
            OtherKind.LEAD, units=tuple(fitted(u) for u in self.scenario.units)
        )

    def _kit_step(
        self,
        kind: OtherKind,
        *,
        units: tuple[ColdUnit, ...] | None = None,
        batteries: tuple[Battery, ...] | None = None,
    ) -> list[OtherStep]:
        scenario = replace(
            self.scenario,
            units=self.scenario.units if units is None else units,
            batteries=self.scenario.batteries if batteries is None else batteries,
        )
        here = {Status.HERE}
        changed = [
            new
            for old, new in zip(
                self.scenario.equipment, scenario.equipment, strict=True
            )
            if old != new and new.availability.status in here
        ]
        if not changed:
            return []
        return self.step(
            kind, self.gains(scenario), place=", ".join(e.name for e in changed[:3])
        )


def _chest(place: str) -> ColdUnit:
    """An ice chest that nobody has offered, with conditioned packs."""
    values: dict[str, Any] = {
        name: unit_default("ice_chest", name).value
        for name in (
            "gross_volume_l",
            "usable_share",
            "swing_c",
            "ua_w_per_k",
        )
    }
    return ColdUnit(
        id=_CHEST_ID,
        name="ice chest",
        place=place,
        kind=UnitType.ICE_CHEST,
        set_points_c=(5.0,),
        supply=Supply.NONE,
        conditioned=True,
        **values,
    )
