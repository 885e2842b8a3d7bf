"""The whole journey: rows in and rows out, refusal, limits, exit codes."""

from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from planner import pipeline
from planner.decide.solver import Answer, Model
from planner.errors import PlanRefusedError, SolverError
from planner.result import PlanStatus
from planner.result_borrow import NO_MORE
from planner.scenario import (
    CameFrom,
    Gate,
    Origin,
    Status,
    StockClass,
    SunCase,
    Tier,
)
from tests import builders as b
from tests.decide_cases import bags, planned, tier_vector

SAMPLES = sorted((Path(__file__).parents[1] / "sample_data").glob("*.xlsx"))
NOW = datetime(2026, 5, 5, 8, 30)


def read(path):
    reading = pipeline.read_files(path.name, path.read_bytes(), now=NOW)
    assert reading.scenario is not None
    return reading.scenario


def rows_are_accounted_for(plan):
    """Every row of the sheet ends somewhere, and its bags add up."""
    rows = {(account.sheet, account.row) for account in plan.accounts}
    assert len(rows) == plan.scenario.rows_in
    for account in plan.accounts:
        ended = account.placed + account.warm + account.short
        assert ended + account.with_person + account.review == account.quantity


@pytest.fixture(scope="module", params=SAMPLES, ids=lambda path: path.stem)
def plan(request):
    return pipeline.make_plan(read(request.param), borrow=False)


class TestSamples:
    def test_there_are_samples(self):
        assert len(SAMPLES) >= 3

    def test_it_is_planned_and_proven(self, plan):
        assert plan.status is PlanStatus.PROVEN
        assert all(tier.proven for tier in plan.tiers)

    def test_no_rule_is_broken(self, plan):
        # make_plan would have refused it; the findings shown say so too.
        assert not [found for found in plan.findings if found.fatal]

    def test_every_row_is_accounted_for(self, plan):
        rows_are_accounted_for(plan)

    def test_every_demand_ends_somewhere(self, plan):
        for tier in plan.tiers:
            assert tier.met + tier.warm + tier.short == tier.needed
        assert bags(plan) == sum(t.met + t.surplus_met for t in plan.tiers)

    def test_every_sun_case_is_replayed(self, plan):
        assert [one.sun_case for one in plan.replays] == list(SunCase)


class TestRows:
    def test_each_way_a_row_can_end(self):
        lines = (
            b.line(quantity=4),
            b.line(id="L2", row=3, gate=Gate.WITH_PERSON),
            b.line(id="L3", row=4, gate=Gate.COOL_SHELF, quantity=1),
            b.line(id="L4", row=5, warm_hours=48.0, quantity=1, locked=True),
            b.line(id="L5", row=6, keep_from_c=30.0, keep_to_c=40.0),
            b.line(id="L6", row=7, quantity=0),
        )
        held = (b.held_row(row=8), b.held_row(row=9, code="total", left_out=True))
        plan = planned(lines=lines, held_rows=held)
        rows_are_accounted_for(plan)
        ended = {a.row: a.outcome for a in plan.accounts}
        assert ended[2] == "4 in the cold"
        assert ended[3] == "2 stays with the person"
        assert "room temperature, cool shelf" in ended[4]
        assert "written clock" in ended[5]
        assert ended[6] == "2 short"
        assert ended[7] == "no bags"
        assert "in review" in ended[8]
        assert "left out" in ended[9]

    def test_one_row_of_two_lines(self):
        lines = (b.line(), b.line(id="L2", stock_class=StockClass.FEED))
        plan = planned(lines=lines)
        assert plan.scenario.rows_in == 1
        rows_are_accounted_for(plan)


class TestNothing:
    def test_no_lines(self):
        plan = planned(lines=())
        assert plan.status is PlanStatus.NOTHING_TO_PLAN
        assert (plan.placements, plan.units_on, plan.tiers) == ((), (), ())
        assert pipeline.exit_code(plan) == 0

    def test_no_lines_but_life_support(self):
        plan = planned(lines=(), sources=(b.life_support(),))
        assert plan.status is PlanStatus.NOTHING_TO_PLAN
        assert {plug.to_id for plug in plan.hookups} == {"V1"}

    def test_nothing_to_put_it_in(self):
        plan = planned(units=(), batteries=(), panels=())
        assert plan.status is PlanStatus.PROVEN
        assert pipeline.exit_code(plan) == 1

    def test_an_empty_pool_with_loans_asked_for(self):
        plan = pipeline.make_plan(b.scenario(lines=()))
        assert plan.loans == ()


