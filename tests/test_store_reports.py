"""The what-if report beside the working file: for this very plan, or not at all."""

import json
import os
import stat
from dataclasses import replace

import pytest

from planner.pipeline import stress_plan
from planner.store import delete_report, load_report, save_report
from planner.store import reports as module
from tests import plan_fixture

PLAN = plan_fixture.plan()
REPORT = stress_plan(PLAN)


@pytest.fixture
def work(tmp_path):
    return tmp_path / "folder" / "work.sqlite"


def test_a_report_comes_back_as_it_was(work):
    assert load_report(work, PLAN) is None
    assert save_report(work, PLAN, REPORT)
    assert load_report(work, PLAN) == REPORT


def test_it_is_of_this_plan_and_this_version_only(work, monkeypatch):
    assert save_report(work, PLAN, REPORT)
    assert load_report(work, replace(PLAN, loans=())) is None
    assert load_report(work, replace(PLAN, placements=PLAN.placements[1:])) is None
    monkeypatch.setattr(module, "__version__", "0.0.0-other")
    assert load_report(work, PLAN) is None


def test_the_newest_takes_the_place_of_the_one_before(work):
    other = replace(PLAN, loans=())
    assert save_report(work, PLAN, REPORT)
    assert save_report(work, other, REPORT)
    assert load_report(work, PLAN) is None
    assert load_report(work, other) == REPORT
    assert [one.name for one in work.parent.iterdir()] == ["what_if.json"]


@pytest.mark.skipif(os.name != "posix", reason="modes of POSIX systems")
def test_only_its_owner_may_read_it(work):
    save_report(work, PLAN, REPORT)
    mode = work.with_name("what_if.json").stat().st_mode
    assert stat.S_IMODE(mode) == 0o600


def test_no_name_is_in_it(work):
    save_report(work, PLAN, REPORT)
    text = work.with_name("what_if.json").read_text()
    for line in PLAN.scenario.lines:
        assert line.resident not in text


@pytest.mark.parametrize("text", ["", "{", "[]", '{"plan": 3}', "\x00" * 9])
def test_a_damaged_file_is_passed_over(work, text):
    save_report(work, PLAN, REPORT)
    work.with_name("what_if.json").write_text(text)
    assert load_report(work, PLAN) is None


def test_a_report_that_does_not_fit_its_nouns_is_passed_over(work):
    save_report(work, PLAN, REPORT)
    file = work.with_name("what_if.json")
    content = json.loads(file.read_text())
    content["report"]["ladder"] = "none"
    file.write_text(json.dumps(content))
    assert load_report(work, PLAN) is None


def test_a_disk_that_refuses_is_no_fault(work):
    work.parent.parent.joinpath("folder").write_text("a file where a folder should be")
    assert not save_report(work, PLAN, REPORT)
    assert load_report(work, PLAN) is None


def test_it_can_be_forgotten(work):
    save_report(work, PLAN, REPORT)
    delete_report(work)
    assert not list(work.parent.iterdir())
    delete_report(work)
