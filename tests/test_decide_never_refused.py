"""Whatever the site, the plan that is made passes its own check.

Random sites with rooms that change by the hour, windows off the full hour,
kit that comes late and goes back early, sources in part hours and over
midnight, batteries of every chemistry that are carried about.  A plan that
breaks a rule would be refused with an error.
"""

import random

import pytest

from planner.pipeline import make_plan
from planner.result import PlanStatus
from planner.scenario import (
    Chemistry,
    Controller,
    Segregation,
    SourceKind,
    StockClass,
    SunCase,
    Supply,
    Tier,
    UnitType,
)
from tests import builders as b

KINDS = (
    *[UnitType.COMPRESSOR] * 7,
    UnitType.HOUSEHOLD,
    UnitType.THERMOELECTRIC,
    UnitType.ABSORPTION,
    UnitType.ICE_CHEST,
    UnitType.ELSEWHERE,
    UnitType.COOL_SHELF,
    UnitType.EVAPORATIVE,
)
BANDS = (
    {"keep_from_c": 2.0, "keep_to_c": 8.0},
    {"keep_from_c": 2.0, "keep_to_c": 8.0},
    {"keep_from_c": 0.0, "keep_to_c": 10.0, "never_freeze": False},
    {"keep_from_c": 8.0, "keep_to_c": 25.0},
    {"keep_from_c": -25.0, "keep_to_c": -10.0, "never_freeze": False},
)


def site(rng):
    """Draw a site."""
    hours = rng.choice((5, 12, 24, 36))
    names = ["Hall", "Shed", "Tent"][: rng.choice((1, 2, 3))]
    start = b.START.replace(hour=rng.randint(0, 23), minute=rng.choice((0, 0, 30, 45)))
    return b.scenario(
        lines=tuple(_line(rng, n, names, start) for n in range(rng.randint(1, 6))),
        places=tuple(_place(rng, name, names) for name in names),
        units=tuple(_unit(rng, n, names, hours) for n in range(rng.randint(1, 4))),
        batteries=tuple(_pack(rng, n, names, hours) for n in range(rng.randint(1, 3))),
        panels=tuple(_panel(rng, n, names, hours) for n in range(rng.randint(0, 2))),
        sources=tuple(_source(rng, n, names, hours) for n in range(rng.randint(0, 2)))
        + ((_life(rng, names),) if rng.random() < 0.25 else ()),
        conditions=b.conditions(
            start=start,
            window_h=hours,
            sun_case=rng.choice(tuple(SunCase)),
            swap_hours=rng.choice(((), (8, 20), (0, 6, 12, 18))),
            segregation=rng.choice(tuple(Segregation)),
            ice_kg_day=rng.choice((0.0, 8.0, 30.0)),
            reserve_share=rng.choice((0.0, 0.1, 0.3)),
        ),
    )


def _place(rng, name, names):
    low = rng.choice((-5.0, 10.0, 18.0, 22.0, 25.0))
    rise = rng.choice((0.0, 6.0, 20.0))
    return b.place(
        name=name,
        temp_c_by_clock_hour=tuple(
            low + rise * max(0.0, 1 - abs(hour - 15) / 8) for hour in range(24)
        ),
        open_at_night=rng.random() < 0.7,
        reached_from=rng.choice((None, None, None, tuple(names[:1]))),
    )


def _terms(rng, hours):
    if rng.random() < 0.85:
        return b.loan()
    ready_h = rng.randint(0, hours)
    back_h = rng.choice((None, rng.randint(1, hours + 3)))
    return b.loan(ready_h=ready_h, back_h=back_h)


def _line(rng, n, names, start):
    return b.line(
        id=f"L{n}",
        row=n + 2,
        code=f"K{n}",
        household=rng.choice(("H1", "H2", "H3")),
        place=rng.choice(names),
        quantity=rng.randint(1, 5),
        volume_l=rng.choice((0.2, 0.5, 1.1)),
        stock_class=rng.choice(tuple(StockClass)),
        tier_given=rng.choice((None, *Tier)),
        daily_use=rng.choice((None, 0.0, 0.7, 2.0)),
        warm_hours=rng.choice((None, 4.0, 20.0)),
        warm_max_c=rng.choice((None, 25.0, 30.0)),
        out_since=rng.choice((None, start.replace(minute=0))),
        locked=rng.random() < 0.1,
        night_need=rng.random() < 0.2,
        thawed=rng.random() < 0.1,
        **rng.choice(BANDS),
    )


