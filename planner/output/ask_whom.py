"""Who to ask about what: the tool itself decides none of it."""

from collections.abc import Mapping
from types import MappingProxyType

from planner.output.cautions import Topic
from planner.result import Plan
from planner.scenario import ColdUnit, SourceKind

ASK: Mapping[Topic, str] = MappingProxyType(
    {
        Topic.MEDICINES: "a pharmacist, or the number on the label",
        Topic.FEEDS: "the parent, and a nurse or clinic",
        Topic.FREEZING: "a pharmacist, before the item is used",
        Topic.BATTERY: "its owner or maker; smoke, swelling or smell: the fire service",
        Topic.GENERATOR: "its owner; headache or dizziness near it: out, then the emergency number",
        Topic.ELECTRICAL: "a licensed electrician",
        Topic.PRIVACY: "the one person who keeps the name key",
    }
)
"""Who to ask, by topic of the cautions."""


def used_units(plan: Plan) -> tuple[ColdUnit, ...]:
    """Units that are on in a plan."""
    on = {use.unit_id for use in plan.units_on}
    return tuple(unit for unit in plan.scenario.units if unit.id in on)


def hookup_topics(plan: Plan) -> tuple[Topic, ...]:
    """Topics to mind at the plugs of a plan: only what is really plugged in."""
    feeders = {plug.from_id for plug in plan.hookups}
    fed = {plug.to_id for plug in plan.hookups}
    batteries = any(one.id in feeders | fed for one in plan.scenario.batteries)
    fuel = any(
        one.id in feeders and one.kind in {SourceKind.GENERATOR, SourceKind.VEHICLE}
        for one in plan.scenario.sources
    )
    return (
        *((Topic.BATTERY,) if batteries else ()),
        *((Topic.GENERATOR,) if fuel else ()),
        Topic.ELECTRICAL,
    )
