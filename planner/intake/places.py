"""Names of places, written the same way whichever sheet they stand in."""

from collections.abc import Iterable

from planner.intake.issues import Log
from planner.intake.table import Row, Table
from planner.intake.words import key

FALLBACK = "Hall"
EVERYWHERE = frozenset(
    {"all", "any", "everywhere", "all places", "anywhere", "", "n a", "na", "none"}
    | {"unknown", "tbc", "tbd", "nil", "ask"}
)
"""Texts (as keys) that name no single place."""


class Places:
    """All places of the workbook, in the order they are first named."""

    __slots__ = ("_names",)

    def __init__(self, tables: Iterable[Table]) -> None:
        self._names: dict[str, str] = {}
        for table in tables:
            if table.spec.name != "Conditions":
                for raw in table.rows:
                    self._note(table.cell(raw, "place").text)

    def _note(self, text: str) -> None:
        name = " ".join(text.split())
        if key(name) not in EVERYWHERE:
            self._names.setdefault(key(name), name)

    @property
    def names(self) -> tuple[str, ...]:
        """All names; the fallback when none was named."""
        return tuple(self._names.values()) or (FALLBACK,)

    def find(self, text: str) -> str | None:
        """Give the place a text names, in its first spelling."""
        if not self._names and key(text) == key(FALLBACK):
            return FALLBACK
        return self._names.get(key(text))

    def of(self, row: Row, *, anywhere: bool = False) -> str:
        """Place of a row; blank is the first place, or any where allowed."""
        found = self.find(row.text("place"))
        if found is not None:
            return found
        if anywhere:
            return ""
        if len(self._names) > 1:
            row.say("place-blank", "place", used=self.names[0])
        return self.names[0]

    def listed(self, row: Row, text: str) -> tuple[str, ...]:
        """Places of a list such as ``Hall; School``; unknown ones are noted."""
        parts = [part.strip() for part in text.replace(",", ";").split(";")]
        found = []
        for part in (part for part in parts if part):
            name = self.find(part)
            if name is None:
                row.say("setting-place-unknown", "value", value=part)
            else:
                found.append(name)
        return tuple(dict.fromkeys(found))

    def say_alike(self, log: Log) -> None:
        """Names one slip apart may be one place."""
        names = sorted(self._names.items())
        for at, (first_key, first) in enumerate(names[:200]):
            for second_key, second in names[at + 1 : 200]:
                if _close(first_key, second_key):
                    log.add("places-alike", value=first, used=second)


def _close(first: str, second: str) -> bool:
    """Tell names with the same letters, or one slip in a long name."""
    if first.replace(" ", "") == second.replace(" ", ""):
        return True
    if len(first) < 5 or len(first) != len(second):
        return False
    digits = any(sign.isdigit() for sign in first + second)
    return not digits and sum(a != b for a, b in zip(first, second, strict=True)) == 1
