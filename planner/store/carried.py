"""The work as one file to carry to another computer: JSON, nothing hidden."""

import json
from typing import Any

from planner.errors import SavedWorkError
from planner.store.saved import Saved, parts_of, saved_of

_FORMAT = "cold-storage-work"
_VERSION = 1
MOST_BYTES = 60_000_000
"""Largest file that is opened."""


def carried(saved: Saved) -> bytes:
    """Bytes of the file to carry; it holds the list, so it holds names."""
    content = {"format": _FORMAT, "version": _VERSION, "work": parts_of(saved)}
    return (json.dumps(content, ensure_ascii=False, indent=1) + "\n").encode(
        "utf-8", "surrogatepass"
    )


def opened(data: bytes) -> tuple[Saved, tuple[str, ...]]:
    """Give the work of a carried file, and say what could not be given back.

    Raises
    ------
    SavedWorkError
        It is not such a file, or one of another version.
    """
    if len(data) > MOST_BYTES:
        raise SavedWorkError("the file is too big to be saved work")
    try:
        content: Any = json.loads(data.decode("utf-8", "surrogatepass"))
    except (ValueError, RecursionError) as fault:
        raise SavedWorkError("the file is not saved work of this program") from fault
    if not isinstance(content, dict) or content.get("format") != _FORMAT:
        raise SavedWorkError("the file is not saved work of this program")
    if content.get("version") != _VERSION or not isinstance(content.get("work"), dict):
        raise SavedWorkError("the file was saved by another version of the program")
    return saved_of(content["work"])
