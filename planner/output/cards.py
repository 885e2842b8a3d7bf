"""The plan as cards for a screen: one unit, one plug, one person short at a time."""

from dataclasses import dataclass

import pandas as pd

from planner.output.index import SUN_CASES, SUN_WORDS, Index, index_plan
from planner.output.tables import Cell, frame, gain_words, until_words, urgency
from planner.output.tables_power import (
    dark_words,
    dial_advice,
    end_words,
    powered_by,
    state_words,
    zone_words,
)
from planner.output.words import band, clean, number, plural
from planner.result import Hookup, LoanStep, Placement, Plan, Shortfall, TierResult
from planner.scenario import ColdUnit, Tier

TIER_WORDS = {
    Tier.A: "missing it endangers life, and it lasts too short without cold",
    Tier.B: "only feed of an infant or tube-fed person",
    Tier.C: "life-critical, but it lasts the window without cold",
    Tier.D: "hard to replace, harm not this week; and extra stock of A to C",
    Tier.E: "replaceable, comfort, pets; and other extra stock",
}
"""What each tier stands for, in a few words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitCard:
    """One unit that is on: what to do with it, what goes in, and why."""

    unit_id: str
    name: str
    facts: tuple[str, ...]
    bags: pd.DataFrame
    whys: pd.DataFrame


@dataclass(frozen=True, slots=True, kw_only=True)
class ShortCard:
    """One line without a cold place: until when, what is lacking, what next."""

    title: str
    until: str
    tier: Tier
    about: str
    lacking: str
    next_step: str
    extra_stock: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LoanCard:
    """One step of the borrow list, and a message to send or read out.

    ``items`` are pairs of id and name.
    """

    items: tuple[tuple[str, str], ...]
    title: str
    gives: str
    ready: str
    ask_for: tuple[str, ...]
    refuse: tuple[str, ...]
    serves: str
    message: str


def unit_cards(plan: Plan) -> tuple[UnitCard, ...]:
    """Units that are on, by name, each with its bags by code."""
    index = index_plan(plan)
    used = [unit for unit in plan.scenario.units if unit.id in index.uses]
    return tuple(
        UnitCard(
            unit_id=unit.id,
            name=f"{index.name(unit.id)}, {unit.place}",
            facts=_unit_facts(index, unit),
            bags=_bags(index, unit),
            whys=_whys(index, unit),
        )
        for unit in sorted(used, key=lambda unit: index.name(unit.id))
    )


def units_not_used(plan: Plan) -> tuple[str, ...]:
    """Name the units that are off, each with why it is not in use."""
    index = index_plan(plan)
    return tuple(
        f"{index.name(unit.id)}: {state_words(index, unit)}"
        for unit in plan.scenario.units
        if unit.id not in index.uses
    )


def plugs(plan: Plan) -> pd.DataFrame:
    """Every plug: when, out of which socket, into what; in order of time."""
    index = index_plan(plan)
    ordered = sorted(plan.hookups, key=lambda one: (one.from_h, one.from_id, one.to_id))
    rows: list[tuple[Cell, ...]] = [
        (
            f"{index.clock(one.from_h)} until {end_words(index, one.to_h)}",
            _socket(index, one),
            f"{index.name(one.to_id)} ({one.place})"
            if one.place
            else index.name(one.to_id),
        )
        for one in ordered
    ]
    return frame(("When", "Out of", "Into"), rows)


def tier_lines(plan: Plan) -> tuple[str, ...]:
    """Say of each tier what is cold, what is short, and the proof."""
    return tuple(
        _tier_words(one) for one in sorted(plan.tiers, key=lambda one: one.tier)
    )


def _tier_words(one: TierResult) -> str:
    parts = [f"{one.met} of {plural(one.needed, 'needed bag')} cold"]
    if one.warm:
        parts.append(f"{one.warm} at room temperature with a clock")
    parts.append(f"{one.short} SHORT" if one.short else "none short")
    if one.surplus:
        parts.append(f"{one.surplus_met} of {plural(one.surplus, 'extra bag')} cold")
    proof = (
        "Proven: no plan serves more."
        if one.proven
        else f"Not proven: at most {one.bound} could be cold."
    )
    return f"{one.tier.value} ({TIER_WORDS[one.tier]}): {', '.join(parts)}. {proof}"


def short_cards(plan: Plan) -> tuple[ShortCard, ...]:
    """Everything that is short, the most urgent first."""
    index = index_plan(plan)
    ordered = sorted(plan.shortfalls, key=lambda one: urgency(index, one))
    return tuple(_short_card(index, one) for one in ordered)


def loan_cards(plan: Plan) -> tuple[LoanCard, ...]:
    """Every step of the borrow list, in order."""
    index = index_plan(plan)
    cards = []
    for step in sorted(plan.loans, key=lambda one: one.rank):
        name = " + ".join(clean(one) for one in step.names)
        lenders = ", ".join(dict.fromkeys(clean(one) for one in step.lenders if one))
        codes = dict.fromkeys(
            index.lines[one].code for one in step.line_ids_served if one in index.lines
        )
        ask_for = tuple(clean(one) for one in step.ask_for)
        refuse = _not_wanted(step)
        hours = (
            f", and {number(step.hours_gained, 0)} more unit-hours without any sun"
            if step.hours_gained > 0
            else ""
        )
        ready = index.clock(step.ready_h)
        cards.append(
            LoanCard(
                items=tuple(zip(step.item_ids, map(clean, step.names), strict=True)),
                title=f"{step.rank}. {name}" + (f", from {lenders}" if lenders else ""),
                gives=gain_words(step) + hours,
                ready=ready,
                ask_for=ask_for,
                refuse=refuse,
                serves=", ".join(sorted(codes)) or "nobody by itself",
                message=_message(name, ask_for, refuse, ready),
            )
        )
    return tuple(cards)


def _unit_facts(index: Index, unit: ColdUnit) -> tuple[str, ...]:
    use = index.uses[unit.id]
    dark = [(case, dark_words(index, unit, case)) for case in SUN_CASES]
    kinds = list(dict.fromkeys(words for _, words in dark))
    lasts = (
        kinds[0]
        if len(kinds) == 1
        else "; ".join(f"{SUN_WORDS[case]}: {words}" for case, words in dark)
    )
    return (
        f"Set to: {zone_words(use.set_points_c)}",
        f"How: {dial_advice(unit, use.set_points_c)}",
        f"Powered by: {powered_by(index, unit.id)}",
        f"Lasts: {lasts}",
        f"May go in warm: at most {number(use.warm_fill * 100, 0)} % of its litres",
    )


def _bags(index: Index, unit: ColdUnit) -> pd.DataFrame:
    """Bags by code; what is needed and what is extra stock in one row."""
    zones = len(unit.zone_shares) > 1
    counts: dict[tuple[int, str], int] = {}
    for placed in _placed(index, unit):
        key = (placed.zone, placed.line_id)
        counts[key] = counts.get(key, 0) + placed.count
    rows: list[tuple[Cell, ...]] = []
    for (zone, line_id), count in counts.items():
        line = index.lines[line_id]
        keep = f"Keep {band(line.keep_from_c, line.keep_to_c)}."
        freeze = " NEVER FREEZE." if line.never_freeze else ""
        row: tuple[Cell, ...] = (
            line.code,
            count,
            f"{index.kind(line)}.{freeze} {keep}",
        )
        rows.append((zone + 1, *row) if zones else row)
    headings = ("Code", "Bags", "What, and how to keep it")
    return frame(("Zone", *headings) if zones else headings, rows)


def _whys(index: Index, unit: ColdUnit) -> pd.DataFrame:
    rows: list[tuple[Cell, ...]] = [
        (
            index.lines[placed.line_id].code,
            f"{plural(placed.count, 'bag')} of {index.kind(index.lines[placed.line_id])}",
            clean(placed.why),
        )
        for placed in _placed(index, unit)
    ]
    return frame(("Code", "Bags", "Why here"), rows)


def _placed(index: Index, unit: ColdUnit) -> list[Placement]:
    found = [one for one in index.plan.placements if one.unit_id == unit.id]
    return sorted(
        found,
        key=lambda one: (
            one.zone, index.lines[one.line_id].code, one.line_id, one.tier, one.surplus
        ),
    )  # fmt: skip


def _socket(index: Index, plug: Hookup) -> str:
    return f"{index.name(plug.from_id)}, {plug.port.value} {plug.port_number}"


def _short_card(index: Index, short: Shortfall) -> ShortCard:
    line = index.lines[short.line_id]
    return ShortCard(
        title=f"{line.code}: {plural(short.count, 'bag')} of {index.kind(line)}",
        until=until_words(index, short.safe_until),
        tier=short.tier,
        about=f"tier {short.tier.value}, at {line.place}, row {line.row} of the list",
        lacking=f"{short.reason.value}: {clean(short.detail)}",
        next_step=clean(short.next_step),
        extra_stock=short.surplus,
    )


def _not_wanted(step: LoanStep) -> tuple[str, ...]:
    """Things not to accept, named without the word not."""
    things = [part for one in step.refuse for part in clean(one).split("; ")]
    return tuple(one.removeprefix("not ") for one in things)


def _message(
    name: str, ask_for: tuple[str, ...], refuse: tuple[str, ...], ready: str
) -> str:
    """Message to send or read out; no codes, no items, no numbers of people."""
    lines = [f"We ask to borrow: {name}, by {ready}."]
    lines += [f"What we need: {'; '.join(ask_for)}."] if ask_for else []
    lines += [f"Please do not bring: {'; '.join(refuse)}."] if refuse else []
    lines.append(
        "Please bring its lead and charger, charged full, with your name on it "
        "and the day you need it back."
    )
    return "\n".join(lines)
