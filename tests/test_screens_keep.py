"""Nothing is lost: reload, undo, two windows, a carried file, closing down."""

import threading
from pathlib import Path

import pytest

from planner import pipeline
from planner.errors import SavedWorkError
from planner.pipeline import make_plan
from planner.screens import keeping
from planner.screens.changes import SAMPLE_VARIABLE
from planner.screens.job import Job, forget_job, forget_jobs, running_job
from planner.screens.state import saved_form
from planner.store import carried, look, work_file
from tests import plan_fixture, workbook_maker
from tests.screen_driver import (
    SAMPLES,
    SCARCE,
    app,
    go,
    press,
    scarce_book,
    shown,
    sound,
    upload,
    work,
)
from tests.test_screens_edit import type_over


@pytest.fixture(autouse=True)
def no_jobs() -> None:
    """Searches that an earlier test left behind belong to its windows."""
    forget_jobs()


STATE = (
    "list_name", "list_bytes", "kit_name", "kit_bytes", "read_at", "answers",
    "accepted", "scenario", "issues", "changed", "plan", "borrow_asked",
)  # fmt: skip


def state(at) -> dict[str, object]:
    return {name: getattr(work(at), name) for name in STATE}


def with_everything():
    """List, an answer, an edit, a plan without loans: all that can be kept."""
    at = go(upload(app(), scarce_book()), "questions")
    at = press(at, first_answer(at, "Right as it is"))
    at = type_over(go(at, "have"), "Batteries", 0, **{"Charge now (%)": "40"})
    at = go(at, "plan")
    at.checkbox(key="with_borrow").uncheck()
    return press(at, "make_plan")


def first_answer(at, label: str) -> str:
    return next(
        one.key
        for one in at.button
        if one.label == label and one.key.startswith("answer")
    )


def test_a_new_window_shows_all_that_the_first_had() -> None:
    at = with_everything()
    assert work(at).plan is not None
    assert work(at).changed
    assert work(at).accepted
    again = app()
    assert state(again) == state(at)
    assert not work(again).stale
    assert "fits what is entered" in shown(again)


def test_a_reload_reads_the_list_with_the_clock_of_its_coming() -> None:
    without_start = SCARCE | {
        "Conditions": SCARCE["Conditions"].replace("Start | | d:2025-10-13 08:00\n", "")
    }
    at = upload(app(), workbook_maker.book(without_start))
    began = work(at).scenario.conditions.start
    stored = work(at).read_at
    assert work(app()).scenario.conditions.start == began
    assert work(app()).read_at == stored


def test_an_opened_program_with_a_plan_shows_where_we_stand() -> None:
    with_everything()
    said = shown(app())
    assert "Where we stand" in said
    assert "Who is short?" in said
    assert "Do next" in said


def test_undo_and_redo_at_the_side_of_every_page() -> None:
    at = with_everything()
    made = work(at).plan
    at = press(go(at, "short"), "undo")
    assert work(at).plan is None
    assert work(at).changed
    at = press(at, "undo")
    assert not work(at).changed
    assert "Redo brings again: Changed: Batteries, Pack one" in shown(at)
    at = press(press(at, "redo"), "redo")
    assert work(at).plan == made
    assert "redo" not in {one.key for one in at.button}


def test_a_list_put_away_by_mistake_comes_back() -> None:
    at = with_everything()
    before = state(at)
    at = press(go(at, "bring_list"), "put_away")
    assert work(at).list_name == ""
    at = press(at, "undo")
    assert state(at) == before


def two_windows():
    first = upload(app(), scarce_book())
    second = app()
    assert state(second) == state(first)
    first = type_over(go(first, "have"), "Batteries", 0, **{"Charge now (%)": "40"})
    return first, second


def charge(at) -> float:
    return work(at).scenario.batteries[0].charge_now


def test_a_window_that_is_behind_says_so_and_writes_nothing() -> None:
    first, second = two_windows()
    newest = look(work_file())
    second = sound(second.run())
    assert "NOT SAVED: another window changed the work" in shown(second)
    second = type_over(go(second, "have"), "Batteries", 0, **{"Charge now (%)": "70"})
    assert charge(second) == 0.7
    assert "another window changed the work" in shown(second)
    assert look(work_file()) == newest
    assert charge(first) == charge(app()) == 0.4


def test_two_changes_at_the_same_moment_do_not_overwrite_each_other() -> None:
    """The second window had not been drawn since the first one wrote."""
    first, second = two_windows()
    kept = look(work_file())
    keeping.keep(work(second), "a change of the second window")
    assert look(work_file()) == kept
    # It held the state of before, and said so instead of writing it.
    assert work(second).changed_elsewhere
    assert charge(app()) == charge(first) == 0.4


def test_a_window_may_take_over_what_the_other_did() -> None:
    first, second = two_windows()
    second = press(sound(second.run()), "take_over")
    assert charge(second) == 0.4
    assert "another window" not in shown(second)
    assert state(second) == state(first)


