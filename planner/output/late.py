"""Bags whose allowance ends before their unit is expected cold: somebody has to ask."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from planner.output.index import Index
from planner.result import Placement
from planner.scenario import Line, Tier


@dataclass(frozen=True, slots=True, kw_only=True)
class Late:
    """``count`` bags of a line in a unit that is not cold in time for them.

    ``until`` is the end of their allowance, ``None`` not known and read as
    none; ``cold_h`` the hour at which the unit is expected cold, ``None``
    not before the plan ends.
    """

    line: Line
    unit_id: str
    count: int
    tier: Tier
    until: datetime | None
    cold_h: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LateGroup:
    """Such bags of one tier in one unit: codes with their bags.

    ``until`` is the first end of their allowances, ``None`` not known; ``cold_h``
    as for one line.
    """

    unit_id: str
    tier: Tier
    cold_h: int | None
    until: datetime | None
    bags: tuple[tuple[str, int], ...]

    @property
    def count(self) -> int:
        """Bags in all."""
        return sum(count for _, count in self.bags)


def late_bags(index: Index, unit_id: str = "") -> tuple[Late, ...]:
    """Such bags of all units or of one, the most urgent first."""
    untils = {
        (one.line_id, one.tier, one.surplus): one.safe_until
        for one in index.plan.demands
    }
    found: dict[tuple[str, str, datetime | None], Late] = {}
    for put in index.plan.placements:
        if unit_id and put.unit_id != unit_id:
            continue
        until = untils.get((put.line_id, put.tier, put.surplus))
        one = _late(index, put, until)
        if one is None:
            continue
        key = (put.line_id, put.unit_id, until)
        before = found.get(key)
        found[key] = one if before is None else _both(before, one)
    return tuple(sorted(found.values(), key=lambda one: _urgency(index, one)))


def late_groups(index: Index) -> tuple[LateGroup, ...]:
    """Such bags unit by unit and tier by tier, the most urgent tier first."""
    found: dict[tuple[Tier, str], list[Late]] = {}
    for one in late_bags(index):
        found.setdefault((one.tier, one.unit_id), []).append(one)
    return tuple(
        LateGroup(
            unit_id=unit_id,
            tier=tier,
            cold_h=some[0].cold_h,
            until=_soonest(some),
            bags=bags_by_code(some),
        )
        for (tier, unit_id), some in sorted(found.items())
    )


def _soonest(some: list[Late]) -> datetime | None:
    """The first end of an allowance; not known comes before all."""
    known = [one.until for one in some if one.until is not None]
    return min(known) if len(known) == len(some) else None


def bags_by_code(some: Iterable[Late]) -> tuple[tuple[str, int], ...]:
    """Codes with their bags, in the order in which they come."""
    counts: dict[str, int] = {}
    for one in some:
        counts[one.line.code] = counts.get(one.line.code, 0) + one.count
    return tuple(counts.items())


def late_count(index: Index) -> int:
    """Bags whose allowance ends before their unit is expected cold."""
    return sum(one.count for one in late_bags(index))


def _late(index: Index, put: Placement, until: datetime | None) -> Late | None:
    cooling = index.cooling(put.unit_id)
    if cooling is None:
        return None
    conditions = index.plan.scenario.conditions
    cold_h = conditions.window_h if cooling.cold_h is None else cooling.cold_h
    if until is not None and until >= conditions.clock(cold_h):
        return None
    return Late(
        line=index.lines[put.line_id],
        unit_id=put.unit_id,
        count=put.count,
        tier=put.tier,
        until=until,
        cold_h=cooling.cold_h,
    )


def _both(one: Late, other: Late) -> Late:
    return Late(
        line=one.line,
        unit_id=one.unit_id,
        count=one.count + other.count,
        tier=min(one.tier, other.tier),
        until=one.until,
        cold_h=one.cold_h,
    )


def _urgency(index: Index, one: Late) -> tuple[str, bool, datetime, int, str]:
    """By tier, not known first, then the soonest clock."""
    known = one.until is not None
    until = one.until or index.start
    return (one.tier.value, known, until, one.line.row, one.unit_id)
