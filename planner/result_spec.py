"""Nouns of a least spec: the smallest amount that still gives the gain."""

from dataclasses import dataclass
from enum import StrEnum

from planner.scenario import Tier


class Quantity(StrEnum):
    """What a lender is asked for, with its unit."""

    VOLUME_L = "litres, outside label"
    CAPACITY_WH = "watt-hours"
    CHARGE = "charge when it comes, share"
    RATED_W = "watts of the panel"
    MAX_W = "watts of the supply"


@dataclass(frozen=True, slots=True, kw_only=True)
class TierGain:
    """Bags and households a loan adds to one tier."""

    tier: Tier
    bags: int
    households: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SpecPoint:
    """What an amount gives, all else of the step as offered."""

    amount: float
    gains: tuple[TierGain, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LeastSpec:
    """Least amount of one quantity of one thing that gives the step's gain.

    ``exact`` says that one ``grid`` less is proven to give less.  ``points`` are
    the amounts that were solved for, smallest first; ``solved`` counts solves.
    """

    item_id: str
    quantity: Quantity
    least: float
    offered: float
    grid: float
    exact: bool
    solved: int
    points: tuple[SpecPoint, ...] = ()
