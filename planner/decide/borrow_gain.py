"""What a set of loans gives on top of a plan, as a whole plan of its own."""

from dataclasses import replace

from planner.decide.allocation import Allocation
from planner.decide.assign import placements
from planner.decide.borrow_pool import lent
from planner.decide.goods import SlotKey
from planner.decide.hookup import fed_by_modes
from planner.decide.instance import Instance
from planner.decide.on_top import OnTop
from planner.decide.on_top_feeders import Memory
from planner.decide.placed import Placed
from planner.decide.placement import PlacementModel
from planner.decide.solver import Expr, total, value
from planner.decide.stage_values import StageValue, got, in_full, needs
from planner.decide.stages import gain_at, hold, hold_all
from planner.result import ReasonFamily
from planner.scenario import Tier

_NODES = 60
"""Nodes of one search; a better plan may lie beyond them."""
_ORDER_NODES = 10
_LEAN_NODES = 10
_STANDS_BEHIND_S = 20.0


def on_top_of(
    instance: Instance, now: Allocation, memory: Memory | None = None
) -> OnTop:
    """The placement on the wiring of a plan, with the equipment of an instance."""
    modes = tuple(c.mode for c in now.placed.choices)
    pm = OnTop(instance, fed_by_modes(now.instance, modes), now.hookups, memory)
    _start_from(pm, now)
    return pm


def _start_from(pm: OnTop, now: Allocation) -> None:
    """Let the search begin at the plan in force, which is possible."""
    inst = pm.instance
    number = {u.id: n for n, u in enumerate(inst.units)}
    good_of = {
        (part.line_id, good.surplus): g
        for g, good in enumerate(inst.goods)
        for part in good.parts
    }
    sets = {c.mode.unit_id: c for c in now.placed.choices}
    values: dict[Expr, int] = {}
    with_bag: set[tuple[int, str]] = set()
    owner = {
        (part.line_id, good.surplus): part.household
        for good in inst.goods
        for part in good.parts
    }
    for put in placements(now.instance, now.placed):
        g = good_of.get((put.line_id, put.surplus), -1)
        set_c = sets[put.unit_id].mode.set_points_c[put.zone]
        var = pm.bags.get((g, (number.get(put.unit_id, -1), put.zone, set_c)))
        if var is None:
            # The site is another: the search begins from nothing.
            return
        values[var] = values.get(var, 0) + put.count
        with_bag.add((g, owner[put.line_id, put.surplus]))
    for f, family in enumerate(inst.families):
        homes = {h for g, h in with_bag if g in family.goods}
        values[pm.served[f]] = sum(
            _goods_of(inst, family.tier, h) == family.goods for h in homes
        )
    for unit_id, chosen in sets.items():
        u = number.get(unit_id, -1)
        for i, c in enumerate(pm.choices[u] if u >= 0 else ()):
            same = (
                c.mode.set_points_c == chosen.mode.set_points_c
                and c.mode.fill == chosen.mode.fill
                and c.stock_class == chosen.stock_class
            )
            if same:
                values[pm.pick[u, i]] = 1
    pm.model.start_from(values)


def _goods_of(instance: Instance, tier: Tier, household: str) -> tuple[int, ...]:
    return tuple(
        g
        for g, good in enumerate(instance.goods)
        if good.tier is tier
        and not good.surplus
        and any(part.household == household for part in good.parts)
    )


def could_gain(
    instance: Instance, stages: tuple[StageValue, ...], goal: int
) -> tuple[int, int] | None:
    """Most that a need could get were power no matter; ``None`` when nothing."""
    pm = PlacementModel(instance, relax=frozenset({ReasonFamily.POWER}))
    return gain_at(pm, stages, goal, time_limit_s=_STANDS_BEHIND_S)


def on_top_gain(
    instance: Instance, now: Allocation, goal: int, memory: Memory | None = None
) -> tuple[int, int] | None:
    """What a need gets with more equipment; ``None`` when nothing more."""
    pm = on_top_of(instance, now, memory)
    return _Climb(pm, now.placed.stages).gain(goal)


def plan_on_top(
    instance: Instance, now: Allocation, goal: int, memory: Memory | None = None
) -> Allocation | None:
    """The whole plan with more equipment; ``None`` when the need gains nothing."""
    if not now.loads_fed:
        return None
    pm = on_top_of(instance, now, memory)
    climb = _Climb(pm, now.placed.stages)
    placed = climb.run(goal)
    hookups = pm.wired(placed) if placed is not None else None
    if placed is None or hookups is None:
        return None
    return Allocation(
        instance=instance,
        placed=placed,
        hookups=hookups,
        proven=False,
        loads_fed=True,
        cuts=now.cuts,
        check=now.check,
    )


def slots_for(instance: Instance, stage: StageValue) -> frozenset[SlotKey]:
    """Where the bags of a need may go."""
    return frozenset(
        slot
        for good in instance.goods
        if good.tier is stage.tier and good.surplus is stage.surplus
        for slot in good.slots
    )


