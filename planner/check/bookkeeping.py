"""Nothing is lost: rows in are rows accounted for, and bags add up.

These findings carry no rule number.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from planner.check.accounts import account_rows, account_sum, bags
from planner.check.ground import Claim, broken
from planner.result import Demand, Finding, Placement, Shortfall
from planner.scenario import Gate, Scenario

Part = tuple[str, str, bool]
"""A part of a line: line id, tier, surplus or not."""


def check_counts(scenario: Scenario, claim: Claim) -> tuple[Finding, ...]:
    """Check that each line's bags add up, in all and part by part."""
    return (
        *_lines_add_up(scenario, claim),
        *_parts_add_up(scenario, claim),
        *_put_once(scenario, claim),
    )


def check_rows(scenario: Scenario, claim: Claim) -> tuple[Finding, ...]:
    """Check that rows in equal rows accounted for, and accounts are true."""
    found = []
    rows = {(line.sheet, line.row) for line in scenario.lines}
    rows |= {(held.sheet, held.row) for held in scenario.held_rows}
    if len(rows) != scenario.rows_in:
        text = f"{scenario.rows_in} rows were read, {len(rows)} are accounted for"
        found.append(broken("", "rows", text))
    made = account_rows(
        scenario,
        claim.demands,
        claim.placements,
        claim.warm_clocks,
        claim.shortfalls,
    )
    # The words of an account may differ, its figures may not.
    true = Counter(replace(account, outcome="") for account in made)
    told = Counter(replace(account, outcome="") for account in claim.accounts)
    for account in true - told:
        text = f"{account.sheet} row {account.row} is not accounted for as it ended"
        found.append(broken("", account.line_id or "rows", text))
    for account in told - true:
        text = f"the account of {account.sheet} row {account.row} is not true"
        found.append(broken("", account.line_id or "rows", text))
    for account in told:
        if account_sum(account) != account.quantity:
            text = f"the account of {account.sheet} row {account.row} does not add up"
            found.append(broken("", account.line_id or "rows", text))
    return tuple(found)


def check_reasons(scenario: Scenario, claim: Claim) -> tuple[Finding, ...]:
    """Check that each shortfall says why, and what to do next."""
    codes = {line.id: line.code for line in scenario.lines}
    found = []
    for short in claim.shortfalls:
        code = codes[short.line_id]
        if not short.detail.strip():
            found.append(broken("", short.line_id, f"{code} is short without a reason"))
        if not short.next_step.strip():
            text = f"{code} is short without a next step"
            found.append(broken("", short.line_id, text))
    return tuple(found)


def _lines_add_up(scenario: Scenario, claim: Claim) -> Iterator[Finding]:
    planned, placed = bags(claim.demands), bags(claim.placements)
    warm, short = bags(claim.warm_clocks), bags(claim.shortfalls)
    for line in scenario.lines:
        ended = placed[line.id] + warm[line.id] + short[line.id]
        if line.gate is not Gate.POOL:
            if planned[line.id] or placed[line.id]:
                text = f"{line.code} is planned though it is: {line.gate.value}"
                yield broken("", line.id, text)
            continue
        if line.provisional and planned[line.id] == 0 and ended == 0:
            continue
        if planned[line.id] != line.quantity:
            text = (
                f"{line.code} has {line.quantity} bags, {planned[line.id]} are planned"
            )
            yield broken("", line.id, text)
        if ended != line.quantity:
            text = f"{line.code} has {line.quantity} bags, {ended} ended somewhere"
            yield broken("", line.id, text)


def _parts_add_up(scenario: Scenario, claim: Claim) -> Iterator[Finding]:
    codes = {line.id: line.code for line in scenario.lines}
    planned = _by_part(claim.demands)
    ended = _by_part(claim.placements) + _by_part(claim.shortfalls)
    for part, count in ended.items():
        line_id, tier, surplus = part
        if count > planned[part]:
            kind = "surplus" if surplus else "need"
            text = (
                f"{codes[line_id]}: {count} bags of {kind} in tier {tier} are placed"
                f" or short, {planned[part]} are planned"
            )
            yield broken("", line_id, text)


def _put_once(scenario: Scenario, claim: Claim) -> Iterator[Finding]:
    codes = {line.id: line.code for line in scenario.lines}
    seen = Counter(
        (put.line_id, put.unit_id, put.zone, put.tier, put.surplus)
        for put in claim.placements
    )
    for (line_id, unit_id, zone, _, _), count in seen.items():
        if count > 1:
            text = (
                f"{codes[line_id]} is put {count} times in zone {zone + 1} of {unit_id}"
            )
            yield broken("", line_id, text)


def _by_part(
    parts: tuple[Demand, ...] | tuple[Placement, ...] | tuple[Shortfall, ...],
) -> Counter[Part]:
    found: Counter[Part] = Counter()
    for part in parts:
        found[part.line_id, part.tier.value, part.surplus] += part.count
    return found
