"""Workbooks in, scenarios and issues out; the only room that reads cells."""

from planner.intake.name_codes import (
    Masks,
    as_today,
    coded_names,
    masks_of,
    with_names,
)
from planner.intake.reader import Reading, name_key, read, read_pasted

__all__ = [
    "Masks",
    "Reading",
    "as_today",
    "blank_workbook",
    "coded_names",
    "masks_of",
    "name_key",
    "read",
    "read_pasted",
    "with_names",
]


def blank_workbook() -> bytes:
    """Bytes of an empty workbook; what writes it is loaded only for this."""
    from planner.intake import blank

    return blank.blank_workbook()
