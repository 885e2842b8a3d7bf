"""Nouns of moving: which bags are carried in which order, how units are set anew."""

from dataclasses import dataclass
from enum import StrEnum

DESK = ""
"""Unit id of the desk: where a bag comes in, goes out, or waits."""


class CarryKind(StrEnum):
    """Why a bag is carried."""

    OUT = "taken out"
    OVER = "carried over"
    ASIDE = "set aside to make room"
    BACK = "put back in the cold"
    IN = "put in"


@dataclass(frozen=True, slots=True, kw_only=True)
class Carry:
    """``count`` bags of one line carried at once; ``order`` counts from 1.

    A unit id of ``DESK`` is the desk; its zone is 0.  ``code`` stands for the
    person, also for a line that is no longer on the list.  ``wait_min`` is
    the longest time that bags set aside stay outside, in minutes, ``None``
    for all other kinds.
    """

    order: int
    kind: CarryKind
    line_id: str
    code: str
    count: int
    from_unit_id: str
    from_zone: int
    to_unit_id: str
    to_zone: int
    wait_min: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """A unit whose thermostat is to be set: set points by zone, empty = off."""

    unit_id: str
    before_c: tuple[float, ...]
    after_c: tuple[float, ...]
