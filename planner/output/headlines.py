"""The three answers, one sentence each, for the top of a page."""

from dataclasses import dataclass

from planner.output.answers import borrow_limit, stop_rule
from planner.output.index import SUN_CASES, SUN_WORDS, Index, index_plan
from planner.output.tables import gain_words, until_words, urgency
from planner.output.words import clean, listed, plural
from planner.result import LoanStep, Plan
from planner.scenario import SourceKind, SunCase, Tier

_URGENT = (Tier.A, Tier.B, Tier.C)


@dataclass(frozen=True, slots=True, kw_only=True)
class Headline:
    """One answer: the short word, and the sentence below it.

    ``good`` is True when nothing has to be done about it.
    """

    question: str
    answer: str
    more: str
    good: bool


def headlines(
    plan: Plan, *, borrow_asked: bool = True
) -> tuple[Headline, Headline, Headline]:
    """Who is short, what goes dark, what to borrow first.

    ``borrow_asked`` is False when the plan was made without a borrow list:
    that there is none then says nothing.
    """
    return (
        short_headline(plan),
        dark_headline(plan),
        borrow_headline(plan, asked=borrow_asked),
    )


def short_headline(plan: Plan) -> Headline:
    """How many bags are short, and which one is the most urgent."""
    question = "Who is short?"
    if not plan.shortfalls:
        return Headline(
            question=question,
            answer="Nobody",
            more="Every bag of the cold pool has a place.",
            good=True,
        )
    index = index_plan(plan)
    bags = sum(one.count for one in plan.shortfalls)
    urgent = sum(one.count for one in plan.shortfalls if one.tier in _URGENT)
    extra = sum(one.count for one in plan.shortfalls if one.surplus)
    codes = len({index.lines[one.line_id].code for one in plan.shortfalls})
    # An unknown allowance is urgent, but not before an infant's only feed.
    first = min(
        plan.shortfalls,
        key=lambda one: (one.tier not in _URGENT, urgency(index, one)),
    )
    line = index.lines[first.line_id]
    return Headline(
        question=question,
        answer=f"{plural(bags, 'bag')}, {plural(codes, 'person', 'persons')}",
        more=(
            f"{urgent} of them in tiers A to C, {extra} of them extra stock. "
            f"First: {line.code}, {index.kind(line)}, inside its allowance until: "
            f"{until_words(index, first.safe_until)}."
        ),
        good=False,
    )


def dark_headline(plan: Plan) -> Headline:
    """Which unit goes dark first, in the planned sun case and without sun."""
    question = "What goes dark, and when?"
    index = index_plan(plan)
    if not plan.units_on:
        return Headline(
            question=question,
            answer="No unit is on",
            more="Nothing is kept cold by this plan.",
            good=False,
        )
    planned = plan.scenario.conditions.sun_case
    answer, good = _first_dark(index, planned)
    others = [
        f"With {SUN_WORDS[case]}: {_first_dark(index, case)[0]}."
        for case in SUN_CASES
        if case is not planned
    ]
    return Headline(
        question=question,
        answer=f"With {SUN_WORDS[planned]}, as planned: {answer}",
        more=" ".join(others),
        good=good,
    )


def borrow_headline(plan: Plan, *, asked: bool = True) -> Headline:
    """What to fetch first, and what is short after the whole list."""
    question = "What to borrow first?"
    if not plan.shortfalls:
        return Headline(
            question=question,
            answer="Nothing",
            more="Nobody is short, so nothing has to be asked for.",
            good=True,
        )
    if not asked:
        return Headline(
            question=question,
            answer="Not worked out",
            more="Tick 'Also work out what to borrow' on the page of the plan and plan again.",
            good=False,
        )
    limit = borrow_limit(plan)
    cut_short = [f"{limit[0].upper()}{limit[1:]}."] if limit else []
    first = min(plan.loans, key=lambda one: one.rank, default=None)
    answer = (
        " + ".join(clean(one) for one in first.names)
        if first
        else "Nothing found"
        if cut_short
        else "Nothing"
    )
    more = (
        [_first_loan(plan, first), stop_rule(plan)]
        if first
        else []
        if cut_short
        else ["Nothing that is offered would place another bag."]
    )
    return Headline(
        question=question, answer=answer, more=" ".join([*more, *cut_short]), good=False
    )


def _first_loan(plan: Plan, step: LoanStep) -> str:
    """Whom to ask, when it is ready, what it gives."""
    lenders = listed(list(dict.fromkeys(clean(one) for one in step.lenders if one)))
    return (
        f"From {lenders}, " if lenders else ""
    ) + f"ready {index_plan(plan).clock(step.ready_h)}: {gain_words(step)}."


def life_support_warnings(plan: Plan) -> tuple[str, ...]:
    """Say what the check saw of loads that come before every fridge."""
    loads = {
        one.id for one in plan.scenario.sources if one.kind is SourceKind.PRIORITY_LOAD
    }
    return tuple(
        clean(one.message)
        for one in plan.findings
        if one.subject in loads or one.subject == "life support"
    )


def _first_dark(index: Index, case: SunCase) -> tuple[str, bool]:
    dark = sorted(
        (one.dark_from_h, index.name(one.unit_id))
        for (_, found), one in index.endurance.items()
        if found is case and one.dark_from_h is not None
    )
    if not dark:
        end = index.clock(index.plan.scenario.conditions.window_h)
        return f"all units hold to {end}", True
    hour, name = dark[0]
    more = len(dark) - 1
    rest = f", then {plural(more, 'more unit')}" if more else ""
    return f"{name} goes dark {index.clock(hour)}{rest}", False
