"""Who comes first: label allowance left, tiers, need and surplus.

Published allowances are named with their source; each is only a number here,
the label of the pack in hand always counts more.  Rooms are steady unless an
hour is said to be hotter; every window starts on Monday, 7 July 2025, 08:00.
"""

from datetime import datetime, timedelta

import numpy as np
import pytest

from planner.decide.triage import allowance_left, demands, needed_bags, tier_of
from planner.scenario import Clock, Consequence, Gate, Tier
from tests import builders as b

DAY_H = 24.0


def left(line, room_c=25.0, hours=72, **conditions):
    """Allowance of a line in a steady room."""
    rooms = np.full(hours, float(room_c))
    return allowance_left(line, rooms, b.conditions(window_h=hours, **conditions))


def out_for(hours):
    """Moment so many hours before the start."""
    return b.START - timedelta(hours=hours)


def tier(line, room_c=25.0, hours=72):
    return tier_of(line, left(line, room_c, hours), hours)[0]


class TestPublishedAllowances:
    # (what, allowance [h], at or below [C], room [C], source)
    ROWS = (
        # FDA, Information Regarding Insulin Storage and Switching Between
        # Products in an Emergency: 15-30 C, up to 28 days.
        ("insulin", 28 * DAY_H, 30.0, 29.0),
        # J Diabetes Sci Technol review, PMC7783014, table 1: degludec 56 days,
        # detemir 42 days, glargine U-100 28 days, all at 30 C.
        ("degludec", 56 * DAY_H, 30.0, 30.0),
        ("detemir", 42 * DAY_H, 30.0, 30.0),
        ("glargine U-100", 28 * DAY_H, 30.0, 30.0),
        # NHS Specialist Pharmacy Service: omalizumab 48 h, belimumab pen 12 h,
        # epoetin beta and zeta 3 days, all at 25 C.
        ("omalizumab", 48.0, 25.0, 25.0),
        ("belimumab pen", 12.0, 25.0, 25.0),
        ("epoetin zeta", 3 * DAY_H, 25.0, 25.0),
        # CDC, Human Milk Storage Guidelines: freshly expressed, 4 h at 25 C.
        ("human milk", 4.0, 25.0, 25.0),
        # CDC, Infant Formula Preparation and Storage: within 2 h of mixing;
        # no temperature is given.
        ("formula, mixed", 2.0, None, 35.0),
    )

    @pytest.mark.parametrize(("what", "hours", "max_c", "room_c"), ROWS)
    def test_whole_allowance_at_the_published_temperature(
        self, what, hours, max_c, room_c
    ):
        line = b.line(item_text=what, warm_hours=hours, warm_max_c=max_c)
        found = left(line, room_c)
        assert found.hours == hours
        assert found.until == b.START + timedelta(hours=hours)

    @pytest.mark.parametrize(("what", "hours", "max_c", "room_c"), ROWS[:-1])
    def test_no_allowance_one_degree_above_it(self, what, hours, max_c, room_c):
        line = b.line(item_text=what, warm_hours=hours, warm_max_c=max_c)
        found = left(line, max_c + 1.0)
        assert found.hours == 0.0
        assert "hotter" in found.why

    def test_insulin_on_its_last_day_and_after(self):
        # FDA, as above: 28 days allowed, day 29 is not.
        line = {"warm_hours": 28 * DAY_H, "warm_max_c": 30.0}
        last = left(b.line(**line, out_since=out_for(27 * 24)), 29.0)
        assert last.hours == DAY_H
        over = left(b.line(**line, out_since=out_for(28 * 24 + 1)), 29.0)
        assert over.hours == 0.0
        assert over.until == b.START

    def test_omalizumab_adds_up_its_hours_out(self):
        # NHS Specialist Pharmacy Service: 48 h in total at 25 C, may return.
        # 20 h already out leave 28 h; 49 h out leave none.
        line = {"warm_hours": 48.0, "warm_max_c": 25.0, "clock": Clock.CUMULATIVE}
        assert left(b.line(**line, out_since=out_for(20))).hours == 28.0
        assert left(b.line(**line, out_since=out_for(49))).hours == 0.0

    def test_never_past_the_printed_date(self):
        # NHS Specialist Pharmacy Service, infliximab: a period out never
        # goes beyond the original expiry date.
        line = b.line(warm_hours=28 * DAY_H, keep_by=b.START + timedelta(hours=30))
        found = left(line)
        assert found.hours == 30.0
        assert found.why == "the date on the pack"

    def test_a_date_gone_by_leaves_nothing(self):
        found = left(b.line(warm_hours=48.0, keep_by=b.START - timedelta(days=1)))
        assert found.hours == 0.0
        assert found.until == b.START


