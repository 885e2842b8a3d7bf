"""Plugging one thing over to another battery, within the audit's rules."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from planner.check.case import Case
from planner.check.ground import Claim, Ground
from planner.check.hours import Run, dark_from, run_hours
from planner.check.rules_wiring import (
    SUPPLIES_OF_PORT,
    check_plugs,
    check_sockets,
    check_standing,
    check_watts,
)
from planner.check.stress_batch import NEVER_H
from planner.check.stress_site import Site
from planner.result import Hookup, Link, PortType
from planner.scenario import ColdUnit, Source, SunCase

WIRING_RULES = (check_plugs, check_sockets, check_standing, check_watts)


@dataclass(frozen=True, slots=True)
class Stage:
    """A claim with its run and the first dark hour of everything in it."""

    site: Site
    run: Run
    dark_h: dict[str, int]


def make_stage(site: Site, claim: Claim, case: SunCase) -> Stage:
    """Run a claim on the ground of a site."""
    run = run_hours(site.ground, claim, case)
    return Stage(replace(site, claim=claim), run, dark_hours(site.ground, run))


def dark_hours(ground: Ground, run: Run) -> dict[str, int]:
    """First dark hour of every unit and load of a run; ``NEVER_H`` if none."""
    found = {}
    for thing_id, fed in run.fed.items():
        if thing_id in ground.units:
            hour = dark_from(ground, run, thing_id)
        else:
            needed = enumerate(ground.load_needed[thing_id])
            hour = next((h for h, on in needed if on and not fed[h]), None)
        found[thing_id] = NEVER_H if hour is None else hour
    return found


def plug_over(
    stage: Stage, battery_id: str, thing_id: str
) -> tuple[Hookup, Stage] | None:
    """Plug a unit or load into another battery at the hour at which it goes dark.

    ``None`` where no free socket does under the audit's rules of wiring, where
    it buys no hour, or where something else would go dark earlier by it.
    """
    ground = stage.site.ground
    place, from_h = _thing(ground, thing_id).place, stage.dark_h[thing_id]
    for port, port_number in _sockets(stage, battery_id, thing_id):
        plug = Hookup(
            link=Link.BATTERY_TO_UNIT,
            from_id=battery_id,
            to_id=thing_id,
            port=port,
            port_number=port_number,
            place=place,
            from_h=from_h,
            to_h=ground.window_h,
        )
        after = _with_plug(stage, plug)
        if after is not None:
            return plug, after
    return None


def _with_plug(stage: Stage, plug: Hookup) -> Stage | None:
    hookups = [
        replace(old, to_h=min(old.to_h, plug.from_h))
        if old.to_id == plug.to_id
        else old
        for old in stage.site.claim.hookups
    ]
    kept = (old for old in hookups if old.from_h < old.to_h)
    claim = replace(stage.site.claim, hookups=(*kept, plug))
    after = make_stage(stage.site, claim, stage.run.sun_case)
    if after.dark_h[plug.to_id] <= stage.dark_h[plug.to_id]:
        return None
    if any(after.dark_h[one] < hour for one, hour in stage.dark_h.items()):
        return None
    now, before = _case(after), _case(stage)
    for rule in WIRING_RULES:
        if set(rule(now)) - set(rule(before)):
            return None
    return after


def _case(stage: Stage) -> Case:
    # The run stands for the planned one as well: its limits are the same.
    runs = {SunCase.NONE: stage.run, stage.site.ground.conditions.sun_case: stage.run}
    return Case(ground=stage.site.ground, claim=stage.site.claim, runs=runs)


def within_reach(stage: Stage, battery_id: str, thing_id: str) -> bool:
    """Tell whether a battery can stand beside a thing and has a socket for it."""
    return any(True for _ in _sockets(stage, battery_id, thing_id))


def _sockets(
    stage: Stage, battery_id: str, thing_id: str
) -> Iterator[tuple[PortType, int]]:
    """First socket of each kind that fits and is free from the dark hour on."""
    ground = stage.site.ground
    battery, thing = ground.batteries[battery_id], _thing(ground, thing_id)
    near = battery.movable or battery.place == thing.place
    if thing.place not in ground.rooms or not near:
        return
    taken = {
        (plug.port, plug.port_number)
        for plug in stage.site.claim.hookups
        if plug.from_id == battery_id and plug.to_h > stage.dark_h[thing_id]
    }
    kinds = ((PortType.DC_12V, battery.ports_12v), (PortType.AC, battery.outlets_ac))
    for port, count in kinds:
        free = [n for n in range(1, count + 1) if (port, n) not in taken]
        if free and thing.supply in SUPPLIES_OF_PORT[port]:
            yield port, free[0]


def _thing(ground: Ground, thing_id: str) -> ColdUnit | Source:
    return ground.units.get(thing_id) or ground.sources[thing_id]
