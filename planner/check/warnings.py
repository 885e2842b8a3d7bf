"""What to know about a plan that holds: thin margins and unproven numbers."""

from collections.abc import Iterator

from planner.check import words
from planner.check.case import Case
from planner.check.ground import SMALL, warning
from planner.check.idle_units import warn_idle_units
from planner.check.rules_goods import chest_ice_kg
from planner.check.rules_loans import waiting
from planner.physics import profiles
from planner.result import Finding, Link
from planner.scenario import Consequence, Gate, Line, UnitType

DUTY_HIGH = 0.8
"""Duty above which a hot afternoon leaves nothing to spare."""
IDLE_HIGH = 0.3
"""Inverter idle over what the loads take, above which 12 V is worth a look."""
COLD_LATE_H = 6
"""Hours of pull-down above which goods should start out cold elsewhere."""
ICE_CLOSE = 0.8
"""Share of the ice supply above which one missed delivery hurts."""
ALLOWANCE_FIELDS = ("warm_hours", "warm_max_c", "clock")
"""Fields of a line that its warm clock is made from."""
SMALL_SHARE = 1e-6


def warnings(case: Case) -> tuple[Finding, ...]:
    """All warnings of a plan, in the order of the rules they belong to."""
    return (
        *warn_duty(case),
        *warn_idle(case),
        *warn_one_chain(case),
        *warn_idle_units(case),
        *warn_cold_late(case),
        *warn_chests(case),
        *warn_allowances(case),
        *warn_use_by(case),
        *warn_provisional(case),
        *warn_not_planned(case),
    )


def warn_duty(case: Case) -> Iterator[Finding]:
    """Units that run most of the time in the warmest hour (R2)."""
    for use, unit in zip(case.claim.units_on, case.units_used(), strict=True):
        reach = profiles.reach(unit, use.set_points_c, case.ground.rooms[unit.place])
        always = unit.kind in (UnitType.THERMOELECTRIC, UnitType.ABSORPTION)
        if reach.ok and not always and reach.peak_duty > DUTY_HIGH + SMALL_SHARE:
            share = f"{reach.peak_duty * 100:.0f} %"
            text = (
                f"{unit.name} runs {share} of the warmest hour: keep it shut and shaded"
            )
            yield warning("R2", unit.id, text)


def warn_idle(case: Case) -> Iterator[Finding]:
    """Batteries whose inverter takes a large part by itself (R7)."""
    for battery_id, cell in case.planned.cells.items():
        idle_wh = sum(cell.idle_wh)
        used_wh = sum(cell.load_wh) - idle_wh
        if idle_wh > IDLE_HIGH * used_wh + SMALL:
            text = (
                f"the inverter of {cell.battery.name} takes {idle_wh:.0f} Wh by itself"
                f" beside {used_wh:.0f} Wh of use: a smaller inverter, or 12 V where"
                " that fits, would save it"
            )
            yield warning("R7", battery_id, text)


def warn_one_chain(case: Case) -> Iterator[Finding]:
    """Life-critical stock that one failure would leave warm (R7)."""
    chains = _chains(case)
    bags: dict[str, int] = {}
    for put in case.claim.placements:
        if case.ground.lines[put.line_id].consequence is Consequence.LIFE:
            chain = chains[put.unit_id]
            bags[chain] = bags.get(chain, 0) + put.count
    if len(bags) == 1 and sum(bags.values()) > 1:
        count = sum(bags.values())
        names = sorted({case.name(one) for one, to in chains.items() if to in bags})
        text = (
            f"all {count} life-critical bags hang on one chain ({', '.join(names)}):"
            " one fault leaves all of them warm"
        )
        yield warning("R7", next(iter(bags)), text)


def warn_cold_late(case: Case) -> Iterator[Finding]:
    """Units that take long to get cold with what goes in warm (R8)."""
    for use, unit in zip(case.claim.units_on, case.units_used(), strict=True):
        room_c = case.ground.rooms[unit.place]
        late_h = profiles.cold_after_h(unit, use.set_points_c, room_c, use.warm_fill)
        if late_h > COLD_LATE_H:
            cond = case.ground.conditions
            at_h = min(unit.availability.ready_h + late_h, cond.window_h)
            not_done = at_h == cond.window_h
            when = "the end of the window" if not_done else words.clock(cond, at_h)
            text = f"{unit.name} is cold only after {late_h} h, at {when}"
            yield warning("R8", unit.id, text)


