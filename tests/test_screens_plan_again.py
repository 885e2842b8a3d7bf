"""Planning again on its page: a proposal first, accepted or left, kept over a reload."""

import json
from dataclasses import replace
from datetime import timedelta

import pytest

from planner.edits import accept_loans
from planner.intake import read
from planner.output.manner import Manner
from planner.output.plan_json import plan_to_json
from planner.output.wording import Language
from planner.pipeline import make_plan
from planner.result import Finding
from planner.scenario import Availability, Status
from planner.screens.changes import change
from tests.screen_driver import (
    SCARCE,
    app,
    ending,
    go,
    press,
    shown,
    upload,
    with_work,
    work,
)
from tests.workbook_maker import NOW, book


@pytest.fixture(scope="module")
def fields():
    data = book(SCARCE)
    reading = read("list.xlsx", data, now=NOW)
    return {
        "list_name": "list.xlsx",
        "list_bytes": data,
        "read_at": NOW,
        "scenario": reading.scenario,
        "issues": reading.issues,
        "plan": make_plan(reading.scenario),
    }


def lent(scenario):
    """The lent fridge is here now."""
    ids = [one.id for one in scenario.units if one.availability.lender]
    return accept_loans(scenario, ids).scenario


def again(at):
    """Press the button and wait for the search."""
    at = press(at, "plan_again")
    assert work(at).job is None
    return at


def after_the_loan(fields):
    at = with_work(**fields)
    change(work(at), lent(fields["scenario"]), "loan")
    return again(go(at, "plan_again"))


def test_without_a_plan_it_points_to_the_plan_or_a_file(fields):
    said = shown(go(with_work(**(fields | {"plan": None})), "plan_again"))
    assert "There is no plan yet" in said
    assert "plan.json" in said
    assert "Bring one in" in shown(go(app(), "plan_again"))


def test_nothing_changed_is_said_and_nothing_moves(fields):
    at = again(go(with_work(**fields), "plan_again"))
    said = shown(at)
    assert "Nothing that counts has changed" in said
    assert "Nothing is carried" in said
    assert "No bag is carried" in said


def test_a_loan_that_came_gives_a_proposal_and_changes_nothing_yet(fields):
    at = after_the_loan(fields)
    said = shown(at)
    assert "Lent fridge is here now" in said
    assert "not in force yet" in said
    assert "Lent fridge: switch on, set to" in said
    assert work(at).plan == fields["plan"]
    made = work(at).replanned
    assert made.plan.moves
    for one in made.plan.moves:
        assert one.code in said
    assert "Sentinelname" not in said


def test_life_support_and_later_plugs_are_said_before_it_is_accepted(fields):
    at = after_the_loan(fields)
    assert "LIFE SUPPORT" not in shown(at)
    assert "Later this plan needs" not in shown(at)
    made = work(at).replanned
    dark = Finding(
        rule="R9",
        fatal=False,
        subject="life support",
        message="life support Pump goes dark Wed 22:00 without any sun",
    )
    later = replace(made.plan.changeover, later_h=(10, 10), later_before=0)
    plan = replace(made.plan, findings=(dark,), changeover=later)
    work(at).replanned = replace(made, plan=plan)
    said = shown(at.run())
    assert "**LIFE SUPPORT**: life support Pump goes dark Wed 22:00" in said
    assert "Later this plan needs 2 plug changes" in said


def test_accepting_puts_it_in_force_and_undo_takes_it_back(fields):
    at = press(after_the_loan(fields), "accept_again")
    made = work(at).plan
    assert made != fields["plan"]
    assert made.moves
    assert not work(at).stale
    assert work(at).replanned is None
    assert "This plan is in force now" in shown(at)
    at = press(at, "undo")
    assert work(at).plan == fields["plan"]
    assert work(at).replanned.plan == made
    at = press(at, "redo")
    assert work(at).plan == made


def test_leaving_it_keeps_the_plan(fields):
    at = press(after_the_loan(fields), "drop_again")
    assert work(at).plan == fields["plan"]
    assert work(at).replanned is None
    assert "not in force yet" not in shown(at)


def test_a_reload_keeps_the_proposal_and_what_was_accepted(fields):
    at = after_the_loan(fields)
    made = work(at).replanned
    window = go(app(), "plan_again")
    assert work(window).replanned == made
    assert "not in force yet" in shown(window)
    press(window, "accept_again")
    fresh = go(app(), "plan_again")
    assert work(fresh).plan == made.plan
    assert "The moves that led to the plan in force" in shown(fresh)


def test_two_windows_accept_only_once(fields):
    after_the_loan(fields)
    one, two = go(app(), "plan_again"), go(app(), "plan_again")
    one = press(one, "drop_again")
    two = press(two, "accept_again")
    # The second did not write over what the first one did.
    assert work(two).changed_elsewhere
    assert work(app()).plan == fields["plan"]
    two = press(two, "take_over")
    assert work(two).plan == fields["plan"]
    assert work(two).replanned is None
    assert not work(two).changed_elsewhere


def test_what_was_changed_meanwhile_is_not_to_be_accepted(fields):
    at = after_the_loan(fields)
    now = work(at)
    (battery,) = now.scenario.batteries
    low = replace(battery, charge_now=0.5)
    change(now, replace(now.scenario, batteries=(low,)), "charge")
    at = go(at, "plan_again")
    assert "Something was changed after this was worked out" in shown(at)
    assert "accept_again" not in [one.key for one in at.button]


