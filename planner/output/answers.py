"""The three answers in sentences: who is short, what goes dark, what to borrow.

Used by the summary in the terminal and by the first sheet of the workbook.
"""

from collections.abc import Sequence

from planner.output.change_text import speaker, what_changes
from planner.output.held import held_rows, nothing_readable
from planner.output.index import SUN_CASES, Index, index_plan
from planner.output.loan_places import serving_steps
from planner.output.manner import PLAIN, Manner
from planner.output.tables import gain_words, until_words, urgency
from planner.output.tables_power import dark_words, load_words, zone_words
from planner.output.words import clean
from planner.result import Plan, PlanStatus, Shortfall
from planner.result_borrow import NO_MORE
from planner.scenario import ColdUnit, SunCase

_STATUS = {
    PlanStatus.PROVEN: "tell.answers.proven",
    PlanStatus.UNPROVEN: "tell.answers.unproven",
    PlanStatus.NO_PLAN: "tell.answers.no_plan",
    PlanStatus.NOTHING_TO_PLAN: "tell.answers.nothing_to_plan",
}


def title(plan: Plan, how: Manner = PLAIN) -> str:
    """Window of the plan in words, with its dates and the sun it counts on."""
    conditions = plan.scenario.conditions
    ends = conditions.clock(conditions.window_h)
    return how.say(
        "tell.answers.title",
        begins=how.day_clock(conditions.start),
        ends=how.day_clock(ends, conditions.start),
        hours=how.hours(conditions.window_h),
        sun=how.say(f"sun.{conditions.sun_case.name.lower()}"),
    )


def status(plan: Plan, how: Manner = PLAIN) -> str:
    """How good the plan is known to be, in one sentence."""
    if plan.status is PlanStatus.NOTHING_TO_PLAN and nothing_readable(plan):
        return how.say("tell.answers.held")
    return how.say(_STATUS[plan.status])


def who_is_short(
    plan: Plan, *, brief: bool = False, how: Manner = PLAIN
) -> tuple[str, ...]:
    """List the bags without a cold place, most urgent first.

    ``brief`` names only what is lacking, without the sentence that explains
    it and the next step.
    """
    index = index_plan(plan, how)
    who = speaker(index)
    lines = []
    for short in sorted(plan.shortfalls, key=lambda one: urgency(index, one)):
        line = index.lines[short.line_id]
        text = how.say(
            "tell.answers.short",
            until=until_words(index, short.safe_until),
            code=line.code,
            bags=index.bags(short.count),
            tier=short.tier.value,
            extra=how.say("tell.answers.extra") if short.surplus else "",
            reason=how.told(short.reason.value) + _step_of(plan, short, how),
            kind=index.kind(line),
        )
        if not brief:
            text += how.say("tell.answers.detail", detail=how.told(clean(short.detail)))
            if short.changes:
                change = what_changes(who, short, short.changes[0])
                text += how.say("tell.answers.change", change=change)
            if short.next_step:
                step = how.told(clean(short.next_step))
                text += how.say("tell.answers.next", step=step)
        lines.append(text)
    return tuple(lines)


def _step_of(plan: Plan, short: Shortfall, how: Manner) -> str:
    """Where on the borrow list a short line is served; empty when nowhere."""
    ranks = [str(one) for one in serving_steps(plan, short)]
    if not ranks:
        return ""
    return how.say("tell.lend.see_short", ranks=how.listed(ranks))


def what_goes_dark(
    plan: Plan, cases: tuple[SunCase, ...] = SUN_CASES, how: Manner = PLAIN
) -> tuple[str, ...]:
    """Say how long life support holds, then each unit that is on, soonest dark first."""
    index = index_plan(plan, how)
    used = [unit for unit in plan.scenario.units if unit.id in index.uses]
    loads = dict.fromkeys(load_id for load_id, _ in index.life_support)
    return (
        *(_load_words(index, load_id, cases) for load_id in loads),
        *(
            _endurance_words(index, unit, cases)
            for unit in sorted(used, key=lambda unit: _dark_order(index, unit))
        ),
    )


def life_support_dark(plan: Plan, how: Manner = PLAIN) -> tuple[str, ...]:
    """Say of each life-support load that goes dark under some sky when it does."""
    index = index_plan(plan, how)
    dark = dict.fromkeys(
        load_id
        for (load_id, _), one in index.life_support.items()
        if one.dark_from_h is not None
    )
    return tuple(_load_words(index, load_id, SUN_CASES) for load_id in dark)


