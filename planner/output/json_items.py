"""The parts of the plan's JSON about people's items: codes, not names."""

from planner.output.index import Index
from planner.output.json_lending import gain_values, spec_value
from planner.output.json_values import Json, clock_value, rounded
from planner.output.words import safe_text
from planner.result import LoanStep, Plan, Shortfall
from planner.result_reasons import Change, ChangeKind
from planner.scenario import Line, Supply

_UNIT_OF = {
    ChangeKind.ALLOWANCE: "h",
    ChangeKind.SOONER: "h",
    ChangeKind.LONGER: "h",
    ChangeKind.SOCKET: "sockets",
    ChangeKind.WATTS: "W",
    ChangeKind.ENERGY: "Wh",
    ChangeKind.BATTERY: "Wh",
    ChangeKind.ICE: "kg a day",
    ChangeKind.ROOM_IN: "L",
    ChangeKind.ROOM_AT: "L",
}


def line_value(index: Index, line: Line) -> Json:
    """One intake line with the source of each filled value."""
    demand = index.demand(line.id)
    return {
        "id": line.id,
        "sheet": safe_text(line.sheet),
        "row": line.row,
        "code": safe_text(line.code),
        "kind": line.kind_id or None,
        "kind_name": index.kind(line),
        "quantity": line.quantity,
        "volume_l": rounded(line.volume_l, 3),
        "band_c": [rounded(line.keep_from_c, 2), rounded(line.keep_to_c, 2)],
        "never_freeze": line.never_freeze,
        "warm_hours": rounded(line.warm_hours, 1),
        "warm_max_c": rounded(line.warm_max_c, 2),
        "clock": line.clock.value,
        "tier": demand.tier.value if demand else None,
        "gate": line.gate.value,
        "allowance_h": rounded(demand.allowance_h, 1) if demand else None,
        "safe_until": clock_value(demand.safe_until) if demand else None,
        "sources": {
            one.field: {
                "came_from": one.came_from.value,
                "source": safe_text(one.source) or None,
                "flag": one.flag.value,
            }
            for one in line.origins
        },
    }


def placement_values(index: Index) -> list[Json]:
    """Placements in the order of the sheet's rows."""
    rows: list[Json] = []
    found = sorted(
        index.plan.placements,
        key=lambda x: (x.line_id, x.unit_id, x.zone, x.tier, x.surplus),
    )
    for one in sorted(found, key=lambda x: index.lines[x.line_id].row):
        rows.append(
            {
                "row": index.lines[one.line_id].row,
                "line": one.line_id,
                "unit": one.unit_id,
                "zone": one.zone + 1,
                "count": one.count,
                "tier": one.tier.value,
                "surplus": one.surplus,
                "why": safe_text(one.why),
            }
        )
    return rows


def shortfall_value(index: Index, short: Shortfall) -> Json:
    """One shortfall, with the row it stems from."""
    line = index.lines[short.line_id]
    return {
        "row": line.row,
        "line": line.id,
        "code": safe_text(line.code),
        "tier": short.tier.value,
        "surplus": short.surplus,
        "count": short.count,
        "reason": short.reason.value,
        "detail": safe_text(short.detail),
        "safe_until": clock_value(short.safe_until),
        "next_step": safe_text(short.next_step),
        "changes": [change_value(index, one) for one in short.changes],
    }


def change_value(index: Index, change: Change) -> Json:
    """One change that would place a short line; what does not apply is null."""
    by = None
    if change.kind is ChangeKind.ENERGY:
        by = clock_value(index.plan.scenario.conditions.clock(change.by_h))
    return {
        "kind": change.kind.value,
        "amount": rounded(change.amount, 2),
        "unit_of_amount": _UNIT_OF.get(change.kind),
        "proof": change.proof.value,
        "bags": change.bags,
        "item": change.item_id or None,
        "zone": change.zone + 1 if change.kind is ChangeKind.ROOM_IN else None,
        "place": safe_text(change.place) or None,
        "to_place": safe_text(change.to_place) or None,
        "low_c": rounded(change.low_c, 2),
        "high_c": rounded(change.high_c, 2),
        "set_point_c": rounded(change.set_point_c, 2),
        "watts": rounded(change.watts, 1) if change.watts else None,
        "socket": None if change.supply is Supply.NONE else change.supply.value,
        "lock": change.lockable,
        "night": change.night,
        "by": by,
    }


