"""The replay in arrays against the replay hour by hour, and what must not happen."""

from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.check.ground import Claim, lay_ground
from planner.check.hours import run_hours
from planner.check.stress_batch import (
    NEVER_H,
    Variants,
    dark_from_each,
    fed_each,
    planned_sun_w,
)
from planner.check.stress_fail import cut_off, may_fail
from planner.check.stress_wiring import dark_hours
from planner.result import PortType
from planner.scenario import SunCase, Supply, UnitType
from tests import builders as b
from tests.check_cases import plain_hours

HOURS = 12
watts = st.lists(st.integers(0, 120), min_size=HOURS, max_size=HOURS)


@st.composite
def sites(draw):
    """Two batteries, two or three units, a shared generator, life support."""
    start = draw(st.integers(0, HOURS - 1))
    batteries = tuple(
        b.battery(
            id=name,
            name=name,
            movable=False,
            capacity_wh=float(draw(st.integers(60, 600))),
            charge_now=draw(st.floats(0.1, 1.0)),
            max_charge_w=float(draw(st.integers(20, 200))),
        )
        for name in ("B1", "B2")
    )
    units = (
        b.unit(),
        b.unit(id="U2", name="Fridge two", supply=Supply.AC, kind=UnitType.HOUSEHOLD),
        b.unit(id="U3", name="Fridge three", supply=Supply.BOTH),
    )
    world = b.scenario(
        units=units,
        batteries=batteries,
        panels=(b.panel(), b.panel(id="P2", name="Panel two")),
        sources=(
            b.source(
                max_w=draw(st.sampled_from((60.0, 150.0, 500.0))),
                from_hour=10,
                to_hour=17,
            ),
            b.life_support(),
        ),
        conditions=b.conditions(window_h=HOURS),
    )
    span = {"to_h": HOURS}
    hookups = (
        b.hookup(**span),
        b.hookup(from_id="B2", to_id="U2", port=PortType.AC, **span),
        b.hookup(from_id=draw(st.sampled_from(("B1", "B2"))), to_id="U3",
                 port_number=2, from_h=start, **span),
        b.hookup(from_id="B2", to_id="V1", port=PortType.AC, port_number=2, **span),
        b.sun_plug(**span),
        b.sun_plug(from_id="P2", to_id=draw(st.sampled_from(("B1", "B2"))), **span),
        b.charger_plug(**span),
        b.charger_plug(to_id="B2", from_h=draw(st.integers(0, 6)), **span),
    )  # fmt: skip
    loads = {unit.id: draw(watts) for unit in units}
    sun = {"P1": draw(watts), "P2": draw(watts)}
    uses = tuple(b.use(unit_id=unit.id) for unit in units)
    claim = Claim(units_on=uses, hookups=hookups)
    return SimpleNamespace(ground=lay_ground(world), claim=claim, loads=loads, sun=sun)


@settings(max_examples=40, deadline=None)
@given(sites())
def test_each_row_is_the_replay_of_a_claim_cut_off_at_that_hour(site):
    hours = np.arange(HOURS, dtype=np.int64)
    with plain_hours(site.loads, site.sun):
        for case in (SunCase.NONE, SunCase.MEAN):
            base = run_hours(site.ground, site.claim, case)
            for thing in may_fail(site.ground, site.claim):
                rows = Variants(
                    rows=HOURS,
                    sun_w=planned_sun_w(site.ground, site.claim, case),
                    cut_h={thing: hours},
                )
                fed = fed_each(site.ground, site.claim, base, rows)
                first = dark_from_each(site.ground, fed)
                for hour in range(HOURS):
                    one = run_hours(site.ground, cut_off(site.claim, thing, hour), case)
                    assert one.fed == {k: list(v[hour]) for k, v in fed.items()}
                    assert dark_hours(site.ground, one) == {
                        k: v[hour] for k, v in first.items()
                    }


@settings(max_examples=40, deadline=None)
@given(sites(), st.data())
def test_more_sun_in_a_row_never_makes_anything_go_dark_earlier(site, data):
    more = data.draw(st.lists(st.floats(1.0, 3.0), min_size=HOURS, max_size=HOURS))
    # Chargers share a source, so that sun on one battery can only help another.
    with plain_hours(site.loads, site.sun):
        base = run_hours(site.ground, site.claim, SunCase.MEAN)
        sun = planned_sun_w(site.ground, site.claim, SunCase.MEAN)
        both = Variants(
            rows=2,
            sun_w={k: np.vstack((v, v * np.array(more))) for k, v in sun.items()},
            cut_h={},
        )
        first = dark_from_each(
            site.ground, fed_each(site.ground, site.claim, base, both)
        )
    for hours in first.values():
        assert hours[1] >= hours[0]


