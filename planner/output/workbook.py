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
    why_no_loans,
)
from planner.output.cautions import CAUTIONS, source_words
from planner.output.change_text import capital
from planner.output.changeover import changeover_steps
from planner.output.coded import coded_plan
from planner.output.held import held_lines, held_rows
from planner.output.index import index_plan
from planner.output.late import late_count
from planner.output.manner import PLAIN, Manner
from planner.output.moves import changeover_tables, moves_table
from planner.output.plan_json import plan_to_json
from planner.output.words import US_QUARTS_PER_LITRE, Units
from planner.output.xlsx import (
    Block,
    Sheet,
    Stamp,
    add_sheet,
    add_text_sheet,
    new_workbook,
    to_bytes,
)
from planner.result import Plan

# No letters or digits that look or sound like another one.
_MARK_LETTERS = "ACDEFGHJKLMNPQRTUVWXY3479"
_MARK_LENGTH = 5

_IN_LITRES = " (L)"
_AS_TYPED = frozenset(
    {"Unit", "Place", "Battery", "From", "To", "Sheet", "Source", "Borrow", "Offer",
     "About", "Used for", "Where it applies"}
)  # fmt: skip
"""Headings of columns that hold names of the site or words of a source."""


def plan_mark(plan: Plan) -> str:
    """Short mark of a plan: two printed sheets with the same mark belong together.

    It is made from the plan's content, so another plan gets another mark.
    """
    plan = coded_plan(plan)
    # What is plugged anew is no part of the JSON, but it is printed.
    text = plan_to_json(plan)
    change = plan.changeover
    if change.at_start:
        text += repr(changeover_steps(plan))
    if change.at_start and change.later_h:
        text += repr(change.later_before)
        if change.before_until is not None:
            text += change.before_until.isoformat()
    digest = hashlib.sha256(text.encode()).digest()
    value = int.from_bytes(digest[:8], "big")
    letters = []
    for _ in range(_MARK_LENGTH):
        value, rest = divmod(value, len(_MARK_LETTERS))
        letters.append(_MARK_LETTERS[rest])
    return "".join(letters)


def plan_workbook(plan: Plan, how: Manner = PLAIN) -> bytes:
    """Write a plan as an .xlsx file; the same plan gives the same bytes.

    Sheets: the three answers first, then one a question; the moves when there
    are any.  ``how`` is the language, which units stand first and the clock.
    Dates in the file are the plan's own start.  Text that a spreadsheet could
    run is neutralised; there are codes and no names.
    """
    plan = coded_plan(plan)
    start, mark = plan.scenario.conditions.start, plan_mark(plan)
    stamp = Stamp(
        title=how.say("tell.book.title", when=how.day_clock(start)),
        footer=how.say("tell.book.footer", mark=mark),
        page=how.say("tell.book.page"),
        moment=start,
    )
    book = new_workbook(stamp)
    add_text_sheet(
        book, how.say("tell.book.summary"), _summary_lines(plan, mark, how), stamp
    )
    for sheet in _sheets(plan, mark, how):
        add_sheet(book, sheet, stamp)
    return to_bytes(book, stamp)


def _summary_lines(plan: Plan, mark: str, how: Manner) -> tuple[tuple[str, bool], ...]:
    say = how.say
    nobody = say(f"tell.book.nobody{'_else' if held_rows(plan) else ''}")
    short = who_is_short(plan, how=how) or (nobody,)
    held = len(held_rows(plan))
    late = late_count(index_plan(plan, how))
    dark = what_goes_dark(plan, how=how) or (say("tell.book.none_on"),)
    borrow = [line for step in what_to_borrow(plan, how) for line in step if line]
    no_loans = f"{capital(why_no_loans(plan, how))}."
    rule = stop_rule(plan, how)
    bags = how.count("bags", bags_short(plan))
    lines = [
        (say("tell.book.plan", mark=mark), True),
        (title(plan, how), False),
        (status(plan, how), False),
        (row_balance(plan, how), False),
        *([(how.count("tell.headlines.held", held), True)] if held else []),
        *((line, False) for line in held_lines(plan, how)),
        (say("tell.book.who_short", bags=bags), True),
        *((line, False) for line in short),
        *([(how.count("tell.headlines.late", late), True)] if late else []),
        (say("tell.book.dark"), True),
        *((line, False) for line in dark),
        (say("tell.book.borrow_first"), True),
        *((line, False) for line in borrow or [no_loans]),
        *([(rule, False)] if rule else []),
        (say("tell.book.before"), True),
        (say("tell.book.limit"), False),
    ]
    return tuple(lines)


