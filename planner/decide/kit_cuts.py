"""Cuts on what runs in a place, by the kit that stands there.

For placements that say where every battery and panel stands (``stationed``).
What is cut off cannot be wired with that kit, or was not found to be.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from planner.decide.cuts import EnergyCut, mode_key
from planner.decide.instance import Mode
from planner.decide.placement import PlacementModel
from planner.decide.power_check import PowerCheck
from planner.decide.solver import total


@dataclass(frozen=True, slots=True, kw_only=True)
class KitCut:
    """Modes that a place cannot run, or any that draw no less, with little kit.

    All at once need batteries there that are worth ``least_kwh``.
    """

    place: str
    modes: tuple[Mode, ...]
    least_kwh: float


def need_able_battery(pm: PlacementModel, check: PowerCheck) -> None:
    """Let a unit run only where a battery stands that could carry it alone."""
    inst = pm.instance
    for u, options in enumerate(pm.choices):
        if u not in check.units:
            continue
        place = inst.units[u].place
        for i, choice in enumerate(options):
            way = check.way_of[mode_key(choice.mode)]
            for able in check.units[u].feeders_of(way):
                stands = [pm.stands[inst.batteries[b].id] for b in sorted(able)]
                there = total(at[place] for at in stands if place in at)
                pm.model.add("R7", pm.pick[u, i] <= there)


def need_kit(pm: PlacementModel, cut: KitCut, worth_kwh: Mapping[str, float]) -> None:
    """Let a place run some modes only with so much kit that stands there."""
    there = total(
        kwh * pm.stands[i][cut.place]
        for i, kwh in sorted(worth_kwh.items())
        if cut.place in pm.stands[i]
    )
    all_run = pm.run_of(cut.modes) - (len(cut.modes) - 1)
    pm.model.add("R7", there >= cut.least_kwh * all_run)


def hold_to_kit(pm: PlacementModel, place: str, cut: EnergyCut) -> None:
    """Hold the modes of a place to what the kit that stands there can carry.

    The kit is what the cut calls offers.
    """
    there = total(
        kwh * pm.stands[i][place]
        for i, kwh in sorted(cut.offers.items())
        if place in pm.stands.get(i, {})
    )
    pm.model.add("R7", pm.weighed(cut) <= cut.room + there)
