"""Nouns of the outcome: what goes where, what powers it, and who is short.

Hours are counted from the window's start; ``from_h`` is inclusive, ``to_h``
exclusive.  Clock times are made at the edge, in ``output`` and ``screens``.
"""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from planner.result_borrow import NO_MORE, BorrowMore
from planner.result_borrow import LoanStep as LoanStep
from planner.result_borrow import TierGain as TierGain
from planner.result_moves import Carry, Setting
from planner.result_reasons import Change
from planner.scenario import Origin, Scenario, StockClass, SunCase, Tier


class PlanStatus(StrEnum):
    """How good the plan is known to be."""

    PROVEN = "proven best"
    UNPROVEN = "good, not proven best"
    NO_PLAN = "stopped without a plan"
    NOTHING_TO_PLAN = "nothing to plan"


class ReasonFamily(StrEnum):
    """The family of rules that leaves a line short."""

    BAND = "band"
    REACH = "reach"
    VOLUME = "volume"
    POWER = "power"
    SEGREGATION = "segregation"
    CUSTODY = "custody"
    ACCESS = "access"
    ICE = "ice"
    READY = "ready time"
    DATA = "data"


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """A planned part of a line: its bags of one tier.

    ``surplus`` is True for stock beyond the window's need.
    ``allowance_h`` is the label allowance left at today's room temperature
    (``None`` = unknown, read as none); ``safe_until`` the same as a clock.
    """

    line_id: str
    tier: Tier
    count: int
    surplus: bool
    allowance_h: float | None
    safe_until: datetime | None
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitUse:
    """A unit that is switched on, and how it is set.

    ``set_points_c`` and ``stock_classes`` have one entry a zone; a class of
    ``None`` means the zone is empty or mixed in tubs.  ``warm_fill`` is the
    share of the usable volume that may be loaded warm (pull-down, R8).
    """

    unit_id: str
    set_points_c: tuple[float, ...]
    stock_classes: tuple[StockClass | None, ...]
    warm_fill: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """``count`` bags of a line in one zone of a unit."""

    line_id: str
    unit_id: str
    zone: int
    count: int
    tier: Tier
    surplus: bool
    why: str = ""


class Link(StrEnum):
    """Kinds of connection."""

    PANEL_TO_BATTERY = "panel to battery"
    BATTERY_TO_UNIT = "battery to unit"
    SOURCE_TO_UNIT = "source to unit"
    SOURCE_TO_BATTERY = "source to battery"