def what_to_borrow(plan: Plan, how: Manner = PLAIN) -> tuple[tuple[str, str], ...]:
    """Say for each step of the borrow list what it gives, and what to ask for."""
    index = index_plan(plan, how)
    steps = []
    for step in sorted(plan.loans, key=lambda one: one.rank):
        lenders = how.listed([clean(one) for one in step.lenders if one])
        gives = how.say(
            "tell.answers.loan",
            rank=step.rank,
            names=" + ".join(clean(one) for one in step.names),
            lenders=how.say("tell.answers.lenders", lenders=lenders) if lenders else "",
            ready=index.clock(step.ready_h),
            gains=gain_words(step, how),
        )
        asked = "; ".join(how.told(clean(one)) for one in step.ask_for)
        ask = how.say("tell.answers.ask", asked=asked) if asked else ""
        steps.append((gives, ask))
    return tuple(steps)


def stop_rule(plan: Plan, how: Manner = PLAIN) -> str:
    """Say what stays short in tiers A to C after the whole borrow list."""
    if not plan.loans:
        return ""
    last = max(plan.loans, key=lambda one: one.rank)
    enough = min(
        (one.rank for one in plan.loans if not one.still_short), default=last.rank
    )
    if not last.still_short:
        key = "tell.lend.stop" if enough < last.rank else "tell.answers.stop"
        return how.say(key, rank=enough)
    return how.count("tell.answers.still", last.still_short, rank=last.rank)


def borrow_worked_out(plan: Plan) -> bool:
    """Tell a plan without loans from one for which nobody looked for them.

    Work saved before this was noted says so only by what was found beside the list.
    """
    return plan.borrow.worked_out or bool(plan.loans) or plan.borrow != NO_MORE


def why_no_loans(plan: Plan, how: Manner = PLAIN) -> str:
    """Say why the borrow list has no step."""
    if not plan.shortfalls:
        held = held_rows(plan)
        return how.say(f"tell.summary.{'not_known' if held else 'nobody_short'}")
    if not borrow_worked_out(plan):
        return how.say("tell.summary.not_asked")
    return borrow_limit(plan, how) or how.say("tell.summary.nothing")


def borrow_limit(plan: Plan, how: Manner = PLAIN) -> str:
    """Say how the search for loans was limited; empty when it was not."""
    found = [clean(f.message) for f in plan.findings if f.subject == "borrow list"]
    return " ".join(how.told(one) for one in found)


def bags_short(plan: Plan) -> int:
    """Count the bags without a cold place, extra stock included."""
    return sum(one.count for one in plan.shortfalls)


def row_balance(plan: Plan, how: Manner = PLAIN) -> str:
    """Say that every row of the sheet is accounted for."""
    planned = {(one.sheet, one.row) for one in plan.scenario.lines}
    held = plan.scenario.waiting_rows
    left = [one for one in plan.scenario.held_rows if one.left_out]
    return how.say(
        "tell.answers.rows",
        rows=plan.scenario.rows_in,
        planned=len(planned),
        held=len(held),
        left=len(left),
    )


def _endurance_words(index: Index, unit: ColdUnit, cases: tuple[SunCase, ...]) -> str:
    how = index.how
    set_to = zone_words(index.uses[unit.id].set_points_c, how)
    key = "tell.answers.unit_beside" if "(" in set_to else "tell.answers.unit"
    name = how.say(key, name=index.name(unit.id), set_to=set_to)
    said = [(case, dark_words(index, unit, case)) for case in cases]
    return how.say("tell.answers.lasts", unit=name, words=_by_case(index, said))


def _load_words(index: Index, load_id: str, cases: tuple[SunCase, ...]) -> str:
    said = [(case, load_words(index, load_id, case)) for case in cases]
    words = _by_case(index, [one for one in said if one[1]])
    name = index.name(load_id)
    return index.how.say("tell.answers.life_support", name=name, words=words)


def _by_case(index: Index, said: Sequence[tuple[SunCase, str]]) -> str:
    """Words of each sun case; only once where all say the same."""
    kinds = list(dict.fromkeys(words for _, words in said))
    if len(kinds) == 1:
        return kinds[0]
    return "; ".join(
        index.how.say("tell.answers.case", sun=index.sun(case), words=words)
        for case, words in said
    )


def _dark_order(index: Index, unit: ColdUnit) -> tuple[float, ...]:
    never = float(index.plan.scenario.conditions.window_h + 1)
    order = []
    for case in (index.plan.scenario.conditions.sun_case, *SUN_CASES):
        one = index.endurance.get((unit.id, case))
        hour = None if one is None else one.dark_from_h
        order.append(never if hour is None else float(hour))
    return tuple(order)
