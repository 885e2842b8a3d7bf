"""Records of where a value came from, made from the catalogue's own facts."""

from typing import Protocol

from planner.scenario import CameFrom, Flag, Origin


class Sourced(Protocol):
    """Anything of the catalogue that names its source."""

    @property
    def source(self) -> str:
        """Body, title and year."""

    @property
    def jurisdiction(self) -> str:
        """Where it holds."""

    @property
    def flag(self) -> Flag:
        """How far it can be trusted."""


def origin_from(fact: Sourced, field: str, value: str, came_from: CameFrom) -> Origin:
    """Record that ``field`` got ``value`` on the word of ``fact``."""
    return Origin(
        field=field,
        came_from=came_from,
        value=value,
        source=fact.source,
        jurisdiction=fact.jurisdiction,
        flag=fact.flag,
    )
