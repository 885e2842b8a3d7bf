"""Hand-written text tables turned into workbook bytes for the intake tests.

``|`` parts the cells; a blank cell is empty; plain numbers become numbers;
``'7`` is the text 7; ``d:2025-08-02 14:30`` is a date; ``t:14:30`` a time;
``\\n`` inside a cell is a line break.  All names are invented.
"""

import io
import re
from collections.abc import Mapping
from datetime import datetime, time

from openpyxl import Workbook

from planner.intake import Reading, read

NOW = datetime(2025, 10, 13, 7, 12)

CONDITIONS = """
Setting | Place | Value
Start | | d:2025-10-13 08:00
Window (h) | | 72
Room temperature (C) | | 30
Peak sun hours | | 4
"""


def cell(text: str) -> object:
    """One written cell as the value a spreadsheet would hold."""
    text = text.strip().replace("\\n", "\n")
    if not text:
        return None
    if text.startswith("'"):
        return text[1:]
    if text.startswith("d:"):
        return datetime.fromisoformat(text[2:])
    if text.startswith("t:"):
        return time.fromisoformat(text[2:])
    if text in {"TRUE", "FALSE"}:
        return text == "TRUE"
    if re.fullmatch(r"-?\d+(\.\d+)?(e\d+)?", text):
        number = float(text)
        return int(number) if number == int(number) and abs(number) < 1e15 else number
    return text


def rows_of(table: str) -> list[list[object]]:
    """Rows of a text table; blank lines inside it stay empty rows."""
    return [
        [cell(part) for part in line.split("|")]
        for line in table.strip("\n").split("\n")
    ]


def book(sheets: Mapping[str, str]) -> bytes:
    """Bytes of a workbook with these sheets."""
    made = Workbook()
    del made[made.sheetnames[0]]
    for name, table in sheets.items():
        sheet = made.create_sheet(name)
        for at, row in enumerate(rows_of(table), start=1):
            for column, value in enumerate(row, start=1):
                if value is not None:
                    sheet.cell(row=at, column=column, value=value)
    return saved(made)


def saved(made: Workbook) -> bytes:
    """Bytes of a workbook."""
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()


def reading(intake: str, **sheets: str) -> Reading:
    """Read an Intake table with usual conditions; ``Cold_units`` etc. as words."""
    named = {name.replace("_", " "): table for name, table in sheets.items()}
    named.setdefault("Conditions", CONDITIONS)
    return read("list.xlsx", book({"Intake": intake, **named}), now=NOW)


def codes(found: Reading) -> set[str]:
    """Issue codes of a reading."""
    return {issue.code for issue in found.issues}


def at(found: Reading, *wanted: str) -> set[tuple[str, int | None]]:
    """Code and row of the issues with these codes."""
    return {(i.code, i.row) for i in found.issues if i.code in wanted}


def stops(found: Reading) -> set[str]:
    """Codes of the issues that stop the plan."""
    return {issue.code for issue in found.issues if issue.severity.value == "stop"}


def accounted(found: Reading) -> bool:
    """True when every intake row is a line or held, and none is both."""
    assert found.scenario is not None
    lines = {line.row for line in found.scenario.lines}
    held = [row.row for row in found.scenario.held_rows]
    apart = lines.isdisjoint(held) and len(held) == len(set(held))
    return apart and len(lines) + len(held) == found.scenario.rows_in
