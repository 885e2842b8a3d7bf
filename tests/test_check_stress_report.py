"""The whole report on a sample: what it says, how fast, and the same twice."""

import io
import re
import time
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner

from planner import cli, pipeline
from planner.check.case import Case
from planner.check.ground import Claim, lay_ground
from planner.check.rules_goods import (
    check_r1_band,
    check_r3_volume,
    check_r4_segregation,
    check_r5_custody,
    check_r6_access,
    check_r8_warm_load,
    check_r12_refreeze,
)
from planner.check.stress_rehouse import after_moves
from planner.output.pictures.units import unit_pictures
from planner.output.stress_cards import failure_cards
from planner.output.stress_text import stress_text
from planner.output.stress_workbook import stress_workbook
from planner.scenario import SunCase, Tier
from tests import plan_fixture

SAMPLES = Path(__file__).parents[1] / "sample_data"
MOVED_RULES = (
    check_r1_band, check_r3_volume, check_r4_segregation, check_r5_custody,
    check_r6_access, check_r8_warm_load, check_r12_refreeze,
)  # fmt: skip


def planned(name):
    data = (SAMPLES / name).read_bytes()
    reading = pipeline.read_files(name, data, now=datetime(2025, 7, 14, 8))
    return pipeline.make_plan(reading.scenario, borrow=False)


@pytest.fixture(scope="module")
def hall():
    return planned("hall_in_heat.xlsx")


@pytest.fixture(scope="module")
def report(hall):
    return pipeline.stress_plan(hall)


def test_it_comes_within_seconds(hall):
    began = time.monotonic()
    pipeline.stress_plan(hall)
    # About one second on two quiet cores; room for a busy machine.
    assert time.monotonic() - began < 10


def test_the_same_plan_gives_the_same_report_and_the_same_bytes(hall, report):
    again = pipeline.stress_plan(hall)
    assert again == report
    assert stress_text(hall, again) == stress_text(hall, report)
    assert stress_workbook(hall, again) == stress_workbook(hall, report)


def test_everything_in_use_fails_once(hall, report):
    ends = {end for plug in hall.hookups for end in (plug.from_id, plug.to_id)}
    loads = {s.id for s in hall.scenario.sources if s.kind.value == "life support"}
    assert {one.thing_id for one in report.failures} == ends - loads
    assert len(report.failures) == len(ends - loads)


def test_each_bag_of_a_dark_unit_is_carried_or_has_no_place(hall, report):
    for one in report.failures:
        dark = {outage.thing_id for outage in one.outages}
        there = sum(put.count for put in hall.placements if put.unit_id in dark)
        carried = sum(move.count for move in one.moves)
        assert carried + sum(bags.count for bags in one.stranded) == there
        assert sum(count for _, count in one.lost) <= there


def test_bags_count_in_the_tiers_in_which_the_plan_placed_them(hall, report):
    alone = [
        (one.outages[0].thing_id, one)
        for one in report.failures
        if len(one.outages) == 1 and one.stranded and not one.moves
    ]
    assert any(bags.surplus for _, one in alone for bags in one.stranded)
    for unit_id, one in alone:
        card = failure_cards(hall, replace(report, failures=(one,)))[0]
        lost = {t: n for n, t in re.findall(r"(\d+) of tier (.)", str(card.lines))}
        drawn = " ".join(unit_pictures(hall, unit_id)[0].words)
        assert lost == dict(re.findall(r"Tier (.) \([^)]*\): (\d+) bag", drawn))


@pytest.mark.parametrize("name", ["hall_in_heat.xlsx", "quiet_street.xlsx"])
def test_what_is_carried_keeps_the_audits_rules(name):
    made = planned(name)
    ground = lay_ground(made.scenario)
    claim = Claim(
        demands=made.demands,
        units_on=made.units_on,
        placements=made.placements,
        hookups=made.hookups,
    )
    for one in pipeline.stress_plan(made).failures:
        dark = {outage.thing_id for outage in one.outages}
        moved = after_moves(claim, one.moves)
        case = Case(ground=ground, claim=moved, runs={})
        broken = [found for rule in MOVED_RULES for found in rule(case)]
        assert broken == []
        assert all(move.to_unit_id not in dark for move in one.moves)


