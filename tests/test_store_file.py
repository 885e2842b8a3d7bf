"""The working file: kept, undone, shared by two windows, damaged, deleted."""

import os
import sqlite3
import stat
import sys
import threading
from datetime import datetime
from pathlib import Path

import pytest

from planner.errors import ChangedElsewhereError, SavedWorkError
from planner.store import Saved, delete, load, look, save, set_aside, step, work_file
from planner.store.codec import to_json
from planner.store.file import _packed
from planner.store.place import FOLDER_VARIABLE
from tests import plan_fixture

NOW = datetime(2025, 10, 13, 7, 12)
posix = pytest.mark.skipif(sys.platform == "win32", reason="modes of POSIX systems")


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "new folder" / "work.sqlite"


def put(file: Path, name: str, mark=None):
    """Keep a state that is known by its list's name."""
    return save(file, Saved(list_name=name), what=f"brought {name}", mark=mark, now=NOW)


def test_nothing_is_there_before_the_first_save(file: Path) -> None:
    assert load(file) is None
    assert look(file) is None
    assert not file.parent.exists()


def test_what_is_saved_is_loaded(file: Path) -> None:
    state = Saved(
        list_name="a.xlsx", list_bytes=b"\0\xff", read_at=NOW, plan=plan_fixture.plan()
    )
    written = save(file, state, what="plan made", mark=None, now=NOW)
    found = load(file)
    assert found == written
    assert found.saved == state
    assert (found.what, found.saved_at, found.undo, found.redo) == (
        "plan made", NOW, "", "",
    )  # fmt: skip


@posix
def test_file_and_folder_are_for_their_owner_alone(file: Path) -> None:
    before = os.umask(0)
    try:
        put(file, "a")
        with sqlite3.connect(file) as held:  # keeps the side files in being
            held.execute("SELECT * FROM about").fetchall()
            found = {one.name: one.stat().st_mode for one in file.parent.iterdir()}
        held.close()
    finally:
        os.umask(before)
    assert "work.sqlite" in found
    assert all(stat.S_IMODE(mode) == 0o600 for mode in found.values()), found
    assert stat.S_IMODE(file.parent.stat().st_mode) == 0o700


def test_undo_and_redo_walk_the_steps(file: Path) -> None:
    kept = put(file, "a")
    kept = put(file, "b", kept.mark)
    kept = put(file, "c", kept.mark)
    assert (kept.undo, kept.redo) == ("brought c", "")
    kept = step(file, mark=kept.mark, forward=False)
    assert (kept.saved.list_name, kept.undo, kept.redo) == (
        "b", "brought b", "brought c",
    )  # fmt: skip
    kept = step(file, mark=kept.mark, forward=False)
    assert (kept.saved.list_name, kept.undo, kept.redo) == ("a", "", "brought b")
    kept = step(file, mark=kept.mark, forward=False)
    assert kept.saved.list_name == "a"
    kept = step(file, mark=kept.mark, forward=True)
    kept = step(file, mark=kept.mark, forward=True)
    assert kept.saved.list_name == "c"
    assert load(file).saved.list_name == "c"


def test_a_change_after_an_undo_ends_what_could_be_redone(file: Path) -> None:
    kept = put(file, "b", put(file, "a").mark)
    kept = put(file, "c", step(file, mark=kept.mark, forward=False).mark)
    assert (kept.undo, kept.redo) == ("brought c", "")
    assert step(file, mark=kept.mark, forward=False).saved.list_name == "a"


def test_the_same_state_is_kept_once(file: Path) -> None:
    kept = put(file, "a")
    assert put(file, "a", kept.mark) == kept
    # Even for a window that is behind: there is nothing to lose.
    assert put(file, "a", None) == kept


def test_old_steps_go_and_their_parts_with_them(file: Path) -> None:
    mark = None
    for number in range(60):
        data = bytes([number]) * 50
        state = Saved(list_name="a", list_bytes=data)
        mark = save(file, state, what=str(number), mark=mark, now=NOW).mark
    base = sqlite3.connect(file)
    (versions,) = base.execute("SELECT count(*) FROM versions").fetchone()
    (parts,) = base.execute("SELECT count(*) FROM parts").fetchone()
    base.close()
    assert versions == 40
    assert parts < 40 + 12  # one list a step, all else once
    assert load(file).saved.list_bytes == bytes([59]) * 50


def test_a_window_that_is_behind_writes_nothing(file: Path) -> None:
    first = put(file, "a")
    put(file, "of the other window", first.mark)
    with pytest.raises(ChangedElsewhereError):
        put(file, "mine", first.mark)
    with pytest.raises(ChangedElsewhereError):
        put(file, "mine", None)
    with pytest.raises(ChangedElsewhereError):
        step(file, mark=first.mark, forward=False)
    assert load(file).saved.list_name == "of the other window"


def test_an_undo_of_the_other_window_counts_as_a_change(file: Path) -> None:
    kept = put(file, "b", put(file, "a").mark)
    step(file, mark=kept.mark, forward=False)
    with pytest.raises(ChangedElsewhereError):
        put(file, "c", kept.mark)


def test_a_file_that_was_deleted_is_not_made_again_by_the_other_window(
    file: Path,
) -> None:
    kept = put(file, "a")
    delete(file)
    with pytest.raises(ChangedElsewhereError):
        put(file, "b", kept.mark)
    assert not file.exists()
    put(file, "of a new day")
    with pytest.raises(ChangedElsewhereError):
        put(file, "b", kept.mark)


