"""What was wrong, missing or doubtful in the input, and what to do about it."""

from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """How an issue bears on the plan."""

    STOP = "stop"
    """Nothing can be planned until this is mended."""
    REVIEW = "review"
    """This row is held for review; the rest is planned."""
    ASSUMED = "assumed"
    """A cautious value was put in its place; check it."""
    NOTE = "note"
    """For information; nothing was changed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Issue:
    """One located fault of the input.

    ``row`` is the row number seen in the spreadsheet (1 is the first row),
    ``None`` for a whole sheet or file; ``column`` is the heading as typed.
    """

    code: str
    severity: Severity
    sheet: str
    row: int | None
    column: str
    value: str
    message: str
    remedy: str

    @property
    def where(self) -> str:
        """Place of the fault in words: sheet, row, column."""
        parts = [self.sheet] if self.sheet else []
        if self.row is not None:
            parts.append(f"row {self.row}")
        if self.column:
            parts.append(f"column {self.column}")
        return ", ".join(parts)
