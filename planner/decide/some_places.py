"""A plan seen from some of its places, with all others held as they are."""

from collections import Counter
from dataclasses import dataclass, replace

from planner.decide.allocation import Allocation
from planner.decide.first_bags import served
from planner.decide.goods import Family, Good, SlotKey
from planner.decide.instance import Mode
from planner.decide.placed import ModeChoice, Placed, as_placed
from planner.decide.power_check import PowerCheck
from planner.decide.stage_values import of_stages, stage_order
from planner.decide.stations import among, kit_worth_wh, may_stand, stands_in

_IDLE = 12
_IDLE_EACH = 3
"""Idle batteries, and panels, that are taken into account, in all or for each of
many places: the best.  More of them make no better plans, and slower."""

Counts = dict[tuple[int, SlotKey], int]


@dataclass(frozen=True, slots=True, kw_only=True)
class SomePlaces:
    """What stands in some places, as a plan of its own.

    Its bags are those here and those that have no place; ``goods`` and
    ``families`` have their numbers in the whole.
    """

    plan: Allocation
    whole: Allocation
    names: frozenset[str]
    goods: tuple[int, ...]

    def put_back(self, anew: Allocation) -> Allocation:
        """The whole plan with these places as they were planned anew."""
        whole, names = self.whole, self.names
        counts = _counts(whole, names, here=False)
        for (g, slot), n in anew.placed.counts.items():
            counts[self.goods[g], slot] = n
        others = tuple(h for h in whole.hookups if h.place not in names)
        choices = (*_choices(whole, names, here=False), *anew.placed.choices)
        return replace(
            whole,
            placed=_scored(whole, counts, choices),
            hookups=(*others, *anew.hookups),
        )


def some_places(plan: Allocation, names: frozenset[str]) -> SomePlaces | None:
    """Look at some places of a plan alone; ``None`` if kit is used in and out of them.

    Kit that the other places do without is here, and ice that they leave.
    """
    inst = plan.instance
    others = tuple(h for h in plan.hookups if h.place not in names)
    stands = stands_in(inst, others)
    if stands is None or stands_in(inst, plan.hookups) is None:
        return None
    modes = tuple(
        mine if unit.place in names else ()
        for unit, mine in zip(inst.units, inst.modes, strict=True)
    )
    held = _by_good(_counts(plan, names, here=False))
    numbers, goods = _goods_left(plan, modes, held)
    conditions = inst.scenario.conditions
    ice_kg = sum(c.mode.ice_kg for c in _choices(plan, names, here=False))
    conditions = replace(
        conditions, ice_kg_day=max(0.0, conditions.ice_kg_day - ice_kg)
    )
    part = replace(
        among(inst, names, _kit_here(plan, names, stands)),
        scenario=replace(inst.scenario, conditions=conditions),
        modes=modes,
        goods=goods,
        families=_families_left(plan, numbers, held),
    )
    new = {g: i for i, g in enumerate(numbers)}
    counts = {
        (new[g], slot): n for (g, slot), n in _counts(plan, names, here=True).items()
    }
    placed = replace(
        plan.placed,
        counts=counts,
        choices=_choices(plan, names, here=True),
        served=tuple(n for n, _ in served(part, _by_good(counts), {})),
    )
    placed = replace(
        placed,
        stages=tuple(
            as_placed(part, placed, tier, surplus=surplus)
            for tier, surplus in stage_order(goods)
        ),
    )
    return SomePlaces(
        plan=replace(
            plan,
            instance=part,
            placed=placed,
            hookups=tuple(h for h in plan.hookups if h.place in names),
            cuts=(),
            check=PowerCheck(part),
        ),
        whole=plan,
        names=names,
        goods=numbers,
    )


def _kit_here(
    plan: Allocation, names: frozenset[str], stands: dict[str, str]
) -> frozenset[str]:
    """Kit that is used here, and of what stands idle and may come the best."""
    inst = plan.instance
    mine = stands_in(inst, tuple(h for h in plan.hookups if h.place in names)) or {}
    worth_wh = kit_worth_wh(inst)
    able = may_stand(inst, names) - stands.keys()
    found = {*mine}
    for kit in (inst.batteries, inst.panels):
        idle = [x.id for x in kit if x.id in able and x.id not in mine]
        idle.sort(key=lambda i: (-worth_wh[i], i))
        found.update(idle[: max(_IDLE, _IDLE_EACH * len(names))])
    return frozenset(found)


def _goods_left(
    plan: Allocation, modes: tuple[tuple[Mode, ...], ...], held: Counter[int]
) -> tuple[tuple[int, ...], tuple[Good, ...]]:
    """Goods with a bag that has no place elsewhere and may go in a unit here.

    Of tiers that are not served yet there are none.
    """
    numbers, goods = [], []
    so_far = of_stages(plan.placed.stages)
    for g, good in enumerate(plan.instance.goods):
        slots = tuple(slot for slot in good.slots if modes[slot[0]])
        left = good.count - held[g]
        if slots and left and (good.tier, good.surplus) in so_far:
            numbers.append(g)
            goods.append(
                Good(
                    key=replace(good.key, slots=slots),
                    parts=(replace(good.parts[0], count=left),),
                )
            )
    return tuple(numbers), tuple(goods)


def _families_left(
    plan: Allocation, numbers: tuple[int, ...], held: Counter[int]
) -> tuple[Family, ...]:
    """Households that have no first bag elsewhere."""
    new = {g: i for i, g in enumerate(numbers)}
    found = served(plan.instance, _by_good(plan.placed.counts), held)
    families = []
    for family, (_, elsewhere) in zip(plan.instance.families, found, strict=True):
        goods = tuple(new[g] for g in family.goods if g in new)
        left = family.households - elsewhere
        if goods and left:
            families.append(Family(tier=family.tier, goods=goods, households=left))
    return tuple(families)


def _scored(
    whole: Allocation, counts: Counts, choices: tuple[ModeChoice, ...]
) -> Placed:
    """A placement with what every stage gets in it, beside the bounds known."""
    placed = replace(
        whole.placed,
        counts=counts,
        choices=choices,
        served=tuple(n for n, _ in served(whole.instance, _by_good(counts), {})),
    )
    stages = []
    for old in whole.placed.stages:
        now = as_placed(whole.instance, placed, old.tier, surplus=old.surplus)
        stages.append(
            replace(now, bound=old.bound, household_bound=old.household_bound)
        )
    return replace(placed, stages=tuple(stages), proven=False)


def _by_good(counts: Counts) -> Counter[int]:
    found: Counter[int] = Counter()
    for (g, _), n in counts.items():
        found[g] += n
    return found


def _counts(plan: Allocation, names: frozenset[str], *, here: bool) -> Counts:
    units = plan.instance.units
    return {
        (g, slot): n
        for (g, slot), n in plan.placed.counts.items()
        if (units[slot[0]].place in names) is here
    }


def _choices(
    plan: Allocation, names: frozenset[str], *, here: bool
) -> tuple[ModeChoice, ...]:
    units = plan.instance.units
    return tuple(
        c for c in plan.placed.choices if (units[c.mode.unit].place in names) is here
    )