def test_a_window_may_keep_its_own_and_the_other_state_is_one_undo_away() -> None:
    _, second = two_windows()
    second = type_over(go(second, "have"), "Batteries", 0, **{"Charge now (%)": "70"})
    second = press(second, "keep_mine")
    assert charge(app()) == 0.7
    second = press(second, "undo")
    assert charge(second) == charge(app()) == 0.4


def test_an_empty_window_simply_shows_what_another_brought_in() -> None:
    empty = app()
    upload(app(), scarce_book())
    empty = sound(empty.run())
    assert work(empty).list_name == "list.xlsx"
    assert "another window" not in shown(empty)


def test_both_windows_may_collect_the_same_plan() -> None:
    first = upload(app(), scarce_book())
    second = app()
    job = Job(work(first).scenario, time_limit_s=20.0, borrow=False)
    work(first).job = work(second).job = job
    assert job.wait(60)
    first, second = sound(first.run()), sound(second.run())
    assert work(first).plan == work(second).plan is not None
    assert "another window" not in shown(first) + shown(second)


def test_a_search_goes_on_over_a_reload(monkeypatch: pytest.MonkeyPatch) -> None:
    at = upload(app(), scarce_book())
    made = plan_fixture.plan()
    let_go = threading.Event()

    def slow(_scenario: object, **_options: object):
        let_go.wait(10)
        return made

    monkeypatch.setattr(pipeline, "make_plan", slow)
    job = Job(work(at).scenario, time_limit_s=1.0, borrow=False)
    work(at).job = job
    reloaded = app()
    assert work(reloaded).job is job
    assert "being worked out" in shown(reloaded)
    let_go.set()
    assert job.wait(5)
    reloaded = sound(reloaded.run())
    assert work(reloaded).plan == made
    assert running_job(work(at).scenario) is None


