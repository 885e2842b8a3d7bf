"""The what-if report of the plan in force, kept beside the working file.

It can be worked out again at any time, so it is no step of the work: one
report is kept, for one plan of this version of the program.  It holds codes.
"""

import hashlib
import json
import os
from contextlib import suppress
from pathlib import Path
from typing import Any

from planner import __version__
from planner.errors import SavedWorkError
from planner.result import Plan
from planner.result_stress import StressReport
from planner.store.codec import from_json, to_json

_NAME = "what_if.json"
_MOST_BYTES = 50_000_000


def fingerprint(plan: Plan) -> str:
    """Mark of all that is in a plan, and of the version that reads it."""
    text = json.dumps(to_json(plan), ensure_ascii=True, sort_keys=True)
    return hashlib.sha256(f"{__version__}\n{text}".encode()).hexdigest()


def save_report(work: Path, plan: Plan, report: StressReport) -> bool:
    """Keep the report of a plan; False when the disk refuses."""
    path = work.with_name(_NAME)
    content = {"plan": fingerprint(plan), "report": to_json(report)}
    fresh = path.with_name(f"{_NAME}.{os.getpid()}")
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        with os.fdopen(
            os.open(fresh, os.O_CREAT | os.O_WRONLY | os.O_TRUNC, 0o600), "w"
        ) as file:
            json.dump(content, file)
        fresh.replace(path)
    except OSError:
        return False
    return True


def load_report(work: Path, plan: Plan) -> StressReport | None:
    """Give the report of this very plan; ``None`` when there is none to be used."""
    path = work.with_name(_NAME)
    try:
        if path.stat().st_size > _MOST_BYTES:
            return None
        found: Any = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return None
    if not isinstance(found, dict) or found.get("plan") != fingerprint(plan):
        return None
    try:
        report: StressReport = from_json(StressReport, found.get("report"))
    except SavedWorkError:
        return None
    return report


def delete_report(work: Path) -> None:
    """Forget the report."""
    with suppress(OSError):
        work.with_name(_NAME).unlink(missing_ok=True)
