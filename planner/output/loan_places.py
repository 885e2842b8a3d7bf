"""Who gets a place by a step of the borrow list, who loses one, and what it costs."""

from collections.abc import Callable, Mapping

from planner.output.lend_text import Teller
from planner.output.words import number
from planner.result import LoanStep, Plan, Shortfall
from planner.scenario import Line

Lines = Mapping[str, Line]


def serves_words(step: LoanStep, lines: Lines, how: Teller) -> str:
    """Codes whose needed bags get a place by a step, with how many; empty for none."""
    if not step.bags:
        served = step.line_ids_served
        return ", ".join(sorted({lines[one].code for one in served if one in lines}))
    return _listed(step, lines, how, lambda bags, surplus: bags > 0 and not surplus)


def mind_words(step: LoanStep, lines: Lines, how: Teller) -> tuple[str, ...]:
    """Extra stock that finds room, whose bags lose a place, hours without sun lost."""
    extra = _listed(
        step, lines, how, lambda bags, surplus: bags > 0 and surplus, apart=False
    )
    lost = loses_words(step, lines, how)
    said = []
    if extra:
        said.append(how.say("tell.lend.extra", who=extra))
    if lost:
        said.append(how.say("tell.lend.loses", who=lost))
    if step.hours_gained < 0:
        hours = number(-step.hours_gained, 0)
        said.append(how.say("tell.lend.costs", hours=hours))
    return tuple(said)


def loses_words(step: LoanStep, lines: Lines, how: Teller) -> str:
    """Codes whose bags lose their place to a step, extra stock said as such."""
    return _listed(step, lines, how, lambda bags, _: bags < 0)


def _listed(
    step: LoanStep,
    lines: Lines,
    how: Teller,
    wanted: Callable[[int, bool], bool],
    *,
    apart: bool = True,
) -> str:
    """Codes with their bags; ``apart`` marks those that are extra stock."""
    counts: dict[tuple[str, bool], int] = {}
    for one in step.bags:
        if one.line_id in lines and wanted(one.bags, one.surplus):
            key = (lines[one.line_id].code, one.surplus)
            counts[key] = counts.get(key, 0) + abs(one.bags)
    return ", ".join(
        how.say(
            "tell.lend.who_extra" if surplus and apart else "tell.lend.who",
            code=code,
            bags=how.count("bags", count),
        )
        for (code, surplus), count in sorted(counts.items())
    )


def serving_steps(plan: Plan, short: Shortfall) -> dict[int, int]:
    """Bags of a short line that get a place, by the rank of the step that gives it."""
    found = {}
    for step in (*plan.loans, *plan.borrow.asked):
        bags = sum(
            one.bags
            for one in step.bags
            if (one.line_id, one.surplus) == (short.line_id, short.surplus)
        )
        if bags > 0:
            found[step.rank] = min(bags, short.count)
    return dict(sorted(found.items()))


def see_step_words(plan: Plan, short: Shortfall, how: Teller) -> str:
    """Point from a short line to the steps that serve it; empty when none does."""
    return _see(plan, short, how, "tell.lend.see")


def then_step_words(plan: Plan, short: Shortfall, how: Teller) -> str:
    """The same as what comes next, after the word then."""
    return _see(plan, short, how, "tell.lend.see_then")


def _see(plan: Plan, short: Shortfall, how: Teller, key: str) -> str:
    said = [
        how.say("tell.lend.see_step", rank=rank, bags=how.count("bags", bags))
        for rank, bags in serving_steps(plan, short).items()
    ]
    return how.say(key, steps=", ".join(said)) if said else ""
