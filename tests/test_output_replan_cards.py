"""What has changed, and the new plan beside the one in force, in both languages."""

from dataclasses import replace
from datetime import timedelta

import pytest

from planner.edits.start import move_start
from planner.output.manner import PLAIN, Manner
from planner.output.replan_cards import (
    factor_line,
    headline,
    move_rows,
    tier_lines,
)
from planner.output.since import since_lines
from planner.output.wording import Language
from planner.result import TierResult
from planner.result_moves import DESK, Carry, CarryKind
from planner.result_replan import LoadFactor, Replanned
from planner.scenario import Availability, Status, Tier
from tests import builders as b
from tests.paper_plans import one_plan, rich_plan

SPANISH = Manner(language=Language.ES)
PLAN = rich_plan()
SITE = PLAN.scenario
OUT = Availability(status=Status.OUT)
NONE = LoadFactor(measured=None, used=1.0, batteries=0, why="")


def changed(**fields):
    return since_lines(PLAN, replace(SITE, **fields))


def carry(order, kind=CarryKind.OVER, **fields):
    values = {
        "order": order, "kind": kind, "line_id": "L2", "code": "K-2", "count": 2,
        "from_unit_id": "U1", "from_zone": 0, "to_unit_id": "U2", "to_zone": 0,
    }  # fmt: skip
    return Carry(**(values | fields))


def made(**fields):
    values = {
        "plan": PLAN, "kept": 5, "carried": 0, "out": 0, "put_in": 0, "factor": NONE,
    }  # fmt: skip
    return Replanned(**(values | fields))


def test_nothing_changed_says_nothing():
    assert since_lines(PLAN, SITE) == ()
    assert since_lines(PLAN, SITE, SPANISH) == ()


@pytest.mark.parametrize("how", [PLAIN, SPANISH])
def test_every_kind_of_change_is_said_once(how):
    later = b.START + timedelta(hours=5)
    moved, _ = move_start(SITE, later)
    first, second, *rest = moved.units
    new = replace(
        moved,
        lines=(replace(SITE.lines[0], quantity=9), *SITE.lines[2:], b.line(id="new", code="K-99", row=99)),
        units=(replace(first, availability=OUT), replace(second, gross_volume_l=5.0), *rest),
        batteries=(replace(moved.batteries[0], charge_now=0.4), *moved.batteries[1:]),
        panels=moved.panels[1:],
        places=(b.place(temp_c_by_clock_hour=(30.0,) * 24), *SITE.places[1:]),
        conditions=replace(SITE.conditions, start=later, window_h=48, ice_kg_day=1.0),
    )  # fmt: skip
    said = since_lines(PLAN, new, how)
    assert len(said) == len(set(said)) == 12
    assert not any("{" in one for one in said)
    text = " ".join(said)
    for word in ("K-99", "Two zone fridge", "Blue chest", "40 %", "Mon", "lun"):
        assert (word in text) is (word not in ({"Mon"} if how is SPANISH else {"lun"}))


def test_a_loan_that_came_and_one_that_was_recalled():
    lent = SITE.batteries[2]
    came = replace(lent, availability=replace(lent.availability, status=Status.HERE))
    assert changed(batteries=(*SITE.batteries[:2], came)) == (
        "Battery lent is here now",
    )
    gone = replace(SITE.batteries[0], availability=OUT)
    assert changed(batteries=(gone, *SITE.batteries[1:])) == ("Battery one is out",)


def test_an_offer_that_is_not_listed_any_more_is_nobodys_matter():
    assert changed(batteries=SITE.batteries[:2]) == ()


def test_where_a_value_came_from_is_no_change():
    moved = replace(SITE.units[0], row=77, origins=())
    assert changed(units=(moved, *SITE.units[1:])) == ()


def test_names_of_people_are_never_said():
    said = changed(lines=SITE.lines[3:])
    assert "K-2" in said[0]
    assert "Sentinel" not in said[0]


def test_many_codes_are_counted():
    lines = tuple(b.line(id=f"N{n}", code=f"N-{n}", row=50 + n) for n in range(12))
    (said,) = changed(lines=(*SITE.lines, *lines))
    assert said.startswith("12 lines are new: ")
    assert said.endswith(" and 4 more")


def test_a_reading_stands_beside_what_was_planned():
    # The traces of the plan hold 1,000 of 1,000 Wh at every hour.
    later = replace(SITE.conditions, start=b.START + timedelta(hours=6))
    moved, _ = move_start(SITE, later.start)
    first, second, third = moved.batteries
    low, away = replace(first, charge_now=0.64), replace(second, availability=OUT)
    new = replace(moved, conditions=later, batteries=(low, away, third))
    said = since_lines(PLAN, new)
    assert said[:2] == (
        "Battery two is out",
        "Battery one shows 64 %; the plan counted on 100 % by now",
    )
    assert not [one for one in said if "it was" in one]


def test_a_loan_that_keeps_its_clock_is_not_changed_by_a_later_start():
    later = replace(SITE.conditions, start=b.START + timedelta(hours=2))
    moved, _ = move_start(SITE, later.start)
    said = since_lines(PLAN, replace(moved, conditions=later))
    assert [one for one in said if "values" in one] == []
    assert any("it began Mon 7 Jul 2025 08:00" in one for one in said)


def test_counts_of_bags():
    assert headline(made()) == "Nothing is carried: 5 bags stay where they are."
    said = headline(made(carried=1, out=2, put_in=3, kept=1))
    assert said == (
        "1 bag goes to another place, 2 bags leave the cold, 3 bags come in and "
        "1 bag stays where it is."
    )


def test_the_move_list_is_in_order_with_both_ends():
    moves = (
        carry(2, CarryKind.ASIDE, to_unit_id=DESK, wait_min=12, to_zone=0),
        carry(1, from_zone=1),
    )
    rows = move_rows(replace(PLAN, moves=moves))
    assert list(rows["Order, code"]) == ["1. K-2", "2. K-2"]
    assert list(rows["From"]) == ["Two zone fridge, zone 2", "Two zone fridge, zone 1"]
    assert list(rows["To"]) == [
        "Blue chest",
        "desk, to make room: at most 12 min outside",
    ]
    assert list(move_rows(one_plan(), SPANISH).columns)[2] == "De"


def result(tier, met, needed):
    return TierResult(
        tier=tier, households=1, households_met=1, household_bound=1, needed=needed,
        met=met, bound=met, warm=0, short=needed - met, surplus=0, surplus_met=0,
    )  # fmt: skip


def test_tiers_stand_beside_those_of_before():
    before = replace(PLAN, tiers=(result(Tier.A, 1, 4),))
    after = replace(PLAN, tiers=(result(Tier.A, 3, 4), result(Tier.B, 0, 0)))
    assert tier_lines(before, after) == (
        "Tier A: 3 of 4 bags have a cold place; in the plan in force 1 of 4",
    )
    assert tier_lines(None, after) == ("Tier A: 3 of 4 bags have a cold place",)


def test_the_factor_says_what_is_counted_with():
    assert "1 times" in factor_line(made())
    steady = replace(NONE, measured=1.2, used=1.2, batteries=1)
    assert "draw 1.2 times" in factor_line(made(factor=steady))
    held = replace(NONE, measured=2.9, used=1.5, batteries=1)
    assert "Check displays and plugs" in factor_line(made(factor=held))
