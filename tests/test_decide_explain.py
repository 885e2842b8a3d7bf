"""Why a bag is short: one case by hand for each family of rules.

The family named is the one that, set aside alone, lets the bag in; each case
is checked against that by mending just this one thing and planning again.
"""

import random
from datetime import timedelta

import pytest

from planner.decide.explain import next_step
from planner.result import ReasonFamily
from planner.scenario import (
    Segregation,
    StockClass,
    Supply,
    Tier,
    UnitType,
)
from tests import builders as b
from tests.decide_cases import bags, plain_world, planned, tier_vector

FROZEN = {"keep_from_c": -25.0, "keep_to_c": -10.0, "never_freeze": False}
CHEST = {
    "kind": UnitType.ICE_CHEST,
    "gross_volume_l": 40.0,
    "set_points_c": (0.0,),
    "conditioned": True,
    "supply": Supply.NONE,
}


def reasons(plan):
    return [(s.line_id, s.count, s.reason) for s in plan.shortfalls]


# (family, a world where both bags are short, what alone mends it)
CASES = {
    ReasonFamily.BAND: (
        {"units": (b.unit(set_points_c=(9.0,)),)},
        {"units": (b.unit(set_points_c=(5.0,)),)},
    ),
    ReasonFamily.REACH: (
        # 45 C outside: twice the rated gap and more, at most 8 W of running
        {"places": (b.place(45.0),), "units": (b.unit(running_w=8.0),)},
        {"places": (b.place(45.0),), "units": (b.unit(running_w=60.0),)},
    ),
    ReasonFamily.VOLUME: (
        {"units": (b.unit(gross_volume_l=0.5),)},
        {"units": (b.unit(gross_volume_l=2.0),)},
    ),
    ReasonFamily.POWER: (
        {"batteries": (b.battery(capacity_wh=20.0),)},
        {"batteries": (b.battery(capacity_wh=500.0),)},
    ),
    ReasonFamily.CUSTODY: (
        {"lines": (b.line(locked=True),)},
        {"lines": (b.line(locked=True),), "units": (b.unit(lockable=True),)},
    ),
    ReasonFamily.ACCESS: (
        {
            "lines": (b.line(night_need=True),),
            "places": (b.place(open_at_night=False),),
        },
        {"lines": (b.line(night_need=True),), "places": (b.place(),)},
    ),
    ReasonFamily.ICE: (
        {"units": (b.unit(**CHEST),), "conditions": b.conditions(ice_kg_day=0.0)},
        {"units": (b.unit(**CHEST),), "conditions": b.conditions(ice_kg_day=20.0)},
    ),
    ReasonFamily.READY: (
        # Half an hour out of the cold is allowed, the unit comes after one.
        {
            "units": (b.unit(availability=b.loan(ready_h=1)),),
            "lines": (b.line(warm_hours=0.5),),
        },
        {
            "units": (b.unit(availability=b.loan(ready_h=0)),),
            "lines": (b.line(warm_hours=0.5),),
        },
    ),
}


@pytest.mark.parametrize("family", CASES)
def test_each_family_and_its_mend(family):
    short, mended = CASES[family]
    plan = planned(**short)
    assert reasons(plan) == [("L1", 2, family)]
    assert bags(plan) == 0
    assert plan.shortfalls[0].detail
    assert bags(planned(**mended)) == 2


def test_segregation():
    # One fridge, kept for the medicine of tier A; the feed would fit in a tub.
    lines = (
        b.line(tier_given=Tier.A),
        b.line(
            id="L2", row=3, tier_given=Tier.B, stock_class=StockClass.FEED, quantity=1
        ),
    )
    plan = planned(lines=lines)
    assert reasons(plan) == [("L2", 1, ReasonFamily.SEGREGATION)]
    assert "0.5 L" in plan.shortfalls[0].detail
    tubs = b.conditions(segregation=Segregation.TUBS)
    assert bags(planned(lines=lines, conditions=tubs)) == 3


def test_access_by_reach():
    shed = b.place(name="Shed", reached_from=())
    plan = planned(places=(b.place(), shed), units=(b.unit(place="Shed"),))
    assert reasons(plan) == [("L1", 2, ReasonFamily.ACCESS)]


def test_no_unit_at_all_is_a_band_that_nothing_holds():
    plan = planned(units=())
    assert reasons(plan) == [("L1", 2, ReasonFamily.BAND)]
    assert "no unit here" in plan.shortfalls[0].detail


