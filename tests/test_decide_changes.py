"""The smallest change of each kind, worked out by hand beside it."""

import math
from dataclasses import replace

import pytest

from planner.decide.change_fits import one_rule_changes
from planner.decide.least import Least, Seen, least
from planner.decide.mend import BATTERY_ID, ROOM_ID, apply_change
from planner.errors import UsageError
from planner.physics.profiles import ice_kg_day, room_temp_c
from planner.result import ReasonFamily
from planner.result_reasons import Change, ChangeKind, Proof
from planner.scenario import (
    CameFrom,
    Consequence,
    Origin,
    Segregation,
    StockClass,
    Supply,
    Tier,
    UnitType,
)
from tests import builders as b
from tests.decide_cases import bags, instance, plain_world, planned

ACCESS = ReasonFamily.ACCESS
MOVED = ("lines", "places", "units", "batteries", "panels", "conditions")
CHEST = {
    "kind": UnitType.ICE_CHEST,
    "gross_volume_l": 40.0,
    "set_points_c": (0.0,),
    "conditioned": True,
    "supply": Supply.NONE,
}


def first(plan, line_id="L1"):
    short = next(s for s in plan.shortfalls if s.line_id == line_id)
    return short.changes[0]


def kinds(plan, line_id="L1"):
    short = next(s for s in plan.shortfalls if s.line_id == line_id)
    return [change.kind for change in short.changes]


class TestRoom:
    def test_litres_that_a_unit_lacks_for_all_the_bags(self):
        # 1.6 L usable, three half-litre bags in it: 0.1 L left, two bags short.
        plan = planned(units=(b.unit(gross_volume_l=2.0),), lines=(b.line(quantity=5),))
        change = first(plan)
        assert change.kind is ChangeKind.ROOM_IN
        assert (change.item_id, change.bags) == ("U1", 2)
        assert change.amount == pytest.approx(0.9)
        assert change.proof is Proof.EXACT

    def test_room_elsewhere_holds_the_band_and_has_the_lock(self):
        plan = planned(units=(), lines=(b.line(locked=True, quantity=3),))
        change = first(plan)
        assert change.kind is ChangeKind.ROOM_AT
        assert change.amount == pytest.approx(1.5)
        assert (change.low_c, change.high_c, change.lockable) == (2.0, 8.0, True)
        assert (change.place, change.bags, change.proof) == ("Hall", 3, Proof.EXACT)

    def test_never_freeze_raises_the_low_end_of_the_band(self):
        plan = planned(units=(), lines=(b.line(keep_from_c=0.0),))
        assert (first(plan).low_c, first(plan).high_c) == (2.0, 8.0)

    def test_a_band_that_nothing_could_hold_has_no_change(self):
        # Never frozen, so from 2 C, and at most 1 C.
        plan = planned(units=(), lines=(b.line(keep_from_c=0.0, keep_to_c=1.0),))
        assert plan.shortfalls[0].changes == ()

    def test_what_is_free_beside_the_others_is_taken_off(self):
        # 1 L usable holds the two of tier A (0.4 L each): 0.2 L of 0.6 L are left.
        lines = (
            b.line(tier_given=Tier.A, volume_l=0.4),
            b.line(
                id="L2",
                row=3,
                tier_given=Tier.D,
                volume_l=0.6,
                quantity=1,
                stock_class=StockClass.MEDICINE,
            ),
        )
        unit = b.unit(gross_volume_l=1.25)
        plan = planned(units=(unit,), lines=lines)
        change = first(plan, "L2")
        assert change.kind is ChangeKind.ROOM_IN
        assert change.amount == pytest.approx(0.4)


class TestPower:
    def test_energy_that_a_full_battery_lacks_and_by_when(self):
        # 45 W / 0.95 = 47.37 Wh an hour, 284.2 in six.  Of 200 Wh 162 can be
        # drawn (0.9 usable, a tenth of that kept): 122.2 lack, in tens 130;
        # 162 Wh last three hours, so they must be there by the fourth.
        with plain_world({"U1": 45.0}):
            plan = planned(batteries=(b.battery(capacity_wh=200.0),), panels=())
            change = first(plan)
        assert change.kind is ChangeKind.ENERGY
        assert (change.item_id, change.amount, change.by_h) == ("B1", 130.0, 3)
        assert (change.proof, change.bags) == (Proof.EXACT, 2)

    def test_energy_that_charging_gives(self):
        # 60 W / 0.95 * 6 h = 378.9 Wh; of 500 Wh stored 100 + 90 stay: 310.
        with plain_world({"U1": 60.0}):
            plan = planned(batteries=(b.battery(charge_now=0.5),), panels=())
            change = first(plan)
        assert (change.kind, change.amount) == (ChangeKind.ENERGY, 70.0)
        mended = apply_change(plan.scenario, change).batteries[0]
        assert mended.charge_now == pytest.approx(0.57)
        assert mended.capacity_wh == 1000.0

    def test_a_socket(self):
        # One 12 V port, and feeds must not stand with the medicine.
        lines = (
            b.line(tier_given=Tier.A),
            b.line(id="L2", row=3, tier_given=Tier.B, stock_class=StockClass.FEED),
        )
        units = (b.unit(), b.unit(id="U2", name="Fridge two"))
        with plain_world({"U1": 20.0, "U2": 20.0}):
            plan = planned(
                lines=lines,
                units=units,
                batteries=(b.battery(ports_12v=1, outlets_ac=0),),
                panels=(),
            )
            change = first(plan, "L2")
        assert (change.kind, change.amount) == (ChangeKind.SOCKET, 1.0)
        assert (change.item_id, change.supply) == ("B1", Supply.DC)
        assert change.watts == 45.0

    def test_watts_of_a_port(self):
        # The fridge runs at 45 W; the port gives 38 W: 7 W lack, in fives 10.
        plan = planned(batteries=(b.battery(port_12v_max_w=38.0),))
        change = first(plan)
        assert (change.kind, change.amount) == (ChangeKind.WATTS, 10.0)

    def test_one_more_battery_where_none_could_take_it(self):
        # 20 W for six hours through 0.95: 126.3 Wh, in tens 130.
        with plain_world({"U1": 20.0}):
            plan = planned(batteries=(), panels=())
            change = first(plan)
        assert change.kind is ChangeKind.BATTERY
        assert (change.amount, change.watts) == (130.0, 45.0)
        assert (change.place, change.proof) == ("Hall", Proof.EXACT)


