"""Helpers of the check tests: cases, plans, and plain hourly numbers."""

from collections.abc import Iterable
from contextlib import ExitStack, contextmanager
from typing import Any
from unittest.mock import patch

import numpy as np

from planner.check import account_rows, audit
from planner.check.case import Case, make_case
from planner.check.ground import Claim, lay_ground
from planner.physics import profiles
from planner.result import Finding
from planner.scenario import ColdUnit, Panel, Scenario, SunCase
from tests import builders as b


def case(world: Scenario | None = None, **claim: Any) -> Case:
    """Everything a rule looks at; the default plan where nothing is given."""
    values: dict[str, Any] = {
        "demands": (b.demand(),),
        "units_on": (b.use(),),
        "placements": (b.placement(),),
        "hookups": (b.hookup(),),
    }
    ground = lay_ground(world or b.scenario())
    return make_case(ground, Claim(**(values | claim)))


def audited(
    world: Scenario | None = None, *, accounts: Any = None, **claim: Any
) -> tuple[Finding, ...]:
    """Audit of the default plan with some parts replaced."""
    world = world or b.scenario()
    values: dict[str, Any] = {
        "demands": (b.demand(),),
        "units_on": (b.use(),),
        "placements": (b.placement(),),
        "hookups": (b.hookup(),),
        "warm_clocks": (),
        "shortfalls": (),
    }
    values |= claim
    if accounts is None:
        accounts = account_rows(
            world,
            values["demands"],
            values["placements"],
            values["warm_clocks"],
            values["shortfalls"],
        )
    return audit(world, **values, accounts=accounts)


def fatal(findings: Iterable[Finding]) -> list[tuple[str, str]]:
    """Rule and subject of each broken rule."""
    return [(found.rule, found.subject) for found in findings if found.fatal]


def warned(findings: Iterable[Finding]) -> list[tuple[str, str]]:
    """Rule and subject of each warning."""
    return [(found.rule, found.subject) for found in findings if not found.fatal]


@contextmanager
def plain_hours(
    loads_w: dict[str, list[float]], sun_w: dict[str, list[float]] | None = None
) -> Any:
    """Replace loads and harvest by given numbers, so that sums are by hand.

    ``sun_w`` is the mean day; the poor day has half of it, a day without
    sun nothing.
    """
    share = {SunCase.NONE: 0.0, SunCase.POOR: 0.5, SunCase.MEAN: 1.0}

    def load(unit: ColdUnit, *_: Any) -> Any:
        return np.array(loads_w[unit.id], dtype=float)

    def sun(panel: Panel, _conditions: Any, _outdoor: Any, day: SunCase) -> Any:
        return share[day] * np.array((sun_w or {})[panel.id], dtype=float)

    with ExitStack() as stack:
        stack.enter_context(patch.object(profiles, "unit_load_w", load))
        stack.enter_context(patch.object(profiles, "panel_w", sun))
        yield
