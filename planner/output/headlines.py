"""The three answers, one sentence each, for the top of a page."""

from dataclasses import dataclass, replace

from planner.output.answers import borrow_limit, borrow_worked_out, stop_rule
from planner.output.held import held_rows, nothing_readable, which_words
from planner.output.index import SUN_CASES, Index, index_plan
from planner.output.late import late_count
from planner.output.manner import PLAIN, Manner
from planner.output.tables import gain_words, until_words, urgency
from planner.output.words import clean
from planner.result import SHORTER_PLAN, LoanStep, Plan
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
    plan: Plan, *, borrow_asked: bool = True, how: Manner = PLAIN
) -> tuple[Headline, Headline, Headline]:
    """Who is short, what goes dark, what to borrow first.

    ``borrow_asked`` is False when the plan was made without a borrow list:
    that there is none then says nothing.
    """
    return (
        short_headline(plan, how),
        dark_headline(plan, how),
        borrow_headline(plan, asked=borrow_asked, how=how),
    )


def short_headline(plan: Plan, how: Manner = PLAIN) -> Headline:
    """How many bags are short, and which one is the most urgent."""
    index = index_plan(plan, how)
    shown = _who_is_short(index) if plan.shortfalls else _nobody(plan, how)
    held, late = held_rows(plan), late_count(index)
    more = [shown.more]
    if held:
        more.append(how.say("tell.headlines.held_rows", rows=which_words(plan, how)))
    if late:
        more.append(how.count("tell.headlines.late", late))
    return replace(shown, more=" ".join(more), good=shown.good and not late)


def _nobody(plan: Plan, how: Manner) -> Headline:
    """Nobody is known to be short; rows that are not planned come first."""
    held = len(held_rows(plan))
    more = "nobody_more"
    answer = how.say("tell.headlines.nobody")
    if held:
        more = "held_rest" if plan.demands else "held_only"
        answer = how.count("tell.headlines.held", held)
    said = how.say(f"tell.headlines.{more}")
    if nothing_readable(plan):
        said = how.say("tell.answers.held")
    return Headline(
        question=how.say("tell.headlines.short"),
        answer=answer,
        more=said,
        good=not held,
    )


def _who_is_short(index: Index) -> Headline:
    plan, how = index.plan, index.how
    held = len(held_rows(plan))
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
    answer = how.say(
        "tell.headlines.short_answer",
        bags=index.bags(bags),
        persons=how.count("tell.persons", codes),
    )
    if held:
        too = how.count("tell.headlines.held", held)
        answer = how.say("tell.headlines.held_too", short=answer, held=too)
    return Headline(
        question=how.say("tell.headlines.short"),
        answer=answer,
        more=how.say(
            "tell.headlines.short_more",
            urgent=urgent,
            extra=extra,
            code=line.code,
            kind=index.kind(line),
            until=until_words(index, first.safe_until),
        ),
        good=False,
    )


def dark_headline(plan: Plan, how: Manner = PLAIN) -> Headline:
    """Which unit goes dark first, in the planned sun case and without sun."""
    question = how.say("tell.headlines.dark")
    index = index_plan(plan, how)
    if not plan.units_on:
        return Headline(
            question=question,
            answer=how.say("tell.headlines.none_on"),
            more=how.say("tell.headlines.none_on_more"),
            good=False,
        )
    planned = plan.scenario.conditions.sun_case
    words, good = _first_dark(index, planned)
    others = [
        how.say(
            "tell.headlines.with",
            with_sun=index.with_sun(case),
            words=_first_dark(index, case)[0],
        )
        for case in SUN_CASES
        if case is not planned
    ]
    return Headline(
        question=question,
        answer=how.say(
            "tell.headlines.planned", with_sun=index.with_sun(planned), words=words
        ),
        more=" ".join(others),
        good=good,
    )


def borrow_headline(plan: Plan, *, asked: bool = True, how: Manner = PLAIN) -> Headline:
    """What to fetch first, and what is short after the whole list."""
    question = how.say("tell.headlines.borrow")
    if not plan.shortfalls and held_rows(plan):
        return Headline(
            question=question,
            answer=how.say("tell.headlines.not_known"),
            more=how.say("tell.headlines.not_known_more"),
            good=False,
        )
    if not plan.shortfalls:
        return Headline(
            question=question,
            answer=how.say("tell.headlines.nothing"),
            more=how.say("tell.headlines.nothing_short"),
            good=True,
        )
    if not (asked and borrow_worked_out(plan)):
        return Headline(
            question=question,
            answer=how.say("tell.headlines.not_asked"),
            more=how.say("tell.headlines.not_asked_more"),
            good=False,
        )
    limit = borrow_limit(plan, how)
    cut_short = [f"{limit[0].upper()}{limit[1:]}."] if limit else []
    first = min(plan.loans, key=lambda one: one.rank, default=None)
    more: list[str] = []
    if first is not None:
        answer = " + ".join(clean(one) for one in first.names)
        more = [_first_loan(plan, first, how), stop_rule(plan, how)]
    elif cut_short:
        answer = how.say("tell.headlines.nothing_found")
    else:
        answer = how.say("tell.headlines.nothing")
        more = [how.say("tell.headlines.no_offer_helps")]
    return Headline(
        question=question, answer=answer, more=" ".join([*more, *cut_short]), good=False
    )


def _first_loan(plan: Plan, step: LoanStep, how: Manner) -> str:
    """Whom to ask, when it is ready, what it gives."""
    lenders = how.listed(list(dict.fromkeys(clean(one) for one in step.lenders if one)))
    return how.say(
        "tell.headlines.from" if lenders else "tell.headlines.ready",
        lenders=lenders,
        ready=index_plan(plan, how).clock(step.ready_h),
        gains=gain_words(step, how),
    )


def life_support_warnings(plan: Plan, how: Manner = PLAIN) -> tuple[str, ...]:
    """Say what the check saw of loads that come before every fridge."""
    loads = {
        one.id for one in plan.scenario.sources if one.kind is SourceKind.PRIORITY_LOAD
    }
    return tuple(
        how.told(clean(one.message))
        for one in plan.findings
        if one.subject in loads or one.subject == "life support"
    )


def shorter_plan_lines(plan: Plan, how: Manner = PLAIN) -> tuple[str, ...]:
    """Say which unit stands idle though it could run for part of the window."""
    return tuple(
        how.told(clean(one.message))
        for one in plan.findings
        if one.subject == SHORTER_PLAN
    )


def _first_dark(index: Index, case: SunCase) -> tuple[str, bool]:
    dark = sorted(
        (one.dark_from_h, index.name(one.unit_id))
        for (_, found), one in index.endurance.items()
        if found is case and one.dark_from_h is not None
    )
    how = index.how
    if not dark:
        end = index.clock(index.plan.scenario.conditions.window_h)
        return how.say("tell.headlines.all_hold", clock=end), True
    hour, name = dark[0]
    more = len(dark) - 1
    rest = how.count("tell.headlines.then", more) if more else ""
    said = how.say(
        "tell.headlines.goes_dark", name=name, clock=index.clock(hour), rest=rest
    )
    return said, False
