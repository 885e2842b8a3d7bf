"""One correct plan made by hand, and many ways to spoil it.

The plan: a hall and a shed that is closed at night.  In the hall a lockable
12 V fridge on battery one (with a panel), an AC freezer on the generator and
a conditioned ice chest; in the shed a 12 V fridge on battery two.  Six hours
from Monday 08:00, planned on poor sun.  Every corruption must be refused
under the rule that it breaks, and the sound plan must pass.
"""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from planner.check import account_rows, audit
from planner.result import Finding
from planner.scenario import (
    Consequence,
    Scenario,
    Status,
    StockClass,
    SunCase,
    Supply,
    Tier,
    UnitType,
)
from tests import builders as b

Parts = dict[str, Any]

FEED = StockClass.FEED
LINES = (
    b.line(),
    b.line(id="L2", row=3, code="C2T", quantity=1, locked=True),
    b.line(id="L3", row=4, code="N5R", quantity=1, night_need=True),
    b.line(
        id="L4",
        row=5,
        code="M8P",
        item_text="frozen milk",
        stock_class=FEED,
        consequence=Consequence.ONLY_FEED,
        quantity=3,
        keep_from_c=-25.0,
        keep_to_c=-15.0,
        never_freeze=False,
    ),
    b.line(
        id="L5",
        row=6,
        code="T4W",
        place="Shed",
        item_text="thawed milk",
        stock_class=FEED,
        consequence=Consequence.ONLY_FEED,
        quantity=2,
        keep_from_c=0.0,
        never_freeze=False,
        thawed=True,
        keep_by=b.START + timedelta(hours=20),
    ),
    b.line(
        id="L6",
        row=7,
        code="R3X",
        quantity=3,
        warm_hours=12.0,
        warm_max_c=30.0,
    ),
)
UNITS = (
    b.unit(lockable=True),
    b.unit(
        id="U2",
        name="Freezer",
        set_points_c=(-20.0, -18.0),
        running_w=60.0,
        rated_wh_day=600.0,
        rated_inside_c=-18.0,
        supply=Supply.AC,
    ),
    b.unit(id="U3", name="Shed fridge", place="Shed"),
    b.unit(
        id="U4",
        name="Chest",
        kind=UnitType.ICE_CHEST,
        gross_volume_l=40.0,
        conditioned=True,
        supply=Supply.NONE,
    ),
)
WORLD = b.scenario(
    lines=LINES,
    places=(
        b.place(),
        b.place(name="Shed", open_at_night=False, reached_from=("Shed",)),
    ),
    units=UNITS,
    batteries=(
        b.battery(charge_now=0.5),
        b.battery(id="B2", name="Battery two", place="Shed", movable=False),
    ),
    sources=(b.source(from_hour=8, to_hour=14),),
    conditions=b.conditions(sun_case=SunCase.POOR, ice_kg_day=8.0),
    held_rows=(b.held_row(row=8),),
)
SAFE = b.START + timedelta(hours=12)
PLAN: Parts = {
    "scenario": WORLD,
    "demands": (
        b.demand(),
        b.demand(line_id="L2", count=1),
        b.demand(line_id="L3", count=1),
        b.demand(line_id="L4", count=3, tier=Tier.B),
        b.demand(line_id="L5", count=2, tier=Tier.B),
        b.demand(line_id="L6", count=3, tier=Tier.C, allowance_h=12.0, safe_until=SAFE),
    ),
    "units_on": (
        b.use(),
        b.use(unit_id="U2", set_points_c=(-18.0,), stock_classes=(FEED,)),
        b.use(unit_id="U3", stock_classes=(FEED,)),
        b.use(unit_id="U4"),
    ),
    "placements": (
        b.placement(),
        b.placement(line_id="L2", count=1),
        b.placement(line_id="L3", count=1),
        b.placement(line_id="L4", unit_id="U2", count=3, tier=Tier.B),
        b.placement(line_id="L5", unit_id="U3", tier=Tier.B),
        b.placement(line_id="L6", unit_id="U4", count=1, tier=Tier.C),
    ),
    "hookups": (
        b.hookup(),
        b.sun_plug(),
        b.source_plug(to_id="U2"),
        b.hookup(from_id="B2", to_id="U3", place="Shed"),
    ),
    "warm_clocks": (b.warm_clock(line_id="L6", count=1, until=SAFE),),
    "shortfalls": (b.shortfall(line_id="L6", count=1, tier=Tier.C),),
}


def audited(parts: Parts) -> tuple[Finding, ...]:
    """Audit a plan; its accounts are made anew unless they are given."""
    parts = dict(parts)
    made = account_rows(
        parts["scenario"],
        parts["demands"],
        parts["placements"],
        parts["warm_clocks"],
        parts["shortfalls"],
    )
    accounts = parts.pop("accounts", made)
    return audit(**parts, accounts=accounts)


def fatal_rules(parts: Parts) -> set[str]:
    return {found.rule for found in audited(parts) if found.fatal}


