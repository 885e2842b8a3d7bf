"""The working file: every state of the work in one SQLite database.

Fields are kept once each, named by what they hold, so that forty versions
of the work take little more room than one.  A writer says which state it
built on; when another window wrote since, nothing is written.
"""

import hashlib
import json
import os
import secrets
import sqlite3
import zlib
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from planner.errors import ChangedElsewhereError, SavedWorkError
from planner.store.codec import Json
from planner.store.saved import Saved, parts_of, saved_of

_FORMAT = 1
_KEPT = 40
_WAIT_S = 5.0
_MOST_BYTES = 200_000_000
_TABLES = """
CREATE TABLE about (file_id TEXT NOT NULL, serial INTEGER NOT NULL, at INTEGER);
CREATE TABLE parts (hash TEXT PRIMARY KEY, body BLOB NOT NULL);
CREATE TABLE versions (
    n INTEGER PRIMARY KEY AUTOINCREMENT, what TEXT NOT NULL, saved_at TEXT NOT NULL,
    hashes TEXT NOT NULL
);
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """Which file, and which of its writes: every write moves ``serial`` on."""

    file_id: str
    serial: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A state as it lies in the file.

    ``what`` says which change made it; ``undo`` and ``redo`` what one step
    back or forth would take back or bring again, empty when there is none.
    """

    saved: Saved
    mark: Mark
    what: str = ""
    saved_at: datetime | None = None
    undo: str = ""
    redo: str = ""
    notes: tuple[str, ...] = ()


def look(path: Path) -> Mark | None:
    """Tell which write of which file is the newest; ``None`` without a file."""
    if not path.is_file():
        return None
    with connected(path) as base:
        return _mark(base)


def load(path: Path) -> Kept | None:
    """Give the state that is in force; ``None`` when nothing was saved.

    Raises
    ------
    SavedWorkError
        The file is damaged, or of another version.
    """
    if not path.is_file():
        return None
    with connected(path) as base:
        return _kept(base)


def save(
    path: Path, saved: Saved, *, what: str, mark: Mark | None, now: datetime
) -> Kept:
    """Keep a state on top of the one that ``mark`` stands for.

    ``mark`` is ``None`` for the first state of a file.  A state that is in
    force already is not kept twice, whoever wrote it.

    Raises
    ------
    ChangedElsewhereError
        Another window wrote, undid or closed down since; nothing is written.
    SavedWorkError
        The disk is full, the folder is not writable, the file is damaged.
    """
    bodies = {name: _packed(part) for name, part in parts_of(saved).items()}
    hashes = {
        name: hashlib.sha256(body).hexdigest() for name, body in sorted(bodies.items())
    }
    if mark is not None and not path.is_file():
        raise ChangedElsewhereError("the saved work was deleted in another window")
    _make(path)
    with connected(path) as base, writing(base):
        if _in_force(base) != hashes:
            _must_be(base, mark)
            _add(base, bodies, hashes, what, now)
        return _kept(base, saved)


def step(path: Path, *, mark: Mark, forward: bool) -> Kept:
    """Undo or redo one step; raises as :func:`save` does."""
    if not path.is_file():
        raise ChangedElsewhereError("the saved work was deleted in another window")
    with connected(path) as base, writing(base):
        _must_be(base, mark)
        target = _neighbour(base, forward=forward)
        if target is not None:
            base.execute("UPDATE about SET at = ?, serial = serial + 1", (target[0],))
        return _kept(base)


def delete(path: Path) -> tuple[tuple[Path, bool], ...]:
    """Delete the working file and its side files; say of each whether it is gone."""
    files = [
        path.with_name(path.name + ending)
        for ending in ("", "-wal", "-shm", "-journal")
    ]
    there = [one for one in files if one.exists()]
    for one in there:
        try:
            _wipe(one)
            one.unlink()
        except OSError:
            continue
    return tuple((one, not one.exists()) for one in there)


def set_aside(path: Path) -> Path | None:
    """Move a file that cannot be read out of the way; ``None`` if it will not go."""
    number = 1
    while (aside := path.with_name(f"{path.stem}.unreadable-{number}.sqlite")).exists():
        number += 1
    try:
        path.replace(aside)
        for ending in ("-wal", "-shm"):
            path.with_name(path.name + ending).unlink(missing_ok=True)
    except OSError:
        return None
    return aside


def _wipe(file: Path) -> None:
    """Write over a file before it is deleted; a disk may keep traces all the same."""
    with file.open("r+b") as opened:
        opened.write(b"\0" * min(file.stat().st_size, _MOST_BYTES))
        opened.flush()
        os.fsync(opened.fileno())