def test_the_planned_sun_of_a_hard_case_is_never_kinder_than_the_plan(hall, report):
    window_h = hall.scenario.conditions.window_h
    known = {
        (one.unit_id, replay.sun_case): one.dark_from_h
        for replay in hall.replays
        for one in replay.endurance
    }
    for hard in report.hard_cases:
        for one in hard.units:
            before_h = known[one.unit_id, one.sun_case]
            ends_h = window_h if one.ends_h is None else one.ends_h
            assert ends_h <= (window_h if before_h is None else before_h)


def test_the_ladder_keeps_the_last_and_life_support(hall, report):
    off = [step.unit_id for step in report.ladder]
    assert off
    assert len(set(off)) == len(off)
    assert not any(unit_id.startswith("source:") for unit_id in off)
    bags = {
        use.unit_id: sum(
            put.count
            for put in hall.placements
            if put.unit_id == use.unit_id and put.tier is Tier.A and not put.surplus
        )
        for use in hall.units_on
    }
    assert bags[off[0]] == 0


def test_a_step_that_is_taken_later_says_what_it_still_saves(hall, report):
    step = report.ladder[0]
    at_start_h = sum(
        (72 if one.after_h is None else one.after_h)
        - (72 if one.before_h is None else one.before_h)
        for one in step.hours
    )
    assert step.later
    for one in step.later:
        assert 0 <= one.saved_h <= at_start_h
        assert f"{one.saved_h} hours at Tue" in stress_text(hall, report)


def test_the_text_has_clock_times_codes_and_no_names(hall, report):
    text = stress_text(hall, report)
    assert "goes dark at Tue" in text
    assert "ask a pharmacist" in text
    assert "none of them yours" in text
    for line in hall.scenario.lines:
        assert not line.resident or line.resident not in text


def test_the_workbook_opens_and_neutralises_what_a_sheet_says():
    made = plan_fixture.hostile_plan("=1+1")
    report = pipeline.stress_plan(made)
    book = openpyxl.load_workbook(io.BytesIO(stress_workbook(made, report)))
    assert book.sheetnames == [
        "If something fails", "Switch off first", "Harder days", "Measured weather",
    ]  # fmt: skip
    for sheet in book.worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                assert cell.data_type != "f"


def test_a_plan_without_any_unit_on_has_nothing_to_fail():
    from dataclasses import replace

    made = plan_fixture.plan()
    empty = replace(made, units_on=(), placements=(), hookups=())
    report = pipeline.stress_plan(empty)
    assert (report.failures, report.ladder, report.weather) == ((), (), None)
    assert "Nothing that is in use can fail" in stress_text(empty, report)


class TestCommand:
    def run(self, *arguments):
        return CliRunner().invoke(cli.main, ["stress", *map(str, arguments)])

    def test_it_prints_the_report_and_writes_a_new_workbook(self, tmp_path):
        out = tmp_path / "what_if.xlsx"
        result = self.run(SAMPLES / "quiet_street.xlsx", "--out", out)
        assert result.exit_code == 0, result.output
        assert result.output.startswith("What if?")
        assert "IF ONE THING FAILS" in result.output
        assert openpyxl.load_workbook(out).sheetnames[0] == "If something fails"

    def test_it_overwrites_nothing(self, tmp_path):
        out = tmp_path / "what_if.xlsx"
        out.write_bytes(b"mine")
        result = self.run(SAMPLES / "quiet_street.xlsx", "--out", out)
        assert result.exit_code == 2
        assert out.read_bytes() == b"mine"

    def test_a_list_that_needs_mending_gives_no_report(self, tmp_path):
        broken = tmp_path / "hall.xlsx"
        broken.write_bytes(b"no workbook at all")
        result = self.run(broken)
        assert result.exit_code == 2
        assert "IF ONE THING FAILS" not in result.output


def test_sun_cases_are_all_replayed(report):
    for hard in report.hard_cases:
        assert {one.sun_case for one in hard.units} == set(SunCase)