def _sheets(plan: Plan, mark: str, how: Manner) -> tuple[Sheet, ...]:
    def block(key: str, table: pd.DataFrame) -> Block:
        return Block(heading=how.say(f"tell.book.{key}"), table=in_manner(table, how))

    def sheet(
        key: str,
        first: pd.DataFrame,
        *more: Block,
        note: str = "",
        marks: tuple[str, ...] = (),
    ) -> Sheet:
        question = ". ".join(
            words for words in (how.say(f"tell.book.{key}.asks"), note) if words
        )
        return Sheet(
            name=how.say(f"tell.book.{key}"),
            question=question,
            note=how.say("tell.book.note", mark=mark, window=title(plan, how)),
            blocks=(Block(heading=question, table=in_manner(first, how)), *more),
            none=how.say("tell.book.no_row"),
            marks=tuple(
                how.say(one) if one.startswith("tell.") else how.told(one)
                for one in marks
            ),
        )  # fmt: skip

    moves = (
        sheet(
            "moves",
            moves_table(plan, how),
            *(
                Block(heading=how.told(heading), table=in_manner(table, how))
                for heading, table in changeover_tables(plan, how)
            ),
            marks=("set aside",),
        ),
    )
    return (
        *(moves if plan.moves or plan.changeover.at_start else ()),
        sheet("assignments", tables.assignments(plan, how), marks=("NEVER FREEZE",)),
        sheet(
            "units",
            tables_power.units(plan, how),
            block("fill", tables_power.unit_fill(plan)),
            marks=("DARK", "tell.power.nothing"),
        ),
        sheet("hookup", tables_power.hookups(plan, how)),
        sheet(
            "shortfalls",
            tables.shortfalls(plan, how),
            block("late", tables.late(plan, how)),
            marks=("not known", "none left"),
        ),
        sheet(
            "clocks",
            tables.warm_clocks(plan, how),
            block("outside", tables_records.items_outside(plan, how)),
            marks=("not known", "none left"),
        ),
        sheet(
            "borrow",
            tables_lending.borrow_list(plan, how),
            block("other", tables_lending.other_list(plan, how)),
            block("out", tables_lending.out_list(plan, how)),
            block("gaps", tables_lending.gap_list(plan, how)),
            note=borrow_limit(plan, how),
        ),
        sheet(
            "tiers",
            tables.tiers(plan),
            block("check", tables_records.findings(plan)),
            marks=("not proven best", "warning"),
        ),
        sheet(
            "hours",
            tables_power.battery_hours(plan, how),
            block("levels", tables_power.battery_lines(plan)),
            marks=("tell.charge.floor", "tell.charge.reserve"),
        ),
        sheet("rows", tables_records.row_accounts(plan, how), marks=("review",)),
        sheet(
            "assumptions",
            tables_records.assumptions(plan, how),
            marks=("not confirmed",),
        ),
        sheet("cautions", _caution_table(how)),
    )


def in_manner(table: pd.DataFrame, how: Manner) -> pd.DataFrame:
    """Put headings, and cells that are words of the program, in a manner.

    Columns of names and of sources stay as they were written.  With US
    measures first, a column of litres is one of US quarts.
    """
    shown = table.copy()
    headings = []
    for heading in map(str, table.columns):
        cells = list(table[heading])
        if heading not in _AS_TYPED:
            cells = [how.told(one) if isinstance(one, str) else one for one in cells]
        if how.units is Units.US and heading.endswith(_IN_LITRES):
            cells = [round(one * US_QUARTS_PER_LITRE, 2) for one in cells]
            told = how.told(heading).removesuffix(_IN_LITRES)
            headings.append(f"{told} (qt)")
        else:
            headings.append(how.told(heading))
        shown[heading] = cells
    shown.columns = pd.Index(headings)
    return shown


def _caution_table(how: Manner) -> pd.DataFrame:
    rows: list[tuple[tables.Cell, ...]] = [
        (one.topic.value, how.caution(one.text), source_words(one, how))
        for one in CAUTIONS
    ]
    return tables.frame(("Topic", "Caution", "Source"), rows)