def test_a_chest_without_conditioned_packs_is_no_band_for_insulin():
    # FDA, insulin in an emergency: kept off ice; once frozen, not to be used.
    raw = b.unit(**(CHEST | {"conditioned": False}))
    line = b.line(keep_from_c=0.0, keep_to_c=8.0)
    cond = b.conditions(ice_kg_day=20.0)
    plan = planned(units=(raw,), lines=(line,), conditions=cond)
    assert reasons(plan) == [("L1", 2, ReasonFamily.BAND)]


class TestAmounts:
    def test_litres_missing_are_those_of_the_bags_short(self):
        # 1.6 L usable hold three of five half-litre bags.
        plan = planned(units=(b.unit(gross_volume_l=2.0),), lines=(b.line(quantity=5),))
        assert reasons(plan) == [("L1", 2, ReasonFamily.VOLUME)]
        assert plan.shortfalls[0].detail.startswith("1.0 L")

    def test_litres_that_stand_idle_for_want_of_power(self):
        # Energy for a quarter of the fridge only: 4 L, eight of ten bags.
        with plain_world({"U1": lambda fill: 100.0 * fill}):
            plan = planned(
                units=(b.unit(running_w=100.0),),
                lines=(b.line(quantity=10),),
                batteries=(b.battery(capacity_wh=200.0),),
                panels=(),
            )
        assert reasons(plan) == [("L1", 2, ReasonFamily.POWER)]
        assert plan.shortfalls[0].detail.startswith("1.0 L")

    def test_neither_litres_nor_power_alone_would_do(self):
        # The fridge is too small and the battery too weak for any of it.
        plan = planned(
            units=(b.unit(gross_volume_l=0.5),),
            batteries=(b.battery(capacity_wh=10.0),),
        )
        assert reasons(plan) == [("L1", 2, ReasonFamily.VOLUME)]
        assert "power" in plan.shortfalls[0].detail


class TestDeepest:
    """Of several units the one that comes nearest to fitting gives the reason."""

    WRONG_BAND = b.unit(id="U1", name="Warm", set_points_c=(15.0,), lockable=True)
    NO_LOCK = b.unit(id="U2", name="Open")

    def test_custody_rather_than_band(self):
        plan = planned(
            units=(self.WRONG_BAND, self.NO_LOCK), lines=(b.line(locked=True),)
        )
        assert reasons(plan) == [("L1", 2, ReasonFamily.CUSTODY)]

    def test_ready_rather_than_custody(self):
        late = b.unit(
            id="U3", name="Late", lockable=True, availability=b.loan(ready_h=2)
        )
        line = b.line(locked=True, warm_hours=1.0)
        plan = planned(units=(self.NO_LOCK, late), lines=(line,))
        assert reasons(plan) == [("L1", 2, ReasonFamily.READY)]

    def test_data_rather_than_ready_where_the_allowance_is_not_known(self):
        late = b.unit(id="U3", name="Late", availability=b.loan(ready_h=2))
        plan = planned(units=(late,), lines=(b.line(),))
        assert reasons(plan) == [("L1", 2, ReasonFamily.DATA)]


class TestLaterTiers:
    def test_room_taken_by_an_earlier_tier_is_a_want_of_volume(self):
        lines = (
            b.line(tier_given=Tier.A, quantity=3),
            b.line(id="L2", row=3, tier_given=Tier.E, quantity=1),
        )
        plan = planned(units=(b.unit(gross_volume_l=2.0),), lines=lines)
        assert reasons(plan) == [("L2", 1, ReasonFamily.VOLUME)]

    def test_need_and_surplus_have_their_own_shortfalls(self):
        # Three of ten bags are the need of 72 h; the fridge takes four.
        plan = planned(
            lines=(b.line(quantity=10, daily_use=1.0),),
            units=(b.unit(gross_volume_l=2.5),),
            batteries=(b.battery(capacity_wh=9000.0),),
            conditions=b.conditions(window_h=72),
        )
        assert [(s.tier, s.count, s.surplus) for s in plan.shortfalls] == [
            (Tier.D, 6, True)
        ]

    def test_life_support_that_takes_the_battery_is_a_want_of_power(self):
        plan = planned(
            sources=(b.life_support(),), batteries=(b.battery(capacity_wh=100.0),)
        )
        assert reasons(plan) == [("L1", 2, ReasonFamily.POWER)]


