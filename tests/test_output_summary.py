"""The one-screen summary: it fits, says the three answers, names nobody."""

from dataclasses import replace
from datetime import timedelta

import pytest

from planner.issue import Issue, Severity
from planner.output.answers import row_balance, title, what_goes_dark
from planner.output.paper import hand_copy
from planner.output.summary import COLUMNS, LINES, summary_text
from planner.output.wording import Language
from planner.output.words import width
from planner.result import SHORTER_PLAN, Finding, PlanStatus, UnitEndurance
from planner.scenario import SunCase
from tests import builders as b
from tests import plan_fixture


def issue(severity: Severity) -> Issue:
    return Issue(
        code="x", severity=severity, sheet="Intake", row=2, column="Item",
        value="?", message="m", remedy="r",
    )  # fmt: skip


def summary(plan=None, issues=()):
    return summary_text(plan or plan_fixture.plan(), issues)


def many(plan, times):
    """Repeat shortfalls, loans and findings until nothing fits any more."""
    steps = [replace(plan.loans[0], rank=rank) for rank in range(1, times + 1)]
    units = tuple(
        replace(plan.scenario.units[0], id=f"many-{n}", name=f"Fridge {n}")
        for n in range(times)
    )
    uses = tuple(replace(plan.units_on[0], unit_id=unit.id) for unit in units)
    return replace(
        plan,
        scenario=replace(plan.scenario, units=plan.scenario.units + units),
        units_on=plan.units_on + uses,
        shortfalls=plan.shortfalls * times,
        loans=tuple(steps),
        tiers=(plan.tiers * 2)[:5],
    )


def test_says_status_window_and_sun():
    text = summary()
    assert "Mon 13 Oct 2025 08:00 to Thu 08:00 (72 hours), planned on poor sun" in text
    assert "Proven best" in text


def test_says_each_tier():
    rows = [line.split() for line in summary().splitlines() if "proven best" in line]
    assert rows[0] == ["A", "2", "2", "2", "0", "0", "1", "of", "1", "proven", "best"]
    assert rows[1][:6] == ["B", "4", "3", "3", "0", "1"]


def test_says_who_is_short_most_urgent_first():
    lines = summary().splitlines()
    at = lines.index("WHO IS SHORT: 3 bags, most urgent first")
    assert lines[at + 1].startswith("  not known, ask now: K-5 2 bags, tier D")
    assert lines[at + 2].startswith("  Mon 12:00: K-3 1 bag, tier B")


def test_says_what_goes_dark_in_the_planned_case_and_without_sun():
    # 800 Wh above the floor at 25 Wh an hour: 32 hours after Monday 08:00.
    dark = "poor sun holds to Thu 08:00; no sun DARK from Tue 16:00"
    assert f"North fridge (5 C / 41 F): {dark}" in summary()
    assert "Blue chest (2 C / 36 F): needs ice, no power" in summary()


def test_an_idle_unit_that_could_run_for_a_while_is_said_in_full_below_who_is_short():
    said = (
        "With what is here Fridge one could run on Battery one until Tue 00:00, which"
        " is 16 h of the 24 h: plan for 16 hours instead, and keep asking for power"
    )
    plan = plan_fixture.plan()
    idle = Finding(rule="R7", fatal=False, subject=SHORTER_PLAN, message=said)
    plan = replace(plan, findings=(*plan.findings, idle))
    text = " ".join(summary_text(plan, ()).split())
    assert text.index("WHO IS SHORT") < text.index(said) < text.index("WHAT GOES DARK")
    assert "could run on" not in summary()
    handed = " ".join(hand_copy(plan).split())
    assert said in handed[: handed.index("Borrow first")]
    spanish = " ".join(hand_copy(plan, language=Language.ES).split())
    assert "podría funcionar con Battery one hasta el mar 00:00" in spanish


def test_life_support_comes_before_all_that_goes_dark():
    plan = plan_fixture.plan()
    load = b.life_support()
    fates = {SunCase.NONE: 14, SunCase.POOR: None, SunCase.MEAN: None}
    plan = replace(
        plan,
        scenario=replace(plan.scenario, sources=(load,)),
        replays=tuple(
            replace(
                one,
                loads=(
                    UnitEndurance(
                        unit_id=load.id,
                        sun_case=one.sun_case,
                        dark_from_h=fates[one.sun_case],
                        held_h=14,
                    ),
                ),
            )
            for one in plan.replays
        ),
    )
    lines = summary_text(plan, ()).splitlines()
    said = (
        "  LIFE SUPPORT Concentrator: poor sun holds to Thu 08:00;"
        " no sun DARK from Mon 22:00"
    )
    assert lines[lines.index("WHAT GOES DARK WHEN") + 1] == said
    assert "LIFE SUPPORT" not in summary()


