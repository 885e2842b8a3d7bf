"""R11 and the warm clocks: waiting outside, and what labels allow."""

from datetime import timedelta

import pytest

from planner.check.rules_loans import (
    check_clocks,
    check_r11_loans,
    label_hours_left,
)
from planner.result import PortType
from planner.scenario import Gate, Status
from tests import builders as b
from tests.check_cases import case, fatal


def on_loan(allowance_h=None, line=None, **terms):
    """Build the default plan with its fridge on loan, plugged in while here."""
    given = {"warm_hours": allowance_h} | (line or {})
    scene = b.scenario(
        lines=(b.line(**given),), units=(b.unit(availability=b.loan(**terms)),)
    )
    ready, back = terms.get("ready_h", 0), terms.get("back_h", 6)
    return case(
        scene,
        demands=(b.demand(allowance_h=allowance_h),),
        hookups=(b.hookup(from_h=ready, to_h=min(back, 6)),),
    )


class TestR11Waiting:
    @pytest.mark.parametrize(
        ("allowance_h", "broken"), [(2.0, 0), (1.9, 1), (0.0, 1), (None, 1)]
    )
    def test_hours_before_the_loan_is_ready(self, allowance_h, broken):
        assert len(check_r11_loans(on_loan(allowance_h, ready_h=2))) == broken

    @pytest.mark.parametrize(("allowance_h", "broken"), [(3.0, 0), (2.9, 1)])
    def test_hours_before_and_after_add_up(self, allowance_h, broken):
        # ready at 2, back at 5 of 6: 2 + 1
        tried = on_loan(allowance_h, ready_h=2, back_h=5)
        assert len(check_r11_loans(tried)) == broken

    def test_equipment_that_is_here_lets_nobody_wait(self):
        assert check_r11_loans(case()) == ()

    def test_back_after_the_window_lets_nobody_wait(self):
        assert check_r11_loans(on_loan(None, back_h=30)) == ()

    def test_the_label_counts_even_where_the_plan_claims_more(self):
        # the label gives 1 h, the plan says 5 h, the wait is 2 h
        scene = b.scenario(
            lines=(b.line(warm_hours=1.0),),
            units=(b.unit(availability=b.loan(ready_h=2)),),
        )
        demands = (b.demand(allowance_h=5.0),)
        plugs = (b.hookup(from_h=2),)
        found = check_r11_loans(case(scene, demands=demands, hookups=plugs))
        assert fatal(found) == [("R11", "L1")]


class TestR11Pool:
    @pytest.mark.parametrize(
        ("status", "broken"), [(Status.HERE, 0), (Status.OFFERED, 1), (Status.OUT, 1)]
    )
    def test_only_what_is_in_the_pool(self, status, broken):
        scene = b.scenario(batteries=(b.battery(availability=b.loan(status=status)),))
        found = [one for one in check_r11_loans(case(scene)) if "only" in one.message]
        assert len(found) == broken

    def test_a_plug_before_the_battery_has_come(self):
        scene = b.scenario(batteries=(b.battery(availability=b.loan(ready_h=1)),))
        found = check_r11_loans(case(scene))
        assert fatal(found) == [("R11", "B1")]
        assert "Mon 08:00 to Mon 09:00 (1 h)" in found[0].message

    def test_a_plug_after_the_panel_went_back(self):
        scene = b.scenario(panels=(b.panel(availability=b.loan(back_h=4)),))
        plugs = (b.hookup(), b.sun_plug())
        found = check_r11_loans(case(scene, hookups=plugs))
        assert fatal(found) == [("R11", "P1")]
        plugs = (b.hookup(), b.sun_plug(to_h=4))
        assert check_r11_loans(case(scene, hookups=plugs)) == ()

    def test_life_support_keeps_its_plug(self):
        load = b.life_support(availability=b.loan(back_h=4))
        scene = b.scenario(sources=(load,))
        plugs = (b.hookup(), b.hookup(to_id="V1", port=PortType.AC))
        assert check_r11_loans(case(scene, hookups=plugs)) == ()

    def test_a_unit_that_comes_after_the_window(self):
        scene = b.scenario(units=(b.unit(availability=b.loan(ready_h=9)),))
        found = check_r11_loans(case(scene, hookups=(), placements=()))
        assert fatal(found) == [("R11", "U1")]


