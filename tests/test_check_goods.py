"""Rules for what stands where: each with a plan that holds and a neighbour.

Default world: a fridge of 20 L gross and 16 L usable at 5 +/- 2 C in a hall
of 25 C, two bags of 0.5 L for 2-8 C that must not freeze.
"""

import pytest

from planner.check.rules_goods import (
    check_r1_band,
    check_r2_reach,
    check_r3_volume,
    check_r4_segregation,
    check_r5_custody,
    check_r6_access,
    check_r8_warm_load,
    check_r10_ice,
    check_r12_refreeze,
)
from planner.scenario import Segregation, StockClass, UnitType
from tests import builders as b
from tests.check_cases import case, fatal


def world(line=None, unit=None, **fields):
    """Build a scenario of one line and one unit with the given fields."""
    return b.scenario(
        lines=(b.line(**(line or {})),), units=(b.unit(**(unit or {})),), **fields
    )


def chest(**fields):
    """Fields of a 40 L conditioned ice chest, UA 1 W/K."""
    return {
        "kind": UnitType.ICE_CHEST,
        "gross_volume_l": 40.0,
        "conditioned": True,
    } | fields


class TestR1Band:
    def test_held_band_inside_the_lines_band(self):
        # 5 - 2 = 3 >= 2 and 5 + 2 = 7 <= 8
        assert check_r1_band(case()) == ()

    def test_exactly_on_both_edges_still_holds(self):
        # 5 - 3 = 2 and 5 + 3 = 8
        assert check_r1_band(case(world(unit={"swing_c": 3.0}))) == ()

    def test_too_warm(self):
        # 7 + 2 = 9 > 8
        found = check_r1_band(case(world(), units_on=(b.use(set_points_c=(7.0,)),)))
        assert fatal(found) == [("R1", "L1")]
        assert "too warm for K7M" in found[0].message
        assert "9.0 C / 48.2 F" in found[0].message

    def test_never_freeze_needs_two_degrees_whatever_its_band_says(self):
        # 3 - 2 = 1 C: inside 0-8, but below the +2 C of never-freeze goods
        uses = (b.use(set_points_c=(3.0,)),)
        line = {"keep_from_c": 0.0}
        found = check_r1_band(case(world(line), units_on=uses))
        assert fatal(found) == [("R1", "L1")]
        line["never_freeze"] = False
        assert check_r1_band(case(world(line), units_on=uses)) == ()

    def test_own_higher_limit_stands(self):
        # 3 C held, 4 C wanted
        found = check_r1_band(case(world({"keep_from_c": 4.0})))
        assert fatal(found) == [("R1", "L1")]

    def test_a_cold_room_cools_a_fridge_below_its_set_point(self):
        # hall at 1 C: the fridge does not heat, so 1 C < 2 C
        found = check_r1_band(case(world(places=(b.place(1.0),))))
        assert fatal(found) == [("R1", "L1")]

    def test_each_zone_has_its_own_set_point(self):
        uses = (b.use(set_points_c=(5.0, 9.0), stock_classes=(None, None)),)
        two = world(unit={"zone_shares": (0.5, 0.5)})
        assert check_r1_band(case(two, units_on=uses)) == ()
        puts = (b.placement(zone=1),)
        found = check_r1_band(case(two, units_on=uses, placements=puts))
        assert fatal(found) == [("R1", "L1")]


class TestR2Reach:
    def test_duty_of_a_fridge_with_watts_to_spare(self):
        # 240 Wh a day at the rating's own 25/5 C: 10 W of 45 W running
        assert check_r2_reach(case()) == ()

    def test_duty_over_one(self):
        # 10 W needed, 9 W when it runs: duty 1.11
        found = check_r2_reach(case(world(unit={"running_w": 9.0})))
        assert fatal(found) == [("R2", "U1")]

    def test_a_setting_that_the_dial_has_not(self):
        found = check_r2_reach(case(units_on=(b.use(set_points_c=(6.0,)),)))
        assert fatal(found) == [("R2", "U1")]
        assert "6.0 C / 42.8 F" in found[0].message

    @pytest.mark.parametrize(("room_c", "broken"), [(23.0, 0), (24.0, 1)])
    def test_thermoelectric_box_reaches_18_k_below_the_room(self, room_c, broken):
        # 23 - 18 = 5 C reached; 24 - 18 = 6 C is not 5 C
        box = world(unit={"kind": UnitType.THERMOELECTRIC}, places=(b.place(room_c),))
        assert len(check_r2_reach(case(box))) == broken

    def test_ice_melts_at_zero(self):
        raw = world(unit=chest(conditioned=False), line={"never_freeze": False})
        assert check_r2_reach(case(raw, units_on=(b.use(set_points_c=(0.0,)),))) == ()
        found = check_r2_reach(case(raw, units_on=(b.use(set_points_c=(-5.0,)),)))
        assert fatal(found) == [("R2", "U1")]

    def test_never_freeze_needs_conditioned_packs(self):
        assert check_r2_reach(case(world(unit=chest()))) == ()
        found = check_r2_reach(case(world(unit=chest(conditioned=False))))
        assert fatal(found) == [("R2", "L1")]


