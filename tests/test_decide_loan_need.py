"""What a lender is asked for beside the size: by hand, each beside a neighbour.

Units draw plain watts for six hours; a fridge runs at 45 W in all these sites.
"""

import pytest

from planner.decide.ask import asked_spec, refused
from planner.output.cards import not_wanted
from planner.output.manner import Manner
from planner.output.wording import Language
from planner.result_spec import LeastSpec, LoanNeed, Quantity
from planner.scenario import Supply, Tier, UnitType
from tests import builders as b
from tests.test_decide_borrow import lent_fridge, lent_pack, plan_of

SPANISH = Manner(language=Language.ES)


def asked(plan, rank=1):
    return "; ".join(plan.loans[rank - 1].ask_for)


class TestUnit:
    def test_a_unit_for_what_must_be_locked_is_asked_for_with_a_lock(self):
        plan = plan_of(
            units=(lent_fridge(lockable=True),), lines=(b.line(locked=True),)
        )
        assert "with a lock and key" in asked(plan)
        assert "a unit without a lock and key" in not_wanted(plan.loans[0])

    def test_a_lock_that_nothing_needs_is_not_asked_for(self):
        plan = plan_of(units=(lent_fridge(lockable=True),))
        assert "lock" not in asked(plan)
        assert "lock" not in " ".join(plan.loans[0].refuse)

    def test_a_freezer_is_asked_for_as_one_with_its_cold(self):
        milk = b.line(keep_from_c=-25.0, keep_to_c=-15.0, never_freeze=False)
        plan = plan_of(units=(lent_fridge(set_points_c=(5.0, -18.0)),), lines=(milk,))
        assert plan.loans[0].needs[0].set_points_c == (-18.0,)
        # -18 C are -0.4 F.
        assert asked(plan).startswith("compressor freezer of ")
        assert "must hold minus 18 C / 0 F" in asked(plan)
        assert not_wanted(plan.loans[0])[-1] == (
            "a plain fridge: it cannot hold minus 18 C / 0 F"
        )
        assert "2 to 8 C" not in " ".join(plan.loans[0].refuse)

    def test_a_fridge_is_asked_for_as_one_with_its_setting(self):
        plan = plan_of(units=(lent_fridge(set_points_c=(5.0, -18.0)),))
        assert asked(plan).startswith("compressor cold unit of ")
        assert "must hold 5 C / 41 F" in asked(plan)

    def test_it_may_draw_what_the_plan_counts_on(self):
        plan = plan_of(units=(lent_fridge(),))
        # 20 W in every hour are 480 Wh a day.
        assert "at most 45 W and 480 Wh a day in this heat" in asked(plan)
        assert "a unit over 45 W" in not_wanted(plan.loans[0])

    def test_a_chest_draws_nothing(self):
        plan = plan_of(
            units=(
                lent_fridge(
                    kind=UnitType.ICE_CHEST,
                    supply=Supply.NONE,
                    conditioned=True,
                    running_w=0.0,
                ),
            ),
            conditions=b.conditions(ice_kg_day=50.0),
        )
        assert " W " not in asked(plan)
        assert "with a min/max thermometer" in asked(plan)


class TestBattery:
    def test_only_the_sockets_in_use_are_asked_for(self):
        plan = plan_of(batteries=(lent_pack(ports_12v=4, outlets_ac=3),))
        assert "with 1 x 12 V socket of 45 W; charged" in asked(plan)

    def test_an_outlet_must_also_start_the_compressor(self):
        mains = b.unit(supply=Supply.AC, kind=UnitType.HOUSEHOLD)
        plan = plan_of(
            units=(mains,),
            batteries=(lent_pack(outlets_ac=3, max_out_w=1500.0),),
        )
        (need,) = plan.loans[0].needs
        assert (need.ports_12v, need.outlets_ac) == (0, 1)
        # More than it runs at, far less than what happens to be offered.
        assert 45 < need.outlet_ac_w < 1500
        assert f"1 x AC outlet of {need.outlet_ac_w:.0f} W; charged" in asked(plan)

    def test_what_a_later_step_plugs_in_is_asked_for_at_once(self):
        first = b.line(quantity=1, tier_given=Tier.A)
        later = b.line(
            id="L2",
            row=3,
            household="H2",
            tier_given=Tier.B,
            keep_from_c=8.0,
            keep_to_c=13.0,
        )
        pack = lent_pack(ports_12v=4, capacity_wh=1000.0)
        units = (b.unit(), lent_fridge(2, set_points_c=(10.5,)))
        plan = plan_of(units=units, batteries=(pack,), lines=(first, later))
        assert [step.item_ids for step in plan.loans] == [("B2",), ("U2",)]
        assert "2 x 12 V socket of 45 W, 90 W in all" in asked(plan)
        alone = plan_of(units=units[:1], batteries=(pack,), lines=(first, later))
        assert "1 x 12 V socket of 45 W;" in asked(alone)


class TestWords:
    def test_two_panels_are_refused_once_and_by_the_smaller(self):
        scene = b.scenario(panels=(b.panel(), b.panel(id="P2")))
        least = tuple(
            LeastSpec(
                item_id=item_id,
                quantity=Quantity.RATED_W,
                least=watts,
                offered=200.0,
                grid=5.0,
                exact=False,
                solved=1,
            )
            for item_id, watts in (("P1", 115.0), ("P2", 35.0))
        )
        one, other = refused(scene, ("P1", "P2"), least)
        assert one == other
        assert "not a panel under 35 W" in one
        (alone,) = refused(scene, ("P1",), least)
        assert "not a panel under 115 W" in alone

    @pytest.mark.parametrize(
        ("set_c", "said"),
        [
            (5.0, "debe mantener 5 C / 41 F"),
            (-18.0, "debe mantener menos 18 C / 0 F"),
            (-25.0, "debe mantener menos 25 C / menos 13 F"),
        ],
    )
    def test_the_whole_request_is_told_in_spanish(self, set_c, said):
        need = LoanNeed(
            item_id="U1",
            set_points_c=(set_c,),
            lock=True,
            running_w=45.0,
            day_wh=480.0,
            supply=Supply.BOTH,
        )
        scene = b.scenario()
        (text,) = asked_spec(scene, ("U1",), needs=(need,))
        told = SPANISH.told(text)
        assert said in told
        assert "con cerradura y llave, como máximo 45 W y 480 Wh al día" in told
        assert told.endswith("con su cable de 12 V y su enchufe de pared")

    def test_all_of_a_battery_is_told_in_spanish(self):
        need = LoanNeed(
            item_id="B1",
            ports_12v=2,
            port_12v_w=60.0,
            outlets_ac=1,
            outlet_ac_w=240.0,
            out_w=270.0,
            solar_w=400.0,
        )
        (text,) = asked_spec(b.scenario(), ("B1",), needs=(need,))
        assert (
            "2 x toma de 12 V de 60 W y 1 x enchufe de AC de 240 W, 270 W en total, "
            "una entrada solar de 400 W o más; cargada al 100 %"
        ) in SPANISH.told(text)
