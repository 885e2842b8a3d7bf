"""The plan on one screen of plain text: at most 40 lines of 100 columns."""

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
)
from planner.output.words import cut, plural
from planner.result import Plan, TierResult
from planner.scenario import SunCase

LINES = 40
COLUMNS = 100

_SHORT_SHOWN = 6
_UNITS_SHOWN = 5
_LOANS_SHOWN = 3


def summary_text(plan: Plan, issues: Iterable[Issue]) -> str:
    """Say on one screen what the plan does, who is short and what to borrow."""
    short = who_is_short(plan, brief=True)
    planned = plan.scenario.conditions.sun_case
    cases = tuple(dict.fromkeys((planned, SunCase.NONE)))
    lines = [
        f"COLD STORAGE PLAN  {title(plan)}",
        status(plan),
        *_tier_lines(plan.tiers),
        row_balance(plan),
        "",
        f"WHO IS SHORT: {plural(bags_short(plan), 'bag')}, most urgent first"
        if short
        else "WHO IS SHORT: nobody",
        *_some(short, _SHORT_SHOWN),
        "",
        "WHAT GOES DARK WHEN",
        *(_some(what_goes_dark(plan, cases), _UNITS_SHOWN) or ["  no unit is on"]),
        "",
        _borrow_line(plan),
        *_loan_lines(plan),
        "",
        _issue_line(issues),
        *_finding_lines(plan),
        "Cautions: label and pharmacist come first; read sheet 'Cautions' of the workbook.",
    ]
    return "\n".join(cut(line, COLUMNS) for line in lines[:LINES]) + "\n"


def _borrow_line(plan: Plan) -> str:
    limit = borrow_limit(plan)
    if plan.loans:
        return "BORROW FIRST (not every offer was tried)" if limit else "BORROW FIRST"
    return f"BORROW FIRST: {limit or 'nothing'}"


def _tier_lines(tiers: tuple[TierResult, ...]) -> list[str]:
    if not tiers:
        return []
    rows = ["Tier  needed   cold  at most  room temp.  short  households  proof"]
    for one in sorted(tiers, key=lambda tier: tier.tier):
        homes = f"{one.households_met} of {one.households}"
        proof = "proven best" if one.proven else "not proven best"
        rows.append(
            f"{one.tier.value:<4}{one.needed:>8}{one.met:>7}{one.bound:>9}"
            f"{one.warm:>12}{one.short:>7}{homes:>12}  {proof}"
        )
    return rows


def _some(lines: tuple[str, ...], limit: int) -> list[str]:
    shown = [f"  {line}" for line in lines[:limit]]
    if len(lines) > limit:
        shown.append(f"  ... and {len(lines) - limit} more in the workbook")
    return shown


def _loan_lines(plan: Plan) -> list[str]:
    steps = what_to_borrow(plan)
    lines = []
    for gives, ask in steps[:_LOANS_SHOWN]:
        lines += [f"  {gives}"] + ([f"     {ask}"] if ask else [])
    if len(steps) > _LOANS_SHOWN:
        lines.append(f"  ... and {len(steps) - _LOANS_SHOWN} more in the workbook")
    return lines + ([f"  {stop_rule(plan)}"] if steps else [])


def _issue_line(issues: Iterable[Issue]) -> str:
    found = [issue.severity for issue in issues]
    if not found:
        return "Input: no remarks"
    words = (
        (Severity.STOP, "stopping the plan"),
        (Severity.REVIEW, "waiting in review"),
        (Severity.ASSUMED, "filled with an assumed value"),
        (Severity.NOTE, "for information"),
    )
    counts = [
        f"{found.count(severity)} {text}"
        for severity, text in words
        if severity in found
    ]
    return f"Input: {', '.join(counts)} ('check' lists them)"


def _finding_lines(plan: Plan) -> list[str]:
    if not plan.findings:
        return []
    count = plural(len(plan.findings), "warning")
    return [f"Check: {count} on sheet 'Tiers and proof' of the workbook"]