class TestRules:
    def test_ice(self):
        chest = b.unit(**CHEST)
        cond = b.conditions(ice_kg_day=1.0)
        plan = planned(units=(chest,), conditions=cond)
        change = first(plan)
        need = ice_kg_day(chest, (0.0,), room_temp_c(b.place(), cond), 0.25)
        assert change.kind is ChangeKind.ICE
        assert change.amount == pytest.approx(math.ceil((need - 1.0) * 10) / 10)

    def test_tubs(self):
        lines = (
            b.line(tier_given=Tier.A),
            b.line(id="L2", row=3, tier_given=Tier.B, stock_class=StockClass.FEED),
        )
        assert first(planned(lines=lines), "L2").kind is ChangeKind.TUBS

    def test_lock(self):
        plan = planned(lines=(b.line(locked=True),))
        assert kinds(plan) == [ChangeKind.LOCK, ChangeKind.ROOM_AT]
        assert first(plan).item_id == "U1"

    def test_night(self):
        plan = planned(
            lines=(b.line(night_need=True),), places=(b.place(open_at_night=False),)
        )
        assert (first(plan).kind, first(plan).place) == (ChangeKind.NIGHT, "Hall")

    def test_a_way_in(self):
        shed = b.place(name="Shed", reached_from=())
        # The battery stands fast in the shed, so the unit cannot come to it.
        battery = b.battery(place="Shed", movable=False)
        plan = planned(
            places=(b.place(), shed),
            units=(b.unit(place="Shed"),),
            batteries=(battery,),
        )
        change = first(plan)
        assert change.kind is ChangeKind.REACH
        assert (change.place, change.to_place) == ("Hall", "Shed")

    def test_the_person_moved_where_no_way_can_be_given(self):
        # A way in is tried first; then the unit moved, then the person.
        shed = b.place(name="Shed", reached_from=())
        plan = planned(places=(b.place(), shed), units=(b.unit(place="Shed"),))
        tried = one_rule_changes(
            instance(plan.scenario), plan.scenario.lines[0], b.demand(), ACCESS
        )
        assert [change.kind for change in tried] == [
            ChangeKind.REACH,
            ChangeKind.MOVE_UNIT,
            ChangeKind.MOVE_PERSON,
        ]
        moved = apply_change(plan.scenario, tried[2])
        assert moved.lines[0].place == "Shed"
        assert bags(planned(**{f: getattr(moved, f) for f in MOVED})) == 2

    def test_sooner(self):
        # Half an hour out of the cold is allowed; two hours come to two sooner.
        plan = planned(
            units=(b.unit(availability=b.loan(ready_h=2)),),
            lines=(b.line(warm_hours=0.5),),
        )
        assert (first(plan).kind, first(plan).amount) == (ChangeKind.SOONER, 2.0)

    def test_longer(self):
        plan = planned(
            units=(b.unit(availability=b.loan(back_h=4)),),
            lines=(b.line(warm_hours=1.0),),
        )
        assert (first(plan).kind, first(plan).amount) == (ChangeKind.LONGER, 1.0)

    def test_conditioned_packs(self):
        raw = b.unit(**(CHEST | {"conditioned": False}))
        plan = planned(units=(raw,), conditions=b.conditions(ice_kg_day=20.0))
        assert first(plan).kind is ChangeKind.CONDITIONED

    def test_a_setting_between_those_known(self):
        plan = planned(units=(b.unit(set_points_c=(-18.0, 9.0)),))
        assert (first(plan).kind, first(plan).set_point_c) == (ChangeKind.SETTING, 4.0)

    def test_a_cooler_room(self):
        plan = planned(places=(b.place(45.0),), units=(b.unit(running_w=8.0),))
        change = first(plan)
        assert change.kind is ChangeKind.COOLER
        mended = apply_change(plan.scenario, change)
        assert max(mended.places[0].temp_c_by_clock_hour) == change.high_c < 45.0


