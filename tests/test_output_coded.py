"""A thing that is called after a resident leaves the computer with the code."""

import io
import json
from dataclasses import replace

import pytest
from openpyxl import load_workbook

from planner.inforce import in_force_of, read_in_force
from planner.intake import coded_names
from planner.output.coded import coded_plan
from planner.output.paper import hand_copy
from planner.output.plan_json import plan_document, plan_to_json
from planner.output.stress_workbook import stress_workbook
from planner.output.workbook import plan_mark, plan_workbook
from planner.pipeline import make_plan, stress_plan
from planner.result import Plan
from planner.scenario import Scenario
from tests import builders as b
from tests.test_replan_moves import bag

CODE = "J-CCK6T"
NAME = "Maria Lopez"


def scene(resident: str = NAME, code: str = CODE) -> Scenario:
    """One resident, after whom the fridge, its place and a lender are called."""
    made = b.scenario(
        lines=(replace(bag(1, quantity=3), resident=resident, code=code),)
    )
    place = made.places[0]
    room = replace(place, name=f"Room of {NAME}")
    unit, pack = made.units[0], made.batteries[0]
    return replace(
        made,
        lines=tuple(replace(one, place=room.name) for one in made.lines),
        places=(room,),
        units=(
            replace(
                unit, id=f"unit:{NAME} fridge", name=f"{NAME} fridge", place=room.name
            ),
        ),
        batteries=(
            replace(
                pack,
                id="battery:Lopez pack",
                name="Lopez pack",
                place=room.name,
                availability=replace(pack.availability, lender="maria  lopez"),
            ),
        ),
    )


SCENE = scene()
PLAN = make_plan(SCENE, borrow=False)


def texts(book: bytes) -> str:
    cells = [
        str(cell.value)
        for sheet in load_workbook(io.BytesIO(book))
        for row in sheet.iter_rows()
        for cell in row
        if cell.value is not None
    ]
    return "\n".join(cells)


def test_the_full_name_stands_in_no_file_and_part_of_one_is_left() -> None:
    report = stress_plan(PLAN)
    for text in (
        plan_to_json(PLAN),
        texts(plan_workbook(PLAN)),
        texts(stress_workbook(PLAN, report)),
        hand_copy(PLAN),
    ):
        assert "maria" not in text.casefold()
        assert f"{CODE} fridge" in text
    # A surname alone is not found, as on paper.
    assert "Lopez pack" in plan_to_json(PLAN)


def test_only_names_of_the_site_are_changed_and_no_word_of_ours() -> None:
    held = scene(resident="Hold")
    assert coded_names(held) == {}
    plan = make_plan(held, borrow=False)
    assert coded_plan(plan) is plan
    assert plan_to_json(plan) == plan_to_json(coded_plan(plan))


def test_two_names_never_become_one() -> None:
    unit = SCENE.units[0]
    twin = replace(unit, id=f"unit:{CODE} fridge", name=f"{CODE} fridge")
    found = coded_names(replace(SCENE, units=(unit, twin)))
    assert found[f"{NAME} fridge"] == f"{CODE} fridge (2)"


def test_paper_and_files_carry_the_same_mark() -> None:
    assert plan_mark(PLAN) == plan_mark(coded_plan(PLAN))
    assert f"Plan {plan_mark(PLAN)}" in texts(plan_workbook(PLAN))


def test_a_coded_file_is_read_back_to_the_things_of_today() -> None:
    found = read_in_force(plan_to_json(PLAN).encode(), SCENE)
    assert found.issues == ()
    assert found.in_force is not None
    now = in_force_of(PLAN)
    assert found.in_force.standing == now.standing
    assert found.in_force.units_on == now.units_on
    assert set(found.in_force.hookups) == set(now.hookups)


@pytest.mark.parametrize(("name", "known"), [(NAME, True), ("Ann Other", False)])
def test_the_fridge_is_found_when_its_namesake_has_left(name: str, known: bool) -> None:
    """By what else stands in its name; not when two could be meant."""
    left = scene(resident="Somebody Else", code="R-A4N7J")
    units = left.units
    if not known:
        other = replace(units[0], id=f"unit:{name} fridge", name=f"{name} fridge")
        units = (*units, other)
    found = read_in_force(
        json.dumps(plan_document(PLAN)).encode(), replace(left, units=units)
    )
    assert found.in_force is not None
    on = [use.unit_id for use in found.in_force.units_on]
    assert on == ([f"unit:{NAME} fridge"] if known else [])


def test_a_plan_without_such_names_is_not_touched() -> None:
    plain: Plan = make_plan(scene(resident="No Thing Here"), borrow=False)
    assert coded_plan(plain) is plain
