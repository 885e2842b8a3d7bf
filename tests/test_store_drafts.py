"""What is typed and not applied yet: kept beside the work, never a step of it."""

import sqlite3
from contextlib import closing
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from planner.edits import LabelsForm, ReadingsForm
from planner.errors import SavedWorkError
from planner.store import (
    Draft,
    Saved,
    base_of,
    delete,
    draft_pages,
    drop_draft,
    drop_left,
    left_behind,
    load,
    load_draft,
    look,
    save,
    save_draft,
)

NOW = datetime(2025, 10, 13, 7, 12)
READ = ReadingsForm(at=NOW, percents=(("battery-1", 61.0), ("battery-2", None)))


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "work.sqlite"
    save(path, Saved(list_name="a.xlsx"), what="List", mark=None, now=NOW)
    return path


def typed(file: Path, value=READ, *, page="plan_again", base="one", later_s=0) -> bool:
    draft = Draft(value=value, words=("Pack one: 61 %",))
    at = NOW + timedelta(seconds=later_s)
    return save_draft(file, page=page, base=base, draft=draft, now=at)


def test_a_draft_comes_back_as_it_was_typed(file: Path) -> None:
    assert typed(file)
    found = load_draft(file, page="plan_again", base="one", kind=ReadingsForm)
    assert found == Draft(value=READ, words=("Pack one: 61 %",))
    assert draft_pages(file) == ("plan_again",)


def test_it_is_no_step_and_alarms_no_window(file: Path) -> None:
    before, state = look(file), load(file)
    typed(file)
    assert look(file) == before
    assert load(file) == state


def test_the_last_one_typed_on_a_page_is_kept(file: Path) -> None:
    typed(file)
    typed(file, LabelsForm(labels=(("x", "y"),)))
    found = load_draft(file, page="plan_again", base="one", kind=LabelsForm)
    assert found is not None
    assert found.value.labels == (("x", "y"),)


def test_over_another_base_only_its_words_are_told(file: Path) -> None:
    typed(file)
    assert load_draft(file, page="plan_again", base="two", kind=ReadingsForm) is None
    assert left_behind(file, page="plan_again", base="two") == (("Pack one: 61 %",),)
    assert left_behind(file, page="plan_again", base="one") == ()
    drop_left(file, page="plan_again", base="two")
    assert draft_pages(file) == ()


def test_dropping_one_leaves_the_others(file: Path) -> None:
    typed(file)
    typed(file, page="have")
    typed(file, base="two")
    drop_draft(file, page="plan_again", base="one")
    assert draft_pages(file) == ("have", "plan_again")
    assert load_draft(file, page="plan_again", base="one", kind=ReadingsForm) is None
    assert load_draft(file, page="plan_again", base="two", kind=ReadingsForm)


def test_without_saved_work_nothing_is_made(tmp_path: Path) -> None:
    file = tmp_path / "none.sqlite"
    assert not typed(file)
    assert draft_pages(file) == ()
    assert left_behind(file, page="have", base="x") == ()
    drop_draft(file, page="have", base="x")
    assert not file.exists()


def test_a_draft_of_another_version_is_none(file: Path) -> None:
    typed(file)
    assert load_draft(file, page="plan_again", base="one", kind=LabelsForm) is None


def test_far_too_much_is_refused_in_words(file: Path) -> None:
    endless = LabelsForm(labels=(("x", "y" * 3_000_000),))
    with pytest.raises(SavedWorkError, match="more was typed"):
        typed(file, endless)
    assert draft_pages(file) == ()


def test_the_newest_forty_are_kept(file: Path) -> None:
    for number in range(45):
        typed(file, base=f"base {number}", later_s=number)
    with closing(sqlite3.connect(file)) as opened:
        (count,) = opened.execute("SELECT COUNT(*) FROM drafts").fetchone()
    assert count == 40
    assert load_draft(file, page="plan_again", base="base 4", kind=ReadingsForm) is None
    assert load_draft(file, page="plan_again", base="base 5", kind=ReadingsForm)


def test_closing_down_leaves_no_letter_of_it(file: Path) -> None:
    typed(file, LabelsForm(labels=(("x", "Sentinelword"),)))
    delete(file)
    assert not list(file.parent.iterdir())


def test_nouns_that_differ_have_another_base() -> None:
    assert base_of(READ) == base_of(ReadingsForm(at=READ.at, percents=READ.percents))
    assert base_of(READ) != base_of(LabelsForm())
