"""R7 and R9: each with a wiring that holds and a neighbour that does not.

Default battery: 1,000 Wh, floor 100 Wh, reserve 10 % of the 900 Wh usable,
so 190 Wh must be left in every hour; 300 W out, two 12 V ports of 120 W, one
AC outlet, 95 % out on 12 V.
"""

from unittest.mock import patch

import numpy as np
import pytest

from planner.check.ground import fits_link, lay_ground
from planner.check.rules_power import (
    check_fed,
    check_r7_power,
    check_r9_sun,
    check_reserve,
)
from planner.check.rules_wiring import (
    check_plugs,
    check_sockets,
    check_standing,
    check_watts,
)
from planner.physics import profiles
from planner.result import Link, PortType
from planner.scenario import SunCase, Supply, UnitType
from tests import builders as b
from tests.check_cases import case, fatal, plain_hours, warned

AC = {"port": PortType.AC}


def two_units(**fields):
    """Build a scenario with a second fridge."""
    units = (b.unit(), b.unit(id="U2", name="Fridge two"))
    return b.scenario(**({"units": units} | fields))


BOTH_ON = (b.use(), b.use(unit_id="U2"))
BOTH_FED = (b.hookup(), b.hookup(to_id="U2", port_number=2))


class TestR7WholeChain:
    def test_the_default_wiring_holds(self):
        assert check_r7_power(case()) == ()

    def test_sun_battery_and_charger_hold_together(self):
        scene = b.scenario(
            sources=(b.source(),), conditions=b.conditions(sun_case=SunCase.POOR)
        )
        plugs = (b.hookup(), b.sun_plug(), b.charger_plug())
        assert check_r7_power(case(scene, hookups=plugs)) == ()


class TestR7Plugs:
    @pytest.mark.parametrize(
        ("supply", "port", "broken"),
        [
            (Supply.DC, PortType.DC_12V, 0),
            (Supply.DC, PortType.AC, 1),
            (Supply.AC, PortType.AC, 0),
            (Supply.AC, PortType.DC_12V, 1),
            (Supply.BOTH, PortType.AC, 0),
            (Supply.BOTH, PortType.DC_12V, 0),
            (Supply.NONE, PortType.AC, 1),
        ],
    )
    def test_supply_fits_socket(self, supply, port, broken):
        scene = b.scenario(units=(b.unit(supply=supply),))
        assert len(check_plugs(case(scene, hookups=(b.hookup(port=port),)))) == broken

    @pytest.mark.parametrize(("number", "broken"), [(2, 0), (3, 1)])
    def test_two_ports_are_two_ports(self, number, broken):
        plugs = (b.hookup(port_number=number),)
        assert len(check_plugs(case(hookups=plugs))) == broken

    @pytest.mark.parametrize(("running_w", "broken"), [(120.0, 0), (121.0, 1)])
    def test_watts_of_a_12v_port(self, running_w, broken):
        scene = b.scenario(units=(b.unit(running_w=running_w),))
        assert len(check_plugs(case(scene))) == broken

    @pytest.mark.parametrize(
        ("supply", "broken"), [(Supply.AC, 0), (Supply.BOTH, 0), (Supply.DC, 1)]
    )
    def test_a_source_has_the_sockets_it_has(self, supply, broken):
        scene = b.scenario(
            units=(b.unit(supply=Supply.AC),), sources=(b.source(supply=supply),)
        )
        assert len(check_plugs(case(scene, hookups=(b.source_plug(),)))) == broken

    @pytest.mark.parametrize(
        "plug", [b.sun_plug(port=PortType.AC), b.hookup(port=PortType.SOLAR)]
    )
    def test_sockets_of_another_kind_of_link(self, plug):
        assert len(check_plugs(case(hookups=(plug,)))) == 1

    def test_life_support_takes_a_fitting_socket_too(self):
        scene = b.scenario(sources=(b.life_support(max_w=130.0, supply=Supply.DC),))
        found = check_plugs(case(scene, hookups=(b.hookup(to_id="V1"),)))
        assert fatal(found) == [("R7", "V1")]


