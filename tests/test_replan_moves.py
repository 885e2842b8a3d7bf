"""Re-planning on cases worked out by hand: who moves, in which order, who stays."""

from dataclasses import replace

import pytest

from planner.check.carries import check_carries
from planner.decide.moves import CARRY_MIN, carries
from planner.inforce import in_force_of
from planner.pipeline import make_plan
from planner.replanning import replan
from planner.result import Changeover, PlanStatus
from planner.result_moves import DESK, CarryKind
from planner.result_replan import InForce, Standing
from planner.scenario import Segregation, Status, StockClass, Supply, Tier, UnitType
from tests import builders as b
from tests.decide_cases import tier_vector


def box(number, litres=1.0, set_c=5.0, **fields):
    """A fridge with power of its own that takes this many litres."""
    values = {
        "id": f"U{number}",
        "name": f"Box {number}",
        "kind": UnitType.ELSEWHERE,
        "gross_volume_l": litres / 0.8,
        "set_points_c": (set_c,),
        "supply": Supply.NONE,
    }
    return b.unit(**(values | fields))


def bag(number, **fields):
    """One one-litre bag of tier B for 2-8 C, of a household of its own."""
    values = {
        "id": f"L{number}",
        "row": number + 1,
        "code": f"K{number}",
        "household": f"H{number}",
        "quantity": 1,
        "volume_l": 1.0,
        "tier_given": Tier.B,
    }
    return b.line(**(values | fields))


def hall(lines, units, **fields):
    return b.scenario(
        lines=tuple(lines), units=tuple(units), batteries=(), panels=(), **fields
    )


def stands(scene, *puts):
    """What is in force: line, unit and count, all in the first zone."""
    codes = {line.id: line.code for line in scene.lines}
    return InForce(
        start=scene.conditions.start,
        elapsed_h=0,
        standing=tuple(
            Standing(line_id=i, code=codes.get(i, "GONE"), unit_id=u, zone=0, count=n)
            for i, u, n in puts
        ),
        units_on=(),
        hookups=(),
    )


def told(made):
    return [
        (m.kind, m.line_id, m.count, m.from_unit_id, m.to_unit_id)
        for m in made.plan.moves
    ]


def where(plan):
    return {(p.line_id, p.unit_id): p.count for p in plan.placements}


def out_of_order(unit):
    return replace(unit, availability=replace(unit.availability, status=Status.OUT))


def test_nothing_moves_when_nothing_changed():
    scene = b.scenario(lines=(bag(1, quantity=3), bag(2, quantity=2)))
    before = make_plan(scene, borrow=False)
    after = replan(scene, in_force_of(before))
    assert after.plan.moves == ()
    assert after.plan.changeover == Changeover(settings=(), pulled=(), put_in=())
    assert after.kept == 5
    assert after.plan == before


def test_the_bags_of_a_dead_unit_move_and_no_other():
    scene = hall([bag(1, quantity=2), bag(2, quantity=2)], [box(1, 2), box(2, 4)])
    old = stands(scene, ("L1", "U1", 2), ("L2", "U2", 2))
    dead = replace(scene, units=(out_of_order(scene.units[0]), scene.units[1]))
    made = replan(dead, old)
    assert told(made) == [(CarryKind.OVER, "L1", 2, "U1", "U2")]
    assert (made.kept, made.carried, made.out, made.put_in) == (2, 2, 0, 0)


def test_a_neighbour_moves_when_only_its_place_suits_the_newcomer():
    # L1 may stand at 3-7 or at 9-13 C, the newcomer at 3-7 C only.
    scene = hall(
        [bag(1, keep_from_c=2.0, keep_to_c=15.0), bag(2)],
        [box(1), box(2, set_c=11.0)],
    )
    made = replan(scene, stands(scene, ("L1", "U1", 1)))
    assert told(made) == [
        (CarryKind.OVER, "L1", 1, "U1", "U2"),
        (CarryKind.IN, "L2", 1, DESK, "U1"),
    ]


def test_the_neighbour_stays_when_there_is_room_for_both():
    scene = hall(
        [bag(1, keep_from_c=2.0, keep_to_c=15.0), bag(2)],
        [box(1, 2.0), box(2, set_c=11.0)],
    )
    made = replan(scene, stands(scene, ("L1", "U1", 1)))
    assert told(made) == [(CarryKind.IN, "L2", 1, DESK, "U1")]


@pytest.mark.parametrize("names", [("H1", "H2"), ("H2", "H1"), ("HA", "HB")])
def test_who_has_a_place_keeps_it_against_an_equal_newcomer(names):
    lines = [bag(n, household=name) for n, name in enumerate(names, start=1)]
    scene = hall(lines, [box(1)])
    for holder in ("L1", "L2"):
        made = replan(scene, stands(scene, (holder, "U1", 1)))
        assert told(made) == []
        assert where(made.plan) == {(holder, "U1"): 1}


