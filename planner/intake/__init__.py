"""Workbooks in, scenarios and issues out; the only room that reads cells."""

from planner.intake.blank import blank_workbook
from planner.intake.reader import Reading, name_key, read, read_pasted

__all__ = ["Reading", "blank_workbook", "name_key", "read", "read_pasted"]
