"""Small choices of how things are shown, kept beside the working file.

They are not part of the work: a step back does not turn the language, and
another window is not told that the work changed.  They hold no names.
"""

import json
import os
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

_NAME = "choices.json"
_MOST_BYTES = 10_000


def save_choices(work: Path, choices: Mapping[str, str]) -> bool:
    """Keep choices beside the working file; False when the disk refuses."""
    path = work.with_name(_NAME)
    text = json.dumps(dict(sorted(choices.items())), indent=1) + "\n"
    fresh = path.with_name(f"{_NAME}.{os.getpid()}")
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        fresh.write_text(text, encoding="utf-8")
        fresh.replace(path)
    except OSError:
        return False
    return True


def load_choices(work: Path) -> Mapping[str, str]:
    """Give the choices that were kept; none when there are none, or not readable."""
    path = work.with_name(_NAME)
    try:
        if path.stat().st_size > _MOST_BYTES:
            return {}
        found: Any = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return {}
    if not isinstance(found, dict):
        return {}
    return {name: one for name, one in found.items() if isinstance(one, str)}


def delete_choices(work: Path) -> None:
    """Forget the choices."""
    with suppress(OSError):
        work.with_name(_NAME).unlink(missing_ok=True)
