"""Ids and shapes: what must hold before any rule can look at a plan.

A claim is reduced to its sound parts, so that one unknown id does not hide
what else is wrong.
"""

from collections import Counter
from collections.abc import Iterator

from planner.check.ground import Claim, Ground, broken, fits_link
from planner.result import Finding, Hookup, Placement, UnitUse
from planner.scenario import Scenario


def check_scenario(scenario: Scenario) -> tuple[Finding, ...]:
    """Check that ids are used once and that every named place exists."""
    found = []
    for kind, ids in _ids(scenario):
        for name, count in Counter(ids).items():
            if count > 1:
                text = f"{kind} id {name!r} is used {count} times"
                found.append(broken("", name, text))
    places = {place.name for place in scenario.places}
    for line in scenario.lines:
        if line.place not in places:
            text = f"{line.code} stays at {line.place!r}, which is no known place"
            found.append(broken("", line.id, text))
    stands = [(unit.id, unit.name, unit.place) for unit in scenario.units]
    stands += [(b.id, b.name, b.place) for b in scenario.batteries if b.place]
    stands += [(p.id, p.name, p.place) for p in scenario.panels if p.place]
    stands += [(s.id, s.name, s.place) for s in scenario.sources if s.place]
    for thing_id, title, place in stands:
        if place not in places:
            text = f"{title} stands at {place!r}, which is no known place"
            found.append(broken("", thing_id, text))
    return tuple(found)


def sound_parts(ground: Ground, claim: Claim) -> tuple[tuple[Finding, ...], Claim]:
    """Split a claim into what is wrong with its ids and shapes, and the rest.

    Returns
    -------
    tuple
        Fatal findings, and the claim with only the parts that are sound.
    """
    found: list[Finding] = []
    uses: dict[str, UnitUse] = {}
    for use in claim.units_on:
        faults = list(_use_faults(ground, use, uses))
        found += faults
        if not faults:
            uses[use.unit_id] = use
    placements = []
    for put in claim.placements:
        faults = list(_put_faults(ground, put, uses))
        found += faults
        if not faults:
            placements.append(put)
    hookups = []
    for plug in claim.hookups:
        faults = list(_plug_faults(ground, plug))
        found += faults
        if not faults:
            hookups.append(plug)
    counted = [(demand.line_id, demand.count) for demand in claim.demands]
    counted += [(clock.line_id, clock.count) for clock in claim.warm_clocks]
    counted += [(short.line_id, short.count) for short in claim.shortfalls]
    for line_id, count in counted:
        if line_id not in ground.lines:
            found.append(broken("", line_id, f"no line {line_id!r}"))
        elif count <= 0:
            text = f"{count} bags of {ground.lines[line_id].code}"
            found.append(broken("", line_id, text))
    return tuple(found), Claim(
        demands=tuple(d for d in claim.demands if d.line_id in ground.lines),
        units_on=tuple(uses.values()),
        placements=tuple(placements),
        hookups=tuple(hookups),
        warm_clocks=tuple(w for w in claim.warm_clocks if w.line_id in ground.lines),
        shortfalls=tuple(s for s in claim.shortfalls if s.line_id in ground.lines),
        accounts=claim.accounts,
    )


def _ids(scenario: Scenario) -> tuple[tuple[str, list[str]], ...]:
    equipment = [unit.id for unit in scenario.units]
    equipment += [battery.id for battery in scenario.batteries]
    equipment += [panel.id for panel in scenario.panels]
    equipment += [source.id for source in scenario.sources]
    return (
        ("line", [line.id for line in scenario.lines]),
        ("equipment", equipment),
        ("place", [place.name for place in scenario.places]),
    )


def _use_faults(
    ground: Ground, use: UnitUse, uses: dict[str, UnitUse]
) -> Iterator[Finding]:
    if use.unit_id not in ground.units:
        yield broken("", use.unit_id, f"no unit {use.unit_id!r}")
        return
    unit = ground.units[use.unit_id]
    if use.unit_id in uses:
        yield broken("", unit.id, f"{unit.name} is switched on twice")
    if unit.place not in ground.rooms:
        yield broken("", unit.id, f"{unit.name} stands at no known place")
    zones = len(unit.zone_shares)
    if len(use.set_points_c) != zones or len(use.stock_classes) != zones:
        text = f"{unit.name} has {zones} zones, its settings are for another number"
        yield broken("", unit.id, text)


def _put_faults(
    ground: Ground, put: Placement, uses: dict[str, UnitUse]
) -> Iterator[Finding]:
    if put.line_id not in ground.lines:
        yield broken("", put.line_id, f"no line {put.line_id!r}")
        return
    code = ground.lines[put.line_id].code
    if put.count <= 0:
        yield broken("", put.line_id, f"{put.count} bags of {code} are placed")
    if put.unit_id not in ground.units:
        yield broken("", put.unit_id, f"{code} is put in no known unit {put.unit_id!r}")
        return
    unit = ground.units[put.unit_id]
    if put.unit_id not in uses:
        yield broken("", unit.id, f"{code} is put in {unit.name}, which is not on")
    if not 0 <= put.zone < len(unit.zone_shares):
        yield broken("", unit.id, f"{code} is put in no zone of {unit.name}")


def _plug_faults(ground: Ground, plug: Hookup) -> Iterator[Finding]:
    ends = f"{plug.from_id} to {plug.to_id}"
    known = {*ground.units, *ground.batteries, *ground.panels, *ground.sources}
    strangers = [end for end in (plug.from_id, plug.to_id) if end not in known]
    for end in strangers:
        yield broken("", end, f"{ends}: no equipment {end!r}")
    if not strangers and not fits_link(ground, plug):
        text = f"{ends}: these two are not joined as {plug.link.value}"
        yield broken("R7", plug.to_id, text)
    if plug.place not in ground.rooms:
        yield broken("", plug.to_id, f"{ends}: no place {plug.place!r}")
    if not 0 <= plug.from_h < plug.to_h <= ground.window_h:
        text = f"{ends}: hours {plug.from_h} to {plug.to_h} are not in the window"
        yield broken("R7", plug.to_id, text)
    if plug.port_number < 1:
        yield broken("R7", plug.to_id, f"{ends}: sockets count from 1")
