"""Nouns of the borrow order, and how plans are compared in it."""

from dataclasses import dataclass

from planner.decide.allocation import Allocation
from planner.decide.instance import Instance
from planner.decide.stage_values import StageValue, got, in_full, needs
from planner.result import TierGain
from planner.result_borrow import NestedGap
from planner.scenario import Tier


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step of the order, before the check room adds the hours gained."""

    item_ids: tuple[str, ...]
    allocation: Allocation
    before: Allocation
    gains: tuple[TierGain, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BorrowOrder:
    """Steps in order; ``complete`` is False when the search was cut short.

    ``solved`` counts the placements that were solved for it.
    """

    steps: tuple[Step, ...]
    complete: bool
    solved: int = 0
    gaps: tuple[NestedGap, ...] = ()


def gives_wh(instance: Instance) -> dict[str, float]:
    """Energy that each piece of power equipment can bring in the window [Wh]."""
    found = {}
    for battery, limits in zip(instance.batteries, instance.limits, strict=True):
        found[battery.id] = limits.start_wh - limits.floor_wh - limits.reserve_wh
    for panel, sun_w in zip(instance.panels, instance.sun_w, strict=True):
        found[panel.id] = float(sun_w.sum())
    for source, on in zip(instance.feeds, instance.feed_on, strict=True):
        found[source.id] = source.max_w * float(on.sum())
    return found


def open_needs(stages: tuple[StageValue, ...]) -> list[int]:
    """Places of the needs not served in full; surplus is no reason to borrow."""
    return [i for i, s in enumerate(stages) if not s.surplus and not in_full(s)]


def vector(stages: tuple[StageValue, ...]) -> tuple[int, ...]:
    """What the needs got, most important first."""
    return tuple(n for s in needs(stages) for n in got(s))


def gains_between(
    old: tuple[StageValue, ...], new: tuple[StageValue, ...]
) -> tuple[TierGain, ...]:
    """Bags and households of the need gained by tier."""
    old, new = needs(old), needs(new)
    found = []
    for tier in Tier:
        bags = sum(s.met for s in new if s.tier is tier) - sum(
            s.met for s in old if s.tier is tier
        )
        homes = sum(s.households_met for s in new if s.tier is tier) - sum(
            s.households_met for s in old if s.tier is tier
        )
        if bags or homes:
            found.append(TierGain(tier=tier, bags=bags, households=homes))
    return tuple(found)
