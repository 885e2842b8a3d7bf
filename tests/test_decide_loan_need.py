"""What a lender is asked for beside the size: by hand, each beside a neighbour.

Units draw plain watts for six hours; a fridge runs at 45 W in all these sites.
"""

import re

import pytest

from planner.decide.ask import asked_spec, refused
from planner.output.cards import not_wanted
from planner.output.manner import Manner
from planner.output.paper.borrow import refuse, spec
from planner.output.paper.facts import paper_facts
from planner.output.wording import Language, wording
from planner.pipeline import make_plan
from planner.result_spec import LeastSpec, LoanNeed, Quantity
from planner.scenario import SunCase, Supply, Tier, UnitType
from tests import builders as b
from tests.decide_cases import plain_world
from tests.paper_plans import rich_plan
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

    def test_no_more_is_let_in_than_the_plan_counts_on(self):
        # 17.564 W in every hour are 421.5 Wh a day; 48 W are no 50 W.
        with plain_world({"U2": 17.564}, {}):
            scene = b.scenario(units=(lent_fridge(running_w=48.0),), panels=())
            plan = make_plan(scene, time_limit_s=20)
        assert "at most 48 W and 421 Wh a day in this heat" in asked(plan)
        assert "a unit over 48 W" in not_wanted(plan.loans[0])

    def test_a_limit_does_not_turn_away_what_is_offered(self):
        plan = plan_of(units=(lent_fridge(running_w=47.6),))
        assert "at most 47.6 W and 480 Wh a day" in asked(plan)
        assert "a unit over 47.6 W" in not_wanted(plan.loans[0])

    def test_both_zones_of_a_unit_are_asked_for(self):
        two = lent_fridge(set_points_c=(5.0, -18.0), zone_shares=(0.6, 0.4))
        cool = b.line(quantity=1)
        milk = b.line(
            id="L2", row=3, household="H2", quantity=1, never_freeze=False,
            keep_from_c=-25.0, keep_to_c=-15.0,
        )  # fmt: skip
        plan = plan_of(units=(two,), lines=(cool, milk))
        (need,) = plan.loans[0].needs
        assert (need.settings_c, need.compartments) == ((5.0, -18.0), 2)
        assert re.match(
            r"compressor cold unit of \d+ L \(\d+ qt\) or more in 2 compartments, "
            "must hold 5 C / 41 F, must also hold minus 18 C / 0 F, ",
            asked(plan),
        )
        assert "a unit with fewer than 2 compartments" in not_wanted(plan.loans[0])
        # With nothing to be kept frozen the second zone is not asked for.
        plan = plan_of(units=(two,), lines=(cool,))
        (need,) = plan.loans[0].needs
        assert (need.settings_c, need.compartments) == ((5.0,), 1)
        assert "compartment" not in asked(plan)

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

    @pytest.mark.parametrize(("input_w", "said"), [(203.0, "203 W"), (250.0, "220 W")])
    def test_no_more_sun_is_asked_for_than_the_offered_input_takes(self, input_w, said):
        panel = b.panel(rated_w=216.0)
        pack = lent_pack(charge_now=0.25, solar_input_max_w=input_w)
        sunny = b.conditions(sun_case=SunCase.MEAN)
        plan = plan_of(batteries=(pack,), panels=(panel,), conditions=sunny)
        # In fives upwards, but never more than the offered one takes.
        assert f"a solar input of {said} or more" in asked(plan)

    @pytest.mark.parametrize(("port_w", "said"), [(48.0, 48), (60.0, 50)])
    def test_no_more_is_asked_of_a_socket_than_the_offered_one_gives(
        self, port_w, said
    ):
        pack = lent_pack(port_12v_max_w=port_w)
        plan = plan_of(units=(b.unit(running_w=46.5),), batteries=(pack,))
        assert f"with 1 x 12 V socket of {said} W; charged" in asked(plan)

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
        ("points_c", "at_once", "kind", "holds"),
        [
            ((-18.0,), 1, "freezer", "minus 18 C / 0 F"),
            ((5.0,), 1, "cold unit", "5 C / 41 F"),
            ((-18.0, 5.0), 2, "cold unit", "5 C / 41 F, must also hold minus 18 C"),
            ((5.0, -18.0), 0, "cold unit", "5 C / 41 F, must also hold minus 18 C"),
            ((-18.0, -25.0), 2, "freezer", "minus 18 C / 0 F, must also hold minus 25"),
            ((8.0, 5.0), 2, "cold unit", "8 C / 46 F, must also hold 5 C / 41 F"),
        ],
    )
    def test_screens_and_paper_ask_for_every_setting(
        self, points_c, at_once, kind, holds
    ):
        scene = b.scenario()
        need = LoanNeed(item_id="U1", set_points_c=points_c, compartments=at_once)
        (text,) = asked_spec(scene, ("U1",), needs=(need,))
        facts = paper_facts(rich_plan(), wording(Language.EN), None)
        said = spec(facts, scene.units[0], need).replace("\xa0", " ")
        on_paper = "freezer" if kind == "freezer" else "compressor fridge"
        assert text.startswith(f"compressor {kind} of ")
        assert said.startswith(f"{on_paper} of ")
        for one in (text, said):
            assert f"must hold {holds}" in one
            assert ("or more in 2 compartments," in one) == (at_once == 2)

    def test_settings_of_one_compartment_come_one_after_the_other(self):
        scene = b.scenario()
        need = LoanNeed(item_id="U1", set_points_c=(5.0, -18.0), compartments=1)
        (text,) = asked_spec(scene, ("U1",), needs=(need,))
        assert "must also hold minus 18 C / 0 F at another time" in text
        assert "compartment" not in text

    @pytest.mark.parametrize(
        ("need", "refuses"),
        [
            (
                LoanNeed(item_id="U1", set_points_c=(5.0, -18.0), compartments=2),
                (
                    "a unit with fewer than 2 compartments",
                    "a plain fridge: it cannot hold minus 18 C / 0 F",
                    "a plain freezer: it cannot hold 5 C / 41 F",
                    "a dormitory fridge with an ice box",
                ),
            ),
            (
                LoanNeed(
                    item_id="U1", set_points_c=(-18.0,), running_w=47.6, day_wh=421.0
                ),
                (
                    "a unit over 47.6 W",
                    "a plain fridge: it cannot hold minus 18 C / 0 F",
                ),
            ),
        ],
    )
    def test_screens_and_paper_refuse_the_same(self, need, refuses):
        scene = b.scenario()
        (text,) = refused(scene, ("U1",), needs=(need,))
        assert tuple(one.removeprefix("not ") for one in text.split("; ")) == refuses
        facts = paper_facts(rich_plan(), wording(Language.EN), None)
        said = refuse(facts, scene.units[0], need)
        assert tuple(one.replace("\xa0", " ") for one in said) == refuses

    @pytest.mark.parametrize(
        ("points_c", "at_once", "said"),
        [
            ((5.0, -18.0), 2, "también debe mantener menos 18 C / 0 F, con cerradura"),
            ((5.0, -18.0), 1, "también debe mantener menos 18 C / 0 F en otro momento"),
            ((8.0, 5.0), 2, "o más en 2 compartimentos, debe mantener 8 C / 46 F, tam"),
            ((5.0, -18.0, -25.0), 2, "menos 25 C / menos 13 F, con cerradura y llave"),
            (
                (-18.0, -25.0),
                2,
                "congelador (compresor) de 20 L (21 qt) o más en 2 com",
            ),
        ],
    )
    def test_all_of_two_settings_is_told_in_spanish(self, points_c, at_once, said):
        need = LoanNeed(
            item_id="U1",
            set_points_c=points_c,
            compartments=at_once,
            lock=True,
            running_w=47.6,
            day_wh=421.0,
        )
        (text,) = asked_spec(b.scenario(), ("U1",), needs=(need,))
        told = SPANISH.told(text)
        assert said in told
        assert told.endswith(
            "como máximo 47.6 W y 421 Wh al día con este calor, con su cable de 12 V"
        )
        (text,) = refused(b.scenario(), ("U1",), needs=(need,))
        for one in text.split("; "):
            assert SPANISH.told(one.removeprefix("not ")) != one.removeprefix("not ")

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
