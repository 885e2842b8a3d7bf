"""Sentences that other rooms write in English, told in another language.

Reasons, findings, questions about the list and names of the catalogue are
made before anybody knows who will read them, and are kept with the work.
They are told by their pattern: ``told.csv`` and ``catalogue.csv`` have the
English beside the translation, with fields.  A field in capitals is told in
turn; any other field is the user's, or a number, and stays as it is.
A sentence that no pattern fits stays in English.

What others wrote stands between two marks until units are turned, so that an
amount in somebody's own words is left alone; see ``words.turned``.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from string import Formatter

from planner.intake.issue_kinds import ISSUE_KINDS
from planner.issue import Issue
from planner.output.wording import Language, rows
from planner.output.words import is_amount, mark, unmarked

STEPS = "at.step."
"""Messages of the screens that are saved with the work, in English."""

_DEEPEST = 7
_JOINER = 4
"""A pattern with no more signs of its own only joins parts that must all be known."""
_NUMBERS = frozenset({"count", "low", "high", "hours"})
_NUMBER = r"(?:minus )?-?\d[\d,.]*"
# Fields of the intake's sentences that hold our own words, not the user's.
_OURS = frozenset(
    {"name", "names", "used", "what", "why", "gate", "where", "detail", "unit", "range"}
)
_LETTERS = re.compile(r"[^\W\d_]")
_EMPTY = frozenset({"unit"})  # a field that may stand for nothing


@dataclass(frozen=True, slots=True)
class Pattern:
    """One English sentence with fields, and its translation."""

    english: "re.Pattern[str]"
    told: str
    weight: int


@dataclass(frozen=True, slots=True)
class Phrasebook:
    """Everything that can be told in one language."""

    exact: Mapping[str, str]
    patterns: tuple[Pattern, ...]
    issues: Mapping[str, tuple[Pattern, Pattern]]

    def tell(self, text: str) -> str:
        """Text in the language; as it is where no pattern fits."""
        return unmarked(self.marked(text))

    def marked(self, text: str) -> str:
        """The same, with marks around what others wrote."""
        found = self._found(text, 0)
        return mark(text) if found is None else found

    def tell_issue(self, issue: Issue) -> tuple[str, str]:
        """Message and remedy of an issue, with marks around what was typed."""
        pair = self.issues.get(issue.code)
        texts = (issue.message, issue.remedy)
        if pair is None:
            return self.marked(texts[0]), self.marked(texts[1])
        told = []
        for one, text in zip(pair, texts, strict=True):
            found = one.english.fullmatch(text)
            said = self._filled(one, found, 0, _OURS) if found else None
            told.append(self.marked(text) if said is None else said)
        return told[0], told[1]

    def _found(self, text: str, deep: int) -> str | None:
        """Text in the language; nothing where no pattern fits."""
        if text in self.exact:
            return self.exact[text]
        if deep >= _DEEPEST or not text:
            return None
        for one in self.patterns:
            found = one.english.fullmatch(text)
            told = None if found is None else self._filled(one, found, deep)
            if told is not None:
                return told
        return None

    def _filled(
        self,
        one: Pattern,
        found: "re.Match[str]",
        deep: int,
        ours: frozenset[str] = frozenset(),
    ) -> str | None:
        """Translation with its fields; nothing where it would be half of one."""
        fields: dict[str, str] = {}
        for name, value in found.groupdict().items():
            told: str | None = None
            if name.isupper() or name in ours:
                told = self._found(value.strip(), deep + 1)
                if told is not None and value.startswith(" "):
                    told = f" {told}"
                if told is None and one.weight <= _JOINER and name not in ours:
                    return None
            if told is None:
                # What somebody typed is quoted by an issue, amounts too.
                typed = bool(ours) and name not in ours
                told = mark(value) if typed else _theirs(value)
            fields[name] = told
        return one.told.format(**fields)


def _theirs(value: str) -> str:
    """Value of a field: an amount is part of the sentence, words are not ours."""
    ours = is_amount(value) or not _LETTERS.search(value)
    return value if ours else mark(value)


@cache
def phrasebook(language: Language) -> Phrasebook:
    """Phrasebook of one language; that of English only tells whose words are whose."""
    pairs = [
        (row["en"], row[language.value])
        for table in ("told.csv", "catalogue.csv")
        for row in rows(table)
    ]
    steps = [
        (_retold(row["en"]), _retold(row[language.value]))
        for row in rows("screens.csv")
        if row["id"].startswith(STEPS)
    ]
    return Phrasebook(
        exact={
            english: told for english, told in (*pairs, *steps) if "{" not in english
        },
        # A step begins with its own word; what follows it may fit any pattern.
        patterns=(
            *_by_weight(pattern(*pair) for pair in steps if "{" in pair[0]),
            *_by_weight(pattern(*pair) for pair in pairs if "{" in pair[0]),
        ),
        issues=_issues(language),
    )


def _issues(language: Language) -> Mapping[str, tuple[Pattern, Pattern]]:
    """Sentences of the issues; English ones only tell what is quoted in them."""
    if language is Language.EN:
        return {
            code: (pattern(one.message, one.message), pattern(one.remedy, one.remedy))
            for code, one in ISSUE_KINDS.items()
        }
    return {
        row["code"]: (
            pattern(ISSUE_KINDS[row["code"]].message, row[f"message_{language}"]),
            pattern(ISSUE_KINDS[row["code"]].remedy, row[f"remedy_{language}"]),
        )
        for row in rows("issues.csv")
    }


@lru_cache(maxsize=20_000)
def told(language: Language, text: str) -> str:
    """Text of another room in a language, with its marks; looked up once."""
    return phrasebook(language).marked(text)


def _retold(step: str) -> str:
    """Name of a step, whose fields that hold sentences of the program are told."""
    for name in ("what", "where", "label"):
        step = step.replace(f"{{{name}}}", f"{{{name.upper()}}}")
    return step


def pattern(english: str, translated: str) -> Pattern:
    """Make a pattern of a sentence with fields in braces."""
    parts: list[str] = []
    seen: set[str] = set()
    weight = 0
    for literal, name, _, _ in Formatter().parse(english):
        parts.append(re.escape(literal))
        weight += len(literal)
        if name is None:
            continue
        parts.append(_field(name, seen))
        seen.add(name)
    return Pattern(re.compile("".join(parts), re.DOTALL), translated, weight)


def _field(name: str, seen: set[str]) -> str:
    if name in seen:
        return f"(?P={name})"
    anything = ".*?" if name in _EMPTY else ".+?"
    return f"(?P<{name}>{_NUMBER if name in _NUMBERS else anything})"


def _by_weight(found: Iterable[Pattern]) -> tuple[Pattern, ...]:
    """The sentence with most words of its own comes first."""
    return tuple(sorted(found, key=lambda one: -one.weight))
