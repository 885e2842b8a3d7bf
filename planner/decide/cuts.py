"""Cuts: what the placement is told that no wiring can carry.

Some modes that cannot all run at once (``conflict.py``), or weights of all modes
against the room that the feeders have (``shares.py``).
"""

from dataclasses import dataclass

from planner.decide.instance import Mode

ModeKey = tuple[str, tuple[float, ...], float]
"""Unit, set points and fill: a mode by name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """Modes that cannot all be wired at once without the ``absent`` offers."""

    modes: tuple[Mode, ...]
    absent: frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class EnergyCut:
    """Weights of the modes picked <= room + room of the offers taken."""

    weights: dict[ModeKey, float]
    offers: dict[str, float]
    room: float


def mode_key(mode: Mode) -> ModeKey:
    """Name of a mode."""
    return mode.unit_id, mode.set_points_c, mode.fill


def draws_no_less(mode: Mode, other: Mode) -> bool:
    """True when ``mode`` needs at least the energy of ``other`` every hour."""
    return bool((mode.load_w >= other.load_w - 1e-9).all())
