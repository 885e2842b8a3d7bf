"""A plan in numbers: what is placed where, and the wiring that carries it."""

from dataclasses import dataclass

from planner.decide.cuts import Cut
from planner.decide.instance import Instance
from planner.decide.placed import Placed
from planner.decide.power_check import PowerCheck
from planner.result import Hookup


@dataclass(frozen=True, slots=True, kw_only=True)
class Allocation:
    """A placement with a wiring that carries it.

    ``proven`` says that every tier value equals its proven bound, ``cuts``
    are the proven ones found on the way.  ``loads_fed`` is False when the
    loads before the fridges cannot be carried; then no unit gets power.
    """

    instance: Instance
    placed: Placed
    hookups: tuple[Hookup, ...]
    proven: bool
    loads_fed: bool
    cuts: tuple[Cut, ...]
    check: PowerCheck