def bundles(
    instance: Instance, now: Allocation, goal: int, most: int
) -> list[frozenset[str]]:
    """Sets of offers, all here in ``instance``, that take turns to run a unit."""
    pm = on_top_of(instance, now)
    pm.favoured = slots_for(pm.instance, now.placed.stages[goal])
    here = lent(now.instance)
    found: dict[frozenset[str], None] = {}
    for modes in pm.instance.modes:
        for mode in modes:
            if not pm.instance.units[mode.unit].powered or not pm.is_favoured(mode):
                continue
            for panels in (0, 1):
                ids = pm.bundle(mode, panels)
                new = (ids or frozenset()) & lent(instance) - here
                if new and len(new) <= most:
                    found[new] = None
    return sorted(found, key=lambda ids: (len(ids), sorted(ids)))


def climb_all(instance: Instance, now: Allocation) -> tuple[StageValue, ...]:
    """What every need gets on a changed site with the plugs of a plan.

    No need gets less than it has, or less than all of what is left of it.
    """
    pm = on_top_of(instance, now)
    return _Climb(pm, now.placed.stages).everything()


class _Climb:
    """Serves need after need better, from what each has; none loses."""

    def __init__(self, pm: OnTop, stages: tuple[StageValue, ...]) -> None:
        self.pm, self.stages = pm, stages
        self.last: Placed | None = None

    def gain(self, goal: int) -> tuple[int, int] | None:
        """Most that a need can get, which is then held; ``None`` if no more."""
        old = self.stages[goal]
        self.pm.favoured = slots_for(self.pm.instance, old)
        hold(self.pm, needs(self.stages[:goal]))
        hold_all(self.pm, needs(self.stages[goal:]))
        more = self._most(old)
        return more if more is not None and more > got(old) else None

    def run(self, goal: int) -> Placed | None:
        """The whole placement: the goal first, then what room there is."""
        if self.gain(goal) is None or self.last is None:
            return None
        # What the goal needs stays fed; the rest of the power goes to others.
        self.pm.fix(self.last)
        values = {goal: self._stage(self.stages[goal])}
        for i, old in enumerate(self.stages):
            if old.surplus or i == goal:
                continue
            values[i] = old
            if i > goal and not in_full(old):
                self._most(old)
                values[i] = self._stage(old)
        for i, old in enumerate(self.stages):
            if old.surplus:
                self._most(old)
                values[i] = self._stage(old)
        self._solve(self.pm.load_cost(), _LEAN_NODES)
        return replace(
            self.last, stages=tuple(values[i] for i in sorted(values)), proven=False
        )

    def everything(self) -> tuple[StageValue, ...]:
        """Every need as well as can be, in their order, none losing."""
        goods = self.pm.instance.goods
        left = []
        for old in needs(self.stages):
            mine = self.pm.goods_of(old.tier, surplus=False)
            needed = sum(goods[g].count for g in mine)
            homes = sum(
                f.households for f in self.pm.instance.families if f.tier is old.tier
            )
            left.append(
                replace(
                    old,
                    needed=needed,
                    met=min(old.met, needed),
                    households=homes,
                    households_met=min(old.households_met, homes),
                    lateness=None,
                )
            )
        hold_all(self.pm, tuple(left))
        found = []
        for stage in left:
            if not in_full(stage):
                self.pm.favoured = slots_for(self.pm.instance, stage)
                more = self._most(stage)
                if more is not None:
                    stage = replace(stage, households_met=more[0], met=more[1])
            found.append(stage)
        return tuple(found)

    def _most(self, stage: StageValue) -> tuple[int, int] | None:
        """Households and bags that a stage can get, and hold that."""
        pm = self.pm
        mine = pm.goods_of(stage.tier, surplus=stage.surplus)
        homes = total([]) if stage.surplus else pm.homes(stage.tier)
        bags = pm.placed(mine)
        found = self._solve(-((stage.needed + 1) * homes) - bags, _NODES, whole=True)
        if not found:
            return None
        more = round(value(homes)), round(value(bags))
        if stage.households:
            pm.model.add("T", homes >= more[0])
        pm.model.add("T", bags >= more[1])
        if 0 < more[1] < stage.needed:
            score, matters = pm.lateness(mine)
            if matters and self._solve(score, _ORDER_NODES, whole=True):
                pm.model.add("T", score <= round(value(score)))
        return more

    def _stage(self, old: StageValue) -> StageValue:
        """What a stage has in the last solution."""
        pm = self.pm
        mine = pm.goods_of(old.tier, surplus=old.surplus)
        score, matters = pm.lateness(mine)
        met = round(value(pm.placed(mine)))
        partly = matters and 0 < met < old.needed
        return replace(
            old,
            met=met,
            bound=old.needed,
            households_met=0 if old.surplus else round(value(pm.homes(old.tier))),
            household_bound=old.households,
            lateness=round(value(score)) if partly else None,
        )

    def _solve(self, objective: Expr, nodes: int, *, whole: bool = False) -> bool:
        """Solve, cutting off what fails hour by hour; True when it holds."""
        while True:
            outcome = self.pm.model.minimise(
                objective,
                time_limit_s=_STANDS_BEHIND_S,
                whole_objective=whole,
                node_limit=nodes,
            )
            if not outcome.found:
                return False
            placed = self.pm.read((), proven=False)
            if not self.pm.cut_off(placed):
                self.last = placed
                return True