class TestR7Sockets:
    def test_one_port_a_plug(self):
        assert check_sockets(case(two_units(), hookups=BOTH_FED)) == ()

    def test_one_port_twice(self):
        plugs = (b.hookup(), b.hookup(to_id="U2"))
        found = check_sockets(case(two_units(), hookups=plugs))
        assert fatal(found) == [("R7", "B1")]
        assert "Mon 08:00 to Mon 14:00 (6 h)" in found[0].message

    def test_one_port_one_after_the_other(self):
        plugs = (b.hookup(to_h=3), b.hookup(to_id="U2", from_h=3))
        assert check_sockets(case(two_units(), hookups=plugs)) == ()

    def test_ports_and_outlets_are_numbered_apart(self):
        plugs = (b.hookup(), b.hookup(to_id="U2", **AC))
        assert check_sockets(case(two_units(), hookups=plugs)) == ()

    def test_a_panel_on_two_batteries(self):
        scene = b.scenario(batteries=(b.battery(), b.battery(id="B2")))
        plugs = (b.sun_plug(to_h=4), b.sun_plug(to_id="B2", from_h=3))
        found = check_sockets(case(scene, hookups=plugs))
        assert fatal(found) == [("R7", "P1")]
        assert "(1 h)" in found[0].message
        plugs = (b.sun_plug(to_h=3), b.sun_plug(to_id="B2", from_h=3))
        assert check_sockets(case(scene, hookups=plugs)) == ()

    def test_two_panels_on_one_battery_are_fine(self):
        scene = b.scenario(panels=(b.panel(), b.panel(id="P2")))
        plugs = (b.sun_plug(), b.sun_plug(from_id="P2"))
        assert check_sockets(case(scene, hookups=plugs)) == ()

    def test_two_batteries_on_one_source(self):
        batteries = (b.battery(), b.battery(id="B2"))
        scene = b.scenario(batteries=batteries, sources=(b.source(),))
        plugs = (b.charger_plug(), b.charger_plug(to_id="B2"))
        assert check_sockets(case(scene, hookups=plugs)) == ()

    def test_two_chargers_on_one_battery(self):
        scene = b.scenario(sources=(b.source(), b.source(id="S2")))
        plugs = (b.charger_plug(), b.charger_plug(from_id="S2"))
        assert fatal(check_sockets(case(scene, hookups=plugs))) == [("R7", "B1")]


class TestR7Standing:
    places = (b.place(), b.place(name="Shed"))

    def world(self, **battery):
        units = (b.unit(), b.unit(id="U2", place="Shed"))
        batteries = (b.battery(**battery),)
        return b.scenario(places=self.places, units=units, batteries=batteries)

    def test_a_battery_that_moves_along(self):
        plugs = (
            b.hookup(to_h=3),
            b.hookup(to_id="U2", place="Shed", from_h=3),
        )
        assert check_standing(case(self.world(), hookups=plugs)) == ()

    def test_a_battery_in_two_places_at_once(self):
        plugs = (b.hookup(), b.hookup(to_id="U2", place="Shed", port_number=2))
        found = check_standing(case(self.world(), hookups=plugs))
        assert fatal(found) == [("R7", "B1")]

    def test_a_battery_that_cannot_be_moved(self):
        plugs = (b.hookup(to_id="U2", place="Shed"),)
        found = check_standing(case(self.world(movable=False), hookups=plugs))
        assert fatal(found) == [("R7", "B1")]
        at_home = (b.hookup(),)
        assert check_standing(case(self.world(movable=False), hookups=at_home)) == ()

    def test_a_unit_is_plugged_in_where_it_stands(self):
        plugs = (b.hookup(to_id="U2"),)
        found = check_standing(case(self.world(), hookups=plugs))
        assert fatal(found) == [("R7", "U2")]

    @pytest.mark.parametrize(("place", "broken"), [("", 0), ("Hall", 0), ("Shed", 1)])
    def test_a_panel_of_a_place_serves_only_there(self, place, broken):
        scene = b.scenario(places=self.places, panels=(b.panel(place=place),))
        tried = case(scene, hookups=(b.hookup(), b.sun_plug()))
        assert len(check_standing(tried)) == broken

    def test_a_source_serves_only_its_own_place(self):
        scene = b.scenario(places=self.places, sources=(b.source(place="Shed"),))
        found = check_standing(case(scene, hookups=(b.charger_plug(),)))
        assert fatal(found) == [("R7", "S1")]


