"""Nouns of borrowing: least specs, what to ask for, and what else would help."""

from dataclasses import dataclass
from enum import StrEnum

from planner.result_spec import LeastSpec, LoanBags, LoanNeed, TierGain
from planner.scenario import Battery, ColdUnit, Panel, Source, Tier


@dataclass(frozen=True, slots=True, kw_only=True)
class LoanStep:
    """One step of the borrow list: what to fetch next, and what it gives.

    ``item_ids`` are borrowed together; ``hours_gained`` is unit-hours held
    without any sun; ``ask_for`` is the spec to ask for, ``refuse`` what not
    to accept; ``still_short`` counts bags of tiers A-C after this step.
    ``specs`` are the least amounts that still give the gain; ``dark_from_h``
    is the hour at which the first unit goes dark without any sun, ``None``
    when none does.  ``needs`` are what its plan uses of each thing; ``bags``
    every line that gets or loses places by it, ``line_ids_served`` those whose
    needed bags get more.
    """

    rank: int
    item_ids: tuple[str, ...]
    names: tuple[str, ...]
    lenders: tuple[str, ...]
    ready_h: int
    gains: tuple[TierGain, ...]
    hours_gained: float
    ask_for: tuple[str, ...]
    refuse: tuple[str, ...]
    line_ids_served: tuple[str, ...]
    still_short: int
    effort: int = 0
    specs: tuple[LeastSpec, ...] = ()
    dark_from_h: int | None = None
    needs: tuple[LoanNeed, ...] = ()
    bags: tuple[LoanBags, ...] = ()


class Unhelpful(StrEnum):
    """Why an offer stands in no step."""

    NO_COLD = "it cannot hold any of the bands needed in this heat"
    TOO_LATE = "it comes after the need"
    NO_PLUG = "nothing here can power it, or be powered by it"
    ADDS_NOTHING = "it adds no bag to what is here and listed above"
    NOT_TRIED = "not tried: the search ended before it"


@dataclass(frozen=True, slots=True, kw_only=True)
class NotNeeded:
    """An offer that stands in no step, and why."""

    item_id: str
    name: str
    why: Unhelpful


class OtherKind(StrEnum):
    """Steps that need no equipment, or a small thing for what is here."""

    COOL_SHELF = "a cool spot"
    REPACK = "pack smaller"
    OTHER_PLACE = "keep it at another place"
    REFILL = "smaller, later supplies"
    MOVE_PERSON = "move the person"
    ICE = "more ice"
    THERMOMETER = "conditioned packs and a thermometer for a chest"
    INVERTER = "an inverter"
    LEAD = "a lead for the other socket"


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherStep:
    """A step without equipment, and the bags it would serve by itself.

    ``amount`` is the hottest that the spot may get [C], the share of today's
    packed litres, or kilograms of ice a day; 0 when it has none.  ``effort``
    is 1 to 5, an estimate.  ``line_ids`` are those that it is about.
    """

    kind: OtherKind
    gains: tuple[TierGain, ...]
    effort: int
    amount: float = 0.0
    place: str = ""
    line_ids: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class NestedGap:
    """How far the order is from the best set of ``k`` things, order or not.

    ``tier`` is the first in which they could differ.  ``nested`` are the bags of
    it that the order serves with ``k`` things, ``best`` those of the best set
    found and ``bound`` those that no set of ``k`` can exceed; ``None`` when it
    was not searched.
    """

    k: int
    tier: Tier
    nested: int
    best: int | None
    bound: int | None
    item_ids: tuple[str, ...] = ()
    names: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class BorrowMore:
    """What stands beside the borrow list.

    ``asked`` are steps of kit that nobody has offered, the other ``asked_`` fields
    that kit as it was assumed.  ``solved`` counts the placements solved for all of it.
    ``worked_out`` tells a list without a step from one that nobody asked for.
    """

    asked: tuple[LoanStep, ...] = ()
    asked_units: tuple[ColdUnit, ...] = ()
    asked_batteries: tuple[Battery, ...] = ()
    asked_panels: tuple[Panel, ...] = ()
    asked_sources: tuple[Source, ...] = ()
    others: tuple[OtherStep, ...] = ()
    not_needed: tuple[NotNeeded, ...] = ()
    gaps: tuple[NestedGap, ...] = ()
    solved: int = 0
    worked_out: bool = False


NO_MORE = BorrowMore()
"""What to borrow was not worked out."""

__all__ = [
    "NO_MORE",
    "BorrowMore",
    "LeastSpec",
    "LoanBags",
    "LoanNeed",
    "LoanStep",
    "NestedGap",
    "NotNeeded",
    "OtherKind",
    "OtherStep",
    "TierGain",
    "Unhelpful",
]