def swap(key: str, at: int, **fields: Any) -> Callable[[Parts], Parts]:
    """Change one part of the plan."""

    def spoil(plan: Parts) -> Parts:
        parts = list(plan[key])
        parts[at] = replace(parts[at], **fields)
        return plan | {key: tuple(parts)}

    return spoil


def world(key: str, at: int, **fields: Any) -> Callable[[Parts], Parts]:
    """Change one noun of the scenario under the plan."""

    def spoil(plan: Parts) -> Parts:
        scene: Scenario = plan["scenario"]
        nouns = list(getattr(scene, key))
        nouns[at] = replace(nouns[at], **fields)
        return plan | {"scenario": replace(scene, **{key: tuple(nouns)})}

    return spoil


def site(**fields: Any) -> Callable[[Parts], Parts]:
    """Change the conditions under the plan."""

    def spoil(plan: Parts) -> Parts:
        cond = replace(plan["scenario"].conditions, **fields)
        return plan | {"scenario": replace(plan["scenario"], conditions=cond)}

    return spoil


def add(key: str, *more: Any) -> Callable[[Parts], Parts]:
    """Add to a part of the plan."""
    return lambda plan: plan | {key: (*plan[key], *more)}


def drop(key: str, at: int) -> Callable[[Parts], Parts]:
    """Leave out one part of the plan."""

    def spoil(plan: Parts) -> Parts:
        return plan | {key: plan[key][:at] + plan[key][at + 1 :]}

    return spoil


def both(*changes: Callable[[Parts], Parts]) -> Callable[[Parts], Parts]:
    """Make several changes, one after the other."""

    def spoil(plan: Parts) -> Parts:
        for change in changes:
            plan = change(plan)
        return plan

    return spoil


def false_account(plan: Parts) -> Parts:
    """Claim one bag too many in the cold."""
    made = account_rows(
        plan["scenario"],
        plan["demands"],
        plan["placements"],
        plan["warm_clocks"],
        plan["shortfalls"],
    )
    return plan | {"accounts": (replace(made[0], placed=3), *made[1:])}


