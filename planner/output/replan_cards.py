"""The new plan beside the one in force, for the page: words, moves, tiers."""

from collections.abc import Mapping

import pandas as pd

from planner.output.changeover import changeover_words, later_words
from planner.output.index import Index, index_plan
from planner.output.manner import PLAIN, Manner
from planner.output.tables import Cell, frame
from planner.output.words import number, safe_text
from planner.result import Plan, TierResult
from planner.result_moves import DESK, Carry, CarryKind
from planner.result_replan import Replanned
from planner.scenario import Tier

_SAME = 0.005


def headline(made: Replanned, how: Manner = PLAIN) -> str:
    """Count the bags that stay, move, leave and come."""
    stay = how.count("tell.replan.stay", made.kept)
    parts = [
        how.count(f"tell.replan.{key}", count)
        for key, count in (
            ("move", made.carried), ("leave", made.out), ("come", made.put_in)
        )
        if count
    ]  # fmt: skip
    if not parts:
        return how.say("tell.replan.nothing", stay=stay)
    return how.say("tell.replan.carried", what=how.listed([*parts, stay]))


def tier_lines(
    before: Plan | None, after: Plan, how: Manner = PLAIN
) -> tuple[str, ...]:
    """Bags with a cold place in each tier, in the plan in force and in the new one."""
    old: Mapping[Tier, TierResult] = {
        one.tier: one for one in (before.tiers if before is not None else ())
    }
    said = []
    for one in after.tiers:
        if not one.needed:
            continue
        was = old.get(one.tier)
        key = "tell.replan.tier" if was is not None else "tell.replan.tier_only"
        said.append(
            how.say(
                key,
                tier=one.tier.value,
                met=f"{one.met:,}",
                needed=f"{one.needed:,}",
                was=f"{was.met:,}" if was is not None else "",
                of=f"{was.needed:,}" if was is not None else "",
            )
        )
    return tuple(said)


def factor_line(made: Replanned, how: Manner = PLAIN) -> str:
    """Say what the batteries tell of the load, and what the plan counts with."""
    factor = made.factor
    used = number(factor.used, 2)
    if factor.measured is None:
        return how.say("tell.replan.factor_none", used=used)
    measured = number(factor.measured, 2)
    alike = abs(factor.measured - factor.used) < _SAME
    key = "tell.replan.factor" if alike else "tell.replan.factor_held"
    return how.say(key, measured=measured, used=used)


def change_lines(
    plan: Plan, how: Manner = PLAIN
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Plugs and thermostats: before any bag is carried, and when the bags are out."""
    return changeover_words(index_plan(plan, how))


def later_line(plan: Plan, how: Manner = PLAIN) -> str:
    """How many plugs change over later, and when; empty when none does."""
    return later_words(index_plan(plan, how))


def move_rows(plan: Plan, how: Manner = PLAIN) -> pd.DataFrame:
    """List what is carried from where to where, in order; four columns for a phone."""
    index = index_plan(plan)
    rows: list[tuple[Cell, ...]] = [
        (
            f"{one.order}. {safe_text(one.code)}",
            f"{one.count:,}",
            _spot(index, one.from_unit_id, one.from_zone, how),
            _end(index, one, how),
        )
        for one in sorted(plan.moves, key=lambda one: one.order)
    ]
    names = ("code", "bags", "from", "to")
    return frame([how.say(f"tell.replan.head_{one}") for one in names], rows)


def _spot(index: Index, unit_id: str, zone: int, how: Manner) -> str:
    if unit_id == DESK:
        return how.say("moves.desk")
    unit = index.units.get(unit_id)
    name = index.name(unit_id)
    if unit is None or len(unit.zone_shares) < 2:
        return name
    return how.say("tell.replan.zone", unit=name, zone=zone + 1)


def _end(index: Index, one: Carry, how: Manner) -> str:
    """Where the bags go; how long those set aside may wait outside."""
    said = _spot(index, one.to_unit_id, one.to_zone, how)
    if one.kind is CarryKind.ASIDE and one.wait_min is not None:
        return how.say("tell.replan.waits", where=said, minutes=one.wait_min)
    return said
