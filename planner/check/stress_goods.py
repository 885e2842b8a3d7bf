"""What becomes of the bags when units go dark: how long, where to, what is lost."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta

from planner.check.rules_loans import HOT_SLACK_C
from planner.check.stress_rehouse import rehouse
from planner.check.stress_site import Site, stranded, visits
from planner.physics import profiles
from planner.result import Placement
from planner.result_stress import Move, Outage, Stranded


def warm_from_h(site: Site, put: Placement, dark_h: int) -> float:
    """Hour at which a bag leaves its band in a unit dark from ``dark_h`` on.

    Started from the warm end of what the zone holds, goods only, walls of
    the whole unit shared by volume; infinite when not inside the window.
    """
    ground = site.ground
    unit, use = ground.units[put.unit_id], site.uses[put.unit_id]
    line, room_c = ground.lines[put.line_id], ground.rooms[unit.place]
    held = profiles.held_band(unit, use.set_points_c[put.zone], room_c)
    zone_l = sum(
        other.count * ground.lines[other.line_id].volume_l
        for other in site.placed[put.unit_id]
        if other.zone == put.zone
    )
    return dark_h + profiles.warm_after_h(
        profiles.goods_kg(zone_l),
        unit.ua_w_per_k * unit.zone_shares[put.zone],
        room_c[dark_h:],
        held.high_c,
        line.keep_to_c,
        frozen=line.frozen,
    )


def _all_warm_from_h(
    site: Site, puts: Sequence[Placement], dark: Mapping[str, int]
) -> dict[Placement, float]:
    """Hour at which each placement is warm; one sum for like ones."""
    known: dict[tuple[str, int, float], float] = {}
    found = {}
    for put in puts:
        # Frozen goods are those whose own limit is below freezing.
        like = put.unit_id, put.zone, site.ground.lines[put.line_id].keep_to_c
        if like not in known:
            known[like] = warm_from_h(site, put, dark[put.unit_id])
        found[put] = known[like]
    return found


def allowed_until_h(site: Site, put: Placement, warm_h: float) -> float:
    """Hour until which bags warm from ``warm_h`` on stay in their allowance.

    What is left of the label's time when the window starts, as the audit
    counts it; none where it is not known, and no longer than the keep-by
    date and the first hour in which the room is above the label's maximum.
    """
    line = site.ground.lines[put.line_id]
    left_h = site.allowed_h.get((put.line_id, put.tier, put.surplus), 0.0)
    if line.frozen or line.warm_hours is None or math.isinf(warm_h):
        return warm_h
    until = warm_h + left_h
    start = site.ground.conditions.start
    if line.keep_by is not None:
        until = min(until, (line.keep_by - start) / timedelta(hours=1))
    if line.warm_max_c is not None:
        room_c = site.ground.rooms[site.ground.units[put.unit_id].place]
        for hour in range(int(warm_h), site.ground.window_h):
            if room_c[hour] > line.warm_max_c + HOT_SLACK_C:
                until = min(until, float(hour))
                break
    return max(until, warm_h)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fate:
    """What becomes of the bags of some dark units."""

    outages: tuple[Outage, ...]
    moves: tuple[Move, ...]
    stranded: tuple[Stranded, ...]


def fate(site: Site, dark: Mapping[str, int], cold: Sequence[str]) -> Fate:
    """Follow the bags of units that go dark.

    Parameters
    ----------
    site
        The claim, with its placements.
    dark
        First dark hour of each unit or load without power.  Somebody comes
        at the first visit from then on and carries what is still within its
        allowance.
    cold
        Units that stay cold to the end and can take bags.
    """
    ends = site.ground.window_h
    found = {thing: _found_h(site, thing, hour) for thing, hour in dark.items()}
    puts = [put for unit_id in dark for put in site.placed.get(unit_id, ())]
    warm = _all_warm_from_h(site, puts, dark)
    until = {put: allowed_until_h(site, put, warm[put]) for put in puts}
    when = {}
    for put in puts:
        found_h = found[put.unit_id]
        if found_h is not None and found_h <= until[put]:
            when[put] = found_h
    left = {put: put.count for put in puts}
    moves = rehouse(site, when, cold, until)
    for put, move in moves:
        left[put] -= move.count
    warm_units = {
        unit_id: min(warm[put] for put in puts if put.unit_id == unit_id)
        for unit_id in dict.fromkeys(put.unit_id for put in puts)
    }
    return Fate(
        outages=tuple(
            Outage(
                thing_id=thing_id,
                from_h=from_h,
                life_support=thing_id in site.ground.load_needed,
                found_h=found[thing_id],
                warm_from_h=_inside(warm_units.get(thing_id, math.inf), ends),
            )
            for thing_id, from_h in dark.items()
        ),
        moves=tuple(move for _, move in moves),
        stranded=tuple(
            stranded(put, count, _inside(until[put], ends))
            for put, count in left.items()
            if count
        ),
    )


def _found_h(site: Site, thing_id: str, dark_h: int) -> int | None:
    """First visit from a dark hour on; life support is watched and has none."""
    if thing_id not in site.ground.units:
        return None
    return next((hour for hour in visits(site.ground) if hour >= dark_h), None)


def _inside(hour: float, ends: int) -> float | None:
    return hour if hour < ends else None
