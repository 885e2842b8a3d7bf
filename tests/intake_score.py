"""Fields right, asked and wrong of a reading against the truth of its file."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime

from planner.catalogue import item_kind
from planner.decide.triage import allowance_left, tier_of
from planner.intake import Reading, read
from planner.intake.certainty import Certainty, certainty
from planner.intake.words import key
from planner.issue import Severity
from planner.scenario import Gate, HeldRow, Line
from tests import builders
from tests.intake_corpus import CorpusFile, Want
from tests.intake_truth import Item

NOW = datetime(2025, 10, 13, 7, 12)
SAFETY = ("band", "never_freeze", "quantity", "tier", "state")
OTHERS = ("kind_id", "opened", "keep_by", "resident")
ROOM_C = 30.0


@dataclass(slots=True)
class Score:
    """Counts of fields by outcome, and the wrong ones in words."""

    counts: Counter[tuple[str, str]] = field(default_factory=Counter)
    wrong: list[str] = field(default_factory=list)

    def add(self, name: str, outcome: str, what: str = "") -> None:
        """Count one field."""
        self.counts[name, outcome] += 1
        if outcome == "wrong":
            self.wrong.append(f"{name}: {what}")

    def total(self, outcome: str, names: Iterable[str] = (*SAFETY, *OTHERS)) -> int:
        """Fields of these names with this outcome."""
        return sum(self.counts[name, outcome] for name in names)

    def share(self, outcome: str) -> float:
        """Share of all fields with this outcome."""
        whole = sum(self.counts.values())
        return self.total(outcome) / whole if whole else 0.0


def score_file(file: CorpusFile, score: Score) -> Reading:
    """Read a file and count its fields."""
    found = read(file.name, file.data, now=NOW)
    codes = {issue.code for issue in found.issues if issue.severity is Severity.STOP}
    if file.stop:
        if codes == {file.stop}:
            score.add("kind_id", "asked")
        else:
            score.add("kind_id", "wrong", f"{file.name}: not stopped by {file.stop}")
        return found
    if found.scenario is None:
        score.add("kind_id", "wrong", f"{file.name}: stopped by {sorted(codes)}")
        return found
    wanted = {(want.sheet, want.row) for want in file.wants}
    for line in found.scenario.lines:
        if (line.sheet, line.row) not in wanted:
            score.add(
                "kind_id", "wrong", f"{file.name} row {line.row}: line out of nothing"
            )
    for want in file.wants:
        _row(file.name, want, found, score)
    return found


def _row(name: str, want: Want, found: Reading, score: Score) -> None:
    assert found.scenario is not None
    here = (want.sheet, want.row)
    lines = [one for one in found.scenario.lines if (one.sheet, one.row) == here]
    held = [one for one in found.scenario.held_rows if (one.sheet, one.row) == here]
    where = f"{name} row {want.row}"
    if not want.items:
        _nothing(where, lines, held, score)
    elif held and not lines:
        outcome = "wrong" if held[0].left_out else "asked"
        for _ in want.items:
            for field_name in (*SAFETY, *OTHERS):
                score.add(field_name, outcome, f"{where}: held by {held[0].code}")
    else:
        _items(where, want, lines, found, score)


def _nothing(where: str, lines: list[Line], held: list[HeldRow], score: Score) -> None:
    """Count a row that holds no item."""
    if lines and not all(line.provisional for line in lines):
        score.add("kind_id", "wrong", f"{where}: read as {lines[0].kind_id}")
    elif held:
        score.add("kind_id", "right" if held[0].left_out else "asked")
    else:
        score.add("kind_id", "asked" if lines else "right")


def _items(
    where: str, want: Want, lines: list[Line], found: Reading, score: Score
) -> None:
    """Count a row's items, and lines that are one too many."""
    left = list(lines)
    for item in want.items:
        line = _partner(item, left)
        if line is None:
            for field_name in (*SAFETY, *OTHERS):
                score.add(field_name, "wrong", f"{where}: {item.kinds} is lost")
            continue
        left.remove(line)
        _fields(where, want, item, line, lines, found, score)
    for line in left:
        outcome = "asked" if line.provisional else "wrong"
        score.add("kind_id", outcome, f"{where}: {line.kind_id} is one too many")