class TestAllowance:
    def test_not_known_is_none_and_not_zero(self):
        assert left(b.line(warm_hours=None)).hours is None
        assert left(b.line(warm_hours=None)).until is None
        assert left(b.line(warm_hours=0.0)).hours == 0.0

    def test_frozen_goods_have_none(self):
        line = b.line(keep_from_c=-25.0, keep_to_c=-15.0, warm_hours=48.0)
        assert left(line).hours is None

    def test_out_later_than_the_start_spends_nothing(self):
        line = b.line(warm_hours=48.0, out_since=b.START + timedelta(hours=5))
        assert left(line).hours == 48.0

    def test_ends_at_the_first_hour_above_the_maximum(self):
        rooms = np.full(72, 24.0)
        rooms[9:12] = 25.1
        line = b.line(warm_hours=48.0, warm_max_c=25.0)
        found = allowance_left(line, rooms, b.conditions(window_h=72))
        assert found.hours == 9.0
        assert found.until == datetime(2025, 7, 7, 17, 0)
        at_limit = np.minimum(rooms, 25.0)
        assert allowance_left(line, at_limit, b.conditions(window_h=72)).hours == 48.0

    def test_a_hot_hour_after_the_allowance_does_not_matter(self):
        rooms = np.full(72, 24.0)
        rooms[50] = 40.0
        line = b.line(warm_hours=48.0, warm_max_c=25.0)
        assert allowance_left(line, rooms, b.conditions(window_h=72)).hours == 48.0

    def test_the_shortest_of_all_limits_counts(self):
        rooms = np.full(72, 24.0)
        rooms[30] = 40.0
        line = b.line(
            warm_hours=48.0,
            warm_max_c=25.0,
            out_since=out_for(24),
            keep_by=b.START + timedelta(hours=20),
        )
        # 48 - 24 = 24 h of the label, 30 h of the room, 20 h of the date
        assert allowance_left(line, rooms, b.conditions(window_h=72)).hours == 20.0

    def test_a_hotter_room_never_leaves_more(self):
        line = b.line(warm_hours=48.0, warm_max_c=25.0)
        hours = [left(line, room_c).hours for room_c in (20, 25, 26, 40)]
        assert hours == [48.0, 48.0, 0.0, 0.0]


class TestTiers:
    def test_life_critical_is_a_until_the_allowance_outlasts_the_window(self):
        # Belimumab pen, 12 h at 25 C (NHS Specialist Pharmacy Service).
        line = b.line(warm_hours=12.0, warm_max_c=25.0)
        assert tier(line, hours=13) is Tier.A
        assert tier(line, hours=12) is Tier.C
        assert tier(line, hours=11) is Tier.C
        assert tier(line, room_c=26.0, hours=1) is Tier.A

    def test_life_critical_without_a_known_allowance_is_a(self):
        assert tier(b.line(warm_hours=None), hours=1) is Tier.A

    @pytest.mark.parametrize(
        ("consequence", "expected"),
        [
            (Consequence.ONLY_FEED, Tier.B),
            (Consequence.HARD_TO_REPLACE, Tier.D),
            (Consequence.UNKNOWN, Tier.D),
            (Consequence.REPLACEABLE, Tier.E),
            (Consequence.PET, Tier.E),
        ],
    )
    @pytest.mark.parametrize("warm_hours", [None, 4.0, 1000.0])
    def test_others_go_by_consequence_alone(self, consequence, expected, warm_hours):
        line = b.line(consequence=consequence, warm_hours=warm_hours)
        assert tier(line) is expected

    def test_a_tier_on_the_sheet_counts_more(self):
        line = b.line(consequence=Consequence.PET, tier_given=Tier.A)
        found, why = tier_of(line, left(line), 72)
        assert found is Tier.A
        assert "sheet" in why

    def test_every_reason_is_one_sentence_with_its_hours(self):
        line = b.line(warm_hours=48.0, warm_max_c=25.0, out_since=out_for(20))
        _, why = tier_of(line, left(line), 72)
        assert "28 h" in why
        assert "\n" not in why


