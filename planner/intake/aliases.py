"""A site's own words for items: a small table of words and kinds.

The list adds words to the catalogue's and never changes one: a word that
the catalogue reads as something else stays what it is, and is told.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache

from rapidfuzz import fuzz, process

from planner.catalogue import ItemKind, item_kind, item_kinds, plain_word
from planner.intake.cells import RawRow, RawSheet
from planner.intake.issue_kinds import ISSUE_KINDS
from planner.intake.issues import Log
from planner.intake.item_words import HARMLESS
from planner.intake.items import is_vague, match_item, tokens_of
from planner.intake.open_file import open_book
from planner.intake.site_words import NO_WORDS, SiteWords, using
from planner.intake.words import key
from planner.scenario import Gate

SHEET = "Word list"
"""Name under which the rows of the list are told about."""
WORDS_HEADINGS = ("words", "word", "name", "also called", "people say", "alias")
KIND_HEADINGS = ("kind", "kind id", "id", "item kind", "reads as", "read as")
_TOP_ROWS = 12
_MOST_ROWS = 2000
_SHORTEST = 3
_NEAR = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class _Columns:
    """Where the two columns stand, and their headings as typed."""

    header: RawRow
    words: int
    kind: int

    def typed(self, index: int) -> str:
        return self.header.at(index).text


def read_aliases(name: str, data: bytes, log: Log) -> SiteWords:
    """Read a site's own word list; whatever cannot be used is told.

    Parameters
    ----------
    name
        File name, for its ending only.
    data
        Bytes of a workbook or a text table with the columns Words and Kind.
        One cell may hold several words, ``;`` between them.  A kind is
        given by its id, or by a name that the catalogue knows.
    log
        Gets an issue for each row that is not used.
    """
    with using(NO_WORDS):
        return _read(name, data, log)


def _read(name: str, data: bytes, log: Log) -> SiteWords:
    book = open_book(name, data)
    if book.refused:
        why = ISSUE_KINDS[book.refused].message.format(detail=book.detail)
        return _refused(log, why.rstrip("."))
    sheet, columns = _table(book.sheets)
    if sheet is None or columns is None:
        return _refused(log, "no row has the headings Words and Kind")
    if len(sheet.rows) > _MOST_ROWS:
        return _refused(log, f"it has more than {_MOST_ROWS:,} rows")
    pairs: dict[str, tuple[str, str, int]] = {}
    clashing: set[str] = set()
    for row in sheet.rows:
        if row.number > columns.header.number:
            for word, kind_id in _pairs(row, columns, log):
                _add(pairs, clashing, word, kind_id, row.number, columns, log)
    kept = tuple(
        (word, kind_id)
        for phrase, (word, kind_id, _) in pairs.items()
        if phrase not in clashing
    )
    if kept:
        log.add("aliases-used", sheet=SHEET, used=len(kept))
    return SiteWords(pairs=kept)


def _refused(log: Log, why: str) -> SiteWords:
    log.add("aliases-not-read", sheet=SHEET, detail=why[:1].lower() + why[1:])
    return NO_WORDS


def _table(
    sheets: tuple[RawSheet, ...],
) -> tuple[RawSheet | None, _Columns | None]:
    for sheet in sheets:
        for row in sheet.rows[:_TOP_ROWS]:
            named = [key(cell.text) for cell in row.cells]
            words = next(
                (named.index(one) for one in WORDS_HEADINGS if one in named), -1
            )
            kind = next((named.index(one) for one in KIND_HEADINGS if one in named), -1)
            if words >= 0 and kind >= 0:
                return sheet, _Columns(header=row, words=words, kind=kind)
    return None, None


def _pairs(row: RawRow, columns: _Columns, log: Log) -> Iterator[tuple[str, str]]:
    """Words of one row with the kind they shall stand for."""
    words = [
        one.strip()
        for line in row.at(columns.words).text.split("\n")
        for one in line.split(";")
        if one.strip()
    ]
    typed = row.at(columns.kind).text
    if not words and not typed:
        return
    if not words or not typed:
        missing = columns.kind if words else columns.words
        log.add("alias-blank", sheet=SHEET, row=row.number,
                column=columns.typed(missing))  # fmt: skip
        return
    kind_id = _kinds_by_name().get(plain_word(typed))
    if kind_id is None:
        log.add("alias-kind-unknown", sheet=SHEET, row=row.number, value=typed,
                column=columns.typed(columns.kind), near=_near(typed))  # fmt: skip
        return
    for word in words:
        yield word, kind_id


def _add(
    pairs: dict[str, tuple[str, str, int]],
    clashing: set[str],
    word: str,
    kind_id: str,
    row: int,
    columns: _Columns,
    log: Log,
) -> None:
    """Take one word, unless it is no name or stands for something else."""

    def say(code: str, **words: str) -> None:
        log.add(code, sheet=SHEET, row=row, column=columns.typed(columns.words),
                value=word, **words)  # fmt: skip

    kind = item_kind(kind_id)
    other = _stands_for(word, kind)
    if other:
        say("alias-clash", used=other, name=kind.name)
        return
    if _too_wide(word):
        say("alias-too-wide")
        return
    phrase = _phrase(word)
    _, before, at = pairs.setdefault(phrase, (word, kind_id, row))
    if before != kind_id:
        clashing.add(phrase)
        used = f"{item_kind(before).name} in row {at}, which is not used either"
        say("alias-clash", used=used, name=kind.name)
    elif at == row and kind.gate is not Gate.POOL:
        say("alias-no-cold", name=kind.name, where=kind.gate.value)


def _too_wide(word: str) -> bool:
    """Tell words that stand in items of many kinds: pens, fridge, 10 ml."""
    tokens = tokens_of(word)
    names = [
        "".join(sign for sign in one if sign.isalpha())
        for one in tokens
        if one not in HARMLESS
    ]
    return not any(len(one) >= _SHORTEST or not one.isascii() for one in names)


def _stands_for(word: str, kind: ItemKind) -> str:
    """Name of another kind that the catalogue reads in the words already.

    A name for a whole group may be made exact by a word beside it: ``red
    insulin`` may become one kind of insulin, and nothing else.
    """
    match = match_item(word)
    if match.rivals:
        return " or ".join(match.rivals)
    if not match.known or match.guessed or match.kind.id == kind.id:
        return ""
    more = len(match.used) < len(tokens_of(word))
    alike = (match.kind.group, match.kind.gate) == (kind.group, kind.gate)
    if is_vague(match.kind.id) and more and alike:
        return ""
    return match.kind.name


def _phrase(word: str) -> str:
    return " ".join(tokens_of(word))


@cache
def _kinds_by_name() -> Mapping[str, str]:
    """Ids by id, by name and by every word; ids and names come first."""
    found: dict[str, str] = {}
    for kind in item_kinds():
        found[plain_word(kind.id)] = kind.id
    for kind in item_kinds():
        found.setdefault(plain_word(kind.name), kind.id)
    for kind in item_kinds():
        for word in kind.words:
            found.setdefault(plain_word(word), kind.id)
    return found


def _near(typed: str) -> str:
    """Ids of the kinds whose names are most like what was typed."""
    names = _kinds_by_name()
    found = process.extract(
        plain_word(typed), list(names), scorer=fuzz.WRatio, limit=12
    )
    return ", ".join(list(dict.fromkeys(names[name] for name, _, _ in found))[:_NEAR])