def _partner(item: Item, lines: list[Line]) -> Line | None:
    for same in (
        lambda line: line.kind_id in item.kinds and line.opened == item.opened
        and line.quantity == item.count,
        lambda line: line.kind_id in item.kinds and line.opened == item.opened,
        lambda line: line.kind_id in item.kinds,
        lambda _: True,
    ):  # fmt: skip
        for line in lines:
            if same(line):
                return line
    return None


def _fields(
    where: str, want: Want, item: Item, line: Line, row: list[Line], found: Reading,
    score: Score,
) -> None:  # fmt: skip
    sure = certainty(line, found.issues, row)
    asked = {name for name, how in sure.items() if how is Certainty.ASKED}
    truth = _truth(item, line)
    for name in (*SAFETY, *OTHERS):
        value, right = truth(name, want)
        if name in asked:
            score.add(name, "asked")
        elif name in item.asks or right is None:
            score.add(
                name, "wrong", f"{where}: {name} {value!r} should have been asked"
            )
        elif value == right:
            score.add(name, "right")
        else:
            score.add(
                name,
                "wrong",
                f"{where}: {name} {value!r}, truly {right!r} ({line.item_text})",
            )


def _truth(item: Item, line: Line):
    """Value of a field and what it truly is; ``None`` = nobody can know."""
    kinds = [item_kind(kind_id) for kind_id in item.kinds]
    kind = next(
        (one for one in kinds if one.id == line.kind_id), kinds[0] if kinds else None
    )

    def value(name: str, want: Want) -> tuple[object, object]:
        if kind is None:
            known = {
                "quantity": (line.quantity, item.count),
                "opened": (line.opened, item.opened),
                "resident": (key(line.resident), key(want.resident or line.resident)),
                "keep_by": (line.keep_by or "none", want.keep_by or "none"),
                "state": ((line.thawed, line.frozen), (False, False)),
            }
            return known.get(name, (getattr(line, name, None), None))
        band = item.band or (kind.keep_from_c, kind.keep_to_c)
        answers: dict[str, tuple[object, object]] = {
            "kind_id": (line.kind_id, kind.id),
            "band": ((line.keep_from_c, line.keep_to_c), band),
            "never_freeze": (line.never_freeze, kind.never_freeze),
            "quantity": (line.quantity, item.count),
            "state": (
                (line.thawed, line.frozen),
                (item.thawed or kind.thawed, band[1] < 0),
            ),
            "tier": (_tier(line), _tier(_true_line(item, kind, line))),
            "opened": (line.opened, item.opened),
            "keep_by": (line.keep_by or "none", want.keep_by or "none"),
            "resident": (key(line.resident), key(want.resident or line.resident)),
        }
        return answers[name]

    return value


def _true_line(item: Item, kind, line: Line) -> Line:
    """The line as the truth has it; dates and places as they were read."""
    in_use = item.opened and kind.group == "insulin" and kind.gate is Gate.POOL
    return builders.line(
        kind_id=kind.id,
        gate=Gate.WITH_PERSON if in_use else kind.gate,
        consequence=kind.consequence,
        keep_from_c=kind.keep_from_c,
        keep_to_c=kind.keep_to_c,
        warm_hours=kind.warm_hours,
        warm_max_c=kind.warm_max_c,
        clock=kind.clock,
        keep_by=line.keep_by,
        out_since=line.out_since,
    )


def _tier(line: Line) -> str:
    if line.gate is not Gate.POOL:
        return line.gate.value
    conditions = builders.conditions()
    room = [ROOM_C] * conditions.window_h
    return tier_of(line, allowance_left(line, room, conditions), conditions.window_h)[
        0
    ].value


def score_all(files: Iterable[CorpusFile]) -> tuple[Score, dict[str, Score]]:
    """Score of all files, and of each damage."""
    whole = Score()
    parts: dict[str, Score] = {}
    for file in files:
        one = Score()
        score_file(file, one)
        for target in (whole, parts.setdefault(file.damage, Score())):
            target.counts.update(one.counts)
            target.wrong.extend(one.wrong)
    return whole, parts
