"""The plan as cards for a screen: one unit, one plug, one person short at a time."""

from dataclasses import dataclass, replace

import pandas as pd

from planner.output.change_text import change_words, missing_words, speaker
from planner.output.index import SUN_CASES, Index, index_plan
from planner.output.late_text import cold_facts
from planner.output.lend_text import least_words, terms_words
from planner.output.loan_places import mind_words, see_step_words, serves_words
from planner.output.manner import PLAIN, Manner
from planner.output.pictures.specs import spec_pictures
from planner.output.pictures.units import Picture
from planner.output.tables import Cell, frame, gain_words, until_words, urgency
from planner.output.tables_power import (
    NO_DIAL,
    dark_words,
    dial_advice,
    plugged_words,
    powered_by,
    state_words,
    zone_words,
)
from planner.output.words import clean, number
from planner.result import Hookup, LoanStep, Placement, Plan, Shortfall, TierResult
from planner.scenario import ColdUnit, Tier


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
    """One line without a cold place: until when, what is lacking, what next.

    ``borrow`` names the steps of the borrow list that serve it.
    """

    title: str
    until: str
    tier: Tier
    about: str
    lacking: str
    missing: str
    change: str
    next_step: str
    extra_stock: bool
    borrow: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LoanCard:
    """One step of the borrow list, and a message to send or read out.

    ``items`` are pairs of id and name, ``least`` the least amounts that still give
    the gain, ``terms`` what it takes to fetch it, ``minds`` what it costs others.
    """

    items: tuple[tuple[str, str], ...]
    title: str
    gives: str
    ready: str
    ask_for: tuple[str, ...]
    refuse: tuple[str, ...]
    serves: str
    message: str
    least: tuple[str, ...] = ()
    terms: tuple[str, ...] = ()
    minds: tuple[str, ...] = ()
    curves: tuple[Picture, ...] = ()


def unit_cards(plan: Plan, how: Manner = PLAIN) -> tuple[UnitCard, ...]:
    """Units that are on, by name, each with its bags by code."""
    index = index_plan(plan, how)
    used = [unit for unit in plan.scenario.units if unit.id in index.uses]
    return tuple(
        UnitCard(
            unit_id=unit.id,
            name=how.say("tell.cards.unit", name=index.name(unit.id), place=unit.place),
            facts=_unit_facts(index, unit),
            bags=_bags(index, unit),
            whys=_whys(index, unit),
        )
        for unit in sorted(used, key=lambda unit: index.name(unit.id))
    )


def units_not_used(plan: Plan, how: Manner = PLAIN) -> tuple[str, ...]:
    """Name the units that are off, each with why it is not in use."""
    index = index_plan(plan, how)
    return tuple(
        how.say(
            "tell.cards.off", name=index.name(unit.id), state=state_words(index, unit)
        )
        for unit in plan.scenario.units
        if unit.id not in index.uses
    )


def plugs(plan: Plan, how: Manner = PLAIN) -> pd.DataFrame:
    """Every plug: when, out of which socket, into what; in order of time."""
    index = index_plan(plan, how)
    ordered = sorted(plan.hookups, key=lambda one: (one.from_h, one.from_id, one.to_id))
    rows: list[tuple[Cell, ...]] = [
        (
            plugged_words(index, one),
            _socket(index, one),
            how.say("tell.cards.into", name=index.name(one.to_id), place=one.place)
            if one.place
            else index.name(one.to_id),
        )
        for one in ordered
    ]
    return frame(("When", "Out of", "Into"), rows)


def tier_lines(plan: Plan, how: Manner = PLAIN) -> tuple[str, ...]:
    """Say of each tier what is cold, what is short, and the proof."""
    return tuple(
        _tier_words(one, how) for one in sorted(plan.tiers, key=lambda one: one.tier)
    )


def _tier_words(one: TierResult, how: Manner) -> str:
    parts = [how.count("tell.tier.met", one.needed, met=one.met)]
    if one.warm:
        parts.append(how.say("tell.tier.warm", count=one.warm))
    parts.append(
        how.say("tell.tier.short", count=one.short)
        if one.short
        else how.say("tell.tier.none_short")
    )
    if one.surplus:
        parts.append(how.count("tell.tier.surplus", one.surplus, met=one.surplus_met))
    proof = (
        how.say("tell.tier.proven")
        if one.proven
        else how.say("tell.tier.not_proven", bound=one.bound)
    )
    return how.say(
        "tell.tier.line",
        tier=one.tier.value,
        meaning=how.say(f"tell.tier.{one.tier.value.lower()}"),
        parts=", ".join(parts),
        proof=proof,
    )


def short_cards(plan: Plan, how: Manner = PLAIN) -> tuple[ShortCard, ...]:
    """Everything that is short, the most urgent first."""
    index = index_plan(plan, how)
    ordered = sorted(plan.shortfalls, key=lambda one: urgency(index, one))
    return tuple(_short_card(index, one) for one in ordered)


def loan_cards(plan: Plan, how: Manner = PLAIN) -> tuple[LoanCard, ...]:
    """Every step of the borrow list, in order."""
    index = index_plan(plan, how)
    steps = sorted(plan.loans, key=lambda one: one.rank)
    return tuple(_loan_card(index, step) for step in steps)