class TestExitCodes:
    def test_all_served(self):
        assert pipeline.exit_code(planned()) == 0

    def test_a_written_clock_is_not_short(self):
        plan = planned(units=(), lines=(b.line(warm_hours=48.0),))
        assert plan.warm_clocks
        assert pipeline.exit_code(plan) == 0

    def test_a_row_that_is_not_planned_is_not_served(self):
        plan = planned(held_rows=(b.held_row(),))
        assert not plan.shortfalls
        assert pipeline.exit_code(plan) == 1
        total = b.held_row(code="total-row", left_out=True)
        assert pipeline.exit_code(planned(held_rows=(total,))) == 0

    def test_something_short(self):
        assert pipeline.exit_code(planned(lines=(b.line(locked=True),))) == 1


class TestRefusal:
    """A plan that fails the check is never handed out."""

    def spoil(self, monkeypatch, change):
        real = pipeline.allocate
        monkeypatch.setattr(pipeline, "allocate", lambda *a, **k: change(real(*a, **k)))

    def test_a_plug_lost_on_the_way(self, monkeypatch):
        self.spoil(monkeypatch, lambda found: replace(found, hookups=()))
        with pytest.raises(PlanRefusedError) as caught:
            planned()
        assert any(reason.startswith("R7 U1") for reason in caught.value.reasons)

    def test_a_bag_too_many(self, monkeypatch):
        def change(found):
            counts = {key: n + 1 for key, n in found.placed.counts.items()}
            return replace(found, placed=replace(found.placed, counts=counts))

        self.spoil(monkeypatch, change)
        # 16 L hold 32 of 40 half-litre bags.
        with pytest.raises(PlanRefusedError, match="R3 U1"):
            planned(lines=(b.line(quantity=40),))

    def test_another_set_point(self, monkeypatch):
        def change(found):
            (choice,) = found.placed.choices
            wrong = replace(choice, mode=replace(choice.mode, set_points_c=(20.0,)))
            return replace(found, placed=replace(found.placed, choices=(wrong,)))

        self.spoil(monkeypatch, change)
        with pytest.raises(PlanRefusedError, match="R1 L1"):
            planned()

    def test_a_plug_in_the_wrong_place(self, monkeypatch):
        def change(found):
            plugs = tuple(replace(p, place="Shed") for p in found.hookups)
            return replace(found, hookups=plugs)

        self.spoil(monkeypatch, change)
        with pytest.raises(PlanRefusedError, match="Shed"):
            planned(places=(b.place(), b.place(name="Shed")))

    def test_a_unit_left_on_without_bags_is_not_wired(self, monkeypatch):
        # As if the solver ran out of time before it switched idle units off.
        from planner.decide.placement import PlacementModel

        real = PlacementModel.__init__

        def all_on(self, *args, **kwargs):
            real(self, *args, **kwargs)
            for u in range(len(self.choices)):
                mine = [v for (uu, _), v in self.pick.items() if uu == u]
                self.model.add("X", sum(mine) >= 1)

        monkeypatch.setattr(PlacementModel, "__init__", all_on)
        two = (b.unit(), b.unit(id="U2", name="Fridge two"))
        plan = planned(units=two)
        assert bags(plan) == 2
        on = {use.unit_id for use in plan.units_on}
        assert on == {put.unit_id for put in plan.placements}
        assert len(on) < 2


