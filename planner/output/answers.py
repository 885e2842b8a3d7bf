"""The three answers in sentences: who is short, what goes dark, what to borrow.

Used by the summary in the terminal and by the first sheet of the workbook.
"""

from planner.output.index import SUN_CASES, SUN_WORDS, Index, index_plan
from planner.output.tables import gain_words, until_words, urgency
from planner.output.tables_power import dark_words, zone_words
from planner.output.words import clean, day_clock, hours, listed, plural
from planner.result import Plan, PlanStatus
from planner.scenario import ColdUnit, SunCase

_STATUS = {
    PlanStatus.PROVEN: "Proven best: under the rules no plan serves more, tier by tier.",
    PlanStatus.UNPROVEN: (
        "Good, not proven best: time ran out. 'At most' is what a better plan could reach."
    ),
    PlanStatus.NO_PLAN: (
        "Stopped without a plan: time ran out before a first one. Allow more time."
    ),
    PlanStatus.NOTHING_TO_PLAN: "Nothing to plan: no line competes for cold space.",
}


def title(plan: Plan) -> str:
    """Window of the plan in words, with its dates and the sun it counts on."""
    conditions = plan.scenario.conditions
    ends = conditions.clock(conditions.window_h)
    return (
        f"{day_clock(conditions.start)} to {day_clock(ends, conditions.start)}"
        f" ({hours(conditions.window_h)}),"
        f" planned on {SUN_WORDS[conditions.sun_case]}"
    )


def status(plan: Plan) -> str:
    """How good the plan is known to be, in one sentence."""
    return _STATUS[plan.status]


def who_is_short(plan: Plan, *, brief: bool = False) -> tuple[str, ...]:
    """List the bags without a cold place, most urgent first.

    ``brief`` names only what is lacking, without the sentence that explains
    it and the next step.
    """
    index = index_plan(plan)
    lines = []
    for short in sorted(plan.shortfalls, key=lambda one: urgency(index, one)):
        line = index.lines[short.line_id]
        extra = ", extra stock" if short.surplus else ""
        text = (
            f"{until_words(index, short.safe_until)}: {line.code} "
            f"{plural(short.count, 'bag')}, tier {short.tier.value}{extra}, "
            f"lacking {short.reason.value}: {index.kind(line)}"
        )
        if not brief:
            text += f". {clean(short.detail)}"
            text += f". Next: {clean(short.next_step)}" if short.next_step else ""
        lines.append(text)
    return tuple(lines)


def what_goes_dark(
    plan: Plan, cases: tuple[SunCase, ...] = SUN_CASES
) -> tuple[str, ...]:
    """Say for each unit that is on how long it holds, soonest dark first."""
    index = index_plan(plan)
    used = [unit for unit in plan.scenario.units if unit.id in index.uses]
    return tuple(
        _endurance_words(index, unit, cases)
        for unit in sorted(used, key=lambda unit: _dark_order(index, unit))
    )


def what_to_borrow(plan: Plan) -> tuple[tuple[str, str], ...]:
    """Say for each step of the borrow list what it gives, and what to ask for."""
    index = index_plan(plan)
    steps = []
    for step in sorted(plan.loans, key=lambda one: one.rank):
        lenders = listed([clean(one) for one in step.lenders if one])
        gives = (
            f"{step.rank}. {' + '.join(clean(one) for one in step.names)}"
            + (f" from {lenders}" if lenders else "")
            + f", ready {index.clock(step.ready_h)}: {gain_words(step)}"
        )
        asked = "; ".join(clean(one) for one in step.ask_for)
        steps.append((gives, f"Ask for: {asked}" if asked else ""))
    return tuple(steps)


def stop_rule(plan: Plan) -> str:
    """Say what stays short in tiers A to C after the whole borrow list."""
    if not plan.loans:
        return ""
    last = max(plan.loans, key=lambda one: one.rank)
    if not last.still_short:
        return f"After step {last.rank}, nothing of tiers A to C is short: stop asking."
    bags = plural(last.still_short, "bag")
    return f"After step {last.rank}, {bags} of tiers A to C are still short."


def borrow_limit(plan: Plan) -> str:
    """Say how the search for loans was limited; empty when it was not."""
    told = [clean(f.message) for f in plan.findings if f.subject == "borrow list"]
    return " ".join(told)


def bags_short(plan: Plan) -> int:
    """Count the bags without a cold place, extra stock included."""
    return sum(one.count for one in plan.shortfalls)


def row_balance(plan: Plan) -> str:
    """Say that every row of the sheet is accounted for."""
    planned = {(one.sheet, one.row) for one in plan.scenario.lines}
    held = [one for one in plan.scenario.held_rows if not one.left_out]
    left = [one for one in plan.scenario.held_rows if one.left_out]
    return (
        f"Rows: {plan.scenario.rows_in} read = {len(planned)} accounted for bag by bag"
        f" + {len(held)} waiting in review + {len(left)} that hold no item"
    )


def _endurance_words(index: Index, unit: ColdUnit, cases: tuple[SunCase, ...]) -> str:
    set_to = zone_words(index.uses[unit.id].set_points_c)
    name = f"{index.name(unit.id)} ({set_to})"
    said = [(case, dark_words(index, unit, case)) for case in cases]
    kinds = list(dict.fromkeys(words for _, words in said))
    if len(kinds) == 1:
        return f"{name}: {kinds[0]}"
    return f"{name}: " + "; ".join(f"{SUN_WORDS[case]} {words}" for case, words in said)


def _dark_order(index: Index, unit: ColdUnit) -> tuple[float, ...]:
    never = float(index.plan.scenario.conditions.window_h + 1)
    order = []
    for case in (index.plan.scenario.conditions.sun_case, *SUN_CASES):
        one = index.endurance.get((unit.id, case))
        hour = None if one is None else one.dark_from_h
        order.append(never if hour is None else float(hour))
    return tuple(order)
