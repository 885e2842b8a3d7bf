"""Try one change: the plan as it would be, everybody keeping what they have."""

from planner.decide.keeper import keeper_of_plan
from planner.decide.mend import apply_change
from planner.pipeline import LOADS_NOT_CARRIED, checked
from planner.result import Plan, Shortfall
from planner.result_reasons import Change


def plan_with_change(plan: Plan, short: Shortfall, change: Change) -> Plan | None:
    """The checked plan with a change, the bags of a short line that it places added.

    Everybody who is placed keeps as many bags, though not always in the same
    unit; nobody else is added.  ``None`` when no such plan was found.

    Raises
    ------
    PlanRefusedError
        The audit found a broken rule.
    """
    scenario = apply_change(plan.scenario, change)
    keeper = keeper_of_plan(plan, loads_fed=LOADS_NOT_CARRIED not in plan.findings)
    look = keeper.look(scenario, short.line_id, surplus=short.surplus, bags=change.bags)
    if look.allocation is None:
        return None
    scenario = look.allocation.instance.scenario
    return checked(scenario, look.demand, look.allocation, look.dealt, changes=False)