class TestData:
    def test_an_allowance_that_bridges_the_time_before_a_unit_comes(self):
        plan = planned(units=(b.unit(availability=b.loan(ready_h=2)),))
        assert plan.shortfalls[0].reason is ReasonFamily.DATA
        change = first(plan)
        assert (change.kind, change.amount) == (ChangeKind.ALLOWANCE, 2.0)
        assert change.line_id == "L1"

    def test_a_known_allowance_is_no_missing_data(self):
        plan = planned(
            units=(b.unit(availability=b.loan(ready_h=2)),),
            lines=(b.line(warm_hours=1.0),),
        )
        assert plan.shortfalls[0].reason is ReasonFamily.READY

    def test_the_band_of_an_item_that_nobody_could_tell(self):
        # 9 C and 2 either way: it would have to be good up to 11 C.
        line = b.line(consequence=Consequence.UNKNOWN)
        plan = planned(units=(b.unit(set_points_c=(9.0,)),), lines=(line,))
        assert plan.shortfalls[0].reason is ReasonFamily.DATA
        assert (first(plan).kind, first(plan).high_c) == (ChangeKind.BAND, 11.0)

    def test_the_band_of_a_known_item_is_not_in_doubt(self):
        plan = planned(units=(b.unit(set_points_c=(9.0,)),))
        assert plan.shortfalls[0].reason is ReasonFamily.BAND

    def test_a_band_that_the_sheet_gives_is_not_in_doubt(self):
        given = Origin(field="keep_to_c", came_from=CameFrom.SHEET, value="8")
        line = b.line(consequence=Consequence.UNKNOWN, origins=(given,))
        plan = planned(units=(b.unit(set_points_c=(9.0,)),), lines=(line,))
        assert plan.shortfalls[0].reason is ReasonFamily.BAND

    def test_a_room_temperature_that_nobody_gave(self):
        assumed = Origin(
            field="room_temp_c, Hall", came_from=CameFrom.DEFAULT, value="45"
        )
        hot = {"places": (b.place(45.0),), "units": (b.unit(running_w=8.0),)}
        plan = planned(conditions=b.conditions(origins=(assumed,)), **hot)
        assert plan.shortfalls[0].reason is ReasonFamily.DATA
        assert first(plan).kind is ChangeKind.ROOM_TEMP
        assert planned(**hot).shortfalls[0].reason is ReasonFamily.REACH


class TestApply:
    def test_nothing_else_changes(self):
        scene = b.scenario()
        lock = apply_change(scene, b.change())
        assert lock == replace(scene, units=(b.unit(lockable=True),))

    def test_what_is_added_is_found_by_its_id(self):
        scene = b.scenario()
        room = Change(
            kind=ChangeKind.ROOM_AT, place="Hall", amount=2.0, low_c=2.0, high_c=8.0
        )
        assert apply_change(scene, room).units[-1].id == ROOM_ID
        battery = Change(
            kind=ChangeKind.BATTERY,
            place="Hall",
            amount=90.0,
            watts=45.0,
            supply=Supply.DC,
        )
        assert apply_change(scene, battery).batteries[-1].id == BATTERY_ID
        assert apply_change(scene, battery).batteries[-1].capacity_wh == 100.0

    def test_room_beside_tubs_is_larger_by_what_they_take(self):
        scene = b.scenario(conditions=b.conditions(segregation=Segregation.TUBS))
        room = Change(
            kind=ChangeKind.ROOM_AT, place="Hall", amount=1.8, low_c=2.0, high_c=8.0
        )
        assert apply_change(scene, room).units[-1].gross_volume_l == pytest.approx(2.0)

    @pytest.mark.parametrize("kind", [ChangeKind.LOCK, ChangeKind.ENERGY])
    def test_what_is_not_there_cannot_be_changed(self, kind):
        with pytest.raises(UsageError, match="nothing is called"):
            apply_change(b.scenario(), Change(kind=kind, item_id="nowhere"))


class TestLeast:
    @pytest.mark.parametrize("answer", [1, 2, 7, 99, 100])
    def test_it_finds_the_first_that_does(self, answer):
        found = least(
            lambda n: Seen.YES if n >= answer else Seen.NO, high=100, tries=20
        )
        assert found == Least(steps=answer, exact=True)

    def test_it_says_so_when_the_tries_ran_out(self):
        found = least(lambda n: Seen.YES if n >= 7 else Seen.NO, high=100, tries=3)
        assert 7 <= found.steps < 100
        assert not found.exact

    def test_an_open_question_proves_nothing(self):
        found = least(lambda _: Seen.UNKNOWN, high=100, tries=20)
        assert found == Least(steps=100, exact=False)

    def test_an_open_question_below_a_proven_no_does_no_harm(self):
        def does(n: int) -> Seen:
            return Seen.YES if n >= 60 else Seen.UNKNOWN if n < 30 else Seen.NO

        assert least(does, high=100, tries=20) == Least(steps=60, exact=True)
