"""Bookkeeping: rows in are rows accounted for, and every bag is somewhere."""

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.check import account_rows
from planner.scenario import Gate, Tier
from tests import builders as b
from tests.check_cases import audited, fatal

FIVE = b.line(quantity=5, warm_hours=30.0)
UNTIL = b.START + timedelta(hours=30)


class TestAccountRows:
    def test_every_bag_of_a_line_is_somewhere(self):
        rows = account_rows(
            b.scenario(lines=(FIVE,)),
            (b.demand(count=5),),
            (b.placement(count=2),),
            (b.warm_clock(count=1),),
            (b.shortfall(count=2),),
        )
        assert [(r.placed, r.warm, r.short, r.review) for r in rows] == [(2, 1, 2, 0)]
        assert rows[0].outcome == (
            "2 in the cold, 1 at room temperature with a written clock, 2 short"
        )

    def test_bags_that_the_plan_lost_stay_missing(self):
        rows = account_rows(
            b.scenario(lines=(FIVE,)), (b.demand(count=5),), (b.placement(),), (), ()
        )
        assert rows[0].placed == 2
        assert rows[0].with_person == rows[0].short == rows[0].review == 0
        assert rows[0].outcome == "2 in the cold, 3 not accounted for"

    @pytest.mark.parametrize("gate", [g for g in Gate if g is not Gate.POOL])
    def test_lines_outside_the_pool_stay_out_of_it(self, gate):
        scene = b.scenario(lines=(b.line(gate=gate),))
        rows = account_rows(scene, (), (), (), ())
        assert rows[0].with_person == 2
        assert rows[0].outcome == f"2 {gate.value}"

    def test_what_is_left_of_an_outside_line_is_with_the_person(self):
        # 5 - 1 - 1 - 1: whatever else the plan claims is counted as it is
        scene = b.scenario(lines=(b.line(gate=Gate.WITH_PERSON, quantity=5),))
        puts, clocks = (b.placement(count=1),), (b.warm_clock(count=1),)
        rows = account_rows(scene, (), puts, clocks, (b.shortfall(count=1),))
        assert rows[0].with_person == 2

    def test_provisional_line_without_demand_waits_in_review(self):
        scene = b.scenario(lines=(b.line(provisional=True),))
        assert account_rows(scene, (), (), (), ())[0].review == 2
        planned = account_rows(scene, (b.demand(),), (b.placement(),), (), ())
        assert planned[0].review == 0
        assert planned[0].outcome == "2 in the cold, also in review"

    def test_held_rows_have_an_account_too(self):
        held = (b.held_row(), b.held_row(row=10, code="total", left_out=True))
        rows = account_rows(b.scenario(held_rows=held), (), (), (), ())
        assert [(r.row, r.quantity, r.review) for r in rows[1:]] == [
            (9, 1, 1),
            (10, 0, 0),
        ]
        assert rows[1].outcome == "in review (item-unknown), count not read yet"
        assert rows[2].outcome == "left out, no item (total)"

    @settings(max_examples=40, deadline=None)
    @given(st.lists(st.tuples(*[st.integers(0, 4)] * 3), max_size=5))
    def test_accounts_add_up_when_the_plan_does(self, splits):
        lines, demands, puts, clocks, shorts = [], [], [], [], []
        for row, (placed, warm, short) in enumerate(splits, start=2):
            who = {"line_id": f"L{row}"}
            total = placed + warm + short
            lines.append(b.line(id=f"L{row}", row=row, quantity=total))
            demands.append(b.demand(count=total, **who))
            puts.append(b.placement(count=placed, **who))
            clocks.append(b.warm_clock(count=warm, **who))
            shorts.append(b.shortfall(count=short, **who))
        scene = b.scenario(lines=tuple(lines))
        rows = account_rows(
            scene, tuple(demands), tuple(puts), tuple(clocks), tuple(shorts)
        )
        assert len(rows) == scene.rows_in
        for row in rows:
            ended = row.placed + row.warm + row.short + row.with_person + row.review
            assert ended == row.quantity