def test_a_fresh_plan_puts_a_proposal_aside(fields):
    at = after_the_loan(fields)
    at = press(go(at, "plan"), "make_plan")
    assert work(at).replanned is None
    assert work(at).plan.moves == ()


def test_what_to_borrow_is_worked_out_when_asked(fields):
    at = go(with_work(**fields), "plan_again")
    at.checkbox(key="again_borrow").check()
    at = press(again(at), "accept_again")
    now = work(at)
    assert now.borrow_asked
    assert [one.names for one in now.plan.loans] == [("Lent fridge",)]
    assert now.plan.loans == fields["plan"].loans
    at = go(at, "plan_again")
    at.checkbox(key="again_borrow").uncheck()
    at = press(again(at), "accept_again")
    assert not work(at).borrow_asked


def test_readings_move_the_start_and_are_named(fields):
    at = go(with_work(**fields), "plan_again")
    at_end = ending(at)
    start = fields["scenario"].conditions.start
    at.time_input(key=f"read_clock_{at_end}").set_value(
        (start + timedelta(hours=6, minutes=40)).time()
    )
    at.number_input(key=f"read_0_{at_end}").set_value(61.0)
    at = press(at, "apply_readings")
    now = work(at)
    assert now.scenario.conditions.start == start + timedelta(hours=6)
    assert now.scenario.batteries[0].charge_now == 0.61
    said = shown(at)
    assert "Applied: the new plan begins Mon 13 Oct 2025 14:00" in said
    assert "Pack one shows 61 %; the plan counted on" in said
    at = again(at)
    made = work(at).replanned
    assert made.factor.measured is not None
    assert "times what their labels say" in shown(at)
    at = press(at, "accept_again")
    # The measured factor is in the plan only: it is not taken for another list.
    assert not work(at).stale


def test_a_battery_that_was_not_read_is_named(fields):
    at = go(with_work(**fields), "plan_again")
    at_end = ending(at)
    start = fields["scenario"].conditions.start
    at.time_input(key=f"read_clock_{at_end}").set_value(
        (start + timedelta(hours=6)).time()
    )
    at = press(at, "apply_readings")
    assert "Batteries, Pack one: Its charge was not read." in shown(at)
    assert "The readings above are not applied" in shown(at)
    assert work(at).scenario == fields["scenario"]


def test_a_unit_that_broke_sends_its_bags_elsewhere_or_out(fields):
    at = with_work(**fields)
    now = work(at)
    little, other = now.scenario.units
    broken = replace(little, availability=Availability(status=Status.OUT))
    change(now, replace(now.scenario, units=(broken, other)), "broken")
    at = again(go(at, "plan_again"))
    said = shown(at)
    assert "Little fridge is out" in said
    assert "leave the cold" in said


def with_file(fields, data, name="plan.json"):
    at = go(with_work(**(fields | {"plan": None})), "plan_again")
    return upload(at, data, name, key="upload_force")


def test_the_plan_in_force_can_come_as_a_file(fields):
    at = with_file(fields, plan_to_json(fields["plan"]).encode())
    assert "From the file plan.json" in shown(at).replace("*", "")
    assert work(app()).force_name == "plan.json"
    at = again(at)
    made = work(at).replanned
    assert made.carried == made.out == made.put_in == 0
    at = press(at, "accept_again")
    assert work(at).plan == made.plan
    assert not work(at).force_bytes


@pytest.mark.parametrize("data", [b"", b"{", b"[1]", b"\xff\xfe", b'{"format": 3}'])
def test_a_file_that_is_no_plan_is_told_and_can_be_put_away(fields, data):
    at = with_file(fields, data)
    assert "Nothing of that file can be used as a plan" in shown(at)
    assert "plan_again" not in [one.key for one in at.button]
    at = press(at, "drop_force")
    assert not work(at).force_name


def test_what_is_not_clear_in_the_file_is_listed(fields):
    content = json.loads(plan_to_json(fields["plan"]))
    content["placements"][0]["unit"] = "<b>no such unit</b>"
    at = with_file(fields, json.dumps(content).encode())
    assert "What was not clear in the file" in shown(at)


HOSTILE = "<img src=x onerror=alert(1)> **B** [l](javascript:alert(2)) $x$"


def test_words_from_a_sheet_never_act_as_markup_here():
    named = {
        name: text.replace("fridge |", f"{HOSTILE} |") for name, text in SCARCE.items()
    }
    data = book(named)
    reading = read("list.xlsx", data, now=NOW)
    plan = make_plan(reading.scenario, borrow=False)
    at = after_the_loan(
        {"list_name": "list.xlsx", "list_bytes": data, "read_at": NOW, "plan": plan,
         "scenario": reading.scenario, "issues": reading.issues}
    )  # fmt: skip
    assert work(at).replanned is not None
    assert f"Lent {HOSTILE} is here now" in shown(at)
    for one in at.markdown:
        assert not one.allow_html
        assert HOSTILE not in one.value


def test_it_speaks_spanish(fields):
    at = after_the_loan(fields | {"manner": Manner(language=Language.ES)})
    said = shown(at)
    assert "Lent fridge ya está aquí" in said
    assert "todavía no vigente" in said
    assert "Lent fridge: encender y poner a" in said
