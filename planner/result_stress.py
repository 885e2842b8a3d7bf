"""Nouns of the what-if report: what a plan does on days that go wrong.

Hours are counted from the window's start, as in :mod:`planner.result`; an
hour of ``None`` means that it does not happen inside the window.
"""

from collections import Counter
from dataclasses import dataclass
from enum import StrEnum

from planner.result import Finding, Hookup
from planner.scenario import SunCase, Tier


class Hardship(StrEnum):
    """Ways in which the days can be harder than planned."""

    ROOM_3 = "rooms 3 C / 5.4 F warmer"
    ROOM_6 = "rooms 6 C / 10.8 F warmer"
    DOORS = "doors opened 8 times an hour"


@dataclass(frozen=True, slots=True, kw_only=True)
class HardUnit:
    """One unit under a hardship and one sun case.

    ``dark_from_h`` is the first hour without power, ``too_warm_from_h`` the
    first hour in which the room is too warm for its set point (R2).
    """

    unit_id: str
    sun_case: SunCase
    dark_from_h: int | None
    too_warm_from_h: int | None

    @property
    def ends_h(self) -> int | None:
        """First hour in which it does not hold, for either reason."""
        hours = (self.dark_from_h, self.too_warm_from_h)
        return min((hour for hour in hours if hour is not None), default=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class HardCase:
    """The plan as it stands under one hardship.

    ``faults`` are the rules of goods and ice that it would then break.
    """

    hardship: Hardship
    units: tuple[HardUnit, ...]
    faults: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outage:
    """A unit or a life-support load without power from ``from_h`` on.

    ``life_support`` tells the two apart; ``found_h`` is the first visit from then on, ``warm_from_h`` when the first
    bag in it leaves its own band.
    """

    thing_id: str
    from_h: int
    life_support: bool
    found_h: int | None = None
    warm_from_h: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """``count`` bags carried from one unit to a zone of another at ``at_h``."""

    line_id: str
    from_unit_id: str
    to_unit_id: str
    to_zone: int
    count: int
    tier: Tier
    surplus: bool
    at_h: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Stranded:
    """``count`` bags of one line that no longer have a cold place.

    ``tier`` is the one that they count in: for stock beyond the need already
    the later one.  ``until_h`` is when they have been warm for as long as the label is known
    to allow; ``None`` = not inside the window.
    """

    line_id: str
    unit_id: str
    count: int
    tier: Tier
    surplus: bool
    until_h: float | None

    @property
    def lost(self) -> bool:
        """True when the label's known allowance ends inside the window."""
        return self.until_h is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class Spare:
    """A plug into another battery, at the hour at which something goes dark.

    With it the thing is fed until ``until_h``.
    """

    plug: Hookup
    until_h: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Failure:
    """One thing failing at its worst hour.

    Outages, moves and stranded bags are for nothing plugged in elsewhere;
    ``spares`` are what somebody who is there could do instead.
    """

    thing_id: str
    at_h: int
    outages: tuple[Outage, ...]
    moves: tuple[Move, ...]
    stranded: tuple[Stranded, ...]
    spares: tuple[Spare, ...]

    @property
    def lost(self) -> tuple[tuple[Tier, int], ...]:
        """Bags past the known allowance, by tier, tiers without any left out."""
        found: Counter[Tier] = Counter()
        for one in self.stranded:
            if one.lost:
                found[one.tier] += one.count
        return tuple(sorted(found.items()))

    @property
    def grave(self) -> bool:
        """True when bags are lost or life support goes dark."""
        return bool(self.lost) or any(one.life_support for one in self.outages)


@dataclass(frozen=True, slots=True, kw_only=True)
class Gained:
    """First dark hour of a unit or load before and after a step of the ladder."""

    thing_id: str
    before_h: int | None
    after_h: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Later:
    """Hours that a step saves in all when it is taken only at ``at_h``."""

    at_h: int
    saved_h: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ShedStep:
    """Switch off one more unit at the start, all steps before it in place.

    ``handovers`` are plugs into the battery that this relieves; ``hours``
    has every unit that stays on and each life-support load, if
    a battery feeds it.  ``later`` says what the step still saves at some
    hours before the first of them goes dark, the steps before it in place.
    """

    rank: int
    unit_id: str
    energy_wh: float
    moves: tuple[Move, ...]
    stranded: tuple[Stranded, ...]
    handovers: tuple[Hookup, ...]
    hours: tuple[Gained, ...]
    later: tuple[Later, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class WeatherUnit:
    """In how many windows of the sample a unit or load is fed to the end.

    In nine windows of ten it is fed at least until ``tenth_dark_h``.
    """

    thing_id: str
    held: int
    tenth_dark_h: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class WeatherSample:
    """The plan's wiring under many windows of measured weather."""

    windows: int
    all_held: int
    units: tuple[WeatherUnit, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StressReport:
    """What a plan does when something goes wrong.

    ``weather`` is ``None`` when no panel is plugged in or the site's sun is
    not known.
    """

    hard_cases: tuple[HardCase, ...]
    failures: tuple[Failure, ...]
    ladder: tuple[ShedStep, ...]
    weather: WeatherSample | None
