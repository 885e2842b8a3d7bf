"""Nouns of re-planning: the plan in force, and what changes."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from planner.issue import Issue
from planner.result import Cooling, Hookup, Plan, ReasonFamily, Replay, UnitUse
from planner.result_moves import Carry
from planner.result_moves import Setting as Setting

FACTOR = "load factor"
"""Name of the measured load factor among the assumptions of a plan."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """``count`` bags that stand in one zone of a unit now.

    ``line_id`` is the line's id in the scenario of today; a line that is no
    longer on the list keeps its old one, which no line of today has.
    """

    line_id: str
    code: str
    unit_id: str
    zone: int
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class InForce:
    """The plan in force, in the words of today's scenario.

    ``elapsed_h`` is the time from its start to today's start.  Hours of
    ``hookups`` count from today's start; those of ``replays`` from its own.
    ``load_factor`` is the one that the plan in force counts with.  ``cooling``
    has the units of which it says when they are cold, counted from today's
    start; ``None`` there is not before the plan in force ends.  ``ends_at`` is
    that end, ``None`` not known.
    """

    start: datetime
    elapsed_h: int
    standing: tuple[Standing, ...]
    units_on: tuple[UnitUse, ...]
    hookups: tuple[Hookup, ...]
    replays: tuple[Replay, ...] = ()
    load_factor: float = 1.0
    cooling: tuple[Cooling, ...] = ()
    ends_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadInForce:
    """A plan read back; ``in_force`` is ``None`` when nothing of it can be used."""

    in_force: InForce | None
    issues: tuple[Issue, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadFactor:
    """Energy that the cold units draw over what their labels say.

    ``used`` is what the plan counts with: ``measured`` inside its limits, or
    the factor of the plan in force when the gauges say too little; ``why``
    says which.
    """

    measured: float | None
    used: float
    batteries: int
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Replanned:
    """A new plan beside the one in force.

    ``plan.moves`` and ``plan.changeover`` lead from that to it.  ``kept``
    counts bags that stay where they are, ``carried`` those that go to another
    zone or unit, ``out`` and ``put_in`` those that leave the cold and come
    into it.
    """

    plan: Plan
    kept: int
    carried: int
    out: int
    put_in: int
    factor: LoadFactor


class Fits(StrEnum):
    """Answers to the question whether one more item can be taken."""

    AS_IT_IS = "fits without moving anything"
    WITH_MOVES = "fits when bags are moved"
    TAKES_A_PLACE = "fits when bags that come later leave the cold"
    NOT = "does not fit"
    NOT_COLD = "needs no place in the cold pool"


@dataclass(frozen=True, slots=True, kw_only=True)
class OneMore:
    """Can one more item be taken, and how.

    ``carries`` brings it in and moves what must be moved, ``settings`` come
    before that.  ``reason`` and
    ``detail`` say why not.  ``sure`` is False for a "does not fit" that was
    found in the units that are on only, in the time there was.
    """

    answer: Fits
    line_id: str
    count: int
    carries: tuple[Carry, ...] = ()
    settings: tuple[Setting, ...] = ()
    reason: ReasonFamily | None = None
    detail: str = ""
    sure: bool = True
