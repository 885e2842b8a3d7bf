"""Can one more item be taken?  Quickly, under the plan in force.

First in the units that are on, as they are set; then by moving bags between
units within the power they have; then with later tiers giving way; then in
any unit, wired anew.  What is asked of the bags that stand: each keeps a
cold place, but for those that come after the new one in the last looks.
"""

import math
import time
from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import replace

from planner.decide.allocation import Allocation
from planner.decide.as_wired import modes_now
from planner.decide.explain import unplaced
from planner.decide.fit import Spot, refusal
from planner.decide.hookup import fed_by_modes, wire
from planner.decide.instance import TUB_SHARE, Instance, build
from planner.decide.moves import carries, settings_between
from planner.decide.notes import units_in_use
from planner.decide.placed import ModeChoice, Placed
from planner.decide.placement import PlacementModel
from planner.decide.power_check import PowerCheck
from planner.decide.replan import minimise_cut
from planner.decide.salvage import within
from planner.decide.solver import Expr, total
from planner.decide.stays import Bags, Dealt, Stays
from planner.physics.profiles import Hourly, held_band, room_temp_c, usable_l
from planner.result import Demand, ReasonFamily, UnitUse
from planner.result_moves import DESK, Carry, CarryKind
from planner.result_replan import Fits, InForce, OneMore
from planner.scenario import ColdUnit, Gate, Line, Scenario, Segregation, Status

_LIMIT_S = 1.2
_NODES = 50
_SLACK_L = 1e-6


def can_take(
    scenario: Scenario,
    demand: tuple[Demand, ...],
    in_force: InForce,
    line: Line,
    *,
    urgency: Mapping[str, tuple[object, ...]],
) -> OneMore:
    """Answer for a line that ``scenario`` and ``demand`` hold already."""
    answer = OneMore(answer=Fits.NOT_COLD, line_id=line.id, count=line.quantity)
    mine = tuple(d for d in demand if d.line_id == line.id)
    if line.gate is not Gate.POOL or not mine:
        return replace(answer, detail=line.gate.value)
    free = _as_it_is(scenario, in_force, line, mine[0].allowance_h)
    if free is not None:
        return replace(answer, answer=Fits.AS_IT_IS, carries=free)
    search = _Search(scenario, demand, in_force, line, ends=time.monotonic() + _LIMIT_S)
    found = search.run()
    if found is None:
        return search.why_not(answer, mine)
    dealt, kind, detail = found
    uses = units_in_use(search.allocation(dealt.placed))
    moves = carries(scenario, search.standing, dealt.placements, uses, urgency=urgency)
    if kind is Fits.WITH_MOVES and all(m.kind is CarryKind.IN for m in moves):
        kind = Fits.AS_IT_IS
    return replace(
        answer,
        answer=kind,
        carries=moves,
        settings=settings_between(in_force.units_on, uses),
        detail=detail,
    )


def _as_it_is(
    scenario: Scenario, in_force: InForce, line: Line, allowance_h: float | None
) -> tuple[Carry, ...] | None:
    """Room in the units that are on, as they are set; plain arithmetic."""
    left = line.quantity
    found: list[Carry] = []
    for unit_id, zone, most in _room(scenario, in_force, line, allowance_h):
        count = min(left, most)
        if count:
            left -= count
            found.append(
                Carry(
                    order=len(found) + 1,
                    kind=CarryKind.IN,
                    line_id=line.id,
                    code=line.code,
                    count=count,
                    from_unit_id=DESK,
                    from_zone=0,
                    to_unit_id=unit_id,
                    to_zone=zone,
                )
            )
    return None if left else tuple(found)


