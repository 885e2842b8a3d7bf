"""Some places at once, and where their kit stands as part of the question.

A model of all these places gives every battery and panel one place and counts
the energy of each place too kindly.  What a place cannot carry with the kit it
was given, in shares of plugs or by trial, comes back as a cut (logic-based
Benders decomposition; Hooker and Ottosson, Mathematical Programming 96, 2003).
Each answer that can nearly be wired is also a plan, in which a place that falls
short feeds what it can.
"""

import itertools
import math
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from enum import Enum, auto

from planner.decide.allocation import Allocation
from planner.decide.cuts import Cut, EnergyCut
from planner.decide.grow import feed_in_place
from planner.decide.hookup import Sites, fed_by_modes
from planner.decide.instance import Instance, Mode
from planner.decide.kit_cuts import KitCut, hold_to_kit, need_able_battery, need_kit
from planner.decide.placed import Placed
from planner.decide.placement import PlacementModel
from planner.decide.power_check import PowerCheck
from planner.decide.salvage import Wired, place_in, used
from planner.decide.solver import value
from planner.decide.stage_values import got, of_stages
from planner.decide.stages import hold
from planner.decide.stations import (
    Site,
    among,
    may_stand,
    sites,
    stands_in,
    usable_kwh,
)

_ROUNDS = 60
_ASK_S = 4.0
_PLACE_S = 3.0
_FEW_COLUMNS = 2500
_LEAN_SLACK_KWH = 0.2
_COLUMNS_S = 1500.0
"""Columns of a large model that are worth a second more."""
_FIRST = 0.2, 0.002
_LATER = 2.0, 0.02
"""Bags that a kWh less is worth, so that what is asked for is easier to wire, and
the part of the bags by which an answer may fall short of the best."""
_LEAST_MORE_KWH = 0.05
_OF_MISSING = 0.7
_LEAST_MORE = 0.02
_MOST_MORE = 0.1
"""More that a place is given: a part of what it lacked, within limits."""
_NEARLY = 0.05
_CLOSELY = 0.01
"""Part of the energy that may be missing for a plan, and for a longer look."""
_WH = 1000.0


class _Look(Enum):
    """Ways to ask: nearly, with what is placed now (it binds), and in full."""

    NEAR = auto()
    AS_PLACED = auto()
    WIDE = auto()


