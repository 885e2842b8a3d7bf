"""The least amount that does, found by asking again and again.

The question may be answered by yes, by a proven no, or not at all; what is
said of the amount found is no more than those answers bear.
"""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum


class Seen(StrEnum):
    """What one question found out."""

    YES = "it does"
    NO = "proven that it does not"
    UNKNOWN = "neither found nor proven"


@dataclass(frozen=True, slots=True, kw_only=True)
class Least:
    """Steps that do, and whether one step less is proven not to."""

    steps: int
    exact: bool


def least(does: Callable[[int], Seen], *, high: int, tries: int) -> Least:
    """Fewest whole steps that do, looked for below ``high`` steps that do.

    More is taken to do wherever less does.  One step less is asked first:
    the first guess is often the answer.
    """
    low, proven = 0, False
    asked: set[int] = set()
    at = high - 1
    for _ in range(tries):
        if at < low or at in asked:
            break
        asked.add(at)
        seen = does(at)
        if seen is Seen.YES:
            high = at
        else:
            low, proven = at, seen is Seen.NO
        at = (low + high) // 2 if high - low > 1 else low
        if high == 0:
            break
    return Least(steps=high, exact=proven and high - low == 1)