def warn_chests(case: Case) -> Iterator[Finding]:
    """Ice chests in use, and an ice supply that is nearly used up (R10)."""
    melts = chest_ice_kg(case)
    for unit_id, ice_kg in melts.items():
        unit = case.ground.units[unit_id]
        care = "packs conditioned, barrier and thermometer in place"
        if not unit.conditioned:
            care = "frozen packs freeze what they touch"
        text = f"{unit.name} needs {ice_kg:.1f} kg of ice a day; {care}; read it often"
        yield warning("R10", unit_id, text)
    supply_kg = case.ground.conditions.ice_kg_day
    if sum(melts.values()) > ICE_CLOSE * supply_kg + SMALL:
        text = (
            f"chests use {sum(melts.values()):.1f} of {supply_kg:.1f} kg of ice a day"
        )
        yield warning("R10", "ice", text)


def warn_allowances(case: Case) -> Iterator[Finding]:
    """Warm clocks that stand on values nobody confirmed (R11)."""
    used = [clock.line_id for clock in case.claim.warm_clocks]
    used += [put.line_id for put, _, _ in waiting(case)]
    used += [s.line_id for s in case.claim.shortfalls if s.safe_until is not None]
    for line_id in dict.fromkeys(used):
        line = case.ground.lines[line_id]
        for name in _unconfirmed(line):
            text = f"{line.code}: {name}: check the label or ask a pharmacist"
            yield warning("R11", line_id, text)


def warn_use_by(case: Case) -> Iterator[Finding]:
    """Thawed lines without a use-by clock, and clocks that have run out (R12)."""
    for line in _placed_lines(case):
        if line.thawed and line.keep_by is None:
            text = f"{line.code} has thawed and has no use-by time: write one on it"
            yield warning("R12", line.id, text)
        if line.keep_by is not None and line.keep_by <= case.ground.conditions.start:
            at = words.moment(case.ground.conditions, line.keep_by)
            text = f"{line.code} is past its keep-by time of {at}: ask before any use"
            yield warning("R12", line.id, text)


def warn_provisional(case: Case) -> Iterator[Finding]:
    """Lines placed on trust while their row waits in review."""
    for line in _placed_lines(case):
        if line.provisional:
            text = f"{line.code} has a place but its row still waits in review"
            yield warning("", line.id, text)


def warn_not_planned(case: Case) -> Iterator[Finding]:
    """Rows of the list that are in no line of the plan."""
    held = case.ground.scenario.waiting_rows
    if held:
        rows = "row" if len(held) == 1 else "rows"
        are = "is" if len(held) == 1 else "are"
        text = f"{len(held)} {rows} of the list {are} not planned: ask now"
        yield warning("", "list", text)


def _placed_lines(case: Case) -> list[Line]:
    ids = dict.fromkeys(put.line_id for put in case.claim.placements)
    lines = [case.ground.lines[line_id] for line_id in ids]
    return [line for line in lines if line.gate is Gate.POOL]


def _unconfirmed(line: Line) -> Iterator[str]:
    for origin in line.origins:
        if origin.field in ALLOWANCE_FIELDS and not origin.flag.confirmed:
            yield f"allowance used is not confirmed ({origin.flag.value})"
            return


def _chains(case: Case) -> dict[str, str]:
    """For each unit and feeder in use, the name of its chain."""
    chain = {use.unit_id: use.unit_id for use in case.claim.units_on}
    for plug in case.claim.hookups:
        # Sharing what only charges is no shared fate: each battery still feeds.
        if plug.link in (Link.PANEL_TO_BATTERY, Link.SOURCE_TO_BATTERY):
            continue
        for end in (plug.from_id, plug.to_id):
            chain.setdefault(end, end)
        joined, kept = chain[plug.to_id], chain[plug.from_id]
        chain = {one: kept if to == joined else to for one, to in chain.items()}
    return chain