class TestR3Volume:
    @pytest.mark.parametrize(("volume_l", "broken"), [(8.0, 0), (8.01, 1)])
    def test_two_bags_fill_sixteen_litres(self, volume_l, broken):
        assert len(check_r3_volume(case(world({"volume_l": volume_l})))) == broken

    def test_litres_are_said_in_quarts_too(self):
        # 16 L * 1.0566882 = 16.91 US quarts
        found = check_r3_volume(case(world({"volume_l": 9.0})))
        assert "which takes 16.00 L / 16.91 qt" in found[0].message
        assert "zone" not in found[0].message  # it has only one

    @pytest.mark.parametrize(("volume_l", "broken"), [(7.2, 0), (7.3, 1)])
    def test_tubs_take_a_tenth(self, volume_l, broken):
        # 16 * 0.9 = 14.4
        tubs = b.conditions(segregation=Segregation.TUBS)
        tried = case(world({"volume_l": volume_l}, conditions=tubs))
        assert len(check_r3_volume(tried)) == broken

    @pytest.mark.parametrize(("volume_l", "broken"), [(2.0, 0), (2.1, 1)])
    def test_each_zone_counts_alone(self, volume_l, broken):
        # zones of 12 and 4 L; both bags in the small one
        two = world({"volume_l": volume_l}, {"zone_shares": (0.75, 0.25)})
        uses = (b.use(set_points_c=(5.0, 5.0), stock_classes=(None, None)),)
        tried = case(two, units_on=uses, placements=(b.placement(zone=1),))
        found = check_r3_volume(tried)
        assert len(found) == broken
        assert all("in zone 2 of" in one.message for one in found)

    @pytest.mark.parametrize(("volume_l", "broken"), [(10.17, 0), (10.19, 1)])
    def test_ice_takes_its_own_litres(self, volume_l, broken):
        # ice of a day: 25 W * 86,400 s / 334 kJ/kg = 6.467 kg, at 1.8 L/kg
        # 11.64 L; 40 * 0.8 - 11.64 = 20.36 L for two bags
        tried = case(world({"volume_l": volume_l}, chest()))
        assert len(check_r3_volume(tried)) == broken


class TestR4Segregation:
    feed = b.line(id="L2", row=3, stock_class=StockClass.FEED)

    def mixed(self, segregation, classes=(None,)):
        scene = b.scenario(
            lines=(b.line(), self.feed),
            conditions=b.conditions(segregation=segregation),
        )
        puts = (b.placement(), b.placement(line_id="L2"))
        uses = (b.use(stock_classes=classes),)
        return case(scene, placements=puts, units_on=uses)

    def test_one_class_in_a_unit(self):
        assert check_r4_segregation(case()) == ()

    def test_two_classes_in_a_unit(self):
        found = check_r4_segregation(self.mixed(Segregation.UNITS))
        assert fatal(found) == [("R4", "U1")]

    def test_two_classes_in_tubs(self):
        assert check_r4_segregation(self.mixed(Segregation.TUBS)) == ()

    def test_two_zones_of_one_unit_are_not_two_units(self):
        scene = b.scenario(
            lines=(b.line(), self.feed), units=(b.unit(zone_shares=(0.5, 0.5)),)
        )
        uses = (b.use(set_points_c=(5.0, 5.0), stock_classes=(None, None)),)
        puts = (b.placement(), b.placement(line_id="L2", zone=1))
        found = check_r4_segregation(case(scene, units_on=uses, placements=puts))
        assert fatal(found) == [("R4", "U1")]

    def test_a_zone_kept_for_the_other_class(self):
        uses = (b.use(stock_classes=(StockClass.FEED,)),)
        found = check_r4_segregation(case(units_on=uses))
        assert fatal(found) == [("R4", "U1")]