class TestLimits:
    @pytest.mark.parametrize("limit_s", [-1.0, 0.0])
    def test_no_time_gives_a_plan_that_claims_nothing(self, limit_s):
        plan = pipeline.make_plan(b.scenario(), time_limit_s=limit_s)
        assert plan.status is PlanStatus.UNPROVEN
        assert all(tier.bound == tier.needed for tier in plan.tiers)
        rows_are_accounted_for(plan)

    @pytest.mark.parametrize("limit_s", [0.002, 0.01, 0.03, 0.1, 0.3])
    def test_a_short_time_gives_an_error_or_an_honest_plan(self, limit_s):
        # Never a plan that the check refuses, never a bound below the value.
        scene = read(next(path for path in SAMPLES if "hall" in path.stem))
        try:
            plan = pipeline.make_plan(scene, time_limit_s=limit_s, borrow=False)
        except SolverError:
            return
        rows_are_accounted_for(plan)
        for tier in plan.tiers:
            assert tier.met <= tier.bound <= tier.needed
            assert tier.households_met <= tier.household_bound
        if plan.status is PlanStatus.PROVEN:
            assert all(tier.proven for tier in plan.tiers)

    def test_a_plan_not_proven_shows_its_bound(self, monkeypatch):
        # As if every solve stopped at its limit one bag from its bound.
        real = Model.minimise

        def stopped(self, *args, **kwargs):
            found = real(self, *args, **kwargs)
            if found.answer is not Answer.OPTIMAL or not kwargs.get("whole_objective"):
                return found
            return replace(found, answer=Answer.FEASIBLE, bound=found.objective - 1)

        monkeypatch.setattr(Model, "minimise", stopped)
        # 1.6 L: three of five half-litre bags.
        plan = planned(units=(b.unit(gross_volume_l=2.0),), lines=(b.line(quantity=5),))
        assert plan.status is PlanStatus.UNPROVEN
        (tier,) = plan.tiers
        assert (tier.met, tier.bound, tier.needed) == (3, 4, 5)
        assert (tier.households_met, tier.household_bound) == (1, 1)
        assert not tier.proven

    def test_a_bound_over_the_households_leaves_the_bags_open(self, monkeypatch):
        # One household might still be won; then any number of bags might be
        # too, so their bound is all that are needed and not fewer than met.
        real = Model.minimise

        def stopped(self, *args, **kwargs):
            found = real(self, *args, **kwargs)
            if found.answer is not Answer.OPTIMAL or not kwargs.get("whole_objective"):
                return found
            # six bags: one household counts for seven
            return replace(found, answer=Answer.FEASIBLE, bound=-14.0)

        monkeypatch.setattr(Model, "minimise", stopped)
        lines = (
            b.line(quantity=5),
            b.line(id="L2", row=3, quantity=1, household="H2", locked=True),
        )
        plan = planned(units=(b.unit(gross_volume_l=2.0),), lines=lines)
        (tier,) = plan.tiers
        assert (tier.met, tier.bound, tier.needed) == (3, 6, 6)
        assert (tier.households_met, tier.household_bound) == (1, 2)


class TestProgress:
    def test_shares_rise_from_start_to_end(self):
        told = []
        offer = b.unit(id="U2", availability=b.loan(status=Status.OFFERED))
        pipeline.make_plan(
            b.scenario(units=(offer,)),
            progress=lambda what, share: told.append((what, share)),
        )
        shares = [share for _, share in told]
        assert shares == sorted(shares)
        assert (told[0][0], told[-1]) == ("triage", ("done", 1.0))
        assert all(0.0 <= share <= 1.0 for share in shares)
        assert all(what for what, _ in told)


class TestPlan:
    def test_placements_say_why(self):
        plan = planned(lines=(b.line(warm_hours=5.0),))
        (put,) = plan.placements
        assert "tier A" in put.why
        assert "Fridge one at" in put.why

    def test_assumptions_are_those_not_from_the_sheet(self):
        typed = Origin(field="volume", came_from=CameFrom.SHEET, value="0.5")
        read_up = Origin(field="band", came_from=CameFrom.CATALOGUE, value="2-8")
        default = Origin(field="swing", came_from=CameFrom.DEFAULT, value="2")
        plan = planned(
            lines=(
                b.line(origins=(typed, read_up)),
                b.line(id="L2", row=3, origins=(read_up,)),
            ),
            units=(b.unit(origins=(default,)),),
        )
        assert plan.assumptions == (read_up, default)

    def test_loans_do_not_change_the_plan_itself(self):
        offer = b.unit(id="U2", name="Two", availability=b.loan(status=Status.OFFERED))
        scene = b.scenario(
            units=(b.unit(gross_volume_l=1.0), offer), lines=(b.line(quantity=4),)
        )
        without = pipeline.make_plan(scene, borrow=False)
        asked = pipeline.make_plan(scene)
        assert asked.loans
        (skipped,) = set(without.findings) - set(asked.findings)
        assert skipped.subject == "borrow list"
        bare = replace(asked, loans=(), borrow=NO_MORE, findings=without.findings)
        assert bare == without
        assert tier_vector(asked) == tier_vector(without)

    def test_life_support_that_cannot_be_carried_is_said_first(self):
        plan = planned(
            sources=(b.life_support(max_w=250.0),),
            lines=(b.line(tier_given=Tier.A),),
        )
        assert bags(plan) == 0
        first = plan.findings[0]
        assert (first.rule, first.fatal) == ("R7", False)
        assert "life-support" in first.message
