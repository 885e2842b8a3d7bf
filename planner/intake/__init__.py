"""Workbooks in, scenarios and issues out; the only room that reads cells."""

from planner.intake.reader import Reading, name_key, read, read_pasted

__all__ = ["Reading", "blank_workbook", "name_key", "read", "read_pasted"]


def blank_workbook() -> bytes:
    """Bytes of an empty workbook; what writes it is loaded only for this."""
    from planner.intake import blank

    return blank.blank_workbook()
