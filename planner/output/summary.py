"""The plan on one screen of plain text: at most 40 lines of 100 columns."""

import textwrap
from collections.abc import Iterable

from planner.issue import Issue, Severity
from planner.output.answers import (
    bags_short,
    borrow_limit,
    row_balance,
    status,
    stop_rule,
    title,
    what_goes_dark,
    what_to_borrow,
    who_is_short,
    why_no_loans,
)
from planner.output.cards import tier_lines
from planner.output.headlines import shorter_plan_lines
from planner.output.held import held_rows, which_words
from planner.output.index import index_plan
from planner.output.late import late_count
from planner.output.manner import PLAIN, Manner
from planner.output.words import cut
from planner.result import Plan, TierResult
from planner.scenario import SunCase

LINES = 40
COLUMNS = 100

_SHORT_SHOWN = 6
_UNITS_SHOWN = 5
_LOANS_SHOWN = 3


def summary_text(
    plan: Plan,
    issues: Iterable[Issue],
    how: Manner = PLAIN,
    *,
    columns: int | None = COLUMNS,
) -> str:
    """Say on one screen what the plan does, who is short and what to borrow.

    A longer line is cut at ``columns``; with ``None`` every word stands there,
    for a screen that wraps lines and for copying by hand.
    """
    short = who_is_short(plan, brief=True, how=how)
    held, late = _held_lines(plan, how), _late_lines(plan, how)
    shorter = _shorter_lines(plan, how)
    planned = plan.scenario.conditions.sun_case
    cases = tuple(dict.fromkeys((planned, SunCase.NONE)))
    lines = [
        how.say("tell.summary.title", title=title(plan, how)),
        status(plan, how),
        # A table whose lines wrap is misread: there each tier is a sentence.
        *(_tier_lines(plan.tiers, how) if columns else tier_lines(plan, how)),
        row_balance(plan, how),
        "",
        *held,
        how.say("tell.summary.short", bags=how.count("bags", bags_short(plan)))
        if short
        else how.say(f"tell.summary.nobody{'_else' if held_rows(plan) else ''}"),
        *_some(short, max(1, _SHORT_SHOWN - len(held) - len(late) - len(shorter)), how),
        *late,
        *shorter,
        "",
        how.say("tell.summary.dark"),
        *(
            _some(what_goes_dark(plan, cases, how), _UNITS_SHOWN, how)
            or ["  " + how.say("tell.summary.none_on")]
        ),
        "",
        _borrow_line(plan, how),
        *_loan_lines(plan, how),
        "",
        _issue_line(issues, how),
        *_finding_lines(plan, how),
        how.say("tell.summary.cautions"),
    ]
    shown = lines[:LINES]
    if columns is not None:
        shown = [cut(line, columns) for line in shown]
    return "\n".join(shown) + "\n"


def _shorter_lines(plan: Plan, how: Manner) -> list[str]:
    """A unit that could run for part of the window, on lines that hold it whole."""
    return [
        line
        for said in shorter_plan_lines(plan, how)
        for line in textwrap.wrap(
            said, COLUMNS, initial_indent="  ", subsequent_indent="    "
        )
    ]


def _held_lines(plan: Plan, how: Manner) -> list[str]:
    held = len(held_rows(plan))
    rows = which_words(plan, how)
    return [how.count("tell.summary.held", held, rows=rows)] if held else []


def _late_lines(plan: Plan, how: Manner) -> list[str]:
    late = late_count(index_plan(plan, how))
    return [how.count("tell.summary.late", late)] if late else []


def _borrow_line(plan: Plan, how: Manner) -> str:
    if plan.loans:
        limit = borrow_limit(plan, how)
        return how.say(f"tell.summary.borrow{'_cut' if limit else ''}")
    return how.say("tell.summary.borrow_none", why=why_no_loans(plan, how))


def _tier_lines(tiers: tuple[TierResult, ...], how: Manner) -> list[str]:
    if not tiers:
        return []
    rows = [how.say("tell.summary.head")]
    for one in sorted(tiers, key=lambda tier: tier.tier):
        homes = how.say(
            "tell.summary.homes", met=one.households_met, count=one.households
        )
        proof = how.told("proven best" if one.proven else "not proven best")
        rows.append(
            f"{one.tier.value:<4}{one.needed:>8}{one.met:>7}{one.bound:>9}"
            f"{one.warm:>12}{one.short:>7}{homes:>12}  {proof}"
        )
    return rows


def _some(lines: tuple[str, ...], limit: int, how: Manner) -> list[str]:
    shown = [f"  {line}" for line in lines[:limit]]
    if len(lines) > limit:
        shown.append("  " + how.say("tell.summary.more", count=len(lines) - limit))
    return shown


def _loan_lines(plan: Plan, how: Manner) -> list[str]:
    steps = what_to_borrow(plan, how)
    lines = []
    for gives, ask in steps[:_LOANS_SHOWN]:
        lines += [f"  {gives}"] + ([f"     {ask}"] if ask else [])
    if len(steps) > _LOANS_SHOWN:
        more = len(steps) - _LOANS_SHOWN
        lines.append("  " + how.say("tell.summary.more", count=more))
    return lines + ([f"  {stop_rule(plan, how)}"] if steps else [])


def _issue_line(issues: Iterable[Issue], how: Manner) -> str:
    found = [issue.severity for issue in issues]
    if not found:
        return how.say("tell.summary.no_remarks")
    counts = [
        how.say(f"tell.summary.{severity.value}", count=found.count(severity))
        for severity in Severity
        if severity in found
    ]
    return how.say("tell.summary.input", parts=", ".join(counts))


def _finding_lines(plan: Plan, how: Manner) -> list[str]:
    if not plan.findings:
        return []
    return [how.count("tell.summary.check", len(plan.findings))]
