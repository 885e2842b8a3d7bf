"""What to borrow, in order, with words ready to be read out or sent."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from planner.output.answers import borrow_worked_out
from planner.output.held import held_rows
from planner.output.lend_text import asked_intro, kit_of, other_intro, other_line
from planner.output.loan_places import mind_words, serves_words
from planner.output.paper.facts import Facts
from planner.output.paper.page import PaperSize
from planner.output.paper.pen import Pen
from planner.output.paper.phrases import bags, clock, degrees
from planner.output.words import energy, number, power, turned
from planner.result import LoanStep
from planner.result_borrow import OtherStep
from planner.result_spec import LoanNeed, Quantity, all_sockets
from planner.scenario import (
    Battery,
    ColdUnit,
    Equipment,
    Panel,
    SourceKind,
    Supply,
    UnitType,
)


def borrow_sheet(facts: Facts, size: PaperSize) -> Pen:
    """Write the borrow list; it says so when there is nothing to ask for."""
    pen = Pen(size, facts.say("borrow.title"), facts.say("page.continued"))
    steps = in_order(facts)
    if not steps:
        pen.text(no_step_words(facts), 14, bold=True)
    else:
        pen.text(facts.say("borrow.how"))
    for step in steps:
        _write_step(facts, pen, step)
    if steps:
        pen.text(stop_words(facts, steps), bold=True)
    asked = sorted(facts.plan.borrow.asked, key=lambda one: one.rank)
    if asked:
        head, explained = asked_intro(_Voice(facts))
        pen.heading(head, keep_pt=170)
        pen.text(explained)
    for step in asked:
        _write_step(facts, pen, step)
    others = facts.plan.borrow.others
    if others:
        head, explained = other_intro(_Voice(facts))
        pen.heading(head, keep_pt=100)
        pen.text(explained)
        pen.points([_other(facts, one) for one in others])
    return pen


def _write_step(facts: Facts, pen: Pen, step: LoanStep) -> None:
    """One step: what it gives, when, the words to read out, whom it serves."""
    pen.heading(step_title(facts, step), keep_pt=170)
    pen.text(gives_words(facts, step))
    pen.text(facts.say("borrow.when", when=clock(facts, step.ready_h)))
    pen.notice(message(facts, step), 12)
    voice, lines = _Voice(facts), facts.index.lines
    served = serves_words(step, lines, voice)
    pen.text(facts.say("borrow.serves", codes=served or "-"))
    for said in mind_words(step, lines, voice):
        pen.text(said)
    pen.fields([facts.say("borrow.asked")])


def _other(facts: Facts, one: OtherStep) -> str:
    """A step without equipment; names of places and kit as on all sheets."""
    named = replace(one, place=facts.free(one.place, 40) if one.place else "")
    return other_line(named, _Voice(facts))


@dataclass(frozen=True, slots=True)
class _Voice:
    """The language of the sheet, and its units."""

    facts: Facts

    def say(self, key: str, **fields: object) -> str:
        return self.facts.say(key, **fields)

    def count(self, key: str, number: int, **fields: object) -> str:
        return self.facts.words.count(key, number, **fields)

    def temperature(self, temp_c: float) -> str:
        return self.facts.how.temperature(temp_c)

    def ice(self, ice_kg: float) -> str:
        return self.facts.how.ice(ice_kg)


def no_step_words(facts: Facts) -> str:
    """Why nothing stands on the list: nobody short, not looked for, or no help."""
    if not facts.plan.shortfalls:
        held = held_rows(facts.plan)
        return facts.say("borrow.held" if held else "borrow.nobody_short")
    if not borrow_worked_out(facts.plan):
        return facts.say("borrow.not_asked")
    return facts.say("borrow.none")


def in_order(facts: Facts) -> tuple[LoanStep, ...]:
    """Steps of the borrow list."""
    return tuple(sorted(facts.plan.loans, key=lambda one: one.rank))


def step_title(facts: Facts, step: LoanStep) -> str:
    """Order, things and lenders of a step."""
    names = " + ".join(facts.name(one) for one in step.item_ids)
    if is_asked(facts, step):
        # Nobody's thing has no name: what is wanted stands instead.
        kit = facts_kit(facts)
        names = " + ".join(
            _kind(facts, kit[one]) for one in step.item_ids if one in kit
        )
    lenders = ", ".join(
        dict.fromkeys(facts.free(one, 40) for one in step.lenders if one)
    )
    key = "borrow.step_from" if lenders else "borrow.step"
    return facts.say(key, rank=step.rank, names=names, lenders=lenders)


def _kind(facts: Facts, kit: Equipment) -> str:
    """Kind of a thing in the words of the sheets, cut to what a title holds."""
    if isinstance(kit, ColdUnit):
        return facts.say(f"kind.{kit.kind.name.lower()}")
    return spec(facts, kit).split(",")[0]


def is_asked(facts: Facts, step: LoanStep) -> bool:
    """True for kit that nobody has offered yet; its names are our own words."""
    return step in facts.plan.borrow.asked


def gives_words(facts: Facts, step: LoanStep) -> str:
    """What a step gives, tier by tier, and in hours without sun."""
    gains = [
        facts.say("borrow.gain", bags=bags(facts, one.bags), tier=one.tier.value)
        for one in sorted(step.gains, key=lambda one: one.tier)
        if one.bags
    ]
    if step.hours_gained > 0:
        gains.append(facts.say("borrow.hours", hours=number(step.hours_gained, 0)))
    return facts.say(
        "borrow.gives", gains=", ".join(gains) or facts.say("borrow.no_bags")
    )


def message(facts: Facts, step: LoanStep) -> str:
    """Words to read out: no codes, no items, no numbers of people."""
    kit = [one for one in map(facts_kit(facts).get, step.item_ids) if one is not None]
    least = {(one.item_id, one.quantity): one.least for one in step.specs}
    used = {one.item_id: one for one in step.needs}
    wanted = "; ".join(
        spec(facts, least_kit(one, least), used.get(one.id)) for one in kit
    )
    refused = "; ".join(
        dict.fromkeys(
            said for one in kit for said in refuse(facts, one, used.get(one.id))
        )
    )
    return facts.say(
        "borrow.message",
        when=clock(facts, step.ready_h),
        wanted=wanted,
        refused=refused,
    )


def facts_kit(facts: Facts) -> dict[str, Equipment]:
    """Equipment of the plan by id."""
    return {one.id: one for one in kit_of(facts.plan)}


def least_kit(kit: Equipment, least: Mapping[tuple[str, Quantity], float]) -> Equipment:
    """A thing as small as still does, so that no lender is sent away for less."""
    if isinstance(kit, ColdUnit):
        key = (kit.id, Quantity.VOLUME_L)
        return replace(kit, gross_volume_l=least.get(key, kit.gross_volume_l))
    if isinstance(kit, Battery):
        key = (kit.id, Quantity.CAPACITY_WH)
        return replace(kit, capacity_wh=least.get(key, kit.capacity_wh))
    if isinstance(kit, Panel):
        return replace(kit, rated_w=least.get((kit.id, Quantity.RATED_W), kit.rated_w))
    return replace(kit, max_w=least.get((kit.id, Quantity.MAX_W), kit.max_w))


def spec(facts: Facts, kit: Equipment, need: LoanNeed | None = None) -> str:
    """What to ask a lender for, with the sizes that count.

    Of sockets and watts only what the plan uses, where that is known.
    """
    if isinstance(kit, ColdUnit):
        used = need or LoanNeed(item_id=kit.id)
        size = facts.how.volume(round(kit.gross_volume_l))
        parts = used.compartments
        return facts.say(
            "ask.unit",
            kind=facts.say(f"kind.{_kind_key(kit, used)}"),
            size=size,
            parts=f" {facts.say('ask.parts', count=parts)}" if parts > 1 else "",
            lead=", ".join(_unit_terms(facts, kit, used)),
        )
    if isinstance(kit, Battery):
        return facts.say(
            "ask.battery",
            energy=energy(kit.capacity_wh),
            sockets=", ".join(_sockets(facts, need or all_sockets(kit))),
        )
    if isinstance(kit, Panel):
        return facts.say("ask.panel", power=power(kit.rated_w))
    return facts.say(
        "ask.source",
        kind=facts.say(f"source.{kit.kind.name.lower()}"),
        power=power(kit.max_w),
    )


def _kind_key(kit: ColdUnit, need: LoanNeed) -> str:
    """Nobody brings a freezer who was asked for a fridge."""
    return "freezer" if need.only_freezes else kit.kind.name.lower()


def _unit_terms(facts: Facts, kit: ColdUnit, need: LoanNeed) -> list[str]:
    """What it must hold, whether it locks, what it may draw, its leads."""
    supply = kit.supply if need.supply is Supply.NONE else need.supply
    said = _holds(facts, need)
    if need.lock:
        said.append(facts.say("ask.lock"))
    if need.day_wh:
        draw = {"power": _watts(need.running_w), "energy": energy(need.day_wh)}
        said.append(facts.say("ask.draw", **draw))
    return [*said, facts.say(f"lead.{supply.name.lower()}")]


def _holds(facts: Facts, need: LoanNeed) -> list[str]:
    """Every setting it must hold; in one compartment only one after the other."""
    also = "ask.hold_later" if need.compartments == 1 else "ask.hold_also"
    return [
        facts.say(also if at else "ask.hold", temp=degrees(facts, one))
        for at, one in enumerate(need.settings_c)
    ]


def _watts(power_w: float) -> str:
    """Watts as they are: a limit rounded up would let in what was not planned."""
    return f"{number(power_w, 2)} W"


def _sockets(facts: Facts, need: LoanNeed) -> list[str]:
    sockets = []
    if need.ports_12v:
        watts = _watts(need.port_12v_w)
        sockets.append(facts.say("ask.dc", count=need.ports_12v, power=watts))
    if need.outlets_ac:
        watts = _watts(need.outlet_ac_w)
        sockets.append(facts.say("ask.ac", count=need.outlets_ac, power=watts))
    said = [f" {facts.say('unit.and')} ".join(sockets) or facts.say("ask.no_socket")]
    if need.out_w > max(need.port_12v_w, need.outlet_ac_w):
        said.append(facts.say("ask.in_all", power=_watts(need.out_w)))
    if need.solar_w:
        said.append(facts.say("ask.solar", power=_watts(need.solar_w)))
    return said


def refuse(
    facts: Facts, kit: Equipment, need: LoanNeed | None = None
) -> tuple[str, ...]:
    """What a lender should not bring, in the terms of what is asked for."""
    if isinstance(kit, ColdUnit):
        return _refuse_unit(facts, kit, need or LoanNeed(item_id=kit.id))
    if isinstance(kit, Battery):
        return (facts.say("refuse.battery"),)
    if isinstance(kit, Panel):
        return (facts.say("refuse.panel"),)
    fuel = kit.kind in {SourceKind.GENERATOR, SourceKind.VEHICLE}
    said = facts.say("refuse.fuel" if fuel else "refuse.mains")
    return (turned(said, facts.how.units, facts.how.clock),)


def _refuse_unit(facts: Facts, kit: ColdUnit, need: LoanNeed) -> tuple[str, ...]:
    """What neither locks, nor draws as little, nor holds what is asked for."""
    said = []
    if need.compartments > 1:
        said.append(facts.say("refuse.compartments", count=need.compartments))
    if need.lock:
        said.append(facts.say("refuse.lock"))
    if need.day_wh:
        said.append(facts.say("refuse.watts", power=_watts(need.running_w)))
    if kit.kind is UnitType.ICE_CHEST:
        return (*said, facts.say("refuse.chest"))
    if not need.freezes:
        return (*said, facts.say("refuse.unit"))
    warmest, coldest = need.settings_c[0], need.settings_c[-1]
    said.append(facts.say("refuse.freezer", temp=degrees(facts, coldest)))
    if need.chills:
        said.append(facts.say("refuse.fridge", temp=degrees(facts, warmest)))
        said.append(facts.say("refuse.ice_box"))
    return tuple(said)


def stop_words(facts: Facts, steps: tuple[LoanStep, ...]) -> str:
    """Say when to stop asking."""
    last = steps[-1]
    if not last.still_short:
        enough = min(one.rank for one in steps if not one.still_short)
        return facts.say("borrow.stop", rank=enough)
    return facts.say("borrow.still", rank=last.rank, bags=bags(facts, last.still_short))