def test_a_bag_of_a_later_tier_makes_room_for_an_earlier_one():
    scene = hall([bag(1, tier_given=Tier.E), bag(2, tier_given=Tier.A)], [box(1)])
    made = replan(scene, stands(scene, ("L1", "U1", 1)))
    assert told(made) == [
        (CarryKind.OUT, "L1", 1, "U1", DESK),
        (CarryKind.IN, "L2", 1, DESK, "U1"),
    ]
    assert tier_vector(made.plan) == tier_vector(make_plan(scene, borrow=False))


def test_households_first_still_holds_for_those_inside():
    # Two bags of one household stand; a second household has a first bag due.
    scene = hall([bag(1, quantity=2), bag(2)], [box(1, 2.0)])
    made = replan(scene, stands(scene, ("L1", "U1", 2)))
    assert told(made) == [
        (CarryKind.OUT, "L1", 1, "U1", DESK),
        (CarryKind.IN, "L2", 1, DESK, "U1"),
    ]


def test_leavers_are_taken_out_under_their_code():
    scene = hall([bag(1)], [box(1, 3.0)])
    made = replan(scene, stands(scene, ("L1", "U1", 1), ("gone:L9", "U1", 2)))
    assert told(made) == [(CarryKind.OUT, "gone:L9", 2, "U1", DESK)]
    assert made.plan.moves[0].code == "GONE"


def test_fewer_bags_of_a_line_leave_one():
    scene = hall([bag(1, quantity=2)], [box(1, 3.0)])
    made = replan(scene, stands(scene, ("L1", "U1", 3)))
    assert told(made) == [(CarryKind.OUT, "L1", 1, "U1", DESK)]


def test_a_loan_that_is_called_back_is_emptied():
    lent = box(1, availability=b.loan())
    scene = hall([bag(1)], [lent, box(2)])
    gone = replace(scene, units=(scene.units[1],))
    made = replan(gone, stands(gone, ("L1", "Box 1", 1)))
    assert told(made) == [(CarryKind.OVER, "L1", 1, "Box 1", "U2")]


def test_the_plan_keeps_its_proof_and_every_bag_is_accounted_for():
    scene = hall([bag(n) for n in range(1, 5)], [box(1, 2.0), box(2)])
    made = replan(scene, stands(scene, ("L4", "U2", 1), ("L3", "U1", 1)))
    assert made.plan.status is PlanStatus.PROVEN
    assert {("L4", "U2"), ("L3", "U1")} <= where(made.plan).keys()
    for row in made.plan.accounts:
        ended = row.placed + row.warm + row.short + row.with_person + row.review
        assert ended == row.quantity


def test_a_plug_stays_where_it_is():
    # Either battery could feed the fridge; the plan in force uses the second.
    packs = (b.battery(), b.battery(id="B2", name="Battery two"))
    scene = b.scenario(batteries=packs, panels=())
    plan = make_plan(scene, borrow=False)
    (plug,) = plan.hookups
    other = "B2" if plug.from_id == "B1" else "B1"
    old = replace(in_force_of(plan), hookups=(replace(plug, from_id=other),))
    made = replan(scene, old)
    assert [h.from_id for h in made.plan.hookups] == [other]
    change = made.plan.changeover
    assert change.put_in == change.pulled == ()


def test_a_plug_of_an_empty_battery_does_not_stay():
    packs = (b.battery(), b.battery(id="B2", name="Battery two", charge_now=0.15))
    scene = b.scenario(batteries=packs, panels=())
    plan = make_plan(scene, borrow=False)
    old = replace(in_force_of(plan), hookups=(replace(plan.hookups[0], from_id="B2"),))
    made = replan(scene, old)
    assert [h.from_id for h in made.plan.hookups] == ["B1"]
    assert [p.from_id for p in made.plan.changeover.put_in] == ["B1"]
    assert [p.from_id for p in made.plan.changeover.pulled] == ["B2"]


def walk(scene, old, new):
    """Order of carries between two sets of (line, unit, count)."""
    plan = make_plan(scene, borrow=False)
    puts = tuple(
        b.placement(line_id=i, unit_id=u, count=n, tier=Tier.B) for i, u, n in new
    )
    uses = tuple(b.use(unit_id=u.id, set_points_c=u.set_points_c) for u in scene.units)
    urgency = {line.id: (line.tier_given.value,) for line in scene.lines}
    standing = stands(scene, *old).standing
    done = carries(scene, standing, puts, uses, urgency=urgency)
    assert plan is not None
    assert check_carries(scene, standing, done, puts, uses) == ()
    return [(m.kind, m.line_id, m.from_unit_id, m.to_unit_id, m.wait_min) for m in done]


