"""Nouns of the input: everything known about people's items and the pool.

All nouns are frozen and hold *resolved* values: the intake room has already
filled gaps from the catalogue and recorded each such value in ``origins``.
Temperatures are in degrees Celsius, volumes in litres, energy in watt-hours,
power in watts, durations in hours.  Hour ``h`` is the half-open interval
[start + h, start + h + 1).
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum


class Flag(StrEnum):
    """How far a value can be trusted."""

    PUBLISHED = "published"
    SECONDARY = "seen on a secondary page"
    PRACTICE = "common practice, no source"
    MEMORY = "from memory"
    ESTIMATE = "estimate"

    @property
    def confirmed(self) -> bool:
        """True only for values read in a published source."""
        return self is Flag.PUBLISHED


class CameFrom(StrEnum):
    """Who supplied a value."""

    SHEET = "sheet"
    CATALOGUE = "catalogue"
    DEFAULT = "default"
    EDITED = "edited"


@dataclass(frozen=True, slots=True, kw_only=True)
class Origin:
    """Where the value of one field came from."""

    field: str
    came_from: CameFrom
    value: str
    source: str = ""
    jurisdiction: str = ""
    flag: Flag = Flag.PUBLISHED


class Tier(StrEnum):
    """Order of service; a later tier never costs an earlier one a bag."""

    A = "A"
    B = "B"
    C = "C"
    D = "D"
    E = "E"


class StockClass(StrEnum):
    """Kinds of stock that must not share a unit or a tub (R4)."""

    MEDICINE = "medicine"
    FEED = "feed"


class Gate(StrEnum):
    """Whether a line competes for cold space at all."""

    POOL = "cold pool"
    WITH_PERSON = "stays with the person"
    COOL_SHELF = "room temperature, cool shelf"
    FOOD = "food, not in this pool"


class Consequence(StrEnum):
    """What a missed dose or feed does, as the catalogue or household states."""

    LIFE = "life-critical"
    ONLY_FEED = "only feed of an infant or tube-fed person"
    HARD_TO_REPLACE = "hard to replace, harm not this week"
    REPLACEABLE = "replaceable, comfort"
    PET = "for a pet"
    UNKNOWN = "unknown"


class Clock(StrEnum):
    """How published time out of the fridge is counted."""

    CALENDAR = "calendar days from first removal"
    CUMULATIVE = "warm hours added up"
    ONCE = "one period only"
    NESTED = "limit inside an in-use life"
    UNKNOWN = "not known, strictest reading"


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One intake row (or part of one): ``quantity`` like bags of one item.

    ``warm_hours`` is the label allowance out of the cold at or below
    ``warm_max_c``; ``None`` means not known, which is not the same as 0.
    ``daily_use`` is bags a day; ``None`` means not known.
    ``code`` stands for the resident on everything public; ``resident`` is the
    text of the sheet and never leaves the name key.
    ``provisional`` marks a line that also sits in the review queue.
    """

    id: str
    sheet: str
    row: int
    code: str
    resident: str
    household: str
    place: str
    item_text: str
    kind_id: str
    kind_name: str
    stock_class: StockClass
    gate: Gate
    consequence: Consequence
    quantity: int
    volume_l: float
    keep_from_c: float
    keep_to_c: float
    never_freeze: bool
    warm_hours: float | None
    warm_max_c: float | None
    clock: Clock
    out_since: datetime | None = None
    opened: bool = False
    thawed: bool = False
    arrives_warm: bool = True
    daily_use: float | None = None
    tier_given: Tier | None = None
    locked: bool = False
    night_need: bool = False
    keep_by: datetime | None = None
    notes: str = ""
    provisional: bool = False
    origins: tuple[Origin, ...] = ()

    @property
    def frozen(self) -> bool:
        """True when the item's own band lies below freezing."""
        return self.keep_to_c < 0

    @property
    def total_volume_l(self) -> float:
        """Packed litres of the whole line."""
        return self.quantity * self.volume_l


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where units stand and people sleep.

    ``temp_c_by_clock_hour`` has 24 values, index 0 is 00:00-01:00.
    ``reached_from`` lists the places whose residents can fetch here;
    ``None`` means everyone can.
    """

    name: str
    temp_c_by_clock_hour: tuple[float, ...]
    open_at_night: bool = True
    reached_from: tuple[str, ...] | None = None

    def __post_init__(self) -> None:
        if len(self.temp_c_by_clock_hour) != 24:
            msg = "a place needs 24 clock-hour temperatures"
            raise ValueError(msg)


class Status(StrEnum):
    """Whether equipment is in the pool or only offered."""

    HERE = "here"
    OFFERED = "can borrow"
    OUT = "out of order"


@dataclass(frozen=True, slots=True, kw_only=True)
class Availability:
    """Terms on which a piece of equipment can be used.

    ``ready_h`` and ``back_h`` are hours after the window's start; a loan
    counts from the first and until the second (``None`` = to the end).
    """

    status: Status = Status.HERE
    lender: str = ""
    ready_h: int = 0
    effort: int = 1
    back_h: int | None = None


class UnitType(StrEnum):
    """Kinds of cold storage."""

    COMPRESSOR = "compressor"
    HOUSEHOLD = "household"
    THERMOELECTRIC = "thermoelectric"
    ABSORPTION = "absorption"
    ICE_CHEST = "ice chest"
    ELSEWHERE = "powered elsewhere"
    COOL_SHELF = "cool shelf"
    EVAPORATIVE = "evaporative"


class Supply(StrEnum):
    """What a unit can be plugged into."""

    DC = "12V"
    AC = "AC"
    BOTH = "both"
    NONE = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class ColdUnit:
    """A fridge, chest, shelf or borrowed space.

    ``zone_shares`` split the gross volume into compartments, each with one
    set point for the whole window; ``set_points_c`` are the settings that
    may be chosen.  ``rated_wh_day`` holds at ``rated_ambient_c`` outside and
    ``rated_inside_c`` inside.  ``conditioned`` marks an ice chest packed
    with conditioned packs, a barrier and a thermometer.
    """

    id: str
    name: str
    place: str
    kind: UnitType
    gross_volume_l: float
    usable_share: float
    zone_shares: tuple[float, ...] = (1.0,)
    set_points_c: tuple[float, ...] = (5.0,)
    swing_c: float = 2.0
    running_w: float = 0.0
    rated_wh_day: float = 0.0
    rated_ambient_c: float = 25.0
    rated_inside_c: float = 5.0
    ua_w_per_k: float = 1.0
    supply: Supply = Supply.DC
    lockable: bool = False
    conditioned: bool = False
    availability: Availability = Availability()
    sheet: str = ""
    row: int = 0
    origins: tuple[Origin, ...] = ()

    @property
    def powered(self) -> bool:
        """True when the unit needs a feed in every hour."""
        return self.kind in {
            UnitType.COMPRESSOR,
            UnitType.HOUSEHOLD,
            UnitType.THERMOELECTRIC,
            UnitType.ABSORPTION,
        }


class Chemistry(StrEnum):
    """Battery chemistry."""

    LFP = "LFP"
    LI_ION = "lithium-ion"
    AGM = "AGM"
    FLOODED = "flooded lead"


@dataclass(frozen=True, slots=True, kw_only=True)
class Battery:
    """A battery or power pack.

    Shares are 0..1 of ``capacity_wh``.  ``usable_share`` is the depth that
    may be drawn; the rest is the floor.  Efficiencies are energy out over
    energy in.
    """

    id: str
    name: str
    place: str
    capacity_wh: float
    chemistry: Chemistry
    charge_now: float
    usable_share: float
    max_out_w: float
    ports_12v: int
    port_12v_max_w: float
    outlets_ac: int
    ac_idle_w: float
    max_charge_w: float
    solar_input_max_w: float
    movable: bool = True
    dc_efficiency: float = 0.95
    ac_efficiency: float = 0.90
    charge_efficiency: float = 0.95
    availability: Availability = Availability()
    sheet: str = ""
    row: int = 0
    origins: tuple[Origin, ...] = ()


class Controller(StrEnum):
    """What stands between a panel and a battery."""

    MPPT = "MPPT"
    PWM = "PWM"
    BUILT_IN = "built in"


@dataclass(frozen=True, slots=True, kw_only=True)
class Panel:
    """A solar panel; azimuth in degrees east of north, tilt from flat.

    ``place`` may be empty: the panel can stand at any place.
    """

    id: str
    name: str
    place: str
    rated_w: float
    controller: Controller
    tilt_deg: float
    azimuth_deg: float
    shade_share: float = 0.0
    availability: Availability = Availability()
    sheet: str = ""
    row: int = 0
    origins: tuple[Origin, ...] = ()


class SourceKind(StrEnum):
    """Power that is neither battery nor panel, or a load before the fridges."""

    MAINS = "mains"
    GENERATOR = "generator"
    VEHICLE = "vehicle"
    PRIORITY_LOAD = "life support"


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """Mains, generator or vehicle power in clock windows, or a prior load.

    ``from_hour`` to ``to_hour`` are clock hours (0..24) on every day of
    ``days`` (0 = the day of the start; empty = all days); a window may wrap
    midnight.  For ``PRIORITY_LOAD`` ``max_w`` is the load that must be fed.
    """

    id: str
    name: str
    place: str
    kind: SourceKind
    max_w: float
    from_hour: float = 0.0
    to_hour: float = 24.0
    days: tuple[int, ...] = ()
    supply: Supply = Supply.AC
    availability: Availability = Availability()
    sheet: str = ""
    row: int = 0
    origins: tuple[Origin, ...] = ()

    def on_in_hour(self, start: datetime, hour: int) -> bool:
        """True when the whole hour ``hour`` of the window is inside."""
        clock = start + timedelta(hours=hour)
        day = (clock.date() - start.date()).days
        begins = clock.hour + clock.minute / 60
        ends = begins + 1
        if self.from_hour <= self.to_hour:
            inside = self.from_hour <= begins and ends <= self.to_hour
            anchor = day
        else:
            late = begins >= self.from_hour
            inside = late or ends <= self.to_hour
            anchor = day if late else day - 1
        if not inside:
            return False
        if self.days and anchor not in self.days:
            return False
        ready, back = self.availability.ready_h, self.availability.back_h
        return hour >= ready and (back is None or hour < back)


class SunCase(StrEnum):
    """How much sun the plan counts on (R9)."""

    NONE = "none"
    POOR = "poor"
    MEAN = "mean"


Equipment = ColdUnit | Battery | Panel | Source
"""Anything that is here or can be borrowed."""


class Segregation(StrEnum):
    """How feeds and medicines are kept apart (R4)."""

    UNITS = "separate units"
    TUBS = "separate tubs"


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditions:
    """The window and what the day is like.

    ``peak_sun_hours`` (kWh/m2 a day of the mean day, in the panel's plane),
    when given, replaces the clear-sky day at ``latitude``/``longitude``.
    ``sky_factor`` is mean day over clear day; ``poor_share`` is the poor
    case over the mean case.  ``reserve_share`` is of usable capacity.
    ``swap_hours`` are clock hours at which someone can move plugs.
    """

    start: datetime
    window_h: int = 72
    latitude: float | None = None
    longitude: float | None = None
    utc_offset_h: float = 0.0
    peak_sun_hours: float | None = None
    sky_factor: float = 0.7
    poor_share: float = 0.5
    sun_case: SunCase = SunCase.POOR
    reserve_share: float = 0.1
    ice_kg_day: float = 0.0
    segregation: Segregation = Segregation.UNITS
    swap_hours: tuple[int, ...] = (8, 20)
    origins: tuple[Origin, ...] = ()

    def clock(self, hour: float) -> datetime:
        """Clock time ``hour`` hours after the start."""
        return self.start + timedelta(hours=hour)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scenario:
    """All that a plan is made from.

    ``rows_in`` counts the non-empty intake rows read; each is either in
    ``lines`` or in ``held_rows`` (row number, reason code, raw text).
    """

    lines: tuple[Line, ...]
    places: tuple[Place, ...]
    units: tuple[ColdUnit, ...]
    batteries: tuple[Battery, ...]
    panels: tuple[Panel, ...]
    sources: tuple[Source, ...]
    conditions: Conditions
    held_rows: tuple["HeldRow", ...] = ()
    rows_in: int = 0

    @property
    def equipment(self) -> tuple["Equipment", ...]:
        """Units, batteries, panels and sources, here or on offer."""
        return (*self.units, *self.batteries, *self.panels, *self.sources)

    @property
    def waiting_rows(self) -> tuple["HeldRow", ...]:
        """Held rows that wait in review: not planned, and not left out."""
        return tuple(row for row in self.held_rows if not row.left_out)

    def place(self, name: str) -> Place:
        """Look up a place; raises ``KeyError`` when there is none."""
        for place in self.places:
            if place.name == name:
                return place
        raise KeyError(name)


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldRow:
    """An intake row that is not planned, and why.

    ``left_out`` is True for rows that are no items (totals, blank names),
    False for rows that wait in review.  ``code`` is that of the reason,
    ``who`` the code of the person, where other rows of theirs are planned.
    """

    sheet: str
    row: int
    code: str
    text: str
    left_out: bool = False
    who: str = ""