class TestNeed:
    @pytest.mark.parametrize(
        ("quantity", "daily_use", "window_h", "need"),
        [
            (10, None, 72, 10),  # not known: all of it is need
            (10, 0.0, 72, 0),  # known to be none
            (10, 1.0, 72, 3),
            (10, 1.0, 73, 4),  # a day begun is a bag
            (10, 0.5, 72, 2),  # 1.5 bags are 2
            (10, 1 / 3, 72, 1),  # one bag every three days, no rounding up
            (2, 1.0, 72, 2),  # no more than there is
            (10, 1.0, 24, 1),
        ],
    )
    def test_bags_that_the_window_uses(self, quantity, daily_use, window_h, need):
        line = b.line(quantity=quantity, daily_use=daily_use)
        assert needed_bags(line, window_h) == need


class TestDemands:
    def scene(self, *lines, **conditions):
        return b.scenario(
            lines=lines, conditions=b.conditions(**({"window_h": 72} | conditions))
        )

    def test_need_and_surplus_of_one_line(self):
        found = demands(self.scene(b.line(quantity=10, daily_use=1.0)))
        assert [(d.tier, d.count, d.surplus) for d in found] == [
            (Tier.A, 3, False),
            (Tier.D, 7, True),
        ]
        assert "beyond the window's need" in found[1].why

    @pytest.mark.parametrize(
        ("given", "surplus"),
        [("A", "D"), ("B", "D"), ("C", "D"), ("D", "E"), ("E", "E")],
    )
    def test_tier_of_the_surplus(self, given, surplus):
        line = b.line(quantity=2, daily_use=0.0, tier_given=Tier(given))
        assert [d.tier for d in demands(self.scene(line))] == [Tier(surplus)]

    def test_no_part_without_bags(self):
        exact = demands(self.scene(b.line(quantity=3, daily_use=1.0)))
        assert [(d.count, d.surplus) for d in exact] == [(3, False)]
        assert demands(self.scene(b.line(quantity=0))) == ()

    @pytest.mark.parametrize("gate", [g for g in Gate if g is not Gate.POOL])
    def test_lines_outside_the_pool_have_none(self, gate):
        assert demands(self.scene(b.line(gate=gate))) == ()

    def test_each_line_by_the_room_of_its_own_place(self):
        scene = b.scenario(
            places=(b.place(24.0), b.place(26.0, name="Shed")),
            lines=(
                b.line(warm_hours=48.0, warm_max_c=25.0),
                b.line(id="L2", row=3, place="Shed", warm_hours=48.0, warm_max_c=25.0),
            ),
        )
        assert [(d.allowance_h, d.tier) for d in demands(scene)] == [
            (48.0, Tier.C),
            (0.0, Tier.A),
        ]

    def test_the_clock_is_told_as_a_moment(self):
        # 4 h from Monday 08:00 (CDC, Human Milk Storage Guidelines).
        milk = b.line(warm_hours=4.0, consequence=Consequence.ONLY_FEED)
        found = demands(self.scene(milk))
        assert found[0].safe_until == datetime(2025, 7, 7, 12, 0)

    def test_bags_are_neither_lost_nor_made(self):
        lines = tuple(
            b.line(id=f"L{n}", row=n + 2, quantity=n, daily_use=use)
            for n, use in enumerate((None, 0.0, 0.4, 1.0, 2.5, 9.0))
        )
        found = demands(self.scene(*lines))
        for line in lines:
            bags = sum(d.count for d in found if d.line_id == line.id)
            assert bags == line.quantity