class TestBookkeeping:
    def test_the_default_plan_is_in_order(self):
        assert fatal(audited()) == []

    def test_a_split_line_is_in_order(self):
        found = audited(
            b.scenario(lines=(FIVE,)),
            demands=(
                b.demand(count=3, allowance_h=30.0, safe_until=UNTIL),
                b.demand(count=2, tier=Tier.D, surplus=True),
            ),
            placements=(
                b.placement(count=2),
                b.placement(count=1, tier=Tier.D, surplus=True),
            ),
            warm_clocks=(b.warm_clock(count=1, until=UNTIL),),
            shortfalls=(b.shortfall(count=1, tier=Tier.D, surplus=True),),
        )
        assert fatal(found) == []

    def test_a_missing_row(self):
        found = audited(b.scenario(rows_in=2))
        assert fatal(found) == [("", "rows")]
        assert "2 rows were read, 1 are accounted for" in found[0].message

    def test_two_lines_of_one_row_are_one_row(self):
        two = (b.line(quantity=1), b.line(id="L2", quantity=1))
        found = audited(
            b.scenario(lines=two),
            demands=(b.demand(count=1), b.demand(line_id="L2", count=1)),
            placements=(b.placement(count=1), b.placement(line_id="L2", count=1)),
        )
        assert fatal(found) == []

    def test_bags_planned_and_bags_there(self):
        found = audited(
            demands=(b.demand(count=1),), placements=(b.placement(count=1),)
        )
        assert ("", "L1") in fatal(found)
        assert any("has 2 bags, 1 are planned" in one.message for one in found)

    def test_a_bag_that_ended_nowhere(self):
        found = audited(placements=(b.placement(count=1),))
        assert any("has 2 bags, 1 ended somewhere" in one.message for one in found)
        assert any("row 2 does not add up" in one.message for one in found)
        assert ("", "L1") in fatal(found)

    def test_more_of_a_part_than_was_planned(self):
        # Both bags are need; the plan places one of them as surplus.
        found = audited(
            placements=(b.placement(count=1), b.placement(count=1, surplus=True))
        )
        assert fatal(found) == [("", "L1")]

    def test_placed_and_short_count_together(self):
        # Two bags of need: one placed and two short is one too many.
        found = audited(
            placements=(b.placement(count=1),), shortfalls=(b.shortfall(count=2),)
        )
        text = "3 bags of need in tier A are placed or short, 2 are planned"
        assert any(text in one.message for one in found)

    def test_the_same_bags_put_twice(self):
        found = audited(placements=(b.placement(count=1), b.placement(count=1)))
        assert fatal(found) == [("", "L1")]
        assert "put 2 times" in found[0].message

    def test_goods_that_are_not_for_this_pool(self):
        scene = b.scenario(lines=(b.line(gate=Gate.WITH_PERSON),))
        assert ("", "L1") in fatal(audited(scene))
        assert ("", "L1") in fatal(audited(scene, placements=()))
        none = audited(scene, demands=(), placements=())
        assert fatal(none) == []

    def test_a_line_that_waits_in_review(self):
        scene = b.scenario(lines=(b.line(provisional=True),))
        assert fatal(audited(scene, demands=(), placements=())) == []
        # Once it is planned, all of it has to end somewhere.
        assert ("", "L1") in fatal(audited(scene, placements=()))
        assert ("", "L1") in fatal(audited(scene, demands=()))
        # A line that is not in review may not be left out.
        assert ("", "L1") in fatal(audited(demands=(), placements=()))

    def test_short_without_reason_or_next_step(self):
        for gap in ({"detail": " "}, {"next_step": ""}):
            found = audited(placements=(), shortfalls=(b.shortfall(**gap),))
            assert fatal(found) == [("", "L1")]

    @pytest.mark.parametrize(
        "change",
        [{"placed": 1}, {"short": 1}, {"quantity": 3}, {"row": 7}, {"line_id": "L9"}],
    )
    def test_an_account_that_is_not_true(self, change):
        scene = b.scenario()
        rows = account_rows(scene, (b.demand(),), (b.placement(),), (), ())
        found = audited(scene, accounts=(replace(rows[0], **change),))
        assert {rule for rule, _ in fatal(found)} == {""}

    def test_a_row_without_an_account(self):
        assert fatal(audited(accounts=())) == [("", "L1")]

    def test_a_held_row_without_an_account(self):
        scene = b.scenario(held_rows=(b.held_row(),))
        rows = account_rows(scene, (b.demand(),), (b.placement(),), (), ())
        assert fatal(audited(scene, accounts=rows[:1])) == [("", "rows")]
        twice = (*rows, rows[1])
        assert fatal(audited(scene, accounts=twice)) == [("", "rows")]
        assert fatal(audited(scene, accounts=rows)) == []

    def test_other_words_for_the_same_figures_are_fine(self):
        scene = b.scenario()
        rows = account_rows(scene, (b.demand(),), (b.placement(),), (), ())
        found = audited(scene, accounts=(replace(rows[0], outcome="all placed"),))
        assert fatal(found) == []


