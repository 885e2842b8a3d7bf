"""What stands beside the borrow list, in sentences.

Least amounts, kit that nobody has offered, steps without equipment, offers
that are in no step, and how far the order is from the best set.
"""

from math import ceil
from typing import Protocol

from planner.output.index import Index, index_plan
from planner.output.manner import PLAIN, Manner
from planner.output.words import clean, energy, number, power
from planner.result import LoanStep, Plan, TierGain
from planner.result_borrow import NestedGap, NotNeeded, OtherKind, OtherStep
from planner.result_spec import LeastSpec, Quantity
from planner.scenario import Equipment

_KEYS = {kind: f"tell.lend.other.{kind.name.lower()}" for kind in OtherKind}


class Teller(Protocol):
    """Who says messages, and counts: a screen, a table, or a sheet of paper."""

    def say(self, key: str, **fields: object) -> str:
        """Message of an id."""

    def count(self, key: str, number: int, **fields: object) -> str:
        """Message for one thing or several."""


class Voice(Teller, Protocol):
    """The same with its units."""

    def temperature(self, temp_c: float) -> str:
        """One temperature on both scales."""

    def ice(self, ice_kg: float) -> str:
        """Weight of ice."""


def amount_words(quantity: Quantity, amount: float, how: Manner = PLAIN) -> str:
    """One amount with its unit."""
    if quantity is Quantity.VOLUME_L:
        return how.volume(amount)
    if quantity is Quantity.CAPACITY_WH:
        return energy(amount)
    if quantity is Quantity.CHARGE:
        return f"{number(amount * 100, 0)} %"
    return power(amount)


def gains_words(gains: tuple[TierGain, ...], how: Voice = PLAIN) -> str:
    """Bags by tier."""
    said = [
        how.say(
            "tell.gain.bags",
            bags=how.count("bags", one.bags),
            tier=one.tier.value,
        )
        for one in sorted(gains, key=lambda one: one.tier)
        if one.bags
    ]
    return ", ".join(said) or how.say("tell.lend.point.none")


def least_words(plan: Plan, step: LoanStep, how: Manner = PLAIN) -> tuple[str, ...]:
    """The least of each thing of a step that still gives its gain."""
    names = {e.id: clean(e.name) for e in kit_of(plan)}
    found = []
    for spec in step.specs:
        if spec.quantity is Quantity.CHARGE and spec.least >= 1.0:
            continue
        name = names.get(spec.item_id, spec.item_id)
        found.append(_least(spec, how.told(name), how))
    return tuple(found)


def _least(spec: LeastSpec, name: str, how: Manner) -> str:
    words = how.say(
        f"tell.lend.least.{spec.quantity.name.lower()}",
        name=name,
        amount=amount_words(spec.quantity, spec.least, how),
        offered=amount_words(spec.quantity, spec.offered, how),
    )
    if not spec.exact:
        return how.say("tell.lend.least.enough", words=words)
    steps_less = ceil(spec.least / spec.grid - 1e-9) - 1
    less = amount_words(spec.quantity, steps_less * spec.grid, how)
    return how.say("tell.lend.least.exact", words=words, less=less)


def terms_words(plan: Plan, step: LoanStep, how: Manner = PLAIN) -> tuple[str, ...]:
    """Effort of fetching a step, and when the first unit goes dark after it."""
    index = index_plan(plan, how)
    dark = (
        how.say("tell.lend.dark.none")
        if step.dark_from_h is None
        else how.say("tell.lend.dark", when=index.clock(step.dark_from_h))
    )
    return (how.say("tell.lend.effort", effort=step.effort), dark)


def kit_of(plan: Plan) -> tuple[Equipment, ...]:
    """Equipment of the plan, with the kit that nobody has offered."""
    more = plan.borrow
    return (
        *plan.scenario.equipment,
        *more.asked_units,
        *more.asked_batteries,
        *more.asked_panels,
        *more.asked_sources,
    )


def other_words(plan: Plan, how: Manner = PLAIN) -> tuple[str, ...]:
    """Steps without equipment, best first, with whom to ask."""
    index = index_plan(plan, how)
    return tuple(_other(index, one) for one in plan.borrow.others)


def other_what(one: OtherStep, how: Voice = PLAIN) -> str:
    """What one step without equipment is."""
    key = _KEYS[one.kind]
    if one.kind is OtherKind.ICE and one.place:
        key = f"{key}_chest"
    return how.say(
        key,
        temp=how.temperature(one.amount),
        percent=number(one.amount * 100, 0),
        ice=how.ice(one.amount),
        place=clean(one.place),
    )


def other_whom(one: OtherStep, how: Voice = PLAIN) -> str:
    """Whom to ask about a step without equipment."""
    return how.say(f"tell.lend.whom.{one.kind.name.lower()}")


def other_codes(index: Index, one: OtherStep) -> str:
    """Codes of the persons whom a step is about."""
    lines = index.lines
    return ", ".join(sorted({lines[i].code for i in one.line_ids if i in lines}))


def _other(index: Index, one: OtherStep) -> str:
    how = index.how
    line = other_line(one, how)
    codes = other_codes(index, one)
    return how.say("tell.lend.other.about", line=line, codes=codes) if codes else line


def other_line(one: OtherStep, how: Voice) -> str:
    """A step without equipment, what it serves, whom to ask; no codes."""
    return how.say(
        "tell.lend.other.line",
        what=other_what(one, how),
        gains=gains_words(one.gains, how),
        whom=other_whom(one, how),
        effort=one.effort,
    )


def asked_intro(how: Voice) -> tuple[str, str]:
    """Heading and explanation of kit that nobody has offered yet."""
    return how.say("tell.lend.asked.head"), how.say("tell.lend.asked.how")


def other_intro(how: Voice) -> tuple[str, str]:
    """Heading and explanation of the steps without equipment."""
    return how.say("tell.lend.other.head"), how.say("tell.lend.other.how")


def out_words(plan: Plan, how: Manner = PLAIN) -> tuple[str, ...]:
    """Offers that are in no step, and why."""
    return tuple(
        how.say("tell.lend.out.line", name=clean(one.name), why=why_out(one, how))
        for one in plan.borrow.not_needed
    )


def why_out(one: NotNeeded, how: Manner = PLAIN) -> str:
    """Why an offer is in no step."""
    return how.say(f"tell.lend.out.{one.why.name.lower()}")


def gap_words(plan: Plan, how: Manner = PLAIN) -> tuple[str, ...]:
    """How far the order is from the best set of as many things."""
    return tuple(_gap(one, how) for one in plan.borrow.gaps)


def _gap(one: NestedGap, how: Manner) -> str:
    tier = one.tier.value
    if one.best is None or one.bound is None:
        return how.count("tell.lend.gap.unknown", one.k)
    if one.best > one.nested:
        return how.count(
            "tell.lend.gap.better",
            one.k,
            names=how.listed([clean(name) for name in one.names]),
            more=how.count("bags", one.best - one.nested),
            tier=tier,
            most=how.count("bags", one.bound),
        )
    key = "tell.lend.gap.same" if one.bound <= one.nested else "tell.lend.gap.open"
    if not one.bound:
        key = "tell.lend.gap.none"
    return how.count(
        key,
        one.k,
        tier=tier,
        bags=how.count("bags", one.nested),
        most=how.count("bags", one.bound),
    )
