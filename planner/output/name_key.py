"""The name key: which code stands for whom.  Kept apart from every plan."""

from collections.abc import Iterable
from datetime import datetime

from planner.output.tables import frame
from planner.output.words import day_clock
from planner.output.xlsx import Block, Sheet, Stamp, add_sheet, new_workbook, to_bytes


def name_key_workbook(pairs: Iterable[tuple[str, str]], start: datetime) -> bytes:
    """Write pairs of code and resident as an .xlsx file of one sheet.

    The only output that holds names.  The same pairs give the same bytes.
    """
    stamp = Stamp(
        title=f"Name key of {day_clock(start)}",
        footer="PRIVATE: one keeper, never with the plan",
        moment=start,
    )
    table = frame(("Code", "Resident"), [(code, name) for code, name in sorted(pairs)])
    sheet = Sheet(
        name="Name key",
        question="Which code stands for whom?",
        note="PRIVATE: one keeper, never with the plan; destroyed when the site closes",
        blocks=(Block(heading="Name key", table=table),),
    )
    book = new_workbook(stamp)
    add_sheet(book, sheet, stamp)
    return to_bytes(book, stamp)
