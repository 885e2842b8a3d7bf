"""What was typed and not applied yet, kept beside the states of the work.

A draft belongs to a page and to the ``base`` that it was typed over.  It is
no step of the work: nothing is undone by it and no other window is alarmed.
Of two windows that type on one page, the one that typed last is kept.
"""

import hashlib
import json
import sqlite3
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from planner.errors import SavedWorkError
from planner.store.codec import from_json, to_json
from planner.store.file import connected, writing

_MOST_DRAFTS = 40
_MOST_SIGNS = 2_000_000
_TABLE = """
CREATE TABLE IF NOT EXISTS drafts (
    page TEXT NOT NULL, base TEXT NOT NULL, body TEXT NOT NULL, words TEXT NOT NULL,
    saved_at TEXT NOT NULL, PRIMARY KEY (page, base)
)
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """One noun that holds all that was typed, and its changes in words."""

    value: Any
    words: tuple[str, ...]


def base_of(value: object) -> str:
    """Mark of what is typed over: nouns that differ have another mark."""
    text = json.dumps(to_json(value), sort_keys=True)
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def save_draft(
    path: Path, *, page: str, base: str, draft: Draft, now: datetime
) -> bool:
    """Keep a draft; False where there is no saved work that it could belong to.

    Raises
    ------
    SavedWorkError
        The disk is full, the file is damaged, or far too much was typed.
    """
    if not path.is_file():
        return False
    body = json.dumps(to_json(draft.value))
    words = json.dumps(list(draft.words))
    if len(body) + len(words) > _MOST_SIGNS:
        raise SavedWorkError("more was typed than can be kept")
    with connected(path) as base_file, writing(base_file):
        base_file.execute(_TABLE)
        base_file.execute(
            "INSERT OR REPLACE INTO drafts VALUES (?, ?, ?, ?, ?)",
            (page, base, body, words, now.isoformat()),
        )
        base_file.execute(
            "DELETE FROM drafts WHERE rowid NOT IN "
            "(SELECT rowid FROM drafts ORDER BY saved_at DESC, rowid DESC LIMIT ?)",
            (_MOST_DRAFTS,),
        )
    return True


def load_draft(path: Path, *, page: str, base: str, kind: Any) -> Draft | None:
    """Give the draft of a page over this base; ``None`` when there is none.

    One that another version wrote is none.
    """
    for body, words in _found(path, page, base, same=True):
        try:
            value = from_json(kind, json.loads(body))
        except (SavedWorkError, ValueError):
            return None
        return Draft(value=value, words=words)
    return None


def left_behind(path: Path, *, page: str, base: str) -> tuple[tuple[str, ...], ...]:
    """Changes in words of drafts of a page over another base, the newest first."""
    found = _found(path, page, base, same=False)
    return tuple(words for _, words in found)


def draft_pages(path: Path) -> tuple[str, ...]:
    """Pages on which something typed waits, whatever its base."""
    if not path.is_file():
        return ()
    with connected(path) as base_file:
        if not _has_table(base_file):
            return ()
        found = base_file.execute("SELECT DISTINCT page FROM drafts ORDER BY page")
        return tuple(page for (page,) in found)


def drop_draft(path: Path, *, page: str, base: str) -> None:
    """Forget what was typed on a page over this base."""
    _delete(path, page, base, same=True)


def drop_left(path: Path, *, page: str, base: str) -> None:
    """Forget what was typed on a page over any other base."""
    _delete(path, page, base, same=False)


def _found(
    path: Path, page: str, base: str, *, same: bool
) -> list[tuple[str, tuple[str, ...]]]:
    """Bodies and words of the drafts of a page: over this base, or over others."""
    if not path.is_file():
        return []
    with connected(path) as base_file:
        if not _has_table(base_file):
            return []
        rows = base_file.execute(
            "SELECT body, words FROM drafts WHERE page = ? AND (base = ?) = ? "
            "ORDER BY saved_at DESC, rowid DESC",
            (page, base, same),
        ).fetchall()
    return [
        (body, tuple(str(one) for one in json.loads(words))) for body, words in rows
    ]


def _delete(path: Path, page: str, base: str, *, same: bool) -> None:
    if not path.is_file():
        return
    with connected(path) as base_file:
        if _has_table(base_file):
            base_file.execute(
                "DELETE FROM drafts WHERE page = ? AND (base = ?) = ?",
                (page, base, same),
            )


def _has_table(base_file: sqlite3.Connection) -> bool:
    query = "SELECT 1 FROM sqlite_master WHERE name = 'drafts'"
    return base_file.execute(query).fetchone() is not None
