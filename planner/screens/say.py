"""The words of the pages, in the language, units and clock that were chosen.

No page holds words of its own: they stand in ``screens.csv``.
"""

from planner.output.manner import PLAIN, Manner
from planner.screens.state import work


def manner() -> Manner:
    """How this window's reader wants things said."""
    return work().manner


def say(key: str, **fields: object) -> str:
    """Message of an id; raises ``UsageError`` when it is not in the tables."""
    return manner().say(key, **fields)


def step(key: str, **fields: object) -> str:
    """Name of a step of the work, as it is saved: in English, told when shown."""
    return PLAIN.say(key, **fields)


def count(key: str, number: int, **fields: object) -> str:
    """Message for one thing (``key.one``) or several (``key.many``)."""
    return manner().count(key, number, **fields)
