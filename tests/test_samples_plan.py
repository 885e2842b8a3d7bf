"""The samples tell the stories they were made for, before any loan."""

from datetime import datetime
from functools import cache

import pytest

from planner.pipeline import make_plan, read_files
from planner.result import Plan, PlanStatus, ReasonFamily
from planner.scenario import Tier
from tests.make_samples import FOLDER

NOW = datetime(2026, 1, 1, 12, 0)
URGENT = (Tier.A, Tier.B, Tier.C)


@cache
def _plan(name: str) -> Plan:
    reading = read_files(name, (FOLDER / name).read_bytes(), now=NOW)
    assert reading.scenario is not None
    return make_plan(reading.scenario, time_limit_s=60, borrow=False)


def test_hall_in_heat_is_short_before_borrowing() -> None:
    plan = _plan("hall_in_heat.xlsx")
    urgent = [tier for tier in plan.tiers if tier.tier in URGENT]
    short = sum(tier.short for tier in urgent)
    needed = sum(tier.needed for tier in urgent)

    assert plan.status is PlanStatus.PROVEN
    assert 0.10 <= short / needed <= 0.25


def test_hall_in_heat_is_short_of_power_and_of_a_locked_place_at_night() -> None:
    plan = _plan("hall_in_heat.xlsx")
    reasons = {s.reason for s in plan.shortfalls if s.tier in URGENT}

    assert ReasonFamily.POWER in reasons
    assert reasons & {ReasonFamily.CUSTODY, ReasonFamily.ACCESS}


def test_hall_in_heat_uses_every_litre_for_feeds() -> None:
    """Feeds that need no freezer fill their fridge to less than one pack."""
    plan = _plan("hall_in_heat.xlsx")
    lines = {line.id: line for line in plan.scenario.lines}
    left_out = [
        lines[s.line_id].volume_l
        for s in plan.shortfalls
        if s.tier is Tier.B and not lines[s.line_id].frozen
    ]
    units = {unit.id: unit for unit in plan.scenario.units}
    chosen = {
        p.unit_id for p in plan.placements if lines[p.line_id].stock_class == "feed"
    }
    free_l = sum(units[u].gross_volume_l * units[u].usable_share for u in chosen) - sum(
        p.count * lines[p.line_id].volume_l
        for p in plan.placements
        if p.unit_id in chosen
    )

    assert left_out
    assert 0 <= free_l < min(left_out)


def test_quiet_street_serves_all() -> None:
    plan = _plan("quiet_street.xlsx")

    assert plan.status is PlanStatus.PROVEN
    assert plan.shortfalls == ()
    assert all(tier.met == tier.needed for tier in plan.tiers)


@pytest.mark.parametrize("name", ["hall_in_heat.xlsx", "quiet_street.xlsx"])
def test_every_pack_ends_somewhere(name: str) -> None:
    plan = _plan(name)
    quantities = {line.id: line.quantity for line in plan.scenario.lines}
    ended = {
        account.line_id: account.placed
        + account.warm
        + account.short
        + account.with_person
        + account.review
        for account in plan.accounts
        if account.line_id
    }

    assert ended == quantities
