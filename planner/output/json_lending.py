"""What stands beside the borrow list, as JSON values."""

from planner.output.index import Index
from planner.output.json_values import Json, rounded
from planner.output.words import safe_text
from planner.result import TierGain
from planner.result_borrow import OtherStep
from planner.result_spec import LeastSpec


def gain_values(gains: tuple[TierGain, ...]) -> list[Json]:
    """Bags and households by tier, tier A first."""
    return [
        {"tier": one.tier.value, "bags": one.bags, "households": one.households}
        for one in sorted(gains, key=lambda x: x.tier)
    ]


def spec_value(spec: LeastSpec) -> Json:
    """One least amount, and what less of it would give."""
    return {
        "item": spec.item_id,
        "quantity": spec.quantity.name.lower(),
        "least": rounded(spec.least, 2),
        "offered": rounded(spec.offered, 2),
        "step": rounded(spec.grid, 2),
        "proven": spec.exact,
        "points": [
            {"amount": rounded(one.amount, 2), "gains": gain_values(one.gains)}
            for one in spec.points
        ],
    }


def beside_value(index: Index) -> dict[str, Json]:
    """Steps without equipment, offers in no step, and how good the order is."""
    more = index.plan.borrow
    return {
        "others": [
            {
                "what": one.kind.name.lower(),
                "gains": gain_values(one.gains),
                "effort": one.effort,
                "amount": rounded(one.amount, 2) if one.amount else None,
                "place": safe_text(one.place) or None,
                "rows": _rows(index, one),
            }
            for one in more.others
        ],
        "not_in_a_step": [
            {
                "item": one.item_id,
                "name": safe_text(one.name),
                "why": one.why.name.lower(),
            }
            for one in more.not_needed
        ],
        "best_sets": [
            {
                "things": one.k,
                "tier": one.tier.value,
                "order_serves": one.nested,
                "best_found": one.best,
                "at_most": one.bound,
                "items": list(one.item_ids),
            }
            for one in more.gaps
        ],
        "solved": more.solved,
        "worked_out": more.worked_out,
    }


def _rows(index: Index, one: OtherStep) -> list[Json]:
    lines = index.lines
    return [*sorted({lines[i].row for i in one.line_ids if i in lines})]