class TestLabelHours:
    def left_h(self, **fields):
        scene = b.scenario(lines=(b.line(**fields),), places=(b.place(26.0),))
        tried = case(scene)
        return label_hours_left(tried, tried.ground.lines["L1"])

    def test_unknown_reads_as_none(self):
        assert self.left_h(warm_hours=None) == 0

    def test_hours_already_out_are_spent(self):
        out = b.START - timedelta(hours=3)
        assert self.left_h(warm_hours=10.0, out_since=out) == 7
        out = b.START - timedelta(hours=30)
        assert self.left_h(warm_hours=10.0, out_since=out) == 0

    def test_a_room_above_the_labels_maximum_ends_it(self):
        assert self.left_h(warm_hours=10.0, warm_max_c=25.0) == 0
        assert self.left_h(warm_hours=10.0, warm_max_c=26.0) == 10

    def test_the_date_on_the_pack_ends_it(self):
        by = b.START + timedelta(hours=4)
        assert self.left_h(warm_hours=10.0, keep_by=by) == 4

    def test_frozen_lines_have_none(self):
        left = self.left_h(warm_hours=10.0, keep_from_c=-25.0, keep_to_c=-15.0)
        assert left == 0


class TestClocks:
    line = b.line(warm_hours=10.0)

    def tried(self, **claim):
        until = b.START + timedelta(hours=10)
        values = {
            "demands": (b.demand(allowance_h=10.0, safe_until=until),),
            "placements": (),
        }
        return case(b.scenario(lines=(self.line,)), **(values | claim))

    def test_what_the_label_gives_may_be_said(self):
        assert check_clocks(self.tried()) == ()

    def test_more_hours_than_the_label_gives(self):
        tried = self.tried(demands=(b.demand(allowance_h=11.0),))
        assert fatal(check_clocks(tried)) == [("", "L1")]

    def test_a_later_time_than_the_label_gives(self):
        late = b.START + timedelta(hours=11)
        for claim in (
            {"demands": (b.demand(safe_until=late),)},
            {"shortfalls": (b.shortfall(safe_until=late),)},
            {"warm_clocks": (b.warm_clock(until=late),)},
        ):
            assert fatal(check_clocks(self.tried(**claim))) == [("", "L1")]

    def test_days_a_week_away_carry_their_date(self):
        late = b.START + timedelta(days=28)
        found = check_clocks(self.tried(demands=(b.demand(safe_until=late),)))
        assert "until Mon 08:00 on 2025-08-04, the label gives Mon 18:00" in (
            found[0].message
        )

    def test_a_warm_clock_to_the_end_of_the_window(self):
        until = b.START + timedelta(hours=6)
        tried = self.tried(warm_clocks=(b.warm_clock(until=until),))
        assert check_clocks(tried) == ()

    def test_a_warm_clock_that_runs_out_inside_the_window(self):
        until = b.START + timedelta(hours=5)
        tried = self.tried(warm_clocks=(b.warm_clock(until=until),))
        found = check_clocks(tried)
        assert fatal(found) == [("", "L1")]
        assert "Mon 13:00" in found[0].message

    def test_a_warm_clock_without_a_time(self):
        tried = self.tried(warm_clocks=(b.warm_clock(until=None),))
        assert fatal(check_clocks(tried)) == [("", "L1")]

    def test_room_temperature_goods_need_no_clock(self):
        shelf = b.line(gate=Gate.COOL_SHELF)
        clocks = (b.warm_clock(until=None),)
        tried = case(b.scenario(lines=(shelf,)), demands=(), warm_clocks=clocks)
        assert check_clocks(tried) == ()
