"""A plan as it leaves the computer: codes in the names of things, no residents."""

from typing import TypeVar

from planner.intake import coded_names, with_names
from planner.result import Plan

T = TypeVar("T")


def coded_plan(plan: Plan) -> Plan:
    """The plan with codes where a name of the site holds a resident's name."""
    return with_names(plan, coded_names(plan.scenario))


def coded_beside(plan: Plan, beside: T) -> T:
    """What was worked out for a plan, with the same names changed."""
    return with_names(beside, coded_names(plan.scenario))
