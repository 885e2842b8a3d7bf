"""Nouns of the reasons: what is missing, and the smallest change that places bags."""

from dataclasses import dataclass
from enum import StrEnum

from planner.scenario import Supply


class ChangeKind(StrEnum):
    """Kinds of change, each of one thing."""

    ALLOWANCE = "know its allowance"
    BAND = "know its band"
    ROOM_TEMP = "know the room temperature"
    NIGHT = "open at night"
    REACH = "way in"
    MOVE_UNIT = "move a unit"
    MOVE_PERSON = "move the person"
    LOCK = "lock"
    TUBS = "lidded tubs"
    CONDITIONED = "conditioned packs"
    SETTING = "another setting"
    COOLER = "cooler room"
    SOONER = "ready sooner"
    LONGER = "kept longer"
    SOCKET = "one more socket"
    WATTS = "more watts"
    ENERGY = "more energy"
    ICE = "more ice"
    ROOM_IN = "more room in a unit"
    BATTERY = "one more battery"
    ROOM_AT = "cold room with power of its own"


class Proof(StrEnum):
    """What is known of an amount."""

    EXACT = "less does not do"
    ENOUGH = "enough; less may do"


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One change that by itself places ``bags`` of a line, nobody else losing.

    ``amount`` is what has to be added: litres that can be packed (``ROOM_IN``,
    ``ROOM_AT``), watt-hours that can be drawn (``ENERGY``, ``BATTERY``), watts,
    sockets, kilograms of ice a day, hours sooner or longer; for ``ALLOWANCE``
    the hours out of the cold that its label would have to allow.

    ``item_id`` is the unit (and ``zone`` its zone from 0) or battery that is
    changed, ``place`` where it is
    or what has to open, ``to_place`` where a unit or the person of the line is
    moved to, or where a way leads.  ``low_c`` to ``high_c`` is the band that the room must hold, the
    item's label would have to allow, or (``high_c`` alone) the hottest that a
    room may get; ``set_point_c`` the setting meant.  ``watts`` and ``supply``
    say what a socket has to carry.  ``by_h`` is the hour of the window by
    which the energy is needed, 0 at the start.
    """

    kind: ChangeKind
    amount: float = 1.0
    item_id: str = ""
    zone: int = 0
    line_id: str = ""
    place: str = ""
    to_place: str = ""
    low_c: float | None = None
    high_c: float | None = None
    set_point_c: float | None = None
    watts: float = 0.0
    supply: Supply = Supply.NONE
    lockable: bool = False
    night: bool = False
    by_h: int = 0
    bags: int = 0
    proof: Proof = Proof.EXACT
