"""The load-shed ladder: what to switch off, in which order, when power is short.

Everything is replayed without any sun, from the start of the window on.
"""

from dataclasses import replace

from planner.check.ground import Claim
from planner.check.hours import Run
from planner.check.stress_batch import NEVER_H
from planner.check.stress_rehouse import after_moves, rehouse
from planner.check.stress_site import Site, stranded, with_placements
from planner.check.stress_wiring import Stage, make_stage, plug_over
from planner.result import Hookup, Link
from planner.result_stress import Gained, Later, ShedStep
from planner.scenario import SunCase, Tier

_PARTS = 5
"""The time until something goes dark is looked at in so many parts."""


def ladder(site: Site) -> tuple[ShedStep, ...]:
    """Switch off one unit after another while that buys hours for the rest.

    The order is fixed at the start: fewest bags of tier A a watt-hour first,
    then of B, and so on; life support is never switched off, nor the last
    unit.  A unit whose watt-hours help no other stays on.  A battery that fed
    it takes over life support, else the unit that comes last in the order, if
    that goes dark, at the hour at which it would, where the audit's rules of
    wiring allow it and nothing else goes dark earlier by it.
    """
    stage = make_stage(site, site.claim, SunCase.NONE)
    order = shed_order(site, stage.run)
    # Life support stands behind the last unit: it is helped before any.
    on = [*order, *_loads(site)]
    steps: list[ShedStep] = []
    for unit_id in order[:-1]:
        if all(stage.dark_h[one] == NEVER_H for one in on):
            break
        left_on = tuple(one for one in on if one != unit_id)
        step, after = _step(stage, len(steps) + 1, unit_id, left_on)
        if any(gained.before_h != gained.after_h for gained in step.hours):
            steps.append(replace(step, later=_later(stage, step, left_on)))
            stage, on = after, list(left_on)
    return tuple(steps)


def shed_order(site: Site, run: Run) -> tuple[str, ...]:
    """Units that batteries feed, the first to switch off first."""
    fed = {p.to_id for p in site.claim.hookups if p.link is Link.BATTERY_TO_UNIT}
    units = [use.unit_id for use in site.claim.units_on if use.unit_id in fed]
    return tuple(sorted(units, key=lambda one: (_worth(site, run, one), one)))


def _loads(site: Site) -> tuple[str, ...]:
    """Life-support loads that batteries feed."""
    fed = [p.to_id for p in site.claim.hookups if p.link is Link.BATTERY_TO_UNIT]
    return tuple(one for one in site.ground.load_needed if one in fed)


def _worth(site: Site, run: Run, unit_id: str) -> tuple[float, ...]:
    """Bags a watt-hour, the highest tier first."""
    bags = dict.fromkeys(Tier, 0)
    for put in site.placed[unit_id]:
        bags[put.tier] += put.count
    energy_wh = max(_energy_wh(run, unit_id), 1e-9)
    return tuple(count / energy_wh for count in bags.values())


def _energy_wh(run: Run, unit_id: str) -> float:
    return sum(run.wanted_w[unit_id])


def _step(
    stage: Stage, rank: int, unit_id: str, left_on: tuple[str, ...]
) -> tuple[ShedStep, Stage]:
    """Switch one unit off; its bags move at once where there is room."""
    site = stage.site
    without = _off(site.claim, unit_id)
    puts = site.placed[unit_id]
    receivers = [use.unit_id for use in without.units_on]
    moves = rehouse(site, dict.fromkeys(puts, 0), receivers, dict.fromkeys(puts, 0.0))
    moved = tuple(move for _, move in moves)
    gone = {put: sum(m.count for p, m in moves if p == put) for put in puts}
    carried = after_moves(replace(without, placements=site.claim.placements), moved)
    kept = tuple(put for put in carried.placements if put.unit_id != unit_id)
    left = with_placements(site, replace(carried, placements=kept))
    after = make_stage(left, left.claim, SunCase.NONE)
    handovers = []
    for battery_id in _fed_by(site.claim, unit_id):
        found = _hand_over(after, battery_id, left_on)
        if found is not None:
            plug, after = found
            handovers.append(plug)
    step = ShedStep(
        rank=rank,
        unit_id=unit_id,
        energy_wh=_energy_wh(stage.run, unit_id),
        moves=moved,
        stranded=tuple(
            stranded(put, put.count - gone[put], 0.0)
            for put in puts
            if put.count > gone[put]
        ),
        handovers=tuple(handovers),
        hours=tuple(
            Gained(
                thing_id=one,
                before_h=_hour(stage.dark_h[one]),
                after_h=_hour(after.dark_h[one]),
            )
            for one in left_on
        ),
    )
    return step, after


def _later(stage: Stage, step: ShedStep, left_on: tuple[str, ...]) -> tuple[Later, ...]:
    """What a step saves at up to four hours before anything it helps is dark."""
    ends_h = stage.site.ground.window_h
    last_h = min(one.before_h or 0 for one in step.hours if one.before_h != one.after_h)
    hours = dict.fromkeys(round(last_h * part / _PARTS) for part in range(1, _PARTS))
    found = []
    for at_h in (one for one in hours if 0 < one < last_h):
        claim = _off_from(stage.site.claim, step.unit_id, at_h)
        after = make_stage(stage.site, claim, SunCase.NONE)
        for battery_id in _fed_by(stage.site.claim, step.unit_id):
            over = _hand_over(after, battery_id, left_on)
            after = after if over is None else over[1]
        saved_h = sum(
            min(after.dark_h[one], ends_h) - min(stage.dark_h[one], ends_h)
            for one in left_on
        )
        found.append(Later(at_h=at_h, saved_h=saved_h))
    return tuple(found)


def _off_from(claim: Claim, unit_id: str, at_h: int) -> Claim:
    """The claim with a unit's plugs pulled at an hour."""
    cut = (
        replace(plug, to_h=min(plug.to_h, at_h)) if plug.to_id == unit_id else plug
        for plug in claim.hookups
    )
    return replace(claim, hookups=tuple(p for p in cut if p.from_h < p.to_h))


def _off(claim: Claim, unit_id: str) -> Claim:
    return replace(
        claim,
        units_on=tuple(use for use in claim.units_on if use.unit_id != unit_id),
        hookups=tuple(plug for plug in claim.hookups if plug.to_id != unit_id),
    )


def _fed_by(claim: Claim, unit_id: str) -> list[str]:
    """Batteries that feed a unit, in the order of their plugs."""
    plugs = (p for p in claim.hookups if p.link is Link.BATTERY_TO_UNIT)
    return list(dict.fromkeys(p.from_id for p in plugs if p.to_id == unit_id))


def _hand_over(
    stage: Stage, battery_id: str, left_on: tuple[str, ...]
) -> tuple[Hookup, Stage] | None:
    """Plug the most valuable thing that goes dark into a battery with room."""
    for thing_id in reversed(left_on):
        if stage.dark_h[thing_id] == NEVER_H:
            continue
        found = plug_over(stage, battery_id, thing_id)
        if found is not None:
            return found
    return None


def _hour(hour: int) -> int | None:
    return None if hour == NEVER_H else hour
