"""Hours in which lent things are here."""

import numpy as np

from planner.scenario import Availability


def there(terms: Availability, hours: np.ndarray) -> bool:
    """True when a thing on these terms is here in all of some hours."""
    return bool(
        hours.size
        and hours[0] >= terms.ready_h
        and (terms.back_h is None or hours[-1] < terms.back_h)
    )


def both_here(
    one: Availability, two: Availability, first: int, end: int
) -> tuple[int, int]:
    """Hours from ``first`` to ``end`` in which two things are both here."""
    backs = [t.back_h for t in (one, two) if t.back_h is not None]
    first = max(one.ready_h, two.ready_h, first)
    return first, max(first, min([end, *backs]))