def _unit(rng, n, names, hours):
    kind = rng.choice(KINDS)
    none = kind in (UnitType.ICE_CHEST, UnitType.COOL_SHELF, UnitType.EVAPORATIVE)
    sets = rng.choice(((5.0,), (4.0, 5.0, 6.0), (5.0, -18.0), (12.0,)))
    return b.unit(
        id=f"U{n}",
        name=f"Unit {n}",
        place=rng.choice(names),
        kind=kind,
        gross_volume_l=rng.choice((3.0, 8.0, 25.0)),
        zone_shares=(1.0,) if none else rng.choice(((1.0,), (0.7, 0.3))),
        set_points_c=(0.0,) if kind is UnitType.ICE_CHEST else sets,
        swing_c=rng.choice((1.0, 2.0)),
        running_w=rng.choice((40.0, 60.0, 90.0)),
        rated_wh_day=rng.choice((150.0, 300.0, 450.0)),
        supply=Supply.NONE if none else rng.choice((Supply.DC, Supply.AC, Supply.BOTH)),
        lockable=rng.random() < 0.5,
        conditioned=rng.random() < 0.5,
        availability=_terms(rng, hours),
    )


def _pack(rng, n, names, hours):
    return b.battery(
        id=f"B{n}",
        name=f"Pack {n}",
        place=rng.choice(("", *names)),
        capacity_wh=rng.choice((150.0, 300.0, 600.0, 1200.0)),
        chemistry=rng.choice(tuple(Chemistry)),
        charge_now=rng.choice((0.05, 0.5, 1.0, 1.0)),
        usable_share=rng.choice((0.5, 0.9)),
        ports_12v=rng.randint(0, 3),
        outlets_ac=rng.randint(0, 2),
        ac_idle_w=rng.choice((0.0, 8.0)),
        max_out_w=rng.choice((80.0, 300.0)),
        port_12v_max_w=rng.choice((50.0, 120.0)),
        max_charge_w=rng.choice((0.0, 60.0, 200.0)),
        solar_input_max_w=rng.choice((0.0, 60.0, 200.0)),
        movable=rng.random() < 0.8,
        availability=_terms(rng, hours),
    )


def _panel(rng, n, names, hours):
    return b.panel(
        id=f"P{n}",
        name=f"Panel {n}",
        place=rng.choice(("", *names)),
        rated_w=rng.choice((40.0, 100.0, 300.0)),
        controller=rng.choice(tuple(Controller)),
        availability=_terms(rng, hours),
    )


def _source(rng, n, names, hours):
    return b.source(
        id=f"S{n}",
        name=f"Source {n}",
        place=rng.choice(names),
        kind=rng.choice((SourceKind.MAINS, SourceKind.GENERATOR, SourceKind.VEHICLE)),
        max_w=rng.choice((60.0, 200.0, 1500.0)),
        from_hour=rng.choice((0.0, 8.5, 18.0, 22.0)),
        to_hour=rng.choice((1.5, 12.0, 20.0, 24.0)),
        days=rng.choice(((), (0,), (1,))),
        supply=rng.choice((Supply.AC, Supply.DC, Supply.BOTH)),
        availability=_terms(rng, hours),
    )


def _life(rng, names):
    return b.life_support(
        place=rng.choice(names),
        max_w=rng.choice((5.0, 40.0)),
        from_hour=rng.choice((0.0, 7.5, 21.0)),
        to_hour=rng.choice((6.25, 24.0)),
        days=rng.choice(((), (0,))),
        supply=rng.choice((Supply.AC, Supply.DC, Supply.BOTH)),
    )


@pytest.mark.parametrize("round_no", range(6))
def test_no_plan_breaks_a_rule(round_no):
    rng = random.Random(round_no)
    placed = 0
    for _ in range(20):
        plan = make_plan(site(rng), borrow=False, time_limit_s=30.0)
        assert plan.status is not PlanStatus.NO_PLAN
        placed += bool(plan.placements)
    assert placed >= 2