def test_of_many_windows_at_once_one_writes_and_none_corrupts(file: Path) -> None:
    mark = put(file, "start").mark
    done: list[str] = []
    refused: list[str] = []
    gate = threading.Barrier(8)

    def window(name: str) -> None:
        gate.wait()
        try:
            put(file, name, mark)
            done.append(name)
        except ChangedElsewhereError:
            refused.append(name)

    threads = [threading.Thread(target=window, args=(str(i),)) for i in range(8)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert len(done) == 1
    assert len(refused) == 7
    assert load(file).saved.list_name == done[0]


def test_many_windows_may_make_the_file_at_once(file: Path) -> None:
    gate = threading.Barrier(6)
    outcomes: list[str] = []

    def window(name: str) -> None:
        gate.wait()
        try:
            put(file, name)
            outcomes.append("kept")
        except ChangedElsewhereError:
            outcomes.append("behind")

    threads = [threading.Thread(target=window, args=(str(i),)) for i in range(6)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert sorted(outcomes) == ["behind"] * 5 + ["kept"]


def test_a_crash_in_the_middle_of_a_write_keeps_the_state_before(file: Path) -> None:
    kept = put(file, "a")
    base = sqlite3.connect(file, isolation_level=None)
    base.execute("BEGIN IMMEDIATE")
    base.execute("DELETE FROM versions")
    base.close()  # as when the power goes: no commit
    assert load(file) == kept


@pytest.mark.parametrize(
    "content", [b"not a database at all" * 400, b"SQLite format 3\0" + b"\7" * 5000]
)
def test_a_damaged_file_is_said_and_can_be_set_aside(
    file: Path, content: bytes
) -> None:
    put(file, "a")
    file.write_bytes(content)
    with pytest.raises(SavedWorkError):
        load(file)
    with pytest.raises(SavedWorkError):
        put(file, "b")
    aside = set_aside(file)
    assert aside is not None
    assert aside.read_bytes() == content
    assert put(file, "b").saved.list_name == "b"


def test_an_altered_part_is_not_believed(file: Path) -> None:
    save(file, Saved(plan=plan_fixture.plan()), what="plan", mark=None, now=NOW)
    with sqlite3.connect(file) as base:
        base.execute("UPDATE parts SET body = x'00' WHERE length(body) > 500")
    base.close()
    with pytest.raises(SavedWorkError):
        load(file)


def test_a_file_of_a_later_version_is_left_alone(file: Path) -> None:
    put(file, "a")
    with sqlite3.connect(file) as base:
        base.execute("PRAGMA user_version = 99")
    base.close()
    with pytest.raises(SavedWorkError, match="another version"):
        load(file)


def test_a_folder_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    (tmp_path / "in the way").write_text("a file, not a folder")
    with pytest.raises(SavedWorkError):
        put(tmp_path / "in the way" / "work.sqlite", "a")


def test_deleting_leaves_nothing_and_says_so(file: Path) -> None:
    put(file, "a")
    held = sqlite3.connect(file)
    held.execute("SELECT * FROM about").fetchall()
    gone = delete(file)
    held.close()
    assert gone[0][0].name == "work.sqlite"
    assert all(is_gone for _, is_gone in gone)
    assert list(file.parent.iterdir()) == []
    assert delete(file) == ()


def test_deleted_names_are_not_left_in_the_pages_of_the_file(file: Path) -> None:
    # SQLite documentation, PRAGMA secure_delete: deleted content is
    # overwritten with zeros.
    secret = os.urandom(200_000)
    mark = put(file, "a").mark
    mark = save(file, Saved(list_bytes=secret), what="b", mark=mark, now=NOW).mark
    packed = _packed(to_json(secret))
    assert packed[90_000:90_040] in file.read_bytes()
    mark = step(file, mark=mark, forward=False).mark
    put(file, "c", mark)
    assert packed[90_000:90_040] not in file.read_bytes()


@pytest.mark.parametrize(
    ("environment", "platform", "expected"),
    [
        ({FOLDER_VARIABLE: "/there"}, "linux", "/there/work.sqlite"),
        ({}, "linux", "/home/p/.local/share/cold-storage-planner/work.sqlite"),
        ({"XDG_DATA_HOME": "/x"}, "linux", "/x/cold-storage-planner/work.sqlite"),
        ({"XDG_DATA_HOME": "rel"}, "linux",
         "/home/p/.local/share/cold-storage-planner/work.sqlite"),
        ({}, "darwin",
         "/home/p/Library/Application Support/cold-storage-planner/work.sqlite"),
        ({"LOCALAPPDATA": "/local"}, "win32", "/local/cold-storage-planner/work.sqlite"),
        ({}, "win32", "/home/p/AppData/Local/cold-storage-planner/work.sqlite"),
    ],
)  # fmt: skip
def test_the_file_lies_with_the_persons_own_data(
    environment: dict[str, str], platform: str, expected: str
) -> None:
    found = work_file(environment, platform, Path("/home/p"))
    assert found.as_posix() == expected


def test_the_file_never_lies_in_the_program() -> None:
    program = Path(__file__).parents[1]
    assert program not in work_file({}).parents