def _make(path: Path) -> None:
    """Make folder and file for their owner alone, before anything is in them."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))
    except OSError as fault:
        raise SavedWorkError(f"{fault.strerror}") from fault


@contextmanager
def connected(path: Path) -> Iterator[sqlite3.Connection]:
    """Open the file; what is wrong with it is a ``SavedWorkError``."""
    try:
        with closing(
            sqlite3.connect(path, timeout=_WAIT_S, isolation_level=None)
        ) as base:
            base.execute("PRAGMA journal_mode = WAL")
            base.execute("PRAGMA secure_delete = ON")
            (found,) = base.execute("PRAGMA user_version").fetchone()
            if found == 0:
                _new(base)
            elif found != _FORMAT:
                raise SavedWorkError("it was saved by another version of the program")
            yield base
    except sqlite3.Error as fault:
        raise SavedWorkError(str(fault)) from fault


def _new(base: sqlite3.Connection) -> None:
    """Lay out an empty file; of two windows only one does."""
    with writing(base):
        (found,) = base.execute("PRAGMA user_version").fetchone()
        if found:
            return
        for statement in _TABLES.split(";"):
            base.execute(statement)
        base.execute("INSERT INTO about VALUES (?, 0, NULL)", (secrets.token_hex(8),))
        base.execute(f"PRAGMA user_version = {_FORMAT}")


@contextmanager
def writing(base: sqlite3.Connection) -> Iterator[None]:
    """Write all or nothing."""
    base.execute("BEGIN IMMEDIATE")
    try:
        yield
    except BaseException:
        base.execute("ROLLBACK")
        raise
    base.execute("COMMIT")


def _mark(base: sqlite3.Connection) -> Mark:
    row = base.execute("SELECT file_id, serial FROM about").fetchone()
    if row is None:
        raise SavedWorkError("the file is damaged")
    return Mark(file_id=row[0], serial=row[1])


def _must_be(base: sqlite3.Connection, mark: Mark | None) -> None:
    found = _mark(base)
    if mark is None and found.serial == 0:
        return
    if found != mark:
        raise ChangedElsewhereError("another window changed the saved work")


def _in_force(base: sqlite3.Connection) -> dict[str, str] | None:
    row = base.execute(
        "SELECT hashes FROM versions WHERE n = (SELECT at FROM about)"
    ).fetchone()
    return None if row is None else dict(json.loads(row[0]))


def _add(
    base: sqlite3.Connection,
    bodies: dict[str, bytes],
    hashes: dict[str, str],
    what: str,
    now: datetime,
) -> None:
    base.execute("DELETE FROM versions WHERE n > (SELECT at FROM about)")
    base.executemany(
        "INSERT OR IGNORE INTO parts VALUES (?, ?)",
        [(hashes[name], body) for name, body in bodies.items()],
    )
    row = (what, now.isoformat(timespec="seconds"), json.dumps(hashes))
    added = base.execute(
        "INSERT INTO versions (what, saved_at, hashes) VALUES (?, ?, ?)", row
    )
    base.execute("UPDATE about SET at = ?, serial = serial + 1", (added.lastrowid,))
    base.execute(
        "DELETE FROM versions WHERE n NOT IN "
        "(SELECT n FROM versions ORDER BY n DESC LIMIT ?)",
        (_KEPT,),
    )
    used = {
        found
        for (text,) in base.execute("SELECT hashes FROM versions")
        for found in json.loads(text).values()
    }
    base.executemany(
        "DELETE FROM parts WHERE hash = ?",
        [
            (found,)
            for (found,) in base.execute("SELECT hash FROM parts").fetchall()
            if found not in used
        ],
    )


def _neighbour(base: sqlite3.Connection, *, forward: bool) -> tuple[int, str] | None:
    """Number and words of the version after or before the one in force."""
    query = (
        "SELECT n, what FROM versions WHERE n > (SELECT at FROM about) ORDER BY n LIMIT 1"
        if forward
        else "SELECT n, what FROM versions WHERE n < (SELECT at FROM about) "
        "ORDER BY n DESC LIMIT 1"
    )
    row: tuple[int, str] | None = base.execute(query).fetchone()
    return row


def _kept(base: sqlite3.Connection, saved: Saved | None = None) -> Kept:
    """State in force; ``saved`` spares reading it when it was just written."""
    mark = _mark(base)
    row = base.execute(
        "SELECT what, saved_at, hashes FROM versions WHERE n = (SELECT at FROM about)"
    ).fetchone()
    if row is None:
        return Kept(saved=Saved(), mark=mark)
    notes: tuple[str, ...] = ()
    if saved is None:
        saved, notes = saved_of(_read_parts(base, json.loads(row[2])))
    before, after = _neighbour(base, forward=False), _neighbour(base, forward=True)
    return Kept(
        saved=saved,
        mark=mark,
        what=row[0],
        saved_at=datetime.fromisoformat(row[1]),
        undo=row[0] if before else "",
        redo=after[1] if after else "",
        notes=notes,
    )


def _read_parts(base: sqlite3.Connection, hashes: dict[str, str]) -> dict[str, Json]:
    found: dict[str, Json] = {}
    for name, wanted in hashes.items():
        row = base.execute(
            "SELECT body FROM parts WHERE hash = ?", (wanted,)
        ).fetchone()
        if row is None or hashlib.sha256(row[0]).hexdigest() != wanted:
            raise SavedWorkError(
                "the file is damaged: a part is missing or was altered"
            )
        found[name] = _unpacked(row[0])
    return found


def _packed(part: Json) -> bytes:
    text = json.dumps(part, ensure_ascii=False, separators=(",", ":"))
    return zlib.compress(text.encode("utf-8", "surrogatepass"), 6)


def _unpacked(body: bytes) -> Json:
    reader = zlib.decompressobj()
    try:
        data = reader.decompress(body, _MOST_BYTES)
        if reader.unconsumed_tail:
            raise SavedWorkError("the file is damaged: a part is too big")
        found: Json = json.loads(data.decode("utf-8", "surrogatepass"))
    except (zlib.error, ValueError, RecursionError) as fault:
        raise SavedWorkError("the file is damaged: a part cannot be read") from fault
    return found
