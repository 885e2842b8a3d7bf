"""The plan as JSON for the next tool: same plan, same bytes, codes not names.

Every key is described in ``docs/plan-json.md``.
"""

import json
import re

from planner.output.coded import coded_plan
from planner.output.index import SUN_CASES, index_plan
from planner.output.json_items import (
    assumption_values,
    held_row_values,
    line_value,
    loan_value,
    placement_values,
    row_values,
    shortfall_order,
    shortfall_value,
    tier_values,
    warm_clock_values,
)
from planner.output.json_lending import beside_value
from planner.output.json_power import (
    hookup_order,
    hookup_value,
    replay_value,
    unit_value,
)
from planner.output.json_values import Json, clock_value
from planner.output.moves import move_values
from planner.output.words import safe_text
from planner.result import Plan

FORMAT = "cold-storage-plan"
VERSION = 1

_NUMBER_LIST = re.compile(r"\[\n\s+(-?[\d.,\-\s]+?)\n\s*\]")


def plan_to_json(plan: Plan) -> str:
    """Write a plan as JSON text, keys and lists in a fixed order.

    Numbers are rounded to what a thermometer, scale or meter can tell; a
    value that is not known is ``null``.  Residents, households, notes and
    the raw text of the sheet are left out; a thing that is called after a
    resident is called after the code.
    """
    text = json.dumps(
        plan_document(plan),
        indent=1,
        sort_keys=True,
        ensure_ascii=False,
        allow_nan=False,
    )
    # Hourly series on one line each: newlines inside strings are escaped, so
    # this can only meet lists of numbers.
    return _NUMBER_LIST.sub(_on_one_line, text) + "\n"


def plan_document(plan: Plan) -> dict[str, Json]:
    """Build the document that :func:`plan_to_json` writes."""
    plan = coded_plan(plan)
    index = index_plan(plan)
    conditions = plan.scenario.conditions
    return {
        "format": FORMAT,
        "version": VERSION,
        "status": plan.status.value,
        "window": {
            "start": clock_value(conditions.start),
            "hours": conditions.window_h,
        },
        "lines": [line_value(index, one) for one in plan.scenario.lines],
        "units": [unit_value(index, one) for one in plan.scenario.units],
        "placements": placement_values(index),
        "moves": move_values(index),
        "hookups": [
            hookup_value(index, one) for one in sorted(plan.hookups, key=hookup_order)
        ],
        "replay": [
            replay_value(one)
            for case in SUN_CASES
            for one in plan.replays
            if one.sun_case is case
        ],
        "shortfalls": [
            shortfall_value(index, one)
            for one in sorted(plan.shortfalls, key=shortfall_order)
        ],
        "warm_clocks": warm_clock_values(index),
        "tiers": tier_values(plan),
        "loans": [
            loan_value(index, one, offered=offered)
            for steps, offered in ((plan.loans, True), (plan.borrow.asked, False))
            for one in sorted(steps, key=lambda x: x.rank)
        ],
        "borrow": beside_value(index),
        "rows": row_values(index),
        "held_rows": held_row_values(plan),
        "assumptions": assumption_values(plan),
        "findings": [
            {
                "rule": one.rule or None,
                "fatal": one.fatal,
                "subject": safe_text(one.subject),
                "message": safe_text(one.message),
            }
            for one in plan.findings
        ],
    }


def _on_one_line(match: re.Match[str]) -> str:
    return "[" + ", ".join(match.group(1).replace(",", " ").split()) + "]"
