"""The load-shed ladder by hand: who is switched off, and what that buys.

A battery of 1,000 Wh with a floor of 100 Wh; each fridge draws 95 W on 12 V
at 0.95, which is 100 Wh an hour out of the cells.  Monday from 08:00.
"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.check.hours import run_hours
from planner.check.stress_shed import ladder, shed_order
from planner.result import PortType
from planner.result_stress import Gained
from planner.scenario import SunCase, Supply, Tier
from tests import builders as b
from tests.check_cases import plain_hours
from tests.stress_cases import site

DAY = 24
LOADS = {"U1": [95.0] * DAY, "U2": [95.0] * DAY}
LINES = (b.line(), b.line(id="L2", row=3, code="C0M"))
USES = (b.use(), b.use(unit_id="U2"))
PUTS = (
    b.placement(tier=Tier.A),
    b.placement(line_id="L2", unit_id="U2", tier=Tier.E),
)


def two(batteries=None, hookups=None, units=None, **more):
    world = b.scenario(
        lines=LINES,
        units=units or (b.unit(), b.unit(id="U2", name="Fridge two")),
        batteries=batteries or (b.battery(),),
        conditions=b.conditions(window_h=DAY),
        **more,
    )
    plugs = hookups or (
        b.hookup(to_h=DAY),
        b.hookup(to_id="U2", port_number=2, to_h=DAY),
    )
    values = {"units_on": USES, "placements": PUTS, "demands": ()}
    return site(world, hookups=plugs, **values)


def steps(found, loads=None):
    with plain_hours(loads or LOADS):
        return ladder(found)


class TestOneBatteryForTwo:
    def test_the_lower_tier_is_switched_off_and_doubles_the_hours(self):
        # 900 / 200 = 4 whole hours together, 900 / 100 = 9 for one alone.
        (step,) = steps(two())
        assert (step.rank, step.unit_id) == (1, "U2")
        assert step.hours == (Gained(thing_id="U1", before_h=4, after_h=9),)
        assert step.handovers == ()
        assert step.energy_wh == 95 * DAY

    def test_every_hour_that_it_is_put_off_costs_an_hour(self):
        # Off at hour h, 900 - 200 h Wh are left: U1 is dark from h + 9 - 2 h on.
        (step,) = steps(two())
        assert [(one.at_h, one.saved_h) for one in step.later] == [
            (1, 4),
            (2, 3),
            (3, 2),
        ]

    def test_when_all_holds_nothing_is_switched_off(self):
        idle = {"U1": [10.0] * DAY, "U2": [10.0] * DAY}
        assert steps(two(), idle) == ()

    def test_one_unit_is_never_switched_off(self):
        world = b.scenario(conditions=b.conditions(window_h=DAY))
        with plain_hours(LOADS):
            assert ladder(site(world, hookups=(b.hookup(to_h=DAY),))) == ()

    def test_its_bags_move_where_there_is_room(self):
        (step,) = steps(two())
        assert [(m.line_id, m.to_unit_id, m.at_h) for m in step.moves] == [
            ("L2", "U1", 0)
        ]
        assert step.stranded == ()

    def test_bags_that_fit_nowhere_are_told(self):
        units = (b.unit(usable_share=0.05), b.unit(id="U2", name="Fridge two"))
        (step,) = steps(two(units=units))
        assert step.moves == ()
        assert [(s.line_id, s.count, s.until_h) for s in step.stranded] == [
            ("L2", 2, 0.0)
        ]

    @pytest.mark.parametrize(("back_h", "moved"), [(None, 2), (20, 0)])
    def test_bags_move_into_nothing_that_goes_back(self, back_h, moved):
        units = (
            b.unit(availability=b.loan(back_h=back_h)),
            b.unit(id="U2", name="Fridge two"),
        )
        (step,) = steps(two(units=units))
        assert sum(move.count for move in step.moves) == moved


class TestABatteryEach:
    PACKS = (
        b.battery(movable=False),
        b.battery(id="B2", name="Battery two", movable=False),
    )
    PLUGS = (b.hookup(to_h=DAY), b.hookup(from_id="B2", to_id="U2", to_h=DAY))

    def test_the_free_battery_takes_over_when_the_own_one_is_empty(self):
        (step,) = steps(two(self.PACKS, self.PLUGS))
        (plug,) = step.handovers
        assert (plug.from_id, plug.to_id, plug.from_h) == ("B2", "U1", 9)
        assert step.hours == (Gained(thing_id="U1", before_h=9, after_h=18),)
        # B2 has 900 - 100 h Wh left when it takes over at hour 9.
        assert [(one.at_h, one.saved_h) for one in step.later] == [
            (2, 7), (4, 5), (5, 4), (7, 2),
        ]  # fmt: skip

    def test_without_a_socket_that_fits_it_buys_nothing_and_stays_on(self):
        units = (
            b.unit(supply=Supply.DC),
            b.unit(id="U2", name="Fridge two", supply=Supply.AC),
        )
        packs = (
            self.PACKS[0],
            b.battery(id="B2", name="Battery two", movable=False, ports_12v=0),
        )
        plugs = (
            self.PLUGS[0],
            b.hookup(from_id="B2", to_id="U2", port=PortType.AC, to_h=DAY),
        )
        assert steps(two(packs, plugs, units)) == ()

    def test_a_battery_that_cannot_be_carried_helps_only_at_its_place(self):
        places = (b.place(), b.place(name="Shed"))
        units = (b.unit(), b.unit(id="U2", name="Fridge two", place="Shed"))
        fixed = b.battery(id="B2", name="Battery two", movable=False, place="Shed")
        plugs = (
            self.PLUGS[0],
            b.hookup(from_id="B2", to_id="U2", place="Shed", to_h=DAY),
        )
        far = two((self.PACKS[0], fixed), plugs, units, places=places)
        assert steps(far) == ()
        carried = b.battery(id="B2", name="Battery two", place="Shed")
        near = two((self.PACKS[0], carried), plugs, units, places=places)
        assert steps(near)[0].hours[0].after_h == 18

    def test_the_most_valuable_of_those_that_go_dark_gets_the_battery(self):
        lines = (*LINES, b.line(id="L3", row=4, code="D0M"))
        units = tuple(b.unit(id=f"U{n}", name=f"Fridge {n}") for n in (1, 2, 3))
        packs = tuple(b.battery(id=f"B{n}", name=f"B{n}") for n in (1, 2, 3))
        world = b.scenario(
            lines=lines,
            units=units,
            batteries=packs,
            conditions=b.conditions(window_h=DAY),
        )
        found = site(
            world,
            units_on=tuple(b.use(unit_id=unit.id) for unit in units),
            placements=(*PUTS, b.placement(line_id="L3", unit_id="U3", tier=Tier.C)),
            hookups=tuple(
                b.hookup(from_id=f"B{n}", to_id=f"U{n}", to_h=DAY) for n in (1, 2, 3)
            ),
            demands=(),
        )
        first, second = steps(found, LOADS | {"U3": [95.0] * DAY})
        assert (first.unit_id, first.handovers[0].to_id) == ("U2", "U1")
        # Nine hours of its own, nine of B2, then B3 to the end of the day.
        assert (second.unit_id, second.handovers[0].to_id) == ("U3", "U1")
        assert second.hours == (Gained(thing_id="U1", before_h=18, after_h=None),)

    def test_a_battery_with_room_takes_over_beside_what_it_feeds(self):
        # B2 also feeds 3.8 W of life support: 4 Wh an hour, 96 in the day. With
        # U1 on it from hour 9 on, 15 x 100 Wh more: 900 Wh leave both in the
        # dark, so it is left alone; 2,250 Wh carry both.
        small = b.life_support(max_w=3.8, supply=Supply.BOTH)
        plug = b.hookup(from_id="B2", to_id="V1", port_number=2, to_h=DAY)
        (step,) = steps(two(self.PACKS, (*self.PLUGS, plug), sources=(small,)))
        assert step.handovers == ()
        packs = (self.PACKS[0], b.battery(id="B2", name="B2", capacity_wh=2500.0))
        (step,) = steps(two(packs, (*self.PLUGS, plug), sources=(small,)))
        assert step.handovers[0].from_id == "B2"
        assert {one.thing_id: one.after_h for one in step.hours} == {
            "U1": None,
            "V1": None,
        }


class TestOrder:
    def order(self, puts, loads=None):
        found = two()
        found = site(
            found.ground.scenario,
            units_on=USES,
            placements=puts,
            hookups=found.claim.hookups,
            demands=(),
        )
        with plain_hours(loads or LOADS):
            run = run_hours(found.ground, found.claim, SunCase.NONE)
            return shed_order(found, run)

    def test_a_few_bags_of_a_high_tier_outweigh_many_of_a_low_one(self):
        puts = (
            b.placement(count=1, tier=Tier.A),
            b.placement(line_id="L2", unit_id="U2", count=50, tier=Tier.B),
        )
        assert self.order(puts) == ("U2", "U1")

    def test_stock_beyond_the_need_counts_lower(self):
        puts = (
            b.placement(count=1, tier=Tier.D, surplus=True),
            b.placement(line_id="L2", unit_id="U2", count=1, tier=Tier.C),
        )
        assert self.order(puts) == ("U1", "U2")

    def test_stock_beyond_the_need_counts_in_its_own_tier_and_no_lower(self):
        # Its tier is the later one already: one extra bag of D counts like
        # any bag of D, and comes before two of E.
        puts = (
            b.placement(count=1, tier=Tier.D, surplus=True),
            b.placement(line_id="L2", unit_id="U2", count=2, tier=Tier.E),
        )
        assert self.order(puts) == ("U2", "U1")

    def test_in_one_tier_fewer_bags_a_watt_hour_go_first(self):
        puts = (
            b.placement(count=3, tier=Tier.A),
            b.placement(line_id="L2", unit_id="U2", count=2, tier=Tier.A),
        )
        assert self.order(puts) == ("U2", "U1")
        thirsty = {"U1": [60.0] * DAY, "U2": [20.0] * DAY}
        assert self.order(puts, thirsty) == ("U1", "U2")


class TestLifeSupport:
    def test_it_is_never_switched_off_and_is_shown_what_it_gains(self):
        # 27 W on AC at 0.9 are 30 Wh, the inverter 10 Wh: 240 Wh an hour.
        load = b.life_support(max_w=27.0)
        plug = b.hookup(to_id="V1", port=PortType.AC, to_h=DAY)
        found = two(hookups=(*two().claim.hookups, plug), sources=(load,))
        (step,) = steps(found)
        assert step.unit_id == "U2"
        assert step.hours == (
            Gained(thing_id="U1", before_h=3, after_h=6),
            Gained(thing_id="V1", before_h=3, after_h=6),
        )


@settings(max_examples=40, deadline=None)
@given(
    watts=st.lists(st.floats(5, 110), min_size=4, max_size=4),
    charge=st.lists(st.floats(0.2, 1.0), min_size=3, max_size=3),
    feeder=st.lists(st.sampled_from(("B1", "B2", "B3")), min_size=4, max_size=4),
)
def test_switching_one_off_never_shortens_another(watts, charge, feeder):
    names = ("U1", "U2", "U3", "U4")
    tiers = (Tier.A, Tier.B, Tier.C, Tier.E)
    world = b.scenario(
        units=tuple(b.unit(id=one, name=one) for one in names),
        batteries=tuple(
            b.battery(id=f"B{n}", name=f"B{n}", ports_12v=4, charge_now=share)
            for n, share in enumerate(charge, start=1)
        ),
        conditions=b.conditions(window_h=DAY),
    )
    found = site(
        world,
        units_on=tuple(b.use(unit_id=one) for one in names),
        placements=tuple(
            b.placement(unit_id=one, count=1, tier=tier)
            for one, tier in zip(names, tiers, strict=True)
        ),
        hookups=tuple(
            b.hookup(from_id=pack, to_id=one, port_number=n, to_h=DAY)
            for n, (one, pack) in enumerate(zip(names, feeder, strict=True), start=1)
        ),
        demands=(),
    )
    with plain_hours({n: [w] * DAY for n, w in zip(names, watts, strict=True)}):
        made = ladder(found)
    off = []
    for step in made:
        off.append(step.unit_id)
        assert any(one.before_h != one.after_h for one in step.hours)
        for one in step.hours:
            assert one.thing_id not in off
            assert one.after_h is None or one.before_h is not None
            if one.after_h is not None:
                assert one.after_h >= one.before_h
    assert "U1" not in off
