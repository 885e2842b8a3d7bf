"""Moves on every way out: table, workbook, JSON, paper and plain text."""

import io
import json
from dataclasses import replace

import openpyxl
import pytest

from planner.output.moves import moves_table
from planner.output.paper import hand_copy, paper_pdf
from planner.output.paper.notice import moves_of
from planner.output.plan_json import plan_to_json
from planner.output.replan_text import one_more_text, replan_text
from planner.output.workbook import plan_mark, plan_workbook
from planner.result import Changeover, ReasonFamily
from planner.result_moves import Setting
from planner.result_replan import Fits, LoadFactor, OneMore, Replanned
from tests import plan_fixture

PLAN = plan_fixture.plan(moves=plan_fixture.moves())
CHANGED = replace(
    PLAN,
    changeover=Changeover(
        settings=(
            Setting(unit_id="unit-2", before_c=(), after_c=(4.0,)),
            Setting(unit_id="unit-1", before_c=(5.0,), after_c=()),
        ),
        put_in=PLAN.hookups[:1],
    ),
)


def test_the_table_has_every_move_in_order_with_the_desk_by_its_word():
    rows = moves_table(PLAN).to_dict("records")
    assert [row["Order"] for row in rows] == [1, 2, 3, 4]
    assert [row["To"] for row in rows[:2]] == ["the desk", "the desk"]
    assert rows[0]["Item"] == "not on the list any more"
    assert rows[1]["Outside at most (min)"] == 6
    assert list(moves_table(plan_fixture.plan()).columns) == list(rows[0])


def test_the_workbook_has_a_sheet_only_when_something_moves():
    book = openpyxl.load_workbook(io.BytesIO(plan_workbook(PLAN)))
    assert book.sheetnames[1] == "Moves"
    assert [c.value for c in book["Moves"][3]][:3] == ["Order", "What", "Code"]
    fresh = plan_workbook(plan_fixture.plan())
    assert "Moves" not in openpyxl.load_workbook(io.BytesIO(fresh)).sheetnames


def test_the_json_has_the_moves_and_the_mark_changes_with_them():
    moves = json.loads(plan_to_json(PLAN))["moves"]
    assert moves[0] | {"code": ""} == {
        "order": 1, "what": "taken out", "row": None, "line": None, "code": "",
        "count": 1, "from_unit": "unit-1", "from_zone": 1, "to_unit": None,
        "to_zone": None, "outside_min": None,
    }  # fmt: skip
    assert moves[1]["outside_min"] == 6
    assert json.loads(plan_to_json(plan_fixture.plan()))["moves"] == []
    assert plan_mark(PLAN) != plan_mark(plan_fixture.plan())


def test_the_paper_has_the_move_list_of_its_own_accord():
    assert [(m.order, m.from_unit, m.to_unit) for m in moves_of(PLAN)] == [
        (1, "North fridge", ""),
        (2, "North fridge", ""),
        (3, moves_of(PLAN)[2].from_unit, "North fridge"),
        (4, "", moves_of(PLAN)[2].from_unit),
    ]
    assert "MOVE LIST" in hand_copy(PLAN).upper()
    assert "MOVE LIST" not in hand_copy(plan_fixture.plan()).upper()
    assert len(paper_pdf(PLAN)) > len(paper_pdf(plan_fixture.plan()))


def replanned(**fields):
    values = {
        "plan": CHANGED,
        "kept": 5, "carried": 2, "out": 1, "put_in": 0,
        "factor": LoadFactor(measured=1.2, used=1.2, batteries=1, why="measured"),
    }  # fmt: skip
    return Replanned(**(values | fields))


def test_the_text_tells_what_to_do_in_its_order():
    text = replan_text(replanned())
    assert "5 bags stay, 2 move, 1 leave the cold, 0 come in" in text
    assert "1.20 times" in text
    assert "4 C / 39 F" in text
    assert "switch off, once it is empty" in text
    assert "waits outside at most 6 min" in text
    parts = (
        "FIRST",
        "Plug North fridge into",
        "aim at",
        "THEN CARRY",
        "LAST",
        "switch off",
    )
    assert sorted(parts, key=text.index) == list(parts)
    for line in PLAN.scenario.lines:
        assert not line.resident or line.resident not in text


def test_nothing_to_carry_is_said():
    text = replan_text(replanned(plan=plan_fixture.plan()))
    assert "nothing is carried" in text
    assert "CARRY" not in text


@pytest.mark.parametrize("fits", list(Fits))
def test_every_answer_is_a_sentence(fits):
    scene = plan_fixture.scenario()
    answer = OneMore(
        answer=fits, line_id="Intake:2", count=1, reason=ReasonFamily.VOLUME,
        detail="=1+1", sure=False, carries=plan_fixture.moves(),
    )  # fmt: skip
    text = one_more_text(answer, scene, scene.lines[0])
    begins = fits.value.capitalize() + "."
    if fits is Fits.TAKES_A_PLACE:  # how many are put out is said first
        begins = (
            "1 bag of a later tier has to leave the cold for it, 1 more is moved. "
            "It fits only then."
        )
    assert text.splitlines()[1] == begins
    assert "'=1+1" in text
    assert ("plan again to be sure" in text) is (fits is Fits.NOT)