def test_two_full_units_swap_by_the_desk_the_less_urgent_bag_waits():
    scene = hall([bag(1, tier_given=Tier.A), bag(2)], [box(1), box(2)])
    done = walk(scene, [("L1", "U1", 1), ("L2", "U2", 1)],
                [("L1", "U2", 1), ("L2", "U1", 1)])  # fmt: skip
    assert done == [
        (CarryKind.ASIDE, "L2", "U2", DESK, 2 * CARRY_MIN),
        (CarryKind.OVER, "L1", "U1", "U2", None),
        (CarryKind.BACK, "L2", DESK, "U1", None),
    ]


def test_with_one_litre_to_spare_nothing_waits():
    scene = hall([bag(1, tier_given=Tier.A), bag(2)], [box(1, 2.0), box(2)])
    done = walk(scene, [("L1", "U1", 1), ("L2", "U2", 1)],
                [("L1", "U2", 1), ("L2", "U1", 1)])  # fmt: skip
    assert [kind for kind, *_ in done] == [CarryKind.OVER, CarryKind.OVER]
    assert done[0][1] == "L2"


def test_a_unit_is_empty_of_feeds_before_a_medicine_goes_in():
    feed = bag(2, stock_class=StockClass.FEED)
    scene = hall([bag(1), feed], [box(1, 2.0), box(2, 2.0)])
    done = walk(scene, [("L2", "U1", 1)], [("L1", "U1", 1), ("L2", "U2", 1)])
    assert done == [
        (CarryKind.OVER, "L2", "U1", "U2", None),
        (CarryKind.IN, "L1", DESK, "U1", None),
    ]


def test_a_medicine_waits_for_the_feeds_to_be_gone_however_urgent_it_is():
    lines = [bag(1, tier_given=Tier.A), bag(2, stock_class=StockClass.FEED)]
    scene = hall(lines, [box(1, 2.0), box(2), box(3)])
    done = walk(scene, [("L1", "U3", 1), ("L2", "U1", 1)],
                [("L1", "U1", 1), ("L2", "U2", 1)])  # fmt: skip
    assert [line for _, line, *_ in done] == ["L2", "L1"]


@pytest.mark.parametrize(
    ("how", "waits"), [(Segregation.TUBS, False), (Segregation.UNITS, True)]
)
def test_only_in_tubs_they_may_stand_together_on_the_way(how, waits):
    feed = bag(2, stock_class=StockClass.FEED, volume_l=0.8)
    cond = b.conditions(segregation=how)
    scene = hall([bag(1, volume_l=0.8), feed], [box(1, 2.0), box(2)], conditions=cond)
    done = walk(scene, [("L1", "U2", 1), ("L2", "U1", 1)],
                [("L1", "U1", 1), ("L2", "U2", 1)])  # fmt: skip
    assert (CarryKind.ASIDE in [kind for kind, *_ in done]) is waits


@pytest.mark.parametrize(
    ("change", "rule"),
    [
        (lambda m: m[::-1], "R3"),
        (lambda m: m[1:], ""),
        (lambda m: (replace(m[0], count=2), *m[1:]), ""),
        (lambda m: (*m, replace(m[0], to_unit_id="U9")), "R3"),
    ],
)
def test_a_wrong_move_list_is_caught(change, rule):
    scene = hall(
        [bag(1, keep_from_c=2.0, keep_to_c=15.0), bag(2)],
        [box(1), box(2, set_c=11.0)],
    )
    old = stands(scene, ("L1", "U1", 1))
    plan = replan(scene, old).plan
    parts = (plan.placements, plan.units_on)
    assert check_carries(scene, old.standing, plan.moves, *parts) == ()
    found = check_carries(scene, old.standing, change(plan.moves), *parts)
    assert rule in {f.rule for f in found}
    assert all(f.fatal for f in found)


def test_when_one_plug_must_go_the_others_stay():
    # Two fridges on two packs, crosswise to what a fresh plan would choose;
    # the first pack has run flat, a third is brought: only its fridge is replugged.
    packs = tuple(
        b.battery(id=f"B{n}", name=f"Battery {n}", ports_12v=1) for n in (1, 2, 3)
    )
    fridges = (b.unit(), b.unit(id="U2", name="Fridge two"))
    lines = (bag(1, quantity=16), bag(2, quantity=16))
    scene = b.scenario(lines=lines, units=fridges, batteries=packs, panels=())
    plan = make_plan(scene, borrow=False)
    one, two = plan.hookups
    for pairs in ((("B1", "U1"), ("B2", "U2")), (("B1", "U2"), ("B2", "U1"))):
        plugs = tuple(
            replace(plug, from_id=start, to_id=end)
            for plug, (start, end) in zip((one, two), pairs, strict=True)
        )
        flat = replace(packs[0], charge_now=0.1)
        today = replace(scene, batteries=(flat, *packs[1:]))
        made = replan(today, replace(in_force_of(plan), hookups=plugs))
        assert [(p.from_id, p.to_id) for p in made.plan.changeover.pulled] == [pairs[0]]
        assert [(p.from_id, p.to_id) for p in made.plan.changeover.put_in] == [
            ("B3", pairs[0][1])
        ]