def _room(
    scenario: Scenario, in_force: InForce, line: Line, allowance_h: float | None
) -> list[tuple[str, int, int]]:
    """Unit, zone and bags that it takes, most bags first."""
    units = {u.id: u for u in scenario.units}
    lines = {one.id: one for one in scenario.lines}
    tubs = scenario.conditions.segregation is Segregation.TUBS
    inside: dict[str, list[tuple[int, Line, int]]] = defaultdict(list)
    for one in in_force.standing:
        if one.line_id in lines:
            inside[one.unit_id].append((one.zone, lines[one.line_id], one.count))
    found: list[tuple[str, int, int]] = []
    for use in in_force.units_on:
        unit, held = units.get(use.unit_id), inside[use.unit_id]
        if unit is None or unit.availability.status is not Status.HERE:
            continue
        other = any(one.stock_class is not line.stock_class for _, one, _ in held)
        if other and not tubs:
            continue
        room_c = room_temp_c(scenario.place(unit.place), scenario.conditions)
        for zone, free_l in _free_l(unit, use, room_c, held, tubs=tubs):
            set_c = use.set_points_c[zone]
            band = held_band(unit, set_c, room_c)
            spot = Spot(unit=unit, zone=zone, set_point_c=set_c, held=band)
            if refusal(scenario, line, spot, allowance_h) is None:
                most = line.quantity
                if line.volume_l > 0:
                    most = max(0, math.floor(free_l / line.volume_l))
                found.append((unit.id, zone, most))
    # One place for all of them is best: the biggest first.
    found.sort(key=lambda one: (-one[2], one))
    return _one_a_unit(found)


def _free_l(
    unit: ColdUnit,
    use: UnitUse,
    room_c: Hourly,
    held: list[tuple[int, Line, int]],
    *,
    tubs: bool,
) -> list[tuple[int, float]]:
    """Litres left in every zone, the warm fill of the unit minded (R3, R8)."""
    share = TUB_SHARE if tubs else 1.0
    litres = [share * v for v in usable_l(unit, use.set_points_c, room_c)]
    filled = [0.0] * len(litres)
    for zone, line, count in held:
        if zone < len(filled):
            filled[zone] += count * line.volume_l
    left_l = use.warm_fill * sum(litres) - sum(filled)
    return [
        (zone, min(litres[zone] - filled[zone], left_l) + _SLACK_L)
        for zone in range(len(litres))
    ]


def _one_a_unit(found: list[tuple[str, int, int]]) -> list[tuple[str, int, int]]:
    """One zone a unit: zones share the unit's warm fill."""
    first: dict[str, tuple[str, int, int]] = {}
    for one in found:
        first.setdefault(one[0], one)
    return list(first.values())


_Found = tuple[Dealt, Fits, str]