class PortType(StrEnum):
    """Which socket a plug goes into."""

    DC_12V = "12V port"
    AC = "AC outlet"
    SOLAR = "solar input"
    CHARGER = "charger"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hookup:
    """One plug in one socket from ``from_h`` to ``to_h``.

    ``port_number`` counts from 1 within the feeder's sockets of that type.
    ``to_id`` may also be a priority load's id.
    """

    link: Link
    from_id: str
    to_id: str
    port: PortType
    port_number: int
    place: str
    from_h: int
    to_h: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Shortfall:
    """``count`` bags that the plan cannot keep cold long enough.

    Each of ``changes`` would by itself place bags of the line with everybody
    else keeping theirs; the first belongs to the reason.
    """

    line_id: str
    tier: Tier
    count: int
    surplus: bool
    reason: ReasonFamily
    detail: str
    safe_until: datetime | None
    next_step: str
    changes: tuple[Change, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class WarmClock:
    """``count`` bags kept at room temperature until a written clock time."""

    line_id: str
    count: int
    until: datetime | None
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TierResult:
    """What one tier needed, what it got, and the proven ceiling.

    ``bound`` and ``household_bound`` are upper limits proven by the solver.
    """

    tier: Tier
    households: int
    households_met: int
    household_bound: int
    needed: int
    met: int
    bound: int
    warm: int
    short: int
    surplus: int
    surplus_met: int

    @property
    def proven(self) -> bool:
        """True when nothing better exists under the rules."""
        return self.met >= self.bound and self.households_met >= self.household_bound


SHORTER_PLAN = "shorter plan"
"""Subject of the finding that an idle unit could run for part of the window."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """Something the check room saw: a broken rule or a warning.

    ``rule`` is "R1".."R12", or "" for bookkeeping; a ``fatal`` finding
    means that the plan is refused.
    """

    rule: str
    fatal: bool
    subject: str
    message: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BatteryTrace:
    """Hourly account of one battery; charge is at the hour's end.

    ``load_wh`` is taken out of the cells, ``harvest_wh`` arrives at the
    input before losses, ``charge_wh`` is the stored energy.
    """

    battery_id: str
    load_wh: tuple[float, ...]
    harvest_wh: tuple[float, ...]
    charge_wh: tuple[float, ...]
    floor_wh: float
    full_wh: float
    start_wh: float


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitEndurance:
    """When a unit goes dark under one sun case.

    ``dark_from_h`` is the first hour it is not fed, ``None`` = holds to the
    end of the window; ``held_h`` counts fed hours.
    """

    unit_id: str
    sun_case: SunCase
    dark_from_h: int | None
    held_h: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Cooling:
    """When a unit that is on is expected cold, with what goes in warm.

    ``cold_h`` is the first hour at which it is, 0 where it is cold from the
    start; ``None`` where it is not before the window ends.
    """

    unit_id: str
    cold_h: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Replay:
    """Hour-by-hour account made by the check room.

    ``loads`` has the life-support loads, with the hours in which each is needed.
    """

    sun_case: SunCase
    batteries: tuple[BatteryTrace, ...]
    unit_load_wh: tuple[tuple[str, tuple[float, ...]], ...]
    endurance: tuple[UnitEndurance, ...]
    loads: tuple[UnitEndurance, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RowAccount:
    """Where every bag of one intake row ended.

    ``placed + warm + short + with_person + review == quantity`` always.
    """

    sheet: str
    row: int
    line_id: str
    quantity: int
    placed: int
    warm: int
    short: int
    with_person: int
    review: int
    outcome: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Changeover:
    """What is set and plugged anew between the plan in force and the next one.

    ``pulled`` and ``put_in`` are the plugs that change at the start, ``later_h`` the
    hours at which a plug of the new plan changes over after that, one entry a plug;
    ``later_before`` counts those that the plan in force still has until
    ``before_until``: its own end, or that of the new plan where this is sooner.
    """

    settings: tuple[Setting, ...] = ()
    pulled: tuple[Hookup, ...] = ()
    put_in: tuple[Hookup, ...] = ()
    later_h: tuple[int, ...] = ()
    later_before: int = 0
    before_until: datetime | None = None

    @property
    def at_start(self) -> bool:
        """True when something is set or plugged anew at the start."""
        return bool(self.settings or self.pulled or self.put_in)


NO_CHANGEOVER = Changeover()


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """The whole answer, checked.

    ``moves`` and ``changeover`` lead from the plan in force to this one; a
    fresh plan has none.
    ``borrow`` is what stands beside the list of loans, ``cooling`` when each
    unit gets cold.
    """

    scenario: Scenario
    status: PlanStatus
    demands: tuple[Demand, ...]
    units_on: tuple[UnitUse, ...]
    placements: tuple[Placement, ...]
    hookups: tuple[Hookup, ...]
    warm_clocks: tuple[WarmClock, ...]
    shortfalls: tuple[Shortfall, ...]
    tiers: tuple[TierResult, ...]
    replays: tuple[Replay, ...]
    findings: tuple[Finding, ...]
    loans: tuple[LoanStep, ...]
    accounts: tuple[RowAccount, ...]
    assumptions: tuple[Origin, ...]
    moves: tuple[Carry, ...] = ()
    changeover: Changeover = NO_CHANGEOVER
    borrow: BorrowMore = NO_MORE
    cooling: tuple[Cooling, ...] = ()
