"""How hard a plan is searched for, and which share of the time goes to what."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from planner.scenario import Tier

TRY_SHARE = 0.65
"""Share of the time after which a tier makes do; the rest is for later tiers."""
GROW_SHARE = 0.75
"""Share of the time after which no tier asks anew for what could not be wired."""
GOAL_TRIES = 2
_GROW_ROUNDS = {Tier.A: 8, Tier.B: 8, Tier.C: 3}
_MAKE_DO_S = 10.0
_LATE_S = 8.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SearchEffort:
    """How hard is searched.

    Units are added anew for so many ``rounds`` of a tier, one where it has none.
    Making do may outlast the clock by ``grace_s``.  To ``stay`` is to keep the
    wiring in hand where a tier could be served for less, to be ``neat`` to look
    for fewer moves of plugs at the end, ``near`` to solve placements nearly, and
    ``quick`` to give up early on wirings.  However little time is left a tier has
    ``late_s`` for the units that have power.
    """

    rounds: Mapping[Tier, int] = field(default_factory=lambda: _GROW_ROUNDS)
    grace_s: float = _MAKE_DO_S
    stay: bool = False
    neat: bool = True
    near: bool = False
    quick: bool = False
    late_s: float = _LATE_S