SPOILT: dict[str, tuple[Callable[[Parts], Parts], set[str]]] = {
    # goods
    "more litres than the zone takes": (
        both(world("lines", 3, volume_l=6.0), swap("units_on", 1, warm_fill=1.0)),
        {"R3", "R8"},
    ),
    "a setting too warm for the goods": (
        swap("units_on", 2, set_points_c=(9.0,)),
        {"R1", "R2"},
    ),
    "a band the fridge swings out of": (world("units", 0, swing_c=3.5), {"R1"}),
    "never-freeze goods in a freezer": (
        swap("placements", 2, unit_id="U2"),
        {"R1", "R4"},
    ),
    "never-freeze goods on raw ice": (
        world("units", 3, conditioned=False),
        {"R1", "R2"},
    ),
    "a hall hotter than ice and labels allow": (
        world("places", 0, temp_c_by_clock_hour=(45.0,) * 24),
        {"R10", ""},
    ),
    "a motor too weak for its set point": (world("units", 1, running_w=20.0), {"R2"}),
    "a setting the dial has not": (swap("units_on", 1, set_points_c=(-19.0,)), {"R2"}),
    "feeds among medicines": (swap("placements", 4, unit_id="U1"), {"R4"}),
    "a zone kept for the wrong class": (
        swap("units_on", 2, stock_classes=(StockClass.MEDICINE,)),
        {"R4"},
    ),
    "a controlled line unlocked": (world("units", 0, lockable=False), {"R5"}),
    "a controlled line in the chest": (swap("placements", 1, unit_id="U4"), {"R5"}),
    "night need behind a closed door": (world("lines", 4, night_need=True), {"R6"}),
    "a place the resident cannot reach": (world("lines", 4, place="Hall"), {"R6"}),
    "more warm goods than planned for": (world("lines", 0, volume_l=2.0), {"R8"}),
    "more ice than there is": (site(ice_kg_day=7.0), {"R10"}),
    "thawed milk in the freezer": (
        both(world("lines", 4, place="Hall"), swap("placements", 4, unit_id="U2")),
        {"R1", "R12"},
    ),
    # power
    "a unit unfed for an hour": (swap("hookups", 3, to_h=5), {"R7"}),
    "a unit never fed": (drop("hookups", 2), {"R7"}),
    "a unit on two feeders": (
        add("hookups", b.source_plug(to_id="U1", from_h=5)),
        {"R7"},
    ),
    "one port used twice": (
        both(
            world("units", 1, supply=Supply.DC),
            drop("hookups", 2),
            add("hookups", b.hookup(to_id="U2")),
        ),
        {"R7"},
    ),
    "more plugs than ports": (swap("hookups", 0, port_number=3), {"R7"}),
    "an AC freezer in a 12 V port": (
        both(drop("hookups", 2), add("hookups", b.hookup(to_id="U2", port_number=2))),
        {"R7"},
    ),
    "a battery fed by its unit": (swap("hookups", 0, from_id="U1", to_id="B1"), {"R7"}),
    "two units wired to each other's feeder": (
        both(swap("hookups", 2, to_id="U1"), swap("hookups", 0, to_id="U2")),
        {"R7"},
    ),
    "more watts than the battery gives": (
        world("batteries", 0, max_out_w=40.0),
        {"R7"},
    ),
    "more watts than the port gives": (
        world("batteries", 0, port_12v_max_w=40.0),
        {"R7"},
    ),
    "more watts than the generator gives": (world("sources", 0, max_w=50.0), {"R7"}),
    "a battery below its reserve": (world("batteries", 1, charge_now=0.3), {"R7"}),
    "sun above the charge limit": (
        world("batteries", 0, charge_now=0.25, max_charge_w=1.0),
        {"R7"},
    ),
    "a battery empty": (world("batteries", 1, charge_now=0.0), {"R7"}),
    "a panel on two batteries": (
        add("hookups", b.sun_plug(to_id="B2", place="Shed")),
        {"R7"},
    ),
    "a panel that stands elsewhere": (world("panels", 0, place="Shed"), {"R7"}),
    "a fixed battery carried along": (swap("hookups", 3, from_id="B1"), {"R7"}),
    "a source outside its window": (world("sources", 0, to_hour=13), {"R7"}),
    "life support left out": (
        lambda plan: (
            plan
            | {
                "scenario": replace(
                    plan["scenario"], sources=(*WORLD.sources, b.life_support())
                )
            }
        ),
        {"R7"},
    ),
    "a plug beyond the window": (swap("hookups", 0, to_h=7), {"R7"}),
    "a poor day sunnier than the mean": (site(poor_share=1.5), {"R9"}),
    "sun nobody knows": (site(peak_sun_hours=None), {"R9"}),
    # loans
    "a loan used before it is ready": (
        world("units", 0, availability=b.loan(ready_h=2)),
        {"R11"},
    ),
    "a loan that goes back too early": (
        world("batteries", 1, availability=b.loan(back_h=3)),
        {"R7", "R11"},
    ),
    "kit that is only offered": (
        world("panels", 0, availability=b.loan(status=Status.OFFERED)),
        {"R11"},
    ),
    # clocks and books
    "an allowance the label does not give": (
        swap("demands", 5, allowance_h=30.0),
        {""},
    ),
    "a warm clock that runs too long": (
        swap("warm_clocks", 0, until=SAFE + timedelta(hours=1)),
        {""},
    ),
    "a warm clock that ends in the window": (
        swap("warm_clocks", 0, until=b.START + timedelta(hours=2)),
        {""},
    ),
    "a row that is gone": (
        lambda plan: plan | {"scenario": replace(plan["scenario"], rows_in=8)},
        {""},
    ),
    "a line that nobody planned": (
        both(drop("demands", 2), drop("placements", 2)),
        {""},
    ),
    "bags put in twice": (add("placements", b.placement()), {""}),
    "one bag in two units": (
        add("placements", b.placement(unit_id="U4", count=1)),
        {""},
    ),
    "one bag of a line forgotten": (swap("placements", 3, count=2), {""}),
    "bags of the wrong tier": (swap("placements", 3, tier=Tier.A), {""}),
    "an unknown line": (add("placements", b.placement(line_id="L99")), {""}),
    "an unknown unit": (swap("placements", 0, unit_id="U99"), {""}),
    "an unknown battery": (swap("hookups", 0, from_id="B99"), {"", "R7"}),
    "bags in a unit that is off": (drop("units_on", 2), {"", "R7"}),
    "an account that does not add up": (false_account, {""}),
    "an account left out": (lambda plan: plan | {"accounts": ()}, {""}),
    "short without a next step": (swap("shortfalls", 0, next_step=""), {""}),
}


def test_the_sound_plan_passes():
    assert [found for found in audited(PLAN) if found.fatal] == []


def test_it_leaves_nothing_to_chance():
    # A battery low enough for "sun above the charge limit" still holds with sun.
    assert fatal_rules(world("batteries", 0, charge_now=0.25)(PLAN)) == set()


@pytest.mark.parametrize(("spoil", "rules"), SPOILT.values(), ids=SPOILT.keys())
def test_a_spoilt_plan_is_refused_under_the_right_rule(spoil, rules):
    assert fatal_rules(spoil(PLAN)) == rules


def test_every_rule_is_broken_by_some_corruption():
    seen = set().union(*(rules for _, rules in SPOILT.values()))
    assert seen == {"", *(f"R{number}" for number in range(1, 13))}


def test_fatal_findings_come_first_and_always_in_the_same_order():
    spoilt = world("units", 0, swing_c=3.5)(PLAN)
    found = audited(spoilt)
    flags = [one.fatal for one in found]
    assert flags == sorted(flags, reverse=True)
    assert audited(spoilt) == found