class TestR5Custody:
    def test_locked_line_in_a_unit_that_locks(self):
        assert check_r5_custody(case(world({"locked": True}, {"lockable": True}))) == ()

    def test_locked_line_in_a_unit_that_does_not(self):
        found = check_r5_custody(case(world({"locked": True})))
        assert fatal(found) == [("R5", "L1")]


class TestR6Access:
    def test_night_need_behind_an_open_door(self):
        assert check_r6_access(case(world({"night_need": True}))) == ()

    def test_night_need_behind_a_locked_door(self):
        closed = (b.place(open_at_night=False),)
        found = check_r6_access(case(world({"night_need": True}, places=closed)))
        assert fatal(found) == [("R6", "L1")]
        assert check_r6_access(case(world(places=closed))) == ()

    @pytest.mark.parametrize(
        ("reached_from", "broken"),
        [(None, 0), (("School",), 0), (("Garage",), 1), ((), 1)],
    )
    def test_bags_only_where_the_resident_can_go(self, reached_from, broken):
        places = (b.place(reached_from=reached_from), b.place(name="School"))
        tried = case(world({"place": "School"}, places=places))
        assert len(check_r6_access(tried)) == broken

    def test_the_own_place_is_always_reached(self):
        assert check_r6_access(case(world(places=(b.place(reached_from=()),)))) == ()


class TestR8WarmLoad:
    @pytest.mark.parametrize(("volume_l", "broken"), [(2.0, 0), (2.1, 1)])
    def test_a_quarter_of_sixteen_litres(self, volume_l, broken):
        tried = case(world({"volume_l": volume_l}))
        assert len(check_r8_warm_load(tried)) == broken

    @pytest.mark.parametrize("fill", [0.25, 0.5, 0.75, 1.0])
    def test_the_shares_that_may_be_planned(self, fill):
        assert check_r8_warm_load(case(units_on=(b.use(warm_fill=fill),))) == ()

    @pytest.mark.parametrize("fill", [0.0, 0.3, 1.25])
    def test_no_other_share(self, fill):
        found = check_r8_warm_load(case(units_on=(b.use(warm_fill=fill),)))
        assert ("R8", "U1") in fatal(found)


class TestR10Ice:
    # Walls 6.467 kg (see R3); contents 20.36 L * 0.25 * 0.5 kg/L = 2.545 kg
    # from 25 to 4 C: 2.545 * 4.19 * 21 / 334 = 0.670 kg; first day 7.137 kg.
    @pytest.mark.parametrize(("supply_kg", "broken"), [(7.14, 0), (7.13, 1)])
    def test_a_chests_worst_day_against_the_supply(self, supply_kg, broken):
        ice = b.conditions(ice_kg_day=supply_kg)
        tried = case(world(unit=chest(), conditions=ice))
        assert len(check_r10_ice(tried)) == broken

    @pytest.mark.parametrize(("supply_kg", "broken"), [(14.28, 0), (14.26, 1)])
    def test_chests_share_the_supply(self, supply_kg, broken):
        scene = b.scenario(
            units=(b.unit(**chest()), b.unit(**chest(id="U2"))),
            conditions=b.conditions(ice_kg_day=supply_kg),
        )
        tried = case(scene, units_on=(b.use(), b.use(unit_id="U2")))
        assert len(check_r10_ice(tried)) == broken

    def test_no_chest_needs_no_ice(self):
        assert check_r10_ice(case()) == ()


FREEZER = {"set_points_c": (-18.0, 1.0)}
"""Fields of a unit that can be set as a freezer or just above freezing."""


class TestR12Refreeze:
    def test_thawed_line_above_freezing(self):
        # 1 + 2 = 3 C at the warmest
        uses = (b.use(set_points_c=(1.0,)),)
        tried = case(world({"thawed": True}, FREEZER), units_on=uses)
        assert check_r12_refreeze(tried) == ()

    def test_thawed_line_in_a_freezer(self):
        uses = (b.use(set_points_c=(-18.0,)),)
        tried = case(world({"thawed": True}, FREEZER), units_on=uses)
        assert fatal(check_r12_refreeze(tried)) == [("R12", "L1")]
        still = case(world({"thawed": False}, FREEZER), units_on=uses)
        assert check_r12_refreeze(still) == ()