class _Search:
    """Moves between units, then others giving way, then units wired anew."""

    def __init__(
        self,
        scenario: Scenario,
        demand: tuple[Demand, ...],
        in_force: InForce,
        line: Line,
        *,
        ends: float,
    ) -> None:
        self.line = line
        self.ends = ends
        self.sure = True
        self.instance: Instance = build(scenario, demand)
        self.check = PowerCheck(self.instance)
        known = {one.id for one in scenario.lines}
        self.standing = tuple(s for s in in_force.standing if s.line_id in known)
        self.bags: Bags = {
            (s.line_id, s.unit_id, s.zone): s.count for s in self.standing
        }
        self.modes = modes_now(self.instance, in_force.units_on)
        self.fed = fed_by_modes(self.instance, tuple(self.modes.values()))
        self.total = sum(s.count for s in self.standing)

    def run(self) -> _Found | None:
        """The first look that takes every bag of the line."""
        now = within(self.instance, self.fed)
        power = frozenset({ReasonFamily.POWER})
        for kind in (Fits.WITH_MOVES, Fits.TAKES_A_PLACE):
            dealt = self._solve(PlacementModel(now, relax=power), kind)
            if dealt is not None:
                return dealt, kind, ""
        return self._wired_anew()

    def _wired_anew(self) -> _Found | None:
        """Any unit, when a wiring is soon found for it."""
        for kind in (Fits.WITH_MOVES, Fits.TAKES_A_PLACE):
            if time.monotonic() >= self.ends:
                self.sure = False
                return None
            pm = PlacementModel(self.instance, check=self.check)
            dealt = self._solve(pm, kind)
            if dealt is None:
                continue
            modes = tuple(c.mode for c in dealt.placed.choices)
            fed = fed_by_modes(self.instance, modes)
            wiring = wire(self.instance, fed, ends=self.ends, polish=False)
            if wiring.hookups is not None:
                return dealt, kind, "other units are on and plugs change: plan again"
            self.sure = False
        return None

    def _solve(self, pm: PlacementModel, kind: Fits) -> Dealt | None:
        """All bags of the line in, and of the others what may not give way."""
        stays = Stays(pm, self.bags, ())
        goods = self.instance.goods
        mine = [
            (g, i)
            for g, good in enumerate(goods)
            for i, part in enumerate(good.parts)
            if part.line_id == self.line.id
        ]
        wanted = total(stays.grant[key] for key in mine)
        pm.model.add("T", wanted >= self.line.quantity)
        if kind is Fits.WITH_MOVES:
            pm.model.add("T", stays.kept >= self.total)
        else:
            last = max((goods[g].tier, goods[g].surplus) for g, _ in mine)
            for (g, i), n in self._counts().items():
                if (goods[g].tier, goods[g].surplus) <= last:
                    pm.model.add("T", stays.grant[g, i] >= n)
        # Kept in the cold, then in place, then thermostats left as they are.
        weight = len(self.instance.units) + 1
        staying = stays.most * stays.kept + stays.staying
        objective = self._set_anew(pm) - weight * staying
        if not minimise_cut(pm, objective, self.ends, _NODES):
            self.sure = self.sure and time.monotonic() < self.ends
            return None
        return stays.read((), proven=False)

    def _set_anew(self, pm: PlacementModel) -> Expr:
        """Units that would be switched on or set to another temperature."""
        return total(
            pm.pick[u, i]
            for u, options in enumerate(pm.choices)
            for i, choice in enumerate(options)
            if choice.mode.unit_id not in self.modes
            or choice.mode.set_points_c != self.modes[choice.mode.unit_id].set_points_c
        )

    def _counts(self) -> dict[tuple[int, int], int]:
        """Bags that stand of every part of a good, need before surplus."""
        left: Counter[str] = Counter()
        for one in self.standing:
            left[one.line_id] += one.count
        found: dict[tuple[int, int], int] = {}
        for g, good in sorted(
            enumerate(self.instance.goods), key=lambda x: (x[1].surplus, x[0])
        ):
            for i, part in enumerate(good.parts):
                n = min(part.count, left[part.line_id])
                if n:
                    found[g, i] = n
                    left[part.line_id] -= n
        return found

    def allocation(self, placed: Placed) -> Allocation:
        """A placement in the form that the explanations take."""
        return Allocation(
            instance=self.instance,
            placed=placed,
            hookups=(),
            proven=False,
            loads_fed=True,
            cuts=(),
            check=self.check,
        )

    def why_not(self, answer: OneMore, mine: tuple[Demand, ...]) -> OneMore:
        """The family of rules that keeps it out, as for a line that is short."""
        rest = unplaced(self.allocation(self._as_placed()), mine, ())
        if rest.shortfalls:
            first = rest.shortfalls[0]
            return replace(
                answer,
                answer=Fits.NOT,
                reason=first.reason,
                detail=f"{first.detail}; {first.next_step}",
                sure=self.sure,
            )
        return replace(
            answer,
            answer=Fits.NOT,
            detail="; ".join(sorted({one.why for one in rest.warm_clocks})),
            sure=self.sure,
        )

    def _as_placed(self) -> Placed:
        """What stands, counted by good and slot."""
        number = {unit.id: u for u, unit in enumerate(self.instance.units)}
        counts: dict[tuple[int, tuple[int, int, float]], int] = {}
        left = Counter(self.bags)
        for (g, i), n in self._counts().items():
            good, want = self.instance.goods[g], n
            for (line_id, unit_id, zone), _ in sorted(self.bags.items()):
                mode = self.modes.get(unit_id)
                if line_id != good.parts[i].line_id or mode is None:
                    continue
                slot = (number[unit_id], zone, mode.set_points_c[zone])
                taken = min(want, left[line_id, unit_id, zone])
                if taken > 0 and slot in good.slots:
                    counts[g, slot] = counts.get((g, slot), 0) + taken
                    left[line_id, unit_id, zone] -= taken
                    want -= taken
        choices = tuple(
            ModeChoice(mode=mode, stock_class=None) for mode in self.modes.values()
        )
        return Placed(
            counts=counts, choices=choices, stages=(), taken=frozenset(), proven=False
        )
