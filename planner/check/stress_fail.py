"""One thing failing at its worst hour: what goes dark, what moves, what is lost.

Nothing is plugged in elsewhere: what a new plan could save comes on top.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

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
from planner.check.stress_wiring import (
    Stage,
    dark_hours,
    make_stage,
    plug_over,
    within_reach,
)
from planner.result import Hookup, Link
from planner.result_stress import Failure, Spare
from planner.scenario import Status, Tier

AT_ONCE = 40
"""Things whose failures are tried at a time, to keep the arrays small."""
TRIES = 3
"""Batteries tried for each thing that goes dark, so that the answer comes soon."""
Key = tuple[int, tuple[int, ...], int]
"""Hours of life support lost, bags lost by tier, unit-hours held."""


def failures(site: Site, base: Run) -> tuple[Failure, ...]:
    """Let each thing in use fail at its worst hour, the gravest failure first.

    The worst hour is the one that takes most from life support, then most
    bags of the highest tier, then leaves the fewest unit-hours; the earliest
    of equals.
    """
    found = []
    things = may_fail(site.ground, site.claim)
    search = _Search(site, base)
    for first in range(0, len(things), AT_ONCE):
        some = things[first : first + AT_ONCE]
        for thing_id, (key, at_h) in zip(some, search.worst(some), strict=True):
            found.append((key, fail_at(site, base, thing_id, at_h)))
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

    For each thing the one that feeds it longest without harm to another, of
    a few that promise most; of equals one that feeds nothing, then the first.
    """
    ground = stage.site.ground
    spares = []
    for one in sorted(dark, key=lambda thing: (thing in ground.units, dark[thing])):
        if one == thing_id:
            continue  # a unit that has failed itself runs on no battery
        best = _longest(stage, one, _promising(stage, one, thing_id))
        if best is not None:
            plug, stage = best
            until = stage.dark_h[one]
            spares.append(Spare(plug=plug, until_h=None if until == NEVER_H else until))
    return tuple(spares)


def _promising(stage: Stage, dark_id: str, failed_id: str) -> list[str]:
    """Batteries to try: idle ones, then those with most charge left at the end."""
    site = stage.site
    busy = {p.from_id for p in site.claim.hookups if p.link is Link.BATTERY_TO_UNIT}

    def promise(battery_id: str) -> tuple[bool, float]:
        cell = stage.run.cells[battery_id]
        return battery_id in busy, cell.floor_wh - cell.charge_wh[-1]

    here = [
        battery.id
        for battery in site.ground.scenario.batteries
        if battery.id != failed_id
        and battery.availability.status is Status.HERE
        and within_reach(stage, battery.id, dark_id)
    ]
    return sorted(here, key=promise)[:TRIES]


def _longest(
    stage: Stage, dark_id: str, batteries: list[str]
) -> tuple[Hookup, Stage] | None:
    best: tuple[Hookup, Stage] | None = None
    for battery_id in batteries:
        done = plug_over(stage, battery_id, dark_id)
        if done is None:
            continue
        if best is None or done[1].dark_h[dark_id] > best[1].dark_h[dark_id]:
            best = done
        if best[1].dark_h[dark_id] == NEVER_H:
            break
    return best


class _Search:
    """Tries every hour of many failures in arrays; like ends are judged once."""

    def __init__(self, site: Site, base: Run) -> None:
        self._site, self._base = site, base
        self._before = dark_hours(site.ground, base)
        self._sun_w = planned_sun_w(site.ground, site.claim, base.sun_case)
        self._known: dict[tuple[tuple[str, int], ...], Key] = {}

    def worst(self, things: tuple[str, ...]) -> list[tuple[Key, int]]:
        """Give the key and the hour of the worst failure of each thing."""
        ground, hours = self._site.ground, self._site.ground.window_h
        rows = len(things) * hours
        cut_h = {}
        for number, thing_id in enumerate(things):
            cut_h[thing_id] = np.full(rows, NEVER_H, dtype=np.int64)
            cut_h[thing_id][number * hours : (number + 1) * hours] = np.arange(hours)
        variants = Variants(rows=rows, sun_w=self._sun_w, cut_h=cut_h)
        fed = fed_each(ground, self._site.claim, self._base, variants)
        each = dark_from_each(ground, fed)
        keys = [self._key(each, row) for row in range(rows)]
        found = []
        for number in range(len(things)):
            own = keys[number * hours : (number + 1) * hours]
            at_h = min(range(hours), key=lambda hour: (_gravest(own[hour]), hour))
            found.append((own[at_h], at_h))
        return found

    def _key(self, each: dict[str, NDArray[np.int64]], row: int) -> Key:
        after = {thing_id: int(first[row]) for thing_id, first in each.items()}
        like = tuple(after.items())
        if like not in self._known:
            self._known[like] = _key(self._site, self._before, after)
        return self._known[like]


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
            lost[one.tier] += one.count
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