class TestR7Watts:
    @pytest.mark.parametrize(("max_out_w", "broken"), [(90.0, 0), (89.0, 1)])
    def test_two_fridges_of_45_w(self, max_out_w, broken):
        scene = two_units(batteries=(b.battery(max_out_w=max_out_w),))
        tried = case(scene, units_on=BOTH_ON, hookups=BOTH_FED)
        assert len(check_watts(tried)) == broken

    @pytest.mark.parametrize(("max_out_w", "broken"), [(75.0, 0), (74.0, 1)])
    def test_life_support_counts_with_the_fridge(self, max_out_w, broken):
        # 45 + 30
        scene = b.scenario(
            batteries=(b.battery(max_out_w=max_out_w),), sources=(b.life_support(),)
        )
        plugs = (b.hookup(), b.hookup(to_id="V1", **AC))
        assert len(check_watts(case(scene, hookups=plugs))) == broken

    @pytest.mark.parametrize(("max_out_w", "broken"), [(135.0, 0), (134.0, 1)])
    def test_start_surge_of_a_household_fridge(self, max_out_w, broken):
        # 6 times 45 W = 270 W; an inverter takes twice its rating
        scene = b.scenario(
            units=(b.unit(kind=UnitType.HOUSEHOLD, supply=Supply.AC),),
            batteries=(b.battery(max_out_w=max_out_w),),
        )
        assert len(check_watts(case(scene, hookups=(b.hookup(**AC),)))) == broken

    @pytest.mark.parametrize(("max_out_w", "broken"), [(150.0, 0), (149.0, 1)])
    def test_surge_on_top_of_what_runs(self, max_out_w, broken):
        # 270 W to start beside 30 W of life support: 300 W
        scene = b.scenario(
            units=(b.unit(kind=UnitType.HOUSEHOLD, supply=Supply.AC),),
            batteries=(b.battery(max_out_w=max_out_w, outlets_ac=2),),
            sources=(b.life_support(),),
        )
        plugs = (b.hookup(**AC), b.hookup(to_id="V1", port_number=2, **AC))
        assert len(check_watts(case(scene, hookups=plugs))) == broken

    @pytest.mark.parametrize(("max_w", "broken"), [(45.0, 0), (44.0, 1)])
    def test_watts_of_a_source(self, max_w, broken):
        scene = b.scenario(
            units=(b.unit(supply=Supply.AC),), sources=(b.source(max_w=max_w),)
        )
        assert len(check_watts(case(scene, hookups=(b.source_plug(),)))) == broken

    @pytest.mark.parametrize(("max_w", "broken"), [(245.0, 0), (244.0, 1)])
    def test_a_charger_draws_up_to_the_charge_limit(self, max_w, broken):
        # 45 W fridge and a 200 W charger
        scene = b.scenario(
            units=(b.unit(supply=Supply.AC),), sources=(b.source(max_w=max_w),)
        )
        plugs = (b.source_plug(), b.charger_plug())
        assert len(check_watts(case(scene, hookups=plugs))) == broken

    @pytest.mark.parametrize(("to_hour", "broken"), [(14.0, 0), (13.5, 1)])
    def test_a_unit_hangs_on_a_source_only_while_it_is_on(self, to_hour, broken):
        scene = b.scenario(
            units=(b.unit(supply=Supply.AC),),
            sources=(b.source(from_hour=8.0, to_hour=to_hour),),
        )
        found = check_watts(case(scene, hookups=(b.source_plug(),)))
        assert len(found) == broken
        assert all("Mon 13:00 to Mon 14:00 (1 h)" in one.message for one in found)

    def test_a_charger_may_stay_plugged_in_while_the_source_is_off(self):
        scene = b.scenario(sources=(b.source(from_hour=8.0, to_hour=10.0),))
        plugs = (b.hookup(), b.charger_plug())
        assert check_watts(case(scene, hookups=plugs)) == ()


