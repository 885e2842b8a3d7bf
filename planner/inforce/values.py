"""Values of a file that anybody may have changed: held to their type, never trusted.

What does not fit becomes an issue with its path in the file; nothing raises.
"""

import json
import math
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from planner.issue import Issue, Severity

FILE = "plan.json"
MAX_BYTES = 64_000_000
MAX_COUNT = 100_000
"""Bags of one placement; more is a slip."""
MAX_ISSUES = 200
_SHOWN = 60

TEXTS = {
    "plan-not-readable": (Severity.STOP, "This is not a saved plan: {why}.",
        "Choose the plan.json of the plan in force."),
    "plan-other-version": (Severity.STOP, "The file is of another version of the program.",
        "Plan anew with this version, and use that plan.json."),
    "plan-value-wrong": (Severity.REVIEW, "{why}; this entry is left out.",
        "Look where these bags or plugs are, and compare with the move list."),
    "plan-line-twice": (Severity.REVIEW, "The line stands twice in the file; the first is used.",
        "Look where these bags are, and compare with the move list."),
    "plan-too-many-bags": (Severity.REVIEW, "More bags are placed than the line has; the rest is left out.",
        "Count the bags of this code in the units."),
    "plan-line-unknown": (Severity.REVIEW, "Bags are placed of a line that the file does not list.",
        "Look in the unit whose bags these are."),
    "plan-line-gone": (Severity.NOTE, "{who}, row {row} of the plan in force, is not on the list any more; its bags are taken out.",
        "If it is still here, add its row to the list again."),
    "plan-unit-gone": (Severity.NOTE, "The unit is not in the workbook any more; its bags are carried out.",
        "If it is still here, add it to the sheet Cold units again."),
    "plan-plug-gone": (Severity.NOTE, "A plug of the plan in force has lost one of its ends.",
        "Nothing to do: the new plan has its own plugs."),
    "plan-starts-later": (Severity.ASSUMED, "The plan in force starts after today's start; its start is taken as now.",
        "Check the start on the sheet Conditions."),
    "plan-more-issues": (Severity.NOTE, "More entries of the file are wrong than are listed.",
        "Use the file as the program wrote it."),
}  # fmt: skip
"""Grade, sentence and remedy of every issue of a plan read back."""


@dataclass(slots=True, kw_only=True)
class Notes:
    """Issues so far; only the first ones of a damaged file are kept."""

    issues: list[Issue] = field(default_factory=list)
    full: bool = False

    def add(self, code: str, where: str = "", value: object = "", **words: str) -> None:
        """Note an issue at a path of the file."""
        if len(self.issues) >= MAX_ISSUES:
            if self.full:
                return
            self.full, code, where, value = True, "plan-more-issues", "", ""
        severity, message, remedy = TEXTS[code]
        issue = Issue(
            code=code,
            severity=severity,
            sheet=FILE,
            row=None,
            column=where,
            value=shown(value),
            message=message.format(**words) if words else message,
            remedy=remedy,
        )
        # Lists are walked more than once; a fault of theirs is told once.
        if issue not in self.issues:
            self.issues.append(issue)

    @property
    def stopped(self) -> bool:
        """True when nothing of the file can be used."""
        return any(one.severity is Severity.STOP for one in self.issues)


def shown(value: object) -> str:
    """A value as it is shown: short, on one line."""
    if isinstance(value, (dict, list)):
        return f"{'an object' if isinstance(value, dict) else 'a list'}"
    text = " ".join(str(value)[: 4 * _SHOWN].split())
    return text if len(text) <= _SHOWN else text[: _SHOWN - 3] + "..."


def parse(data: bytes, notes: Notes) -> dict[str, Any]:
    """The document as a dict, or an empty one with the reason noted."""
    if len(data) > MAX_BYTES:
        notes.add("plan-not-readable", why="it is too large")
        return {}
    try:
        document = json.loads(data.decode("utf-8-sig"))
    except (ValueError, RecursionError):
        notes.add("plan-not-readable", why="it is no JSON text")
        return {}
    if not isinstance(document, dict) or document.get("format") != "cold-storage-plan":
        notes.add("plan-not-readable", why="it does not say that it is a plan")
        return {}
    if document.get("version") != 1 or document.get("version") is True:
        notes.add("plan-other-version", "version", document.get("version"))
        return {}
    return document


class Entry:
    """One object of a list; the first wrong value is noted and makes it bad."""

    def __init__(self, value: object, where: str, notes: Notes) -> None:
        self.where = where
        self.notes = notes
        self.ok = True
        self._value: dict[str, Any] = value if isinstance(value, dict) else {}
        if not isinstance(value, dict):
            self._bad("", value, "an object was expected")

    def _bad(self, key: str, value: object, why: str) -> None:
        if self.ok:
            path = f"{self.where}.{key}" if key else self.where
            self.notes.add("plan-value-wrong", path, value, why=why)
        self.ok = False

    def get(self, key: str) -> Any:
        """The value as it stands."""
        return self._value.get(key)

    def text(self, key: str) -> str:
        """A text; null is an empty one."""
        value = self.get(key)
        if value is None:
            return ""
        if not isinstance(value, str):
            self._bad(key, value, "a text was expected")
            return ""
        return value

    def needed(self, key: str) -> str:
        """A text that may not be empty."""
        text = self.text(key)
        if not text:
            self._bad(key, self.get(key), "a text is missing")
        return text

    def whole(self, key: str, low: int, high: int) -> int:
        """A whole number between two limits."""
        value = self.get(key)
        fits = isinstance(value, int) and not isinstance(value, bool)
        if not fits or not low <= value <= high:
            why = f"a whole number from {low} to {high} was expected"
            self._bad(key, value, why)
            return low
        return int(value)

    def numbers(self, key: str) -> tuple[float, ...]:
        """A list of finite numbers."""
        value = self.get(key)
        if not isinstance(value, list) or not all(is_number(one) for one in value):
            self._bad(key, value, "a list of numbers was expected")
            return ()
        return tuple(float(one) for one in value)

    def number(self, key: str) -> float:
        """A finite number."""
        value = self.get(key)
        if not is_number(value):
            self._bad(key, value, "a number was expected")
            return 0.0
        return float(value)


def is_number(value: object) -> bool:
    """True for a finite number that is no truth value."""
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return False
    try:
        return math.isfinite(value)
    except OverflowError:
        return False


def entries(document: dict[str, Any], key: str, notes: Notes) -> list[Entry]:
    """Entries of a top-level list; a list that is missing is an empty one."""
    value = document.get(key, [])
    if not isinstance(value, list):
        notes.add("plan-value-wrong", key, value, why="a list was expected")
        return []
    found = [Entry(one, f"{key}[{n}]", notes) for n, one in enumerate(value)]
    return [one for one in found if one.ok]


def clock(value: object) -> datetime | None:
    """A clock time of the hall; ``None`` when it is none."""
    if not isinstance(value, str):
        return None
    try:
        return datetime.fromisoformat(value).replace(tzinfo=None)
    except ValueError:
        return None