class TestIdsAndShapes:
    @pytest.mark.parametrize(
        ("claim", "subject"),
        [
            ({"units_on": (b.use(unit_id="U9"), b.use())}, "U9"),
            ({"placements": (b.placement(unit_id="U9"),)}, "U9"),
            ({"placements": (b.placement(), b.placement(line_id="L9"))}, "L9"),
            ({"demands": (b.demand(), b.demand(line_id="L9"))}, "L9"),
            ({"warm_clocks": (b.warm_clock(line_id="L9"),)}, "L9"),
            ({"shortfalls": (b.shortfall(line_id="L9"),)}, "L9"),
            ({"hookups": (b.hookup(), b.hookup(from_id="B9"))}, "B9"),
            ({"hookups": (b.hookup(), b.hookup(to_id="U9"))}, "U9"),
            ({"hookups": (b.hookup(), b.hookup(place="Attic"))}, "U1"),
            ({"units_on": (b.use(), b.use())}, "U1"),
            ({"units_on": (b.use(set_points_c=(5.0, 5.0)),)}, "U1"),
            ({"units_on": ()}, "U1"),
            ({"placements": (b.placement(zone=1),)}, "U1"),
            ({"placements": (b.placement(count=0),)}, "L1"),
            ({"demands": (b.demand(count=-2),)}, "L1"),
        ],
    )
    def test_unknown_or_misshapen_parts(self, claim, subject):
        assert ("", subject) in fatal(audited(**claim))

    def test_counts_of_nothing_are_named(self):
        found = audited(
            placements=(b.placement(), b.placement(count=0, surplus=True)),
            shortfalls=(b.shortfall(count=0),),
        )
        texts = [one.message for one in found if one.fatal]
        assert texts == ["0 bags of K7M are placed", "0 bags of K7M"]

    @pytest.mark.parametrize(
        "plug",
        [
            b.hookup(from_h=3, to_h=3),
            b.hookup(from_h=-1),
            b.hookup(to_h=7),
            b.hookup(port_number=0),
            b.hookup(from_id="U1", to_id="B1"),
        ],
    )
    def test_misshapen_plugs_break_r7(self, plug):
        assert "R7" in {rule for rule, _ in fatal(audited(hookups=(plug,)))}

    def test_ids_used_twice(self):
        scene = b.scenario(batteries=(b.battery(), b.battery(id="U1")))
        assert ("", "U1") in fatal(audited(scene))
        scene = b.scenario(lines=(b.line(), b.line(row=3)))
        assert ("", "L1") in fatal(audited(scene))

    @pytest.mark.parametrize(
        ("fields", "subject"),
        [
            ({"lines": (b.line(place="Attic"),)}, "L1"),
            ({"units": (b.unit(place="Attic"),)}, "U1"),
            ({"batteries": (b.battery(place="Attic"),)}, "B1"),
            ({"panels": (b.panel(place="Attic"),)}, "P1"),
            ({"sources": (b.source(place="Attic"),)}, "S1"),
        ],
    )
    def test_places_nobody_knows(self, fields, subject):
        assert ("", subject) in fatal(audited(b.scenario(**fields)))

    def test_nothing_to_plan_is_in_order(self):
        scene = b.scenario(lines=(), units=(), batteries=(), panels=(), places=())
        found = audited(scene, demands=(), units_on=(), placements=(), hookups=())
        assert found == ()