class TestR7Fed:
    def test_fed_all_the_time(self):
        assert check_fed(case()) == ()

    def test_fed_by_two_in_turn(self):
        scene = b.scenario(batteries=(b.battery(), b.battery(id="B2")))
        plugs = (b.hookup(to_h=2), b.hookup(from_id="B2", from_h=2))
        assert check_fed(case(scene, hookups=plugs)) == ()

    def test_one_hour_without(self):
        found = check_fed(case(hookups=(b.hookup(to_h=5),)))
        assert fatal(found) == [("R7", "U1")]
        assert "on no feeder, Mon 13:00 to Mon 14:00 (1 h)" in found[0].message

    def test_two_feeders_at_once(self):
        scene = b.scenario(batteries=(b.battery(), b.battery(id="B2")))
        plugs = (b.hookup(), b.hookup(from_id="B2", from_h=5))
        found = check_fed(case(scene, hookups=plugs))
        assert fatal(found) == [("R7", "U1")]
        assert "on 2 feeders at once" in found[0].message

    def test_a_dead_feeder(self):
        # 110 Wh, floor 100 Wh: 20 W for an hour is 21 Wh
        scene = b.scenario(batteries=(b.battery(charge_now=0.11),))
        with plain_hours({"U1": [20.0] * 6}):
            found = check_fed(case(scene))
        assert fatal(found) == [("R7", "U1")]
        assert "dead feeder" in found[0].message

    def test_a_loan_needs_a_feed_only_while_it_is_here(self):
        scene = b.scenario(units=(b.unit(availability=b.loan(ready_h=2, back_h=4)),))
        assert check_fed(case(scene, hookups=(b.hookup(from_h=2, to_h=4),))) == ()
        found = check_fed(case(scene, hookups=(b.hookup(from_h=3, to_h=4),)))
        assert fatal(found) == [("R7", "U1")]

    def test_units_without_plug_need_no_feed(self):
        scene = b.scenario(units=(b.unit(kind=UnitType.ELSEWHERE),))
        assert check_fed(case(scene, hookups=())) == ()

    def test_a_plug_in_a_unit_that_is_off(self):
        found = check_fed(case(two_units(), hookups=BOTH_FED))
        assert fatal(found) == [("R7", "U2")]

    def test_life_support_must_be_fed(self):
        scene = b.scenario(sources=(b.life_support(),))
        found = check_fed(case(scene))
        assert fatal(found) == [("R7", "V1")]
        assert found[0].message.startswith("life support Concentrator is on no")
        plugs = (b.hookup(), b.hookup(to_id="V1", **AC))
        assert check_fed(case(scene, hookups=plugs)) == ()

    def test_life_support_that_no_plan_can_carry_is_told_not_refused(self):
        # Nothing is plugged in: chests and shelves may still be planned.
        scene = b.scenario(
            sources=(b.life_support(),), units=(b.unit(kind=UnitType.ELSEWHERE),)
        )
        found = check_fed(case(scene, hookups=()))
        assert warned(found) == [("R7", "V1")]
        assert fatal(found) == []

    def test_life_support_in_its_own_hours_only(self):
        # needed 10:00-11:30: hours 2 and 3
        scene = b.scenario(sources=(b.life_support(from_hour=10, to_hour=11.5),))
        plugs = (b.hookup(), b.hookup(to_id="V1", from_h=2, to_h=4, **AC))
        assert check_fed(case(scene, hookups=plugs)) == ()
        plugs = (b.hookup(), b.hookup(to_id="V1", from_h=2, to_h=3, **AC))
        found = check_fed(case(scene, hookups=plugs))
        assert fatal(found) == [("R7", "V1")]

    def test_life_support_that_a_battery_cannot_carry(self):
        # 200 Wh, floor 100 Wh; 19 / 0.95 = 20 Wh an hour for the fridge and
        # 30 / 0.9 + 10 = 43.3 Wh for the load: dark from the second hour
        scene = b.scenario(
            sources=(b.life_support(),), batteries=(b.battery(charge_now=0.2),)
        )
        plugs = (b.hookup(), b.hookup(to_id="V1", **AC))
        with plain_hours({"U1": [19.0] * 6}):
            found = check_fed(case(scene, hookups=plugs))
        assert fatal(found) == [("R7", "U1"), ("R7", "V1")]
        assert all("Mon 09:00" in one.message for one in found)


