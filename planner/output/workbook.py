"""The plan as a workbook: one sheet a question, safe to print and hand on."""

import hashlib

import pandas as pd

from planner.output import tables, tables_lending, tables_power, tables_records
from planner.output.answers import (
    bags_short,
    borrow_limit,
    row_balance,
    status,
    stop_rule,
    title,
    what_goes_dark,
    what_to_borrow,
    who_is_short,
)
from planner.output.cautions import CAUTIONS, source_words
from planner.output.changeover import changeover_steps
from planner.output.moves import changeover_tables, moves_table
from planner.output.plan_json import plan_to_json
from planner.output.words import day_clock, plural
from planner.output.xlsx import (
    Block,
    Sheet,
    Stamp,
    add_sheet,
    add_text_sheet,
    new_workbook,
    to_bytes,
)
from planner.result import NO_CHANGEOVER, Plan

# No letters or digits that look or sound like another one.
_MARK_LETTERS = "ACDEFGHJKLMNPQRTUVWXY3479"
_MARK_LENGTH = 5

_LIMIT = (
    "This plan stores, locates and times. It never says that a medicine is safe: "
    "read its label and ask a pharmacist. Then read the sheet Cautions."
)


def plan_mark(plan: Plan) -> str:
    """Short mark of a plan: two printed sheets with the same mark belong together.

    It is made from the plan's content, so another plan gets another mark.
    """
    # What is plugged anew is no part of the JSON, but it is printed.
    text = plan_to_json(plan)
    if plan.changeover != NO_CHANGEOVER:
        text += repr(changeover_steps(plan))
    digest = hashlib.sha256(text.encode()).digest()
    value = int.from_bytes(digest[:8], "big")
    letters = []
    for _ in range(_MARK_LENGTH):
        value, rest = divmod(value, len(_MARK_LETTERS))
        letters.append(_MARK_LETTERS[rest])
    return "".join(letters)


def plan_workbook(plan: Plan) -> bytes:
    """Write a plan as an .xlsx file; the same plan gives the same bytes.

    Sheets: the three answers first, then one a question; the moves when there
    are any.  Dates in the file
    are the plan's own start.  Text that a spreadsheet could run is
    neutralised; there are codes and no names.
    """
    start, mark = plan.scenario.conditions.start, plan_mark(plan)
    stamp = Stamp(
        title=f"Cold storage plan from {day_clock(start)}",
        footer=f"Plan {mark}. Codes, not names.",
        moment=start,
    )
    book = new_workbook(stamp)
    add_text_sheet(book, "Summary", _summary_lines(plan, mark), stamp)
    for sheet in _sheets(plan, mark):
        add_sheet(book, sheet, stamp)
    return to_bytes(book, stamp)


def _summary_lines(plan: Plan, mark: str) -> tuple[tuple[str, bool], ...]:
    short = who_is_short(plan) or ("Nobody.",)
    dark = what_goes_dark(plan) or ("No unit is on.",)
    borrow = [line for step in what_to_borrow(plan) for line in step if line]
    rule = stop_rule(plan)
    lines = [
        (f"Cold storage plan {mark}", True),
        (title(plan), False),
        (status(plan), False),
        (row_balance(plan), False),
        (
            f"1. Who is short: {plural(bags_short(plan), 'bag')}, most urgent first",
            True,
        ),
        *((line, False) for line in short),
        ("2. What goes dark when", True),
        *((line, False) for line in dark),
        ("3. What to borrow first", True),
        *((line, False) for line in borrow or ["Nothing."]),
        *([(rule, False)] if rule else []),
        ("Before anything is moved", True),
        (_LIMIT, False),
    ]
    return tuple(lines)


def _sheets(plan: Plan, mark: str) -> tuple[Sheet, ...]:
    def sheet(
        name: str,
        question: str,
        first: pd.DataFrame,
        *more: Block,
        marks: tuple[str, ...] = (),
    ) -> Sheet:
        return Sheet(
            name=name,
            question=question,
            note=f"Plan {mark}, {title(plan)}",
            blocks=(Block(heading=question, table=first), *more),
            marks=marks,
        )

    moves = (
        sheet(
            "Moves",
            "What is carried from the plan in force, in which order?",
            moves_table(plan),
            *(
                Block(heading=heading, table=table)
                for heading, table in changeover_tables(plan)
            ),
            marks=("set aside",),
        ),
    )
    return (
        *(moves if plan.moves or plan.changeover != NO_CHANGEOVER else ()),
        sheet(
            "Assignments",
            "Which bag goes in which unit?",
            tables.assignments(plan),
            marks=("NEVER FREEZE",),
        ),
        sheet(
            "Units",
            "How is each unit set, what powers it, when does it go dark?",
            tables_power.units(plan),
            Block(heading="How full is each unit?", table=tables_power.unit_fill(plan)),
            marks=("DARK", "NOTHING"),
        ),
        sheet(
            "Hookup", "What is plugged in where, and when?", tables_power.hookups(plan)
        ),
        sheet(
            "Shortfalls",
            "Who is without a cold place, why, and until when?",
            tables.shortfalls(plan),
            marks=("not known", "none left"),
        ),
        sheet(
            "Room temperature clocks",
            "What stays at room temperature, and until when?",
            tables.warm_clocks(plan),
            Block(
                heading="Not in the cold pool", table=tables_records.items_outside(plan)
            ),
            marks=("not known", "none left"),
        ),
        sheet(
            "Borrow first",
            ". ".join(
                words
                for words in (
                    "What to ask for, in which order, and what it gives",
                    borrow_limit(plan),
                )
                if words
            ),
            tables_lending.borrow_list(plan),
            Block(
                heading="What else would help, each by itself",
                table=tables_lending.other_list(plan),
            ),
            Block(
                heading="Offers that are in no step",
                table=tables_lending.out_list(plan),
            ),
        ),
        sheet(
            "Tiers and proof",
            "What did each tier get, and could it get more?",
            tables.tiers(plan),
            Block(heading="What the check saw", table=tables_records.findings(plan)),
            marks=("not proven best", "warning"),
        ),
        sheet(
            "Hour by hour",
            "How much is in each battery at the end of every hour?",
            tables_power.battery_hours(plan),
            Block(heading="Floor and reserve", table=tables_power.battery_lines(plan)),
            marks=("AT THE FLOOR", "in the reserve"),
        ),
        sheet(
            "Row accounting",
            "Where did every bag of every row end?",
            tables_records.row_accounts(plan),
            marks=("review",),
        ),
        sheet(
            "Assumptions",
            "Which values did nobody at the site supply?",
            tables_records.assumptions(plan),
            marks=("not confirmed",),
        ),
        sheet("Cautions", "What to mind, and who says so", _caution_table()),
    )


def _caution_table() -> pd.DataFrame:
    rows: list[tuple[tables.Cell, ...]] = [
        (one.topic.value, one.text, source_words(one)) for one in CAUTIONS
    ]
    return tables.frame(("Topic", "Caution", "Source"), rows)