@settings(max_examples=40, deadline=None)
@given(sites())
def test_a_panel_that_fails_makes_nothing_better_and_earlier_is_worse(site):
    hours = np.arange(HOURS, dtype=np.int64)
    with plain_hours(site.loads, site.sun):
        base = run_hours(site.ground, site.claim, SunCase.MEAN)
        rows = Variants(
            rows=HOURS,
            sun_w=planned_sun_w(site.ground, site.claim, SunCase.MEAN),
            cut_h={"P1": hours},
        )
        fed = fed_each(site.ground, site.claim, base, rows)
        first = dark_from_each(site.ground, fed)
        whole = dark_hours(site.ground, base)
    for thing, each in first.items():
        assert (np.diff(each) >= 0).all()
        assert each.max() <= whole[thing]


@settings(max_examples=40, deadline=None)
@given(sites(), st.sampled_from(("B1", "B2", "U1", "U2", "U3")))
def test_what_hangs_on_a_failed_thing_never_lasts_longer(site, thing):
    # Others may: a unit that fails takes its load off the battery they share.
    hours = np.arange(HOURS, dtype=np.int64)
    with plain_hours(site.loads, site.sun):
        base = run_hours(site.ground, site.claim, SunCase.MEAN)
        rows = Variants(
            rows=HOURS,
            sun_w=planned_sun_w(site.ground, site.claim, SunCase.MEAN),
            cut_h={thing: hours},
        )
        first = dark_from_each(
            site.ground, fed_each(site.ground, site.claim, base, rows)
        )
        whole = dark_hours(site.ground, base)
    for one in {thing, *(p.to_id for p in site.claim.hookups if p.from_id == thing)}:
        if one in first:
            assert (first[one] <= whole[one]).all()
            assert (np.diff(first[one]) >= 0).all()
            needed = site.ground.load_needed.get(one, (True,) * HOURS)
            assert all(first[one][h] <= h for h in range(HOURS) if needed[h])


@pytest.mark.parametrize(("ready_h", "dark_h"), [(0, 0), (2, 2)])
def test_dark_counts_from_the_ready_hour_as_in_the_replay(ready_h, dark_h):
    world = b.scenario(units=(b.unit(availability=b.loan(ready_h=ready_h)),))
    ground = lay_ground(world)
    fed = {"U1": np.zeros((1, 6), dtype=np.bool_)}
    assert dark_from_each(ground, fed)["U1"][0] == dark_h


def test_a_unit_that_needs_no_power_is_dark_only_when_it_is_taken_back():
    chest = b.unit(kind=UnitType.ICE_CHEST, supply=Supply.NONE)
    fed = {"U1": np.zeros((1, 6), dtype=np.bool_)}
    stays = dark_from_each(lay_ground(b.scenario(units=(chest,))), fed)
    assert stays["U1"][0] == NEVER_H
    chest = b.unit(
        kind=UnitType.ICE_CHEST, supply=Supply.NONE, availability=b.loan(back_h=4)
    )
    leaves = dark_from_each(lay_ground(b.scenario(units=(chest,))), fed)
    assert leaves["U1"][0] == 4


def as_replayed(world, claim, case=SunCase.NONE, **plain):
    """Fed hours of the one row, and of the replay."""
    ground = lay_ground(world)
    with plain_hours(**plain):
        base = run_hours(ground, claim, case)
        row = Variants(rows=1, sun_w=planned_sun_w(ground, claim, case), cut_h={})
        fed = fed_each(ground, claim, base, row)
    return list(fed["U1"][0]), base.fed["U1"]


def test_of_two_chargers_on_one_battery_the_first_counts():
    # 200 Wh with 20 Wh to the floor and 40 Wh out an hour: the first charger
    # gives 20 W, the second would give enough.
    world = b.scenario(
        batteries=(b.battery(capacity_wh=200.0, charge_now=0.2),),
        sources=(b.source(max_w=20.0), b.source(id="S2", max_w=500.0)),
    )
    plugs = (b.hookup(), b.charger_plug(), b.charger_plug(from_id="S2"))
    claim = Claim(units_on=(b.use(),), hookups=plugs)
    row, replayed = as_replayed(world, claim, loads_w={"U1": [38.0] * 6})
    assert row == replayed
    # 40 + 19 - 40 is below the floor, so dark at 59; 59 + 19 - 40 = 38; and so on.
    assert row == [False, True, False, True, False, True]


@pytest.mark.parametrize(("load_w", "fed"), [(190.0005, True), (190.01, False)])
def test_the_floor_has_the_slack_of_the_replay(load_w, fed):
    # 1,000 Wh at 0.3 is 200 Wh above the floor; 190 W at 0.95 take all of it.
    world = b.scenario(batteries=(b.battery(charge_now=0.3),))
    claim = Claim(units_on=(b.use(),), hookups=(b.hookup(),))
    row, replayed = as_replayed(world, claim, loads_w={"U1": [load_w] + [0.0] * 5})
    assert row == replayed
    assert bool(row[0]) is fed