def parties(names: Sequence[str], most: int) -> list[frozenset[str]]:
    """Every place in one party of at most so many, all about as large."""
    many = math.ceil(len(names) / most)
    cuts = [len(names) * n // many for n in range(many + 1)]
    return [frozenset(names[a:b]) for a, b in itertools.pairwise(cuts)]


def together(before: Allocation, *, ends: float) -> Iterator[Allocation]:
    """Plans that may give the last stage of ``before`` more, as they come.

    The stages before it keep what they have.  Asked for is more than the last
    stage has, and than the plans before gave it; it ends where that cannot be, or
    the clock says ``ends``.
    """
    question = _Question(before=before, best=got(before.placed.stages[-1]), ends=ends)
    wired = Sites(ends=ends)
    for _ in range(_ROUNDS):
        if time.monotonic() > ends:
            return
        asked = question.answer()
        if asked is None:
            if not question.times:
                return
            # What was asked for on top may have been too much.
            question.times.clear()
            continue
        wished, apart = asked
        lacking = _missing(wired, apart)
        use_wh = sum(site.use_wh for site in apart)
        # With nothing to keep a part of it is a plan too.
        if question.first or sum(lacking.values()) <= _NEARLY * use_wh:
            fed = feed_in_place(before.instance, wished, apart, wired)
            plan = None if fed is None else _placed(before, fed)
            if plan is not None:
                yield plan
                gets = got(plan.placed.stages[-1])
                if gets <= question.best and not lacking:
                    return
                question.best = max(question.best, gets)
            elif not lacking:
                question.forbid(wished)
        question.learn(wished, apart, lacking)


def _missing(wired: Sites, apart: tuple[Site, ...]) -> dict[str, float]:
    """Energy that places lack [Wh], looked for longer where it is little in all."""
    lacking = wired.missing(apart)
    short = tuple(site for site in apart if site.place in lacking)
    use_wh = sum(site.use_wh for site in apart)
    if short and sum(lacking.values()) <= _CLOSELY * use_wh:
        wired.quick = False
        lacking = wired.missing(short)
        wired.quick = True
    return lacking


def _placed(before: Allocation, wired: Wired) -> Allocation | None:
    """The plan for what is fed; ``None`` when an earlier stage would lose, or late."""
    inst = before.instance
    *stages, goal = before.placed.stages
    columns_s = len(inst.goods) * len(inst.able) / _COLUMNS_S
    found = place_in(
        inst,
        wired[0],
        tuple(stages),
        goal.tier,
        surplus=goal.surplus,
        limit_s=max(_PLACE_S, columns_s),
        near=True,
    )
    if found is None:
        return None
    stage, placed = found
    placed = replace(placed, stages=(*stages, stage), proven=False)
    fed = fed_by_modes(inst, tuple(c.mode for c in placed.choices))
    return replace(before, placed=placed, hookups=used(wired[1], fed))


@dataclass(slots=True, kw_only=True)
class _Question:
    """What is asked of all places, and what was learnt of what cannot be wired.

    ``best`` is to be surpassed, until the clock says ``ends``; each place is given
    so many ``times`` what its units take.
    """

    before: Allocation
    best: tuple[int, int]
    ends: float
    times: dict[str, float] = field(default_factory=dict)
    by_shares: list[tuple[str, EnergyCut]] = field(default_factory=list)
    by_trial: list[KitCut] = field(default_factory=list)
    forbidden: list[Cut] = field(default_factory=list)
    checks: dict[str, PowerCheck] = field(default_factory=dict)

    @property
    def first(self) -> bool:
        """True where there is no earlier stage: nothing has to be kept."""
        return len(self.before.placed.stages) == 1

    def answer(self) -> tuple[Placed, tuple[Site, ...]] | None:
        """Most households, then bags, in one look; the places with their kit."""
        inst = self.before.instance
        for look in _Look:
            pm = self._asked(look)
            if pm is not None:
                wished = pm.read((), proven=False)
                modes = tuple(c.mode for c in wished.choices)
                return wished, sites(inst, fed_by_modes(inst, modes), pm.stations())
        return None

    def _asked(self, look: "_Look") -> PlacementModel | None:
        """The solved model of one look; ``None`` when it found nothing."""
        if look is _Look.WIDE and not self.first:
            return None
        goal, pm = self.before.placed.stages[-1], self._model()
        if look is _Look.WIDE and pm.model.size[0] > _FEW_COLUMNS:
            return None
        kwh_bags, slack = _FIRST if self.first else _LATER
        bags = pm.placed(pm.goods_of(goal.tier, surplus=goal.surplus))
        served = (goal.needed + 1) * pm.homes(goal.tier) + bags
        least = (goal.needed + 1) * self.best[0] + self.best[1] + 1
        pm.model.add("T", served >= least)
        objective = kwh_bags * pm.load_cost() - served
        limit_s = max(_ASK_S, pm.model.size[0] / _COLUMNS_S)
        limit_s = min(limit_s, self.ends - time.monotonic())
        slack *= goal.needed
        if look is _Look.AS_PLACED:
            pm.start_from(self.before.placed)
        if look is _Look.WIDE:
            found = pm.model.minimise(objective, time_limit_s=limit_s, slack=slack)
        else:
            found = pm.model.minimise_near(
                objective,
                pm.pick.values(),
                time_limit_s=limit_s,
                slack=slack,
                whole_objective=False,
            )
        if not found.found:
            return None
        if self.first:
            # What the first tier does without is there for all others.
            pm.model.add("T", served >= value(served) - 0.5)
            pm.model.minimise_near(
                pm.load_cost(),
                pm.pick.values(),
                time_limit_s=limit_s,
                slack=_LEAN_SLACK_KWH,
                whole_objective=False,
            )
        return pm

    def _model(self) -> PlacementModel:
        """The model of all places, with what was learnt.

        Bags of its stage may be split, since only what runs where is asked.
        """
        inst, goal = self.before.instance, self.before.placed.stages[-1]
        pm = PlacementModel(
            inst,
            cuts=tuple(self.forbidden),
            stationed=True,
            times=self.times,
            only=of_stages(self.before.placed.stages),
            split=(goal.tier, goal.surplus),
        )
        need_able_battery(pm, self.before.check)
        for place, energy in self.by_shares:
            hold_to_kit(pm, place, energy)
        kwh = usable_kwh(inst)
        for cut in self.by_trial:
            need_kit(pm, cut, kwh)
        for item_id, place in _feeding_loads(self.before).items():
            # That these feed the loads is known.
            pm.model.add("R7", pm.stands[item_id][place] >= 1)
        hold(pm, self.before.placed.stages[:-1])
        return pm

    def forbid(self, wished: Placed) -> None:
        """Never ask for these modes again: they were wired, and no gain."""
        units = self.before.instance.units
        modes = tuple(c.mode for c in wished.choices if units[c.mode.unit].powered)
        self.forbidden.append(Cut(modes=modes, absent=frozenset()))

    def learn(
        self, wished: Placed, apart: tuple[Site, ...], lacking: dict[str, float]
    ) -> None:
        """Cut off what the kit in a place cannot carry in shares, or by trial."""
        inst = self.before.instance
        kwh = usable_kwh(inst)
        for site in apart:
            modes = _modes_at(inst, wished, site.place)
            cut = self._cut(site, modes)
            if cut is not None:
                self.by_shares.append((site.place, cut))
            if site.place not in lacking:
                continue
            there_kwh = sum(kwh[b.id] for b in site.instance.batteries)
            more_kwh = max(_LEAST_MORE_KWH, lacking[site.place] / _WH)
            self.by_trial.append(
                KitCut(place=site.place, modes=modes, least_kwh=there_kwh + more_kwh)
            )
            more = _OF_MISSING * lacking[site.place] / max(1.0, site.use_wh)
            more = max(_LEAST_MORE, min(_MOST_MORE, more))
            self.times[site.place] = self.times.get(site.place, 1.0) * (1.0 + more)

    def _cut(self, site: Site, modes: tuple[Mode, ...]) -> EnergyCut | None:
        cut = self._check(site.place).new_cut(modes, site.kit)
        return cut if cut is not None and (cut.weights or cut.offers) else None

    def _check(self, place: str) -> PowerCheck:
        """A place with all that may stand there, as if it were to be borrowed."""
        if place not in self.checks:
            inst = self.before.instance
            kit = may_stand(inst, frozenset({place}))
            alone = among(inst, frozenset({place}), kit)
            modes = tuple(
                mine if unit.place == place else ()
                for unit, mine in zip(alone.units, alone.modes, strict=True)
            )
            self.checks[place] = PowerCheck(
                replace(alone, modes=modes, optional=alone.optional | kit)
            )
        return self.checks[place]


def _modes_at(instance: Instance, placed: Placed, place: str) -> tuple[Mode, ...]:
    """What runs on power in a place."""
    units = instance.units
    return tuple(
        c.mode
        for c in placed.choices
        if units[c.mode.unit].place == place and units[c.mode.unit].powered
    )


def _feeding_loads(plan: Allocation) -> dict[str, str]:
    """Place of the kit that feeds what comes before the fridges."""
    loads = {load.source.id for load in plan.instance.loads}
    batteries = {h.from_id for h in plan.hookups if h.to_id in loads}
    kit = {h.from_id for h in plan.hookups if h.to_id in batteries} | batteries
    stands = stands_in(plan.instance, plan.hookups) or {}
    return {i: place for i, place in sorted(stands.items()) if i in kit}