class TestWarmClocks:
    @pytest.mark.parametrize(("warm_hours", "clock"), [(6.0, True), (5.0, False)])
    def test_an_allowance_as_long_as_the_window_is_a_written_clock(
        self, warm_hours, clock
    ):
        # Six hours from Monday 08:00.
        plan = planned(units=(), lines=(b.line(warm_hours=warm_hours),))
        assert (len(plan.warm_clocks), len(plan.shortfalls)) == (clock, not clock)
        parts = plan.warm_clocks + plan.shortfalls
        until = parts[0].until if clock else parts[0].safe_until
        assert until == b.START + timedelta(hours=warm_hours)
        assert parts[0].count == 2

    def test_cold_room_is_used_before_the_clock(self):
        # 1.6 L for three of four bags: the fourth has a clock, none is short.
        plan = planned(
            lines=(b.line(quantity=4, warm_hours=48.0),),
            units=(b.unit(gross_volume_l=2.0),),
        )
        assert bags(plan) == 3
        assert [c.count for c in plan.warm_clocks] == [1]
        assert plan.shortfalls == ()

    def test_no_clock_in_a_room_above_the_maximum(self):
        # Insulin: up to 28 days at 30 C (FDA, insulin in an emergency).
        line = b.line(warm_hours=672.0, warm_max_c=30.0)
        warm = planned(units=(), lines=(line,), places=(b.place(29.0),))
        assert [c.line_id for c in warm.warm_clocks] == ["L1"]
        hot = planned(units=(), lines=(line,), places=(b.place(31.0),))
        assert hot.warm_clocks == ()
        assert hot.shortfalls[0].safe_until == b.START

    def test_unknown_is_never_a_clock(self):
        plan = planned(units=(), lines=(b.line(warm_hours=None),))
        assert plan.warm_clocks == ()
        assert plan.shortfalls[0].safe_until is None


class TestNextStep:
    def words(self, family=ReasonFamily.VOLUME, allowance_h=None, **line):
        return next_step(family, b.line(**line), b.demand(allowance_h=allowance_h))

    def test_who_to_ask_first(self):
        assert "pharmacist" in self.words()
        assert "clock" in self.words(allowance_h=5.0)
        assert "freezer" in self.words(**FROZEN)
        assert "pharmacist" not in self.words(**FROZEN)

    @pytest.mark.parametrize("family", ReasonFamily)
    def test_every_family_has_its_own_second_half(self, family):
        others = {self.words(f) for f in ReasonFamily if f is not family}
        assert self.words(family) not in others

    def test_it_never_calls_anything_safe(self):
        for family in ReasonFamily:
            for hours in (None, 5.0):
                text = self.words(family, hours)
                assert "safe" not in text
                assert "dose" not in text


@pytest.mark.parametrize("seed", range(12))
def test_mending_what_is_named_for_the_first_tier_short_improves_the_plan(seed):
    rng = random.Random(seed)
    lines = tuple(
        b.line(
            id=f"L{n}",
            row=n + 2,
            code=f"K{n}",
            quantity=rng.choice((1, 2, 3)),
            volume_l=rng.choice((0.5, 0.9)),
            tier_given=rng.choice((Tier.A, Tier.B, Tier.D)),
        )
        for n in range(3)
    )
    litres = rng.choice((1.0, 2.0, 3.0))
    capacity_wh = rng.choice((20.0, 50.0, 500.0))

    def plan_of(litres, capacity_wh):
        return planned(
            lines=lines,
            units=(b.unit(gross_volume_l=litres, set_points_c=(5.0,)),),
            batteries=(b.battery(capacity_wh=capacity_wh),),
            panels=(),
        )

    plan = plan_of(litres, capacity_wh)
    for tier in sorted({s.tier for s in plan.shortfalls})[:1]:
        for short in (s for s in plan.shortfalls if s.tier is tier):
            volume = short.reason is ReasonFamily.VOLUME
            power = "power" in short.detail
            # More litres cost more to cool down, so they come with energy.
            mended = plan_of(
                litres + 90.0 * volume, 9000.0 if volume or power else capacity_wh
            )
            assert volume or short.reason is ReasonFamily.POWER
            assert tier_vector(mended) > tier_vector(plan)
