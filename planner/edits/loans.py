"""Taking a lent thing into the pool, once it is here."""

from collections.abc import Collection
from dataclasses import replace
from typing import TypeVar

from planner.edits.outcome import Edited, typed
from planner.scenario import Battery, ColdUnit, Panel, Scenario, Source, Status

_FIELD = "availability.status"
Kit = TypeVar("Kit", ColdUnit, Battery, Panel, Source)


def accept_loans(scenario: Scenario, item_ids: Collection[str]) -> Edited:
    """Mark offered things as here; what is here already stays as it is.

    The hour from which a thing counts, and the one at which it goes back, stay
    as they were offered.
    """
    taken = [
        one
        for one in scenario.equipment
        if one.id in item_ids and one.availability.status is Status.OFFERED
    ]
    return Edited(
        scenario=replace(
            scenario,
            units=tuple(_here(one, item_ids) for one in scenario.units),
            batteries=tuple(_here(one, item_ids) for one in scenario.batteries),
            panels=tuple(_here(one, item_ids) for one in scenario.panels),
            sources=tuple(_here(one, item_ids) for one in scenario.sources),
        ),
        applied=True,
        changes=tuple(f"{one.name}: can borrow is now here" for one in taken),
    )


def still_offered(scenario: Scenario | None, item_ids: Collection[str]) -> bool:
    """Tell whether any of these things is only an offer as yet."""
    return scenario is not None and any(
        one.id in item_ids and one.availability.status is Status.OFFERED
        for one in scenario.equipment
    )


def _here(kit: Kit, item_ids: Collection[str]) -> Kit:
    if kit.id not in item_ids or kit.availability.status is not Status.OFFERED:
        return kit
    return replace(
        kit,
        availability=replace(kit.availability, status=Status.HERE),
        origins=(
            *(one for one in kit.origins if one.field != _FIELD),
            typed(_FIELD, Status.HERE.value),
        ),
    )
