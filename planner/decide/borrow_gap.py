"""How far the nested order is from the best set of k loans, and what stays out.

The order keeps what was chosen before, so two things that are best as a pair
may stand in no prefix of it.  For small pools the best of all sets of k is
bounded by a placement and looked for; for large ones it is said that it was
not.
"""

from planner.decide.allocation import Allocation
from planner.decide.borrow_gain import plan_on_top
from planner.decide.borrow_pool import offers
from planner.decide.borrow_search import BorrowSearch
from planner.decide.borrow_step import BorrowOrder, gives_wh
from planner.decide.fit import Spot, refusal
from planner.decide.instance import (
    Consumer,
    Instance,
    build,
    consumer_of_load,
    consumer_of_unit,
    feeds_consumer,
    plugs,
    sun_reaches,
)
from planner.decide.stage_values import got
from planner.decide.stages import settle
from planner.physics.profiles import held_band, reach, room_temp_c
from planner.result import Demand, ReasonFamily
from planner.result_borrow import NestedGap, NotNeeded, Unhelpful
from planner.scenario import (
    Battery,
    ColdUnit,
    Equipment,
    Panel,
    Scenario,
    Source,
    SourceKind,
)

_MOST = 3
_LIMIT_S = 10.0


def nested_gaps(
    search: BorrowSearch, base: Allocation, order: BorrowOrder
) -> tuple[NestedGap, ...]:
    """Best set of one, two and three loans beside the order's first of as many.

    They are compared in the first need that the order serves better.
    """
    if not order.steps:
        return ()
    goal = _goal(order)
    stages = base.placed.stages
    names = {e.id: e.name for e in search.scenario.equipment}
    found = []
    for k in range(1, min(_MOST, len(search.kit)) + 1):
        nested = _nested(order, goal, k, base)
        best: int | None = None
        bound: int | None = None
        ids: frozenset[str] = frozenset()
        if search.small:
            best, bound = nested, nested
            reached = search.reaches(k, base, goal, [])
            if reached is not None:
                bound = max(nested, reached[1][1] - stages[goal].met)
            if reached is not None and bound > nested:
                placed = settle(reached[0], gives_wh(search.all), time_limit_s=_LIMIT_S)
                plan = (
                    plan_on_top(search.with_loans(placed.taken), base, goal)
                    if placed is not None
                    else None
                )
                if plan is not None and placed is not None:
                    value = got(plan.placed.stages[goal])[1] - stages[goal].met
                    if value > nested:
                        best, ids = value, placed.taken
        found.append(
            NestedGap(
                k=k,
                tier=stages[goal].tier,
                nested=nested,
                best=best,
                bound=bound,
                item_ids=tuple(sorted(ids)),
                names=tuple(names[i] for i in sorted(ids)),
            )
        )
    return tuple(found)


def _goal(order: BorrowOrder) -> int:
    first = order.steps[0]
    old, new = first.before.placed.stages, first.allocation.placed.stages
    return next(
        i
        for i, (a, z) in enumerate(zip(old, new, strict=True))
        if not a.surplus and got(z) > got(a)
    )


def _nested(order: BorrowOrder, goal: int, k: int, base: Allocation) -> int:
    """Bags of a need that the order serves with at most k things."""
    met, things = base.placed.stages[goal].met, 0
    for step in order.steps:
        things += len(step.item_ids)
        if things > k:
            break
        met = step.allocation.placed.stages[goal].met
    return met - base.placed.stages[goal].met


def not_needed(
    scenario: Scenario,
    demand: tuple[Demand, ...],
    taken: frozenset[str],
    *,
    complete: bool,
) -> tuple[NotNeeded, ...]:
    """Offers that stand in no step, each with the plainest reason."""
    on_offer = offers(scenario)
    everything = build(scenario, demand, loans=on_offer)
    found = []
    for kit in scenario.equipment:
        if kit.id in on_offer and kit.id not in taken:
            why = _why(scenario, demand, everything, kit)
            if why is None:
                why = Unhelpful.ADDS_NOTHING if complete else Unhelpful.NOT_TRIED
            found.append(NotNeeded(item_id=kit.id, name=kit.name, why=why))
    return tuple(sorted(found, key=lambda n: (n.name, n.item_id)))


def _why(
    scenario: Scenario,
    demand: tuple[Demand, ...],
    everything: Instance,
    kit: Equipment,
) -> Unhelpful | None:
    window_h = scenario.conditions.window_h
    if kit.availability.ready_h >= window_h:
        return Unhelpful.TOO_LATE
    if isinstance(kit, ColdUnit):
        return _why_unit(scenario, demand, everything, kit)
    users = _consumers(everything)
    if isinstance(kit, Battery) and not any(any(plugs(w, kit)) for w in users):
        return Unhelpful.NO_PLUG
    if isinstance(kit, Panel):
        reached = any(sun_reaches(kit, b) for b in everything.batteries)
        return None if reached else Unhelpful.NO_PLUG
    if isinstance(kit, Source) and kit.kind is not SourceKind.PRIORITY_LOAD:
        feeds = any(feeds_consumer(w, kit) for w in users)
        charges = any(b.max_charge_w <= kit.max_w for b in everything.batteries)
        return None if feeds or charges else Unhelpful.NO_PLUG
    return None


def _why_unit(
    scenario: Scenario,
    demand: tuple[Demand, ...],
    everything: Instance,
    unit: ColdUnit,
) -> Unhelpful | None:
    """Cannot hold a band, comes too late for all of them, or has no plug."""
    room_c = room_temp_c(scenario.place(unit.place), scenario.conditions)
    lines = {line.id: line for line in scenario.lines}
    no = set()
    for set_c in unit.set_points_c:
        if not reach(unit, (set_c,) * len(unit.zone_shares), room_c).ok:
            continue
        spot = Spot(
            unit=unit,
            zone=0,
            set_point_c=set_c,
            held=held_band(unit, set_c, room_c),
        )
        for d in demand:
            no.add(refusal(scenario, lines[d.line_id], spot, d.allowance_h))
    if None not in no:
        late = ReasonFamily.READY in no
        return Unhelpful.TOO_LATE if late else Unhelpful.NO_COLD
    if not unit.powered:
        return None
    who = consumer_of_unit(unit, everything.hours)
    plugged = any(any(plugs(who, b)) for b in everything.batteries)
    fed = any(feeds_consumer(who, s) for s in everything.feeds)
    return None if plugged or fed else Unhelpful.NO_PLUG


def _consumers(instance: Instance) -> list[Consumer]:
    units = [u for u in instance.units if u.powered]
    return [
        *(consumer_of_load(x) for x in instance.loads),
        *(consumer_of_unit(u, instance.hours) for u in units),
    ]
