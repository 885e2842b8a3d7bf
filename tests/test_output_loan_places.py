"""Who gets a place by a loan, who loses one, and where that is said."""

from dataclasses import replace

import pytest

from planner.output.answers import borrow_worked_out, who_is_short
from planner.output.cards import loan_cards, short_cards
from planner.output.headlines import borrow_headline
from planner.output.loan_places import serving_steps
from planner.output.manner import PLAIN, Manner
from planner.output.paper import hand_copy, paper_pdf
from planner.output.summary import summary_text
from planner.output.tables import shortfalls
from planner.output.tables_lending import borrow_list
from planner.output.wording import Language
from planner.output.workbook import _summary_lines
from planner.result_borrow import NO_MORE, BorrowMore, LoanBags
from tests import plan_fixture
from tests.paper_reader import pages

SPANISH = Manner(language=Language.ES)
PLAN = plan_fixture.plan()
SHORT = PLAN.shortfalls[0]


def plan_with(*bags, hours=24.0, borrow=NO_MORE):
    """The plan with one step, and no other kit to be asked for."""
    step = replace(PLAN.loans[0], bags=bags, hours_gained=hours)
    return replace(PLAN, loans=(step,), borrow=borrow)


def bags(line_id, count, *, surplus=False):
    return LoanBags(line_id=line_id, surplus=surplus, bags=count)


def printed(plan):
    """All words of the printed sheets, and those of the hand copy."""
    sheets = " ".join(" ".join(one.body.split()) for one in pages(paper_pdf(plan)))
    return sheets, " ".join(hand_copy(plan).split())


class TestPlaces:
    PLAN = plan_with(
        bags("Intake:5", 2),
        bags("Intake:3", -1),
        bags("Intake:2", 1, surplus=True),
        bags("Intake:2", -2),
    )

    def test_only_those_whose_own_count_changes_are_served(self):
        (card,) = loan_cards(self.PLAN)
        assert card.serves == "K-5 (2 bags)"

    def test_who_loses_a_place_is_said_beside_extra_stock(self):
        (card,) = loan_cards(self.PLAN)
        assert card.minds == (
            "Extra stock that also finds room: K-2 (1 bag)",
            (
                "Mind: in this step these lose their place in the cold: "
                "K-2 (2 bags), K-3 (1 bag)"
            ),
        )
        sheets, _ = printed(self.PLAN)
        assert card.minds[1] in sheets
        table = borrow_list(self.PLAN)
        assert list(table["Who loses a place"]) == ["K-2 (2 bags), K-3 (1 bag)"]

    def test_a_step_that_costs_nobody_a_place_says_nothing_of_it(self):
        plan = plan_with(bags("Intake:5", 2))
        (card,) = loan_cards(plan)
        assert card.minds == ()
        assert "lose their place" not in printed(plan)[0]
        assert list(borrow_list(plan)["Who loses a place"]) == [""]


class TestHours:
    def test_hours_lost_without_sun_are_said(self):
        plan = plan_with(hours=-70.0)
        (card,) = loan_cards(plan)
        assert "costs 70 unit-hours without any sun" in card.minds[-1]
        assert "unit-hours" not in card.gives
        assert card.minds[-1] in printed(plan)[0]
        (told,) = loan_cards(plan, SPANISH)
        assert "cuesta 70 horas-unidad sin nada de sol" in told.minds[-1]

    def test_hours_gained_are_a_gain(self):
        plan = plan_with(hours=70.0)
        (card,) = loan_cards(plan)
        assert "70 more unit-hours without any sun" in card.gives
        assert card.minds == ()


class TestSeeStep:
    PLAN = plan_with(
        LoanBags(line_id=SHORT.line_id, surplus=SHORT.surplus, bags=SHORT.count)
    )

    def test_a_short_line_points_to_the_step_that_serves_it(self):
        assert serving_steps(self.PLAN, SHORT) == {1: SHORT.count}
        found = [one.borrow for one in short_cards(self.PLAN) if one.borrow]
        assert len(found) == 1
        assert found[0].startswith("See the borrow list: step 1 gives ")
        assert sum("borrow list step 1" in one for one in who_is_short(self.PLAN)) == 1
        steps = list(shortfalls(self.PLAN)["Borrow list step"])
        assert steps.count("1") == 1
        sheets, copied = printed(self.PLAN)
        assert f"Then: the borrow list, {found[0].split(': ')[1]}" in sheets
        assert found[0] in copied

    def test_a_line_that_no_step_serves_does_not(self):
        plan = plan_with(
            LoanBags(line_id=SHORT.line_id, surplus=not SHORT.surplus, bags=1),
            LoanBags(line_id=SHORT.line_id, surplus=SHORT.surplus, bags=-1),
        )
        assert serving_steps(plan, SHORT) == {}
        assert not any(
            one.borrow
            for one in short_cards(plan)
            if one.title == short_cards(self.PLAN)[0].title
            and one.extra_stock == SHORT.surplus
        )


class TestNotWorkedOut:
    NOT = replace(PLAN, loans=(), borrow=NO_MORE)
    NONE = replace(PLAN, loans=(), borrow=BorrowMore(worked_out=True))
    WAITING = replace(NOT, shortfalls=())
    SERVED = replace(WAITING, scenario=replace(PLAN.scenario, held_rows=()))

    @pytest.mark.parametrize("how", [PLAIN, SPANISH])
    def test_nothing_found_and_not_looked_for_are_told_apart(self, how):
        for said in (
            lambda plan: summary_text(plan, (), how),
            lambda plan: str(_summary_lines(plan, "X", how)),
            lambda plan: borrow_headline(plan, how=how).answer,
            lambda plan: printed(plan)[0],
            lambda plan: printed(plan)[1],
        ):
            assert said(self.NOT) != said(self.NONE)

    @pytest.mark.parametrize(
        ("plan", "looked"),
        [
            (NOT, False),
            (NONE, True),
            # Work saved before it was noted shows it by what was solved.
            (replace(NOT, borrow=BorrowMore(solved=12)), True),
        ],
    )
    def test_screens_and_paper_agree_on_whether_it_was_worked_out(self, plan, looked):
        assert borrow_worked_out(plan) is looked
        answer = borrow_headline(plan, how=PLAIN).answer
        assert answer.startswith("Not worked out") is not looked
        for text in printed(plan):
            assert ("What to borrow was not worked out" in text) is not looked

    def test_each_says_which(self):
        not_so, none = summary_text(self.NOT, ()), summary_text(self.NONE, ())
        assert "BORROW FIRST: not worked out for this plan" in not_so
        assert "BORROW FIRST: nothing on offer would help more" in none
        book = [text for text, _ in _summary_lines(self.NOT, "X", PLAIN)]
        assert any(one.startswith("Not worked out for this plan") for one in book)
        for text in printed(self.NOT):
            assert "What to borrow was not worked out" in text
        for text in printed(self.NONE):
            assert "Nothing on offer was found that would help more." in text

    def test_where_nobody_is_short_it_does_not_matter(self):
        assert "BORROW FIRST: nothing, nobody is short" in summary_text(self.SERVED, ())
        # Rows that wait in review may turn out to be short.
        assert "BORROW FIRST: not known" in summary_text(self.WAITING, ())
