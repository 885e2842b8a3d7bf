"""One thing failing at its worst hour: what goes dark, what moves, what is lost.

Nothing is plugged in elsewhere: what a new plan could save comes on top.
"""

from dataclasses import replace

import numpy as np

from planner.check.ground import Claim, Ground
from planner.check.hours import Run
from planner.check.stress_batch import (
    NEVER_H,
    Variants,
    dark_from_each,
    fed_each,
    planned_sun_w,
)
from planner.check.stress_goods import Fate, fate
from planner.check.stress_site import Site
from planner.check.stress_wiring import Stage, dark_hours, make_stage, plug_over
from planner.result import Link
from planner.result_stress import Failure, Spare
from planner.scenario import Status, Tier

Key = tuple[int, tuple[int, ...], int]
"""Hours of life support lost, bags lost by tier, unit-hours held."""


def failures(site: Site, base: Run) -> tuple[Failure, ...]:
    """Let each thing in use fail at its worst hour, the gravest failure first.

    The worst hour is the one that takes most from life support, then most
    bags of the highest tier, then leaves the fewest unit-hours; the earliest
    of equals.
    """
    found = [
        (key, failure)
        for thing_id in may_fail(site.ground, site.claim)
        for key, failure in [_worst(site, base, thing_id)]
    ]
    # Equals stay in the plan's order: units, batteries, panels, sources.
    found.sort(key=lambda one: _gravest(one[0]))
    return tuple(failure for _, failure in found)


def may_fail(ground: Ground, claim: Claim) -> tuple[str, ...]:
    """Powered units that are on, and what feeds or charges by a plug."""
    on = [u.unit_id for u in claim.units_on if ground.units[u.unit_id].powered]
    ends = [end for plug in claim.hookups for end in (plug.from_id, plug.to_id)]
    feeds = [
        *(battery for battery in ground.batteries if battery in ends),
        *(panel for panel in ground.panels if panel in ends),
        *(
            one
            for one in ground.sources
            if one in ends and one not in ground.load_needed
        ),
    ]
    return (*on, *feeds)


def cut_off(claim: Claim, thing_id: str, at_h: int) -> Claim:
    """Give the claim with every plug of a thing out from an hour on."""
    plugs = []
    for plug in claim.hookups:
        if thing_id not in (plug.from_id, plug.to_id) or plug.to_h <= at_h:
            plugs.append(plug)
        elif plug.from_h < at_h:
            plugs.append(replace(plug, to_h=at_h))
    return replace(claim, hookups=tuple(plugs))


def fail_at(site: Site, base: Run, thing_id: str, at_h: int) -> Failure:
    """Replay the plan with one thing out from ``at_h`` on."""
    stage = make_stage(site, cut_off(site.claim, thing_id, at_h), base.sun_case)
    dark = _darker(dark_hours(site.ground, base), stage.dark_h)
    end = _fate(site, dark, stage.dark_h)
    return Failure(
        thing_id=thing_id,
        at_h=at_h,
        outages=end.outages,
        moves=end.moves,
        stranded=end.stranded,
        spares=_spares(stage, thing_id, dark),
    )


def _spares(stage: Stage, thing_id: str, dark: dict[str, int]) -> tuple[Spare, ...]:
    """Batteries that could take over what goes dark, life support first.

    For each thing the one that feeds it longest without harm to another; of
    equals one that feeds nothing, then the first.
    """
    ground = stage.site.ground
    here = [
        battery.id
        for battery in ground.scenario.batteries
        if battery.id != thing_id and battery.availability.status is Status.HERE
    ]
    spares = []
    for one in sorted(dark, key=lambda thing: (thing in ground.units, dark[thing])):
        # A unit that has failed itself runs on no battery.
        plugs = stage.site.claim.hookups
        busy = {p.from_id for p in plugs if p.link is Link.BATTERY_TO_UNIT}
        order = sorted(here, key=lambda battery: battery in busy)
        tries = [] if one == thing_id else [plug_over(stage, b, one) for b in order]
        found = [done for done in tries if done is not None]
        if not found:
            continue
        plug, stage = max(found, key=lambda done: done[1].dark_h[one])
        until = stage.dark_h[one]
        spares.append(Spare(plug=plug, until_h=None if until == NEVER_H else until))
    return tuple(spares)


def _worst(site: Site, base: Run, thing_id: str) -> tuple[Key, Failure]:
    """Search all hours in arrays, then replay the worst one."""
    ground = site.ground
    hours = np.arange(ground.window_h, dtype=np.int64)
    variants = Variants(
        rows=ground.window_h,
        sun_w=planned_sun_w(ground, site.claim, base.sun_case),
        cut_h={thing_id: hours},
    )
    fed = fed_each(ground, site.claim, base, variants)
    before, each = dark_hours(ground, base), dark_from_each(ground, fed)
    keys = [
        _key(site, before, {thing: int(first[h]) for thing, first in each.items()})
        for h in range(ground.window_h)
    ]
    at_h = min(range(ground.window_h), key=lambda hour: (_gravest(keys[hour]), hour))
    return keys[at_h], fail_at(site, base, thing_id, at_h)


def _key(site: Site, before: dict[str, int], after: dict[str, int]) -> Key:
    ends = site.ground.window_h
    dark = _darker(before, after)
    loads = sum(
        ends - h for thing, h in dark.items() if thing in site.ground.load_needed
    )
    held = sum(
        min(hour, ends) for thing, hour in after.items() if thing in site.ground.units
    )
    end = _fate(site, dark, after)
    lost = dict.fromkeys(Tier, 0)
    for one in end.stranded:
        if one.lost:
            lost[one.rank] += one.count
    return loads, tuple(lost.values()), held


def _gravest(key: Key) -> Key:
    """Sort key that puts the gravest first."""
    loads, lost, held = key
    return -loads, tuple(-count for count in lost), held


def _darker(before: dict[str, int], after: dict[str, int]) -> dict[str, int]:
    """Things that go dark earlier than they would have, with the hour."""
    return {thing: hour for thing, hour in after.items() if hour < before[thing]}


def _fate(site: Site, dark: dict[str, int], after: dict[str, int]) -> Fate:
    cold = tuple(
        use.unit_id
        for use in site.claim.units_on
        if after.get(use.unit_id, NEVER_H) == NEVER_H
    )
    return fate(site, dark, cold)