class TestR7Reserve:
    # 19 W / 0.95 = 20 Wh an hour, 120 Wh in all; 190 Wh must be left
    @pytest.mark.parametrize(("charge_now", "broken"), [(0.31, 0), (0.309, 1)])
    def test_floor_and_reserve_at_the_end_of_the_last_hour(self, charge_now, broken):
        scene = b.scenario(batteries=(b.battery(charge_now=charge_now),))
        with plain_hours({"U1": [19.0] * 6}):
            found = check_reserve(case(scene))
        assert len(found) == broken
        assert all("Mon 13:00 to Mon 14:00 (1 h)" in one.message for one in found)

    def test_a_battery_that_feeds_nothing_may_be_low(self):
        scene = b.scenario(batteries=(b.battery(), b.battery(id="B2", charge_now=0.1)))
        assert check_reserve(case(scene)) == ()

    def test_sun_of_the_planned_case_counts(self):
        # the poor day brings 40 / 2 = 20 Wh an hour, 19 stored: 309 is enough
        low = (b.battery(charge_now=0.309),)
        plugs = (b.hookup(), b.sun_plug())
        for sun, broken in ((SunCase.NONE, 1), (SunCase.POOR, 0)):
            cond = b.conditions(sun_case=sun)
            scene = b.scenario(batteries=low, conditions=cond)
            with plain_hours({"U1": [19.0] * 6}, {"P1": [40.0] * 6}):
                assert len(check_reserve(case(scene, hookups=plugs))) == broken

    def test_claimed_charge_stops_at_the_charge_limit(self):
        # 100 W of sun; stored 0.95 * min(100, limit) against 20 Wh an hour out:
        # a limit of 20 W stores 19, one of 10 W stores 9.5 Wh an hour
        for limit_w, broken in ((20.0, 0), (10.0, 1)):
            scene = b.scenario(
                batteries=(b.battery(charge_now=0.2, max_charge_w=limit_w),),
                conditions=b.conditions(sun_case=SunCase.MEAN),
            )
            plugs = (b.hookup(), b.sun_plug())
            with plain_hours({"U1": [19.0] * 6}, {"P1": [100.0] * 6}):
                assert len(check_reserve(case(scene, hookups=plugs))) == broken


