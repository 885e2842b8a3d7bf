"""Keep what was changed on screen when the list is brought in again."""

from dataclasses import replace

from planner.scenario import Scenario


def keep_changes(before: Scenario, fresh: Scenario) -> Scenario:
    """Give the lines of ``fresh`` with the equipment and conditions of ``before``.

    Places that only the new list names are added as it has them.
    """
    known = {place.name for place in before.places}
    added = tuple(place for place in fresh.places if place.name not in known)
    return replace(
        fresh,
        places=(*before.places, *added),
        units=before.units,
        batteries=before.batteries,
        panels=before.panels,
        sources=before.sources,
        conditions=before.conditions,
    )
