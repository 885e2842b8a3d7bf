"""A newer list beside the one that is open; nothing is taken over by itself."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from planner.intake import Reading, read
from planner.intake.diff import ListDifference, compare
from planner.intake.mapping import ColumnMapping
from planner.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class NewerList:
    """A list that was brought in while another one is open, and its reading."""

    name: str
    data: bytes
    reading: Reading

    def against(self, open_now: Scenario) -> ListDifference | None:
        """Compare with the open list; ``None`` when it cannot be planned."""
        if self.reading.scenario is None:
            return None
        return compare(open_now, self.reading.scenario)

    @property
    def has_equipment(self) -> bool:
        """True when it brings its own units, batteries, panels or sources."""
        scenario = self.reading.scenario
        return scenario is not None and bool(scenario.equipment)


def newer_list(
    name: str,
    data: bytes,
    *,
    now: datetime,
    equipment: tuple[str, bytes] | None = None,
    mappings: Sequence[ColumnMapping] = (),
    aliases: tuple[str, bytes] | None = None,
) -> NewerList:
    """Read a newer list as :func:`planner.intake.read` does, to look at it."""
    reading = read(
        name, data, now=now, equipment=equipment, mappings=mappings, aliases=aliases
    )
    return NewerList(name=name, data=data, reading=reading)
