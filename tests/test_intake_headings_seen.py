"""Headings offered to be changed, and answers beside changed headings."""

from planner.edits import GivenAnswer, read_answered
from planner.intake import read
from planner.intake.answers import Answer
from planner.intake.headings_seen import fits_any, headings_seen
from planner.intake.mapping import READ_AS_ITEM, changed, loaded, saved
from tests import workbook_maker
from tests.screen_driver import NOW, SCARCE


def book(intake: str) -> bytes:
    return workbook_maker.book(SCARCE | {"Intake": intake})


def one_sheet(data: bytes):
    (found,) = headings_seen("list.xlsx", data)
    return found


def as_chosen(data: bytes, **choices: str):
    return (changed(one_sheet(data).mapping, choices),)


ODD = """
Wer | Sache | Zahl
Ada Testname | zorbitol | 2
Bo Testname | insulin lispro | 4
"""


def test_headings_nobody_knows_are_offered_when_figures_stand_below() -> None:
    found = one_sheet(book(ODD))
    assert not found.found
    assert [one.typed for one in found.mapping.choices] == ["Wer", "Sache", "Zahl"]
    known = as_chosen(book(ODD), Wer="resident", Sache="item", Zahl="quantity")
    again = headings_seen("list.xlsx", book(ODD), known)
    assert again[0].mapping.confirmed
    assert fits_any(again, known)
    reading = read("list.xlsx", book(ODD), now=NOW, mappings=known)
    assert [line.quantity for line in reading.scenario.lines] == [2, 4]


def test_a_first_row_of_somebodys_bag_is_never_offered_as_headings() -> None:
    rows = "Ada Testname | Hall | zorbitol\nBo Testname | Hall | insulin lispro"
    assert headings_seen("list.xlsx", book(rows)) == ()
    figures = "Ada Testname | zorbitol | 3\nBo Testname | insulin lispro | 4"
    assert headings_seen("list.xlsx", book(figures)) == ()


FORM = """
Name | Insulin lispro? | Breast milk | Amount
Ada Testname | 2 | | 1
Bo Testname | | 3 | 1
"""


def test_confirming_a_form_keeps_the_headings_that_are_items() -> None:
    data = book(FORM)
    fields = {one.typed: one.field_key for one in one_sheet(data).mapping.choices}
    assert fields["Insulin lispro?"] == fields["Breast milk"] == READ_AS_ITEM
    before = read("list.xlsx", data, now=NOW)
    known = loaded(saved(as_chosen(data, Amount="")))
    after = read("list.xlsx", data, now=NOW, mappings=known)
    kinds = [(line.kind_id, line.row) for line in after.scenario.lines]
    assert kinds == [(line.kind_id, line.row) for line in before.scenario.lines]
    assert kinds[0][0] == "insulin-lispro"
    off = read(
        "list.xlsx", data, now=NOW, mappings=as_chosen(data, **{"Breast milk": ""})
    )
    assert [line.kind_id for line in off.scenario.lines] == ["insulin-lispro"]


def test_an_answer_that_adds_a_column_keeps_the_confirmed_headings() -> None:
    data = book(ODD)
    known = as_chosen(data, Wer="resident", Sache="item", Zahl="quantity")
    given = GivenAnswer(
        sheet="Intake",
        row=2,
        answer=Answer(label="x", cells=(("storage", "fridge"), ("notes", "seen"))),
    )
    reading = read_answered("list.xlsx", data, (given,), now=NOW, known=known)
    first, second = reading.scenario.lines
    assert (first.quantity, first.notes, second.quantity) == (2, "seen", 4)
    assert first.resident == "Ada Testname"
    twice = read_answered("list.xlsx", data, (given, given), now=NOW, known=known)
    assert twice.scenario.lines == reading.scenario.lines


def test_an_answer_about_a_heading_comes_before_what_was_confirmed() -> None:
    data = book("Name | Item | Amount\nAda Testname | insulin lispro | 40")
    known = as_chosen(data, Amount="quantity")
    given = GivenAnswer(
        sheet="Intake", row=None, answer=Answer(label="x", headings=(("Amount", ""),))
    )
    assert (
        read("l.xlsx", data, now=NOW, mappings=known).scenario.lines[0].quantity == 40
    )
    reading = read_answered("l.xlsx", data, (given,), now=NOW, known=known)
    assert reading.scenario.lines[0].quantity == 1