def test_stopping_among_the_loans_keeps_the_plan(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    at = upload(app(), scarce_book())
    made = make_plan(work(at).scenario, borrow=False)
    reached = threading.Event()

    def found_then_loans(_scenario: object, **options):
        options["found"](made)
        reached.set()
        for _ in range(200):
            options["progress"]("loan 1", 0.5)
            threading.Event().wait(0.02)

    monkeypatch.setattr(pipeline, "make_plan", found_then_loans)
    job = Job(work(at).scenario, time_limit_s=1.0, borrow=True)
    work(at).job = job
    assert reached.wait(5)
    job.stop()
    assert job.wait(5)
    at = sound(go(at, "plan").run())
    assert work(at).plan == made
    said = shown(at)
    assert "The plan itself was ready and is kept" in said
    assert "Not worked out" in said
    assert work(app()).plan == made


def test_the_plan_is_shown_while_loans_are_looked_for(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    at = upload(app(), scarce_book())
    base = make_plan(work(at).scenario, borrow=False)
    whole = make_plan(work(at).scenario)
    ready, let_go = threading.Event(), threading.Event()

    def found_then_loans(_scenario: object, **options):
        options["found"](base)
        ready.set()
        let_go.wait(10)
        return whole

    monkeypatch.setattr(pipeline, "make_plan", found_then_loans)
    job = Job(work(at).scenario, time_limit_s=1.0, borrow=True)
    work(at).job = job
    assert ready.wait(5)
    said = shown(go(at, "status"))
    assert work(at).plan == base
    assert "What to borrow is still being worked out" in said
    assert "Being worked out" in said
    assert "loans are being looked for" in said
    # It is safe already, should the power go now.
    assert work(app()).plan == base
    let_go.set()
    assert job.wait(5)
    said = shown(sound(at.run()))
    assert work(at).plan == whole
    assert "being worked out" not in said
    assert "Lent fridge" in said


def test_a_fault_among_the_loans_keeps_the_plan_too(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    made = plan_fixture.plan()

    def found_then_fault(_scenario: object, **options):
        options["found"](made)
        raise ZeroDivisionError

    monkeypatch.setattr(pipeline, "make_plan", found_then_fault)
    job = Job(made.scenario, time_limit_s=1.0, borrow=True)
    assert job.wait(5)
    forget_job(job)
    assert job.plan == made
    assert not job.borrow
    assert job.failure == "at.job.only_loans"


def test_work_is_carried_as_one_file(tmp_path: Path, monkeypatch) -> None:
    at = with_everything()
    data = carried(saved_form(work(at)))
    monkeypatch.setenv("PLANNER_DATA_DIR", str(tmp_path / "other computer"))
    other = go(app(), "keep")
    assert work(other).list_name == ""
    other = upload(other, data, "PRIVATE_work.json", "upload_work")
    assert state(other) == state(at)
    assert state(app()) == state(at)


def test_another_file_is_not_opened_as_work_and_nothing_changes() -> None:
    at = go(upload(app(), scarce_book()), "keep")
    before = state(at)
    at = upload(at, b"{}", "PRIVATE_work.json", "upload_work")
    assert "Nothing was changed" in shown(at)
    assert state(at) == before


def test_closing_down_deletes_all_and_shows_it() -> None:
    at = go(with_everything(), "keep")
    other = app()
    folder = work_file().parent
    assert [one.name for one in folder.iterdir()]
    assert at.button(key="close_down").disabled
    at = sound(at.checkbox(key="sure_to_close").check().run())
    at = press(at, "close_down")
    assert list(folder.iterdir()) == []
    said = shown(at)
    assert f"gone: {work_file()}" in said
    assert "no longer there" in said
    assert (work(at).list_bytes, work(at).scenario, work(at).plan) == (b"", None, None)
    assert "undo" not in {one.key for one in at.button}
    # The other window forgets too, and does not make the file again.
    other = sound(other.run())
    assert "closed down in another window" in shown(other)
    assert (work(other).list_bytes, work(other).plan) == (b"", None)
    assert list(folder.iterdir()) == []


def test_closing_down_ends_and_forgets_a_search(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    at = go(upload(app(), scarce_book()), "keep")

    def endless(_scenario: object, **options):
        while True:
            options["progress"]("tier A", 0.1)
            threading.Event().wait(0.02)

    monkeypatch.setattr(pipeline, "make_plan", endless)
    scenario = work(at).scenario
    job = Job(scenario, time_limit_s=1.0, borrow=True)
    work(at).job = job
    at = sound(at.checkbox(key="sure_to_close").check().run())
    press(at, "close_down")
    assert job.wait(5)
    assert running_job(scenario) is None


def test_what_cannot_be_deleted_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    at = go(upload(app(), scarce_book()), "keep")

    def refuse(_path: Path, **_options: object) -> None:
        raise PermissionError

    at = sound(at.checkbox(key="sure_to_close").check().run())
    with monkeypatch.context() as patch:
        patch.setattr(Path, "unlink", refuse)
        at = press(at, "close_down")
    assert "NOT ALL IS DELETED" in shown(at)


def test_a_folder_that_cannot_be_written_is_said_on_every_page(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def refuse(*_args: object, **_options: object):
        raise SavedWorkError("No space left on device")

    monkeypatch.setattr(keeping, "save", refuse)
    at = upload(app(), scarce_book())
    for name in ("bring_list", "have", "plan"):
        said = shown(go(at, name))
        assert "NOT SAVED" in said
        assert "No space left on device" in said
    assert work(at).scenario is not None
    monkeypatch.undo()


def test_a_damaged_file_is_moved_aside_and_said() -> None:
    upload(app(), scarce_book())
    work_file().write_bytes(b"not a database" * 300)
    said = shown(app())
    assert "work.unreadable-1.sqlite" in said
    assert "nothing was deleted" in said
    assert work_file().with_name("work.unreadable-1.sqlite").is_file()


def test_a_kept_plan_that_breaks_a_rule_is_not_shown(monkeypatch) -> None:
    at = with_everything()
    assert work(at).plan is not None

    def refuse(_plan: object) -> None:
        raise keeping.PlanRefusedError(("R3: too full",))

    monkeypatch.setattr(pipeline, "check_again", refuse)
    at = app()
    assert work(at).plan is None
    assert work(at).scenario is not None
    assert "breaks a rule of this version" in shown(at)


def test_a_sample_never_covers_saved_work(monkeypatch: pytest.MonkeyPatch) -> None:
    upload(app(), scarce_book())
    monkeypatch.setenv(SAMPLE_VARIABLE, str(SAMPLES / "quiet_street.xlsx"))
    at = app()
    assert work(at).list_name == "list.xlsx"
    assert "the sample was not opened over it" in shown(at)


def test_names_stay_off_the_page_that_keeps_them() -> None:
    said = shown(go(with_everything(), "keep"))
    assert "Sentinelname" not in said
    assert str(work_file()) in said


def test_a_loan_that_came_is_counted_in_with_one_press() -> None:
    at = press(go(upload(app(), scarce_book()), "plan"), "make_plan")
    before = sum(one.count for one in work(at).plan.shortfalls)
    at = go(at, "borrow")
    button = next(one for one in at.button if one.key.startswith("accept_0"))
    at = sound(button.click().run())
    said = shown(at)
    assert "Counted in: Lent fridge. Plan again" in said
    assert "OLD, plan again" in said
    assert "Undo takes back: Changed: Lent fridge: can borrow is now here" in said
    at = press(go(at, "plan"), "make_plan")
    assert sum(one.count for one in work(at).plan.shortfalls) < before
    assert any(
        use.unit_id == unit.id
        for use in work(at).plan.units_on
        for unit in work(at).scenario.units
        if unit.name == "Lent fridge"
    )