def test_on_a_screen_that_wraps_every_word_stands_there():
    plan = plan_fixture.plan()
    long = replace(
        plan, loans=tuple(replace(one, ask_for=("word " * 60,)) for one in plan.loans)
    )
    assert "..." in summary_text(long, ())
    whole = summary_text(long, (), columns=None)
    assert "word " * 59 in whole
    assert not any(line.endswith("...") for line in whole.splitlines())
    # No columns that a narrow screen would tear apart.
    assert "  " not in whole.split("WHO IS SHORT")[0].replace("PLAN  ", "")
    assert "A (missing it endangers life" in whole


def test_unit_that_holds_in_every_case_says_it_once():
    said = what_goes_dark(plan_fixture.plan(), (SunCase.POOR, SunCase.MEAN))
    assert "North fridge (5 C / 41 F): holds to Thu 08:00" in said


def test_says_what_to_borrow_and_when_to_stop():
    text = summary()
    assert "1. Lent fridge from Depot, ready Mon 14:00: 1 bag of tier B, 2 bags" in text
    assert "Ask for: 12 V compressor fridge of 10 L or more" in text
    assert "After step 1, nothing of tiers A to C is short: stop asking." in text


def test_every_row_is_accounted_for():
    said = row_balance(plan_fixture.plan())
    assert said == (
        "Rows: 8 read = 6 accounted for bag by bag + 1 waiting in review"
        " + 1 that hold no item"
    )


def test_counts_issues_by_weight():
    issues = [issue(Severity.REVIEW), issue(Severity.ASSUMED), issue(Severity.ASSUMED)]
    assert "Input: 1 to look at, 2 filled with an assumed value" in summary(
        issues=issues
    )
    assert "Input: no remarks" in summary()


@pytest.mark.parametrize(
    ("status", "words"),
    [
        (PlanStatus.UNPROVEN, "not proven best"),
        (PlanStatus.NO_PLAN, "Stopped without a plan"),
        (PlanStatus.NOTHING_TO_PLAN, "Nothing to plan"),
    ],
)
def test_other_outcomes_are_said_plainly(status, words):
    assert words in summary(plan_fixture.plan(status=status)).splitlines()[1]


def test_empty_plan_still_has_an_answer():
    plan = plan_fixture.plan(
        status=PlanStatus.NOTHING_TO_PLAN, demands=(), units_on=(), placements=(),
        hookups=(), warm_clocks=(), shortfalls=(), tiers=(), replays=(), loans=(),
        accounts=(), findings=(),
    )  # fmt: skip
    text = summary(plan)
    assert "NOT PLANNED, ASK NOW: 1 row of the list: row 8" in text
    assert "WHO IS SHORT: nobody else" in text
    assert "BORROW FIRST: not known before the rows above are planned" in text
    text = summary(replace(plan, scenario=replace(plan.scenario, held_rows=())))
    assert "NOT PLANNED" not in text
    assert "WHO IS SHORT: nobody\n" in text
    assert "no unit is on" in text
    assert "BORROW FIRST: nothing" in text


def fits(text):
    lines = text.splitlines()
    return len(lines) <= LINES and all(width(line) <= COLUMNS for line in lines)


def test_fits_one_screen():
    assert fits(summary())


def test_a_crowded_plan_fits_and_says_what_is_left_out():
    text = summary(many(plan_fixture.plan(), 40), [issue(Severity.NOTE)])
    assert fits(text)
    assert "... and 75 more in the workbook" in text
    assert "... and 37 more in the workbook" in text
    assert text.splitlines()[-1].startswith("Cautions:")


@pytest.mark.parametrize("hostile", plan_fixture.HOSTILE)
def test_hostile_text_cannot_break_the_screen(hostile):
    text = summary(plan_fixture.hostile_plan(hostile))
    assert fits(text)
    assert text.replace("\n", "").isprintable()


def test_names_nobody():
    assert plan_fixture.RESIDENT not in summary()
    assert plan_fixture.HOUSEHOLD not in summary()


def test_title_of_a_long_window_has_both_dates():
    plan = plan_fixture.plan()
    conditions = replace(plan.scenario.conditions, window_h=168)
    long = replace(plan, scenario=replace(plan.scenario, conditions=conditions))
    assert title(long).startswith(
        "Mon 13 Oct 2025 08:00 to Mon 20 Oct 2025 08:00 (168 hours)"
    )
    assert conditions.clock(168) - conditions.start == timedelta(days=7)
