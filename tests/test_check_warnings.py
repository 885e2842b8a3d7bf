"""Warnings: what is told about a plan that holds, and when nothing is."""

import ast
from datetime import timedelta
from pathlib import Path

import pytest

import planner.check
from planner.check.warnings import (
    warn_allowances,
    warn_chests,
    warn_cold_late,
    warn_duty,
    warn_idle,
    warn_one_chain,
    warn_provisional,
    warn_use_by,
)
from planner.physics import profiles
from planner.result import PortType
from planner.scenario import CameFrom, Consequence, Flag, Origin, Supply, UnitType
from tests import builders as b
from tests.check_cases import audited, case, fatal, plain_hours, warned

TWO_ON = (b.use(), b.use(unit_id="U2"))


def world(line=None, unit=None, **fields):
    """Build a scenario of one line and one unit with the given fields."""
    lines, units = (b.line(**(line or {})),), (b.unit(**(unit or {})),)
    return b.scenario(lines=lines, units=units, **fields)


class TestDuty:
    # 240 Wh a day at the rating's own temperatures: 10 W
    @pytest.mark.parametrize(("running_w", "told"), [(12.5, 0), (12.4, 1), (9.0, 0)])
    def test_above_four_fifths_of_the_warmest_hour(self, running_w, told):
        # 9 W is no warning but a broken R2.
        tried = case(world(unit={"running_w": running_w}))
        found = list(warn_duty(tried))
        assert len(found) == told
        assert all("runs 81 % of the warmest hour" in one.message for one in found)


class TestIdle:
    @pytest.mark.parametrize(("idle_w", "told"), [(6.0, 0), (6.1, 1)])
    def test_above_three_tenths_of_the_use(self, idle_w, told):
        # 18 W / 0.9 = 20 Wh an hour; 0.3 of it is 6 Wh
        scene = world(
            unit={"supply": Supply.AC}, batteries=(b.battery(ac_idle_w=idle_w),)
        )
        plugs = (b.hookup(port=PortType.AC),)
        with plain_hours({"U1": [18.0] * 6}):
            found = warned(warn_idle(case(scene, hookups=plugs)))
        assert found == [("R7", "B1")] * told


class TestOneChain:
    units = (b.unit(), b.unit(id="U2", name="Fridge two"))

    def tried(self, second_feeder, port_number=2, **line):
        scene = b.scenario(
            lines=(b.line(**line),),
            units=self.units,
            batteries=(b.battery(), b.battery(id="B2", name="Battery two")),
        )
        plugs = (
            b.hookup(),
            b.hookup(from_id=second_feeder, to_id="U2", port_number=port_number),
            b.sun_plug(to_h=3),
            b.sun_plug(to_id="B2", from_h=3),
        )
        puts = (b.placement(count=1), b.placement(count=1, unit_id="U2"))
        return case(scene, units_on=TWO_ON, placements=puts, hookups=plugs)

    def test_two_fridges_on_one_battery(self):
        found = list(warn_one_chain(self.tried("B1")))
        assert warned(found) == [("R7", "B1")]
        assert "Battery one, Fridge one, Fridge two" in found[0].message

    def test_two_fridges_on_two_batteries(self):
        # They share a panel in turn; each battery still feeds without it.
        assert list(warn_one_chain(self.tried("B2"))) == []

    def test_a_third_fridge_on_a_battery_of_its_own(self):
        units = tuple(b.unit(id=f"U{n}", name=f"Fridge {n}") for n in (1, 2, 3))
        scene = b.scenario(units=units, batteries=(b.battery(), b.battery(id="B2")))
        plugs = (
            b.hookup(),
            b.hookup(to_id="U2", port_number=2),
            b.hookup(from_id="B2", to_id="U3"),
        )
        uses = tuple(b.use(unit_id=unit.id) for unit in units)
        for other, told in (("U2", 1), ("U3", 0)):
            puts = (b.placement(count=1), b.placement(count=1, unit_id=other))
            tried = case(scene, units_on=uses, placements=puts, hookups=plugs)
            assert len(list(warn_one_chain(tried))) == told

    def test_only_life_critical_stock_counts(self):
        tried = self.tried("B1", consequence=Consequence.REPLACEABLE)
        assert list(warn_one_chain(tried)) == []

    def test_one_bag_cannot_be_split(self):
        tried = case(world({"quantity": 1}), placements=(b.placement(count=1),))
        assert list(warn_one_chain(tried)) == []


class TestColdLate:
    def test_a_small_motor_under_a_full_load(self):
        # Contents 2 kg and a 20 L cabinet, 25 to 5 C, hold 91 Wh of heat; with
        # 12 - 10 = 2 W to spare that takes more than the twelve hours there are.
        scene = world(unit={"running_w": 12.0}, conditions=b.conditions(window_h=12))
        found = list(warn_cold_late(case(scene, hookups=(b.hookup(to_h=12),))))
        assert warned(found) == [("R8", "U1")]
        assert "12 h, at the end of the window" in found[0].message

    def test_the_hour_counts_from_when_a_loan_is_ready(self):
        # 91 Wh of heat at less than 2 W of heat moved a watt takes more than
        # six hours of 17 - 10 = 7 W; ready at 10:00.
        scene = world(
            unit={"running_w": 17.0, "availability": b.loan(ready_h=2)},
            conditions=b.conditions(window_h=24),
        )
        tried = case(scene, hookups=(b.hookup(from_h=2, to_h=24),))
        late_h = profiles.cold_after_h(
            scene.units[0], (5.0,), tried.ground.rooms["Hall"], 0.25
        )
        assert 6 < late_h < 14
        found = list(warn_cold_late(tried))
        assert f"{late_h} h, at Mon {10 + late_h}:00" in found[0].message

    def test_a_motor_with_power_to_spare(self):
        assert list(warn_cold_late(case())) == []