def asked_cards(plan: Plan, how: Manner = PLAIN) -> tuple[LoanCard, ...]:
    """Steps of kit that nobody has offered yet."""
    index = index_plan(plan, how)
    steps = sorted(plan.borrow.asked, key=lambda one: one.rank)
    return tuple(
        replace(
            _loan_card(index, step), items=(), ready=how.say("tell.lend.asked.from")
        )
        for step in steps
    )


def _loan_card(index: Index, step: LoanStep) -> LoanCard:
    how = index.how
    asked = all(one.startswith("ask:") for one in step.item_ids)
    name = " + ".join(how.told(clean(x)) if asked else clean(x) for x in step.names)
    lenders = ", ".join(dict.fromkeys(clean(one) for one in step.lenders if one))
    ask_for = tuple(how.told(clean(one)) for one in step.ask_for)
    refuse = tuple(how.told(one) for one in not_wanted(step))
    hours = (
        how.say("tell.cards.loan_hours", hours=number(step.hours_gained, 0))
        if step.hours_gained > 0
        else ""
    )
    ready = index.clock(step.ready_h)
    return LoanCard(
        items=tuple(zip(step.item_ids, map(clean, step.names), strict=True)),
        title=how.say(
            "tell.cards.loan_from" if lenders else "tell.cards.loan_title",
            rank=step.rank,
            name=name,
            lenders=lenders,
        ),
        gives=gain_words(step, how) + hours,
        ready=ready,
        ask_for=ask_for,
        refuse=refuse,
        serves=serves_words(step, index.lines, how)
        or how.say("tell.cards.serves_nobody"),
        message=_message(name, ask_for, refuse, ready, how),
        least=least_words(index.plan, step, how),
        terms=terms_words(index.plan, step, how),
        minds=mind_words(step, index.lines, how),
        curves=spec_pictures(index.plan, step, how),
    )


def _unit_facts(index: Index, unit: ColdUnit) -> tuple[str, ...]:
    use, how = index.uses[unit.id], index.how
    dark = [(case, dark_words(index, unit, case)) for case in SUN_CASES]
    kinds = list(dict.fromkeys(words for _, words in dark))
    lasts = (
        kinds[0]
        if len(kinds) == 1
        else "; ".join(
            how.say("tell.cards.case", sun=index.sun(case), words=words)
            for case, words in dark
        )
    )
    return (
        how.say(
            "tell.cards.aim" if unit.kind in NO_DIAL else "tell.cards.set_to",
            temps=zone_words(use.set_points_c, how),
        ),
        how.say("tell.cards.how", how=dial_advice(unit, use.set_points_c, how)),
        how.say("tell.cards.powered", power=powered_by(index, unit.id)),
        how.say("tell.cards.lasts", words=lasts),
        how.say("tell.cards.warm_fill", percent=number(use.warm_fill * 100, 0)),
        *cold_facts(index, unit.id),
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
        kept = index.how.say(
            "tell.cards.keep_never" if line.never_freeze else "tell.cards.keep",
            kind=index.kind(line),
            band=index.how.band(line.keep_from_c, line.keep_to_c),
        )
        row: tuple[Cell, ...] = (line.code, count, kept)
        rows.append((zone + 1, *row) if zones else row)
    headings = ("Code", "Bags", "What, and how to keep it")
    return frame(("Zone", *headings) if zones else headings, rows)


def _whys(index: Index, unit: ColdUnit) -> pd.DataFrame:
    rows: list[tuple[Cell, ...]] = [
        (
            index.lines[placed.line_id].code,
            index.how.say(
                "tell.cards.bags_of",
                bags=index.bags(placed.count),
                kind=index.kind(index.lines[placed.line_id]),
            ),
            index.how.told(clean(placed.why)),
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
    return index.how.say(
        "tell.cards.socket",
        name=index.name(plug.from_id),
        port=index.port(plug),
        number=plug.port_number,
    )


def _short_card(index: Index, short: Shortfall) -> ShortCard:
    line, how = index.lines[short.line_id], index.how
    who = speaker(index)
    return ShortCard(
        title=how.say(
            "tell.cards.short_title",
            code=line.code,
            bags=index.bags(short.count),
            kind=index.kind(line),
        ),
        until=until_words(index, short.safe_until),
        tier=short.tier,
        about=how.say(
            "tell.cards.short_about",
            tier=short.tier.value,
            place=line.place,
            row=line.row,
        ),
        lacking=how.say(
            "tell.cards.short_lacking",
            reason=how.told(short.reason.value),
            detail=how.told(clean(short.detail)),
        ),
        missing=missing_words(who, short),
        change=change_words(who, short),
        next_step=how.told(clean(short.next_step)),
        extra_stock=short.surplus,
        borrow=see_step_words(index.plan, short, how),
    )


def not_wanted(step: LoanStep) -> tuple[str, ...]:
    """Things not to accept, each once, named without the word not."""
    things = [part for one in step.refuse for part in clean(one).split("; ")]
    return tuple(dict.fromkeys(one.removeprefix("not ") for one in things))


def _message(
    name: str,
    ask_for: tuple[str, ...],
    refuse: tuple[str, ...],
    ready: str,
    how: Manner,
) -> str:
    """Message to send or read out; no codes, no items, no numbers of people."""
    lines = [how.say("tell.cards.message.ask", name=name, ready=ready)]
    if ask_for:
        lines.append(how.say("tell.cards.message.need", things="; ".join(ask_for)))
    if refuse:
        lines.append(how.say("tell.cards.message.refuse", things="; ".join(refuse)))
    lines.append(how.say("tell.cards.message.bring"))
    return "\n".join(lines)
