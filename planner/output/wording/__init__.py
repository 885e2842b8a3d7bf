"""All words of paper and screens, one row a message for all languages.

``paper.csv`` has a row a message of the sheets: its id, then one column a
language.  ``screens.csv`` has those of the pages, ``views.csv`` those of the
cards, tables and pictures on them, ``changes.csv`` those of what would place
a short line, ``lending.csv`` those of what stands beside the borrow list, all
with a note for whoever translates.
``cautions.csv`` has the translations of ``planner/output/cautions.py`` and
``ask_whom.py``, found by their English text, so that an English text that is
changed loses its translation and a test says so.
"""

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from importlib.resources import files

from planner.errors import UsageError

TABLES = ("paper.csv", "screens.csv", "views.csv", "changes.csv", "lending.csv")
"""Tables whose messages are found by an id; no id stands in two of them."""

NEW_LINE = "\\n"
"""How a new line inside a message is written in the table."""


class Language(StrEnum):
    """Languages that paper and screens come in."""

    EN = "en"
    ES = "es"


@dataclass(frozen=True, slots=True)
class Wording:
    """The words of one language."""

    language: str
    messages: Mapping[str, str]
    cautions: Mapping[str, str]

    def say(self, key: str, **fields: object) -> str:
        """Message of an id with its fields filled in.

        Raises ``UsageError`` when there is no such message, or when a field
        of it is not given.
        """
        if key not in self.messages:
            msg = f"no message is called {key!r}"
            raise UsageError(msg)
        try:
            return self.messages[key].format(**fields)
        except KeyError as lacking:
            msg = f"message {key!r} needs the field {lacking}"
            raise UsageError(msg) from lacking

    def count(self, key: str, number: int, **fields: object) -> str:
        """Message for one thing (``key.one``) or several (``key.many``)."""
        form = "one" if number == 1 else "many"
        return self.say(f"{key}.{form}", count=f"{number:,}", **fields)

    def caution(self, english: str) -> str:
        """A caution, or whom to ask, in this language."""
        return self.cautions.get(english, english)


@cache
def wording(language: Language) -> Wording:
    """Words of one language."""
    return Wording(
        language=language.value,
        messages={
            row["id"]: row[language.value].replace(NEW_LINE, "\n")
            for table in TABLES
            for row in rows(table)
        },
        cautions={
            row[Language.EN.value]: row[language.value] for row in rows("cautions.csv")
        },
    )


@cache
def rows(file: str) -> tuple[Mapping[str, str], ...]:
    """Rows of one table of words as they stand in the file."""
    text = files(__package__).joinpath(file).read_text(encoding="utf-8")
    return tuple(csv.DictReader(io.StringIO(text, newline="")))
