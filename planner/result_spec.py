"""Nouns of a least spec: the smallest amount that still gives the gain."""

from dataclasses import dataclass
from enum import StrEnum

from planner.scenario import Battery, Supply, Tier


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


@dataclass(frozen=True, slots=True, kw_only=True)
class LoanNeed:
    """What the plan of a step uses of one borrowed unit or battery.

    A unit must hold ``set_points_c``, lock where ``lock``, and draw no more than
    ``running_w`` and ``day_wh`` a day in this heat; 0 is no limit.  Of its
    settings ``compartments`` are in use at once, 0 where that is not known.
    ``supply`` are its leads in use.  A battery has ``ports_12v`` and
    ``outlets_ac`` in use at once, each of so many watts, ``out_w`` together, and
    lets in ``solar_w``.
    """

    item_id: str
    set_points_c: tuple[float, ...] = ()
    compartments: int = 0
    lock: bool = False
    running_w: float = 0.0
    day_wh: float = 0.0
    supply: Supply = Supply.NONE
    ports_12v: int = 0
    port_12v_w: float = 0.0
    outlets_ac: int = 0
    outlet_ac_w: float = 0.0
    out_w: float = 0.0
    solar_w: float = 0.0

    @property
    def settings_c(self) -> tuple[float, ...]:
        """Every setting once, the warmest first [C]."""
        return tuple(sorted(set(self.set_points_c), reverse=True))

    @property
    def chills(self) -> bool:
        """Whether it must hold a setting that is not below freezing."""
        return any(one >= 0 for one in self.set_points_c)

    @property
    def freezes(self) -> bool:
        """Whether it must hold a setting below freezing."""
        return any(one < 0 for one in self.set_points_c)

    @property
    def only_freezes(self) -> bool:
        """Whether a freezer is meant: every setting is below freezing."""
        return self.freezes and not self.chills


def all_sockets(battery: Battery) -> LoanNeed:
    """All that a battery has, where nothing is known of what is used."""
    return LoanNeed(
        item_id=battery.id,
        ports_12v=battery.ports_12v,
        port_12v_w=battery.port_12v_max_w,
        outlets_ac=battery.outlets_ac,
        outlet_ac_w=battery.max_out_w,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class LoanBags:
    """Bags of one line that get a place by a step, or lose one (below 0).

    ``surplus`` is stock beyond the window's need.
    """

    line_id: str
    surplus: bool
    bags: int
