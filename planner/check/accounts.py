"""Where every bag of every intake row ended."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from planner.result import Demand, Placement, RowAccount, Shortfall, WarmClock
from planner.scenario import Gate, HeldRow, Line, Scenario


def account_rows(
    scenario: Scenario,
    demands: tuple[Demand, ...],
    placements: tuple[Placement, ...],
    warm_clocks: tuple[WarmClock, ...],
    shortfalls: tuple[Shortfall, ...],
) -> tuple[RowAccount, ...]:
    """Account for every intake row.

    Parameters
    ----------
    scenario
        Its lines and held rows are the rows to account for.
    demands, placements, warm_clocks, shortfalls
        The plan's parts; they are counted as they are, never made to fit.

    Returns
    -------
    tuple of RowAccount
        One a line in scenario order, then one a held row.  A held row that
        waits in review stands as one bag in review, because nobody has read
        its count yet; a row left out as no item stands as none.
    """
    planned = bags(demands)
    placed, warm, short = bags(placements), bags(warm_clocks), bags(shortfalls)
    lines = []
    for line in scenario.lines:
        known = placed[line.id], warm[line.id], short[line.id]
        lines.append(_line_account(line, planned[line.id], *known))
    return (*lines, *(_held_account(held) for held in scenario.held_rows))


def bags(
    parts: Sequence[Demand | Placement | WarmClock | Shortfall],
) -> Counter[str]:
    """Count the bags of each line in some parts of a plan."""
    found: Counter[str] = Counter()
    for part in parts:
        found[part.line_id] += part.count
    return found


def account_sum(account: RowAccount) -> int:
    """Add up the bags of an account; equals its quantity when all is well."""
    kept = account.placed + account.warm + account.with_person
    return kept + account.short + account.review


def _line_account(
    line: Line, planned: int, placed: int, warm: int, short: int
) -> RowAccount:
    rest = max(0, line.quantity - placed - warm - short)
    outside = line.gate is not Gate.POOL
    # A line of the pool without any demand waits in review; with demands,
    # bags left over were lost by the plan and stay visibly missing.
    waits = not outside and line.provisional and planned == 0
    account = RowAccount(
        sheet=line.sheet,
        row=line.row,
        line_id=line.id,
        quantity=line.quantity,
        placed=placed,
        warm=warm,
        short=short,
        with_person=rest if outside else 0,
        review=rest if waits else 0,
        outcome="",
    )
    return replace(account, outcome=_outcome(account, line))


def _outcome(account: RowAccount, line: Line) -> str:
    parts = [
        (account.placed, "in the cold"),
        (account.warm, "at room temperature with a written clock"),
        (account.short, "short"),
        (account.with_person, line.gate.value),
        (account.review, "in review"),
        (account.quantity - account_sum(account), "not accounted for"),
    ]
    words = [f"{count} {text}" for count, text in parts if count]
    if line.provisional and not account.review:
        words.append("also in review")
    return ", ".join(words) or "no bags"


def _held_account(held: HeldRow) -> RowAccount:
    outcome = f"in review ({held.code}), count not read yet"
    if held.left_out:
        outcome = f"left out, no item ({held.code})"
    count = 0 if held.left_out else 1
    return RowAccount(
        sheet=held.sheet,
        row=held.row,
        line_id="",
        quantity=count,
        placed=0,
        warm=0,
        short=0,
        with_person=0,
        review=count,
        outcome=outcome,
    )