class TestChests:
    chest = {  # noqa: RUF012
        "kind": UnitType.ICE_CHEST,
        "gross_volume_l": 40.0,
        "conditioned": True,
    }

    # the chest of the R10 test melts 7.137 kg a day; 0.8 * 8.93 = 7.144
    @pytest.mark.parametrize(("supply_kg", "told"), [(8.93, 1), (8.91, 2)])
    def test_every_chest_and_a_supply_nearly_used_up(self, supply_kg, told):
        ice = b.conditions(ice_kg_day=supply_kg)
        found = list(warn_chests(case(world(unit=self.chest, conditions=ice))))
        assert len(found) == told
        assert "7.1 kg of ice a day" in found[0].message

    def test_raw_ice_gets_a_word_of_its_own(self):
        raw = self.chest | {"conditioned": False}
        for unit, text in ((raw, "freeze what they touch"), (self.chest, "barrier")):
            ice = b.conditions(ice_kg_day=50.0)
            found = list(warn_chests(case(world(unit=unit, conditions=ice))))
            assert len(found) == 1
            assert text in found[0].message

    def test_no_chest_no_word(self):
        assert list(warn_chests(case())) == []


class TestAllowances:
    def line(self, flag, field="warm_hours"):
        origin = Origin(
            field=field, came_from=CameFrom.CATALOGUE, value="30", flag=flag
        )
        return {"warm_hours": 30.0, "origins": (origin,)}

    def tried(self, line, **claim):
        return case(world(line), **claim)

    clocks = (b.warm_clock(),)

    def test_a_clock_on_an_unconfirmed_allowance(self):
        tried = self.tried(self.line(Flag.MEMORY), warm_clocks=self.clocks)
        found = list(warn_allowances(tried))
        assert warned(found) == [("R11", "L1")]
        assert "not confirmed (from memory)" in found[0].message

    def test_a_clock_on_a_published_allowance(self):
        tried = self.tried(self.line(Flag.PUBLISHED), warm_clocks=self.clocks)
        assert list(warn_allowances(tried)) == []

    def test_an_allowance_that_nobody_uses(self):
        assert list(warn_allowances(self.tried(self.line(Flag.MEMORY)))) == []

    def test_other_unconfirmed_values_are_not_the_clocks(self):
        line = self.line(Flag.MEMORY, field="volume_l")
        tried = self.tried(line, warm_clocks=self.clocks)
        assert list(warn_allowances(tried)) == []

    def test_waiting_for_a_loan_and_short_until_use_it_too(self):
        line = self.line(Flag.ESTIMATE)
        late = world(line, {"availability": b.loan(ready_h=2)})
        assert warned(warn_allowances(case(late))) == [("R11", "L1")]
        shorts = (b.shortfall(safe_until=b.START),)
        tried = self.tried(line, shortfalls=shorts)
        assert warned(warn_allowances(tried)) == [("R11", "L1")]


class TestNotes:
    def test_thawed_without_a_time(self):
        assert warned(warn_use_by(case(world({"thawed": True})))) == [("R12", "L1")]
        dated = world({"thawed": True, "keep_by": b.START + timedelta(hours=1)})
        assert list(warn_use_by(case(dated))) == []

    def test_a_time_that_has_passed(self):
        found = list(warn_use_by(case(world({"keep_by": b.START}))))
        assert warned(found) == [("R12", "L1")]
        assert "Mon 08:00" in found[0].message

    def test_provisional_lines(self):
        tried = case(world({"provisional": True}))
        assert warned(warn_provisional(tried)) == [("", "L1")]
        assert list(warn_provisional(case())) == []


def test_warnings_refuse_no_plan():
    found = audited(world({"thawed": True, "provisional": True}))
    assert {rule for rule, _ in warned(found)} == {"", "R7", "R12"}
    assert fatal(found) == []


def test_messages_name_nobody():
    # Codes stand for residents on everything that is handed on.
    line = {"resident": "Sam Sample", "household": "Sample", "locked": True}
    found = audited(world(line | {"quantity": 3, "provisional": True}))
    assert found
    assert not any("Sam" in one.message + one.subject for one in found)


ALLOWED = (
    "planner.check",
    "planner.scenario",
    "planner.result",
    "planner.errors",
    "planner.physics",
    "collections",
    "dataclasses",
    "datetime",
)


def test_the_room_shares_only_the_inputs_with_the_solver():
    folder = Path(planner.check.__file__).parent
    modules = sorted(folder.glob("*.py"))
    assert len(modules) > 5
    for module in modules:
        for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
            names = []
            if isinstance(node, ast.ImportFrom):
                names = [node.module or ""]
                if node.module == "planner.physics":
                    assert [one.name for one in node.names] == ["profiles"], module
                elif names[0].startswith("planner.physics"):
                    assert node.module == "planner.physics.profiles", module
            elif isinstance(node, ast.Import):
                names = [one.name for one in node.names]
            # The what-ifs reckon many variants at once, and cooling curves.
            sums = ("numpy", "math") if module.name.startswith("stress") else ()
            for name in names:
                assert name.startswith((*ALLOWED, *sums)), (
                    f"{module.name} imports {name}"
                )