def warm_clock_values(index: Index) -> list[Json]:
    """Room-temperature clocks in the order of the sheet's rows."""
    return [
        {
            "row": index.lines[one.line_id].row,
            "line": one.line_id,
            "code": safe_text(index.lines[one.line_id].code),
            "count": one.count,
            "until": clock_value(one.until),
            "why": safe_text(one.why),
        }
        for one in sorted(
            index.plan.warm_clocks, key=lambda x: index.lines[x.line_id].row
        )
    ]


def tier_values(plan: Plan) -> list[Json]:
    """Results and proven bounds, tier A first."""
    return [
        {
            "tier": one.tier.value,
            "households": one.households,
            "households_met": one.households_met,
            "household_bound": one.household_bound,
            "needed": one.needed,
            "met": one.met,
            "bound": one.bound,
            "proven": one.proven,
            "warm": one.warm,
            "short": one.short,
            "surplus": one.surplus,
            "surplus_met": one.surplus_met,
        }
        for one in sorted(plan.tiers, key=lambda x: x.tier)
    ]


def loan_value(index: Index, step: LoanStep, *, offered: bool) -> Json:
    """One step of the borrow list; not ``offered`` is kit still to be asked for."""
    served = sorted({index.lines[one].row for one in step.line_ids_served})
    return {
        "rank": step.rank,
        "offered": offered,
        "items": list(step.item_ids),
        "names": [safe_text(one) for one in step.names],
        "lenders": [safe_text(one) for one in step.lenders],
        "ready": clock_value(index.plan.scenario.conditions.clock(step.ready_h)),
        "gains": gain_values(step.gains),
        "hours_gained": rounded(step.hours_gained, 1),
        "ask_for": [safe_text(one) for one in step.ask_for],
        "refuse": [safe_text(one) for one in step.refuse],
        "rows_served": list(served),
        "bags": [
            {
                "row": index.lines[one.line_id].row,
                "extra_stock": one.surplus,
                "bags": one.bags,
            }
            for one in step.bags
            if one.line_id in index.lines
        ],
        "still_short": step.still_short,
        "effort": step.effort,
        "dark_from": None
        if step.dark_from_h is None
        else clock_value(index.plan.scenario.conditions.clock(step.dark_from_h)),
        "specs": [spec_value(one) for one in step.specs],
    }


def row_values(index: Index) -> list[Json]:
    """Where every bag of every row ended."""
    return [
        {
            "sheet": safe_text(one.sheet),
            "row": one.row,
            "line": one.line_id or None,
            "quantity": one.quantity,
            "placed": one.placed,
            "warm": one.warm,
            "short": one.short,
            "with_person": one.with_person,
            "review": one.review,
            "outcome": safe_text(one.outcome),
        }
        for one in sorted(
            index.plan.accounts, key=lambda x: (x.sheet, x.row, x.line_id)
        )
    ]


def held_row_values(plan: Plan) -> list[Json]:
    """Rows that are not planned; their raw text may name a person, so it stays out."""
    return [
        {
            "sheet": safe_text(one.sheet),
            "row": one.row,
            "reason": one.code,
            "left_out": one.left_out,
        }
        for one in sorted(plan.scenario.held_rows, key=lambda x: (x.sheet, x.row))
    ]


def assumption_values(plan: Plan) -> list[Json]:
    """Values nobody at the site supplied, each once."""
    return [
        {
            "field": one.field,
            "value": safe_text(one.value),
            "came_from": one.came_from.value,
            "source": safe_text(one.source) or None,
            "jurisdiction": safe_text(one.jurisdiction) or None,
            "flag": one.flag.value,
        }
        for one in dict.fromkeys(plan.assumptions)
    ]


def shortfall_order(short: Shortfall) -> tuple[bool, str, str, str, bool]:
    """Sort key: soonest first, and not known before all others."""
    # An unknown allowance is read as none, so it is the most urgent.
    moment = short.safe_until
    known = moment is not None
    return (known, clock_value(moment) or "", short.tier, short.line_id, short.surplus)
