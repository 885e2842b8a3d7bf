"""Answers that can be chosen with one click, as changes of cells.

An answer says nothing a person could not have typed into the list: it is
a text for a cell, a heading read another way, or the person of another
row.  After it the list is read again, so that every check runs again.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache

from planner.catalogue import ItemKind, item_kind, item_kinds
from planner.intake.headings import INTAKE
from planner.intake.items import is_vague, match_item
from planner.intake.near_kinds import near_kinds
from planner.intake.words import key
from planner.issue import Issue, Severity
from planner.scenario import Gate, Line

_MOST = 8
GONE = "gone"
"""Item text that takes a row off the list."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """One answer: its words, and what it changes.

    ``cells`` are pairs of field key and text for the row; ``headings`` are
    pairs of heading as typed and field key (``""`` = not read);
    ``person_of_row`` is another row of the same sheet whose person this
    row's is.  ``accepts`` closes the question as well: the issue may come up
    again when the list is read, and need not be asked again.
    """

    label: str
    cells: tuple[tuple[str, str], ...] = ()
    headings: tuple[tuple[str, str], ...] = ()
    person_of_row: int | None = None
    accepts: bool = False


AS_IT_IS = Answer(label="Right as it is", accepts=True)
OFF_THE_LIST = Answer(label="Take the row off the list", cells=(("item", GONE),))


def answers_for(
    issue: Issue, line: Line | None, parts: int, *, listed: bool
) -> tuple[Answer, ...]:
    """Suggested answers of an issue, the likeliest first.

    ``parts`` is the number of items of the row; a row of several items can
    not be answered by one text for its item cell.  ``listed`` is True for
    rows of the intake list.
    """
    make = _MAKERS.get(issue.code)
    found = list(make(issue, line)) if make is not None else []
    if parts > 1:
        found = [one for one in found if all(name != "item" for name, _ in one.cells)]
    if listed and parts <= 1:
        found.append(OFF_THE_LIST)
    # What stops the plan stays until it is mended: nobody can wave it through.
    # A formula without a value leaves a row without an item, or another cell blank.
    no_item = issue.code == "formula-no-value" and line is None
    never = no_item or issue.code in _NEVER_RIGHT or issue.severity is Severity.STOP
    if not never:
        found.append(AS_IT_IS)
    return tuple(dict.fromkeys(found))


_NEVER_RIGHT = frozenset(
    {"item-missing", "item-not-readable", "item-unknown", "item-ambiguous",
     "several-intake-sheets", "no-intake-sheet"}
)  # fmt: skip


def _count(line: Line | None) -> tuple[tuple[str, str], ...]:
    """The count that was read, so that another item text does not lose it."""
    return (("quantity", str(line.quantity)),) if line else ()


def _kind_answer(kind: ItemKind, line: Line | None, label: str = "") -> Answer:
    return Answer(
        label=label or f"It is {kind.name}",
        cells=(("item", _safe_name(kind)), *_count(line)),
    )


@cache
def _safe_name(kind: ItemKind) -> str:
    """Give a text that is read as this kind again."""
    for text in (kind.name, *kind.words):
        match = match_item(text)
        if match.known and match.kind.id == kind.id and not match.guessed:
            return text
    return kind.name


def _unknown(issue: Issue, line: Line | None) -> list[Answer]:
    text = line.item_text if line else issue.value
    return [
        *(_kind_answer(kind, line) for kind in near_kinds(text)),
        *_ranges(),
        Answer(label="It is food, not for this pool", cells=(("item", "food"),)),
    ]


def _rivals(issue: Issue, line: Line | None) -> list[Answer]:
    text = line.item_text if line else issue.value
    rivals = match_item(text).rivals
    kinds = [kind for kind in item_kinds() if kind.name in rivals]
    return [*(_kind_answer(kind, line) for kind in kinds[:_MOST]), *_ranges()]


def _guessed(_: Issue, line: Line | None) -> list[Answer]:
    if line is None:
        return []
    kind = item_kind(line.kind_id)
    return [
        _kind_answer(kind, line, f"Yes, {kind.name}"),
        Answer(label="No, something else: wait", cells=(("item", "?"),)),
    ]


def _of_group(_: Issue, line: Line | None) -> list[Answer]:
    """Products of the group of a line that names none."""
    if line is None:
        return []
    group = item_kind(line.kind_id).group
    kinds = [
        kind
        for kind in item_kinds()
        if kind.group == group and not is_vague(kind.id) and kind.gate is Gate.POOL
        and kind.consequence == line.consequence
    ]  # fmt: skip
    return [_kind_answer(kind, line) for kind in kinds[:_MOST]]


def _milk(_: Issue, line: Line | None) -> list[Answer]:
    donor = line is not None and line.kind_id.startswith("donor")
    name = "donor milk" if donor else "breast milk"
    states = (("frozen", "Frozen now"), ("thawed", "Was frozen, thawed now"))
    fresh = () if donor else (("fresh", "Fresh, never frozen"),)
    return [
        Answer(label=label, cells=(("item", f"{name} {state}"), *_count(line)))
        for state, label in (*states, *fresh)
    ]


def _slushy(_: Issue, line: Line | None) -> list[Answer]:
    return [
        Answer(label="Ice crystals are left: into a freezer",
               cells=(("item", "breast milk frozen"), *_count(line))),
        Answer(label="No ice is left: thawed",
               cells=(("item", "breast milk thawed"), *_count(line))),
    ]  # fmt: skip


def _pet(_: Issue, line: Line | None) -> list[Answer]:
    if line is None:
        return []
    kind = item_kind(line.kind_id)
    person = kind if kind.id != "insulin-pet" else item_kind("insulin-unknown")
    return [
        Answer(label="For an animal",
            accepts=True, cells=(("item", f"{_safe_name(kind)} (for the pet)"),
                                              *_count(line))),
        _kind_answer(person, line, "For a person"),
    ]  # fmt: skip


def _counts(issue: Issue, line: Line | None) -> list[Answer]:
    """Likely counts; the one in use first."""
    if line is None:
        return []
    usual = item_kind(line.kind_id).per_carton
    typed = [int(digits) for digits in re.findall(r"\d{1,2}", issue.value)]
    likely = dict.fromkeys([line.quantity, 1, 2, usual, *typed])
    return [
        Answer(label=f"{count} {'pack' if count == 1 else 'packs'}",
               cells=(("quantity", str(count)),), accepts=True)
        for count in list(likely)[:6]
        if 1 <= count <= 99
    ]  # fmt: skip


def _ranges(*_: object) -> list[Answer]:
    return [
        Answer(label="Label says 2 to 8 C (36 to 46 F)",
               cells=(("keep_from", "2"), ("keep_to", "8")), accepts=True),
        Answer(label="Label says room temperature",
               cells=(("keep_from", "15"), ("keep_to", "25")), accepts=True),
    ]  # fmt: skip


def _frozen(_: Issue, line: Line | None) -> list[Answer]:
    return [
        Answer(label="It was never frozen: 2 to 8 C",
               cells=(("storage", "fridge"), ("band", "fridge"), ("frozen", "no"),
                      *((("item", _safe_name(item_kind(line.kind_id))),) if line else ()),
                      *_count(line))),
        Answer(label="It was frozen: set aside, ask a pharmacist",
               cells=(("item", GONE), ("notes", "frozen once, set aside"))),
    ]  # fmt: skip


def _two_dates(issue: Issue, _: Line | None) -> list[Answer]:
    """Both readings of a date with a year; a bare one waits for its year."""
    match = re.fullmatch(r"(\d{1,2})[-/.](\d{1,2})[-/.](\d{2}|\d{4})", issue.value)
    field = _field_of(issue)
    if not match or not field:
        return []
    first, second, year = int(match[1]), int(match[2]), int(match[3])
    year += 2000 if year < 100 else 0
    return [
        Answer(label=f"{year}-{month:02d}-{day:02d}",
               cells=((field, f"{year}-{month:02d}-{day:02d}"),))
        for day, month in ((first, second), (second, first))
        if 1 <= month <= 12 and 1 <= day <= 31
    ]  # fmt: skip


def _field_of(issue: Issue) -> str:
    names = INTAKE.names()
    return names.get(key(issue.column), "")


def _same_item(_: Issue, __: Line | None) -> list[Answer]:
    return [
        Answer(label="A second pack: keep both", accepts=True),
        Answer(
            label="The same pack again: leave this row out", cells=(("item", GONE),)
        ),
    ]


def _struck(_: Issue, line: Line | None) -> list[Answer]:
    again = (("item", line.item_text), *_count(line)) if line else ()
    return [
        Answer(label="It has gone", cells=(("item", GONE),)),
        Answer(label="It is still here", cells=again),
    ]


def _gone(_: Issue, line: Line | None) -> list[Answer]:
    gone = Answer(label="It has gone", cells=(("item", GONE),))
    if line is None:
        return [gone]
    return [gone, _kind_answer(item_kind(line.kind_id), line, "It is still here")]


def _person(issue: Issue, _: Line | None) -> list[Answer]:
    if issue.row is None:
        return []
    return [Answer(label="The same person as in the row above",
                   person_of_row=issue.row - 1)]  # fmt: skip


def _heading(issue: Issue, _: Line | None) -> list[Answer]:
    used = re.search(r"is read as (.+)\.$", issue.message)
    fields = {field.heading: field.key for field in INTAKE.fields}
    chosen = fields.get(used[1], "") if used else ""
    yes = (
        [Answer(label=f"Yes, {used[1]}", headings=((issue.column, chosen),))]
        if (used and chosen)
        else []
    )
    return [*yes, Answer(label="No, do not read it", headings=((issue.column, ""),))]


def _yes_no(issue: Issue, _: Line | None) -> list[Answer]:
    field = _field_of(issue)
    if not field:
        return []
    return [
        Answer(label=word.capitalize(), cells=((field, word),))
        for word in ("yes", "no")
    ]


_MAKERS: Mapping[str, Callable[[Issue, Line | None], list[Answer]]] = {
    "item-unknown": _unknown,
    "item-ambiguous": _rivals,
    "item-guessed": _guessed,
    "words-left": _guessed,
    "type-not-known": _of_group,
    "state-not-said": _milk,
    "item-mixed": _milk,
    "milk-slushy": _slushy,
    "maybe-pet": _pet,
    "pet-item": _pet,
    "quantity-assumed": _counts,
    "quantity-reckoned": _counts,
    "quantity-rounded": _counts,
    "dose-not-count": _counts,
    "split-quantity": _counts,
    "several-people": _counts,
    "pool-conflict": _ranges,
    "cold-not-wanted": _ranges,
    "room-band": _ranges,
    "band-not-usable": _ranges,
    "band-one-edge": _ranges,
    "band-upside-down": _ranges,
    "storage-word-unclear": _ranges,
    "freezer-conflict": _frozen,
    "date-two-ways": _two_dates,
    "same-item-twice": _same_item,
    "struck-through": _struck,
    "maybe-gone": _gone,
    "resident-blank": _person,
    "resident-vague": _person,
    "maybe-same-person": _person,
    "heading-guessed": _heading,
    "yes-no-unclear": _yes_no,
}
