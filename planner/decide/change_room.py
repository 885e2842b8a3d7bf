"""Changes that make room: in a unit that is on, in one of others, or with ice."""

import math
from dataclasses import replace

from planner.decide.change_fits import room_band
from planner.decide.fit import fits_r6_access
from planner.decide.goods import Good
from planner.decide.keeper import Keeper
from planner.decide.kept import bags_of_goods, hold_goods
from planner.decide.mend import ROOM_ID, apply_change
from planner.decide.placed import Placed
from planner.decide.placement import PlacementModel
from planner.decide.power_check import PowerCheck
from planner.decide.salvage import within
from planner.decide.solver import Answer, Expr, total
from planner.result import ReasonFamily
from planner.result_reasons import Change, ChangeKind, Proof
from planner.scenario import Line, Scenario

STEP_L = 0.1
STEP_KG = 0.1
_SLACK = 1e-9


def stepped(amount: float, step: float) -> float:
    """Rounded up to whole steps, at least one."""
    return round(max(1, math.ceil(amount / step - 1e-6)) * step, 6)


def room_in_units(
    keeper: Keeper, placed: Placed, good: Good, bags: int
) -> list[Change]:
    """Litres that the units that are on lack for the bags, the fewest first."""
    filled: dict[tuple[int, int], float] = {}
    for (g, (u, z, _)), n in placed.counts.items():
        litres = n * keeper.instance.goods[g].volume_l
        filled[u, z] = filled.get((u, z), 0.0) + litres
    found: list[Change] = []
    for choice in placed.choices:
        mode = choice.mode
        if choice.stock_class not in {None, good.stock_class}:
            continue
        for z, set_c in enumerate(mode.set_points_c):
            free_l = mode.usable_l[z] - filled.get((mode.unit, z), 0.0)
            short_l = bags * good.volume_l - max(0.0, free_l)
            if (mode.unit, z, set_c) in good.slots and short_l > _SLACK:
                unit = keeper.instance.units[mode.unit]
                found.append(
                    Change(
                        kind=ChangeKind.ROOM_IN,
                        item_id=unit.id,
                        zone=z,
                        place=unit.place,
                        set_point_c=set_c,
                        amount=stepped(short_l, STEP_L),
                    )
                )
    return sorted(found, key=lambda c: (c.amount, c.item_id, c.zone))


def room_at(scenario: Scenario, line: Line, bags: int) -> Change | None:
    """Room for all the bags in a unit with power of its own, where they can go."""
    band = room_band(line)
    if band is None:
        return None
    own = scenario.place(line.place)
    places = [own, *(p for p in scenario.places if p.name != own.name)]
    place = next((p for p in places if fits_r6_access(line, p)), own)
    return Change(
        kind=ChangeKind.ROOM_AT,
        place=place.name,
        low_c=band[0],
        high_c=band[1],
        amount=stepped(bags * line.volume_l, STEP_L),
        lockable=line.locked,
        night=line.night_need and not place.open_at_night,
        bags=bags,
        proof=Proof.ENOUGH,
    )


def least_room_at(
    keeper: Keeper, change: Change, wanted: dict[tuple[str, bool], int]
) -> Change:
    """The same with as few litres as do when bags change places.

    Exact when not even units wired anew leave less to be placed there.
    """
    instance, _ = keeper.numbers(apply_change(keeper.instance.scenario, change))
    exactly = bags_of_goods(instance, wanted)
    room = next((u for u, x in enumerate(instance.units) if x.id == ROOM_ID), None)
    if exactly is None or room is None:
        return change

    def litres(pm: PlacementModel) -> Expr:
        return total(
            instance.goods[g].volume_l * v
            for (g, (u, _, _)), v in pm.bags.items()
            if u == room
        )

    power = frozenset({ReasonFamily.POWER})
    pm = PlacementModel(within(instance, keeper.fed), relax=power)
    hold_goods(pm, exactly)
    outcome = keeper.solve(pm, litres(pm))
    if not outcome.found:
        return change
    found = replace(change, amount=stepped(outcome.objective, STEP_L))
    if keeper.tired():
        return found
    pm = PlacementModel(instance, check=PowerCheck(instance))
    hold_goods(pm, exactly)
    outcome = keeper.solve(pm, litres(pm))
    if outcome.answer is not Answer.OPTIMAL:
        return found
    exact = stepped(outcome.objective, STEP_L) >= found.amount - _SLACK
    return replace(found, proof=Proof.EXACT if exact else Proof.ENOUGH)


def more_ice(keeper: Keeper, wanted: dict[tuple[str, bool], int]) -> Change | None:
    """Least ice a day beyond what comes, every rule but R10 kept."""
    instance = keeper.instance
    exactly = bags_of_goods(instance, wanted)
    if exactly is None:
        return None
    pm = PlacementModel(
        instance, relax=frozenset({ReasonFamily.ICE}), check=PowerCheck(instance)
    )
    hold_goods(pm, exactly)
    kg = total(
        c.mode.ice_kg * pm.pick[u, i]
        for u, options in enumerate(pm.choices)
        for i, c in enumerate(options)
    )
    outcome = keeper.solve(pm, kg)
    short = outcome.objective - instance.scenario.conditions.ice_kg_day
    if not outcome.found or short <= _SLACK:
        return None
    exact = outcome.answer is Answer.OPTIMAL
    return Change(
        kind=ChangeKind.ICE,
        amount=stepped(short, STEP_KG),
        proof=Proof.EXACT if exact else Proof.ENOUGH,
    )
