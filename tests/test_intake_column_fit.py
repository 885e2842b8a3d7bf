"""A column whose cells do not fit its heading is remarked on, once."""

import pytest

from planner.intake import read
from planner.intake.issue_harm import Harm
from planner.intake.review import review_queue
from planner.issue import Issue, Severity
from tests.workbook_maker import NOW

SWAPPED = """Quantity,Item,Resident
Ada Lovelady,2,insulin glargine pens
Ben Carter,3,TPN bags
Carl Diaz,6,breast milk fresh
"""
RIGHT = """Resident,Quantity,Item
Ada Lovelady,2,insulin glargine pens
Ben Carter,two,TPN bags
Carl Diaz,a dozen,breast milk fresh
"""


def misfits(text: str) -> list[Issue]:
    found = read("list.csv", text.encode(), now=NOW)
    return [one for one in found.issues if one.code == "column-misfit"]


def test_swapped_columns_are_remarked_on_once_each_with_what_to_do() -> None:
    found = misfits(SWAPPED)
    assert [one.column for one in found] == ["Item", "Quantity", "Resident"]
    assert {one.row for one in found} == {1}
    assert all(one.severity is Severity.REVIEW for one in found)
    assert "3 of 3" in found[0].message
    assert "headings" in found[0].remedy


def test_it_stands_at_the_top_of_the_questions() -> None:
    queue = review_queue(read("list.csv", SWAPPED.encode(), now=NOW))
    assert queue[0].issue.code == "column-misfit"
    assert queue[0].harm is Harm.WHOLE_LIST


def test_a_list_in_order_is_not_remarked_on() -> None:
    assert misfits(RIGHT) == []


@pytest.mark.parametrize(
    ("counts", "asked"),
    [
        (("some", "few", "bag", "box", "3"), True),
        # A cell or two that do not fit are asked about one by one.
        (("some", "few", "2", "1", "3"), False),
        (("some", "few", "", "", ""), False),
    ],
)
def test_nearly_all_cells_have_to_be_odd(counts: tuple[str, ...], asked: bool) -> None:
    rows = [f"R{at},{count},insulin lispro" for at, count in enumerate(counts)]
    found = misfits("\n".join(["Resident,Quantity,Item", *rows]))
    assert [one.column for one in found] == (["Quantity"] if asked else [])


def test_residents_known_by_their_number_are_no_misfit() -> None:
    rows = [f"{at},1,insulin lispro" for at in range(1, 6)]
    assert misfits("\n".join(["Resident,Quantity,Item", *rows])) == []