class TestR9Sun:
    def test_worse_day_that_holds_says_nothing(self):
        cond = b.conditions(sun_case=SunCase.MEAN)
        tried = case(b.scenario(conditions=cond), hookups=(b.hookup(), b.sun_plug()))
        assert check_r9_sun(tried) == ()

    @pytest.mark.parametrize(
        ("latitude", "longitude", "broken"),
        [(40.0, -75.0, 0), (40.0, None, 1), (None, -75.0, 1)],
    )
    def test_sun_known_by_where_the_site_is(self, latitude, longitude, broken):
        cond = b.conditions(
            peak_sun_hours=None,
            sun_case=SunCase.POOR,
            latitude=latitude,
            longitude=longitude,
        )
        plugs = (b.hookup(), b.sun_plug())
        found = check_r9_sun(case(b.scenario(conditions=cond), hookups=plugs))
        assert fatal(found) == [("R9", "sun")] * broken

    def test_loans_that_go_back_and_loads_that_are_fed_say_nothing(self):
        scene = b.scenario(
            units=(b.unit(availability=b.loan(back_h=4)),),
            sources=(b.life_support(),),
            conditions=b.conditions(sun_case=SunCase.MEAN),
        )
        plugs = (b.hookup(to_h=4), b.hookup(to_id="V1", **AC), b.sun_plug())
        assert check_r9_sun(case(scene, hookups=plugs)) == ()

    def test_sun_on_a_day_without_sun(self):
        plugs = (b.hookup(), b.sun_plug())
        with patch.object(profiles, "panel_w", lambda *_: np.ones(6)):
            found = check_r9_sun(case(hookups=plugs))
        assert fatal(found) == [("R9", "P1")]

    def test_worse_days_that_go_dark_are_told_with_their_hour(self):
        # 210 Wh, floor 100 Wh, 60 Wh an hour out.  Mean 60 * 0.95 = 57 Wh an
        # hour in: 210 - 6 * 3 = 192 Wh.  Poor 28.5: -31.5 an hour, three hours
        # fed.  None: one hour fed.
        scene = b.scenario(
            batteries=(b.battery(charge_now=0.21),),
            conditions=b.conditions(sun_case=SunCase.MEAN),
        )
        plugs = (b.hookup(), b.sun_plug())
        with plain_hours({"U1": [57.0] * 6}, {"P1": [60.0] * 6}):
            tried = case(scene, hookups=plugs)
            found = check_r9_sun(tried)
            assert check_r7_power(tried) == ()
        assert warned(found) == [("R9", "U1"), ("R9", "U1")]
        assert found[0].message == "Fridge one goes dark Mon 09:00 without any sun"
        assert found[1].message == "Fridge one goes dark Mon 11:00 with poor sun"

    def test_life_support_that_goes_dark_without_sun_is_told(self):
        # 143 Wh: one hour of 43.3 Wh is all there is above the floor of 100 Wh
        scene = b.scenario(
            batteries=(b.battery(charge_now=0.15),),
            sources=(b.life_support(),),
            conditions=b.conditions(sun_case=SunCase.MEAN),
        )
        plugs = (b.hookup(to_id="V1", **AC), b.sun_plug())
        with plain_hours({"U1": [0.0] * 6}, {"P1": [60.0] * 6}):
            found = check_r9_sun(case(scene, units_on=(), placements=(), hookups=plugs))
        assert ("R9", "V1") in warned(found)

    def test_poor_day_sunnier_than_the_mean_day(self):
        cond = b.conditions(sun_case=SunCase.POOR, poor_share=1.2)
        found = check_r9_sun(case(b.scenario(conditions=cond), hookups=(b.sun_plug(),)))
        assert ("R9", "P1") in fatal(found)

    def test_sun_planned_for_a_site_without_known_sun(self):
        unknown = {"peak_sun_hours": None, "sun_case": SunCase.POOR}
        scene = b.scenario(conditions=b.conditions(**unknown))
        plugs = (b.hookup(), b.sun_plug())
        assert fatal(check_r9_sun(case(scene, hookups=plugs))) == [("R9", "sun")]
        assert check_r9_sun(case(scene)) == ()
        unknown["sun_case"] = SunCase.NONE
        scene = b.scenario(conditions=b.conditions(**unknown))
        assert check_r9_sun(case(scene, hookups=plugs)) == ()


def test_links_from_a_life_support_load_are_no_links():
    # A load takes power and gives none.
    ground = lay_ground(b.scenario(sources=(b.life_support(), b.source())))
    assert not fits_link(ground, b.source_plug(from_id="V1"))
    assert fits_link(ground, b.source_plug(to_id="V1"))
    assert not fits_link(ground, b.hookup(link=Link.BATTERY_TO_UNIT, to_id="S1"))
