"""Words that one site adds to the catalogue's, for the time of one reading.

Words are looked up in many places of this room, deep inside the reading of
a cell.  They are kept for the running reading only: two readings at the
same time, in two threads, never see each other's.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SiteWords:
    """Pairs of words and the kind id they stand for.

    Compared by identity, so that looking up a result by it costs nothing.
    """

    pairs: tuple[tuple[str, str], ...] = ()


NO_WORDS = SiteWords()
_NOW: ContextVar[SiteWords] = ContextVar("site_words", default=NO_WORDS)


def current_words() -> SiteWords:
    """Give the words of the running reading."""
    return _NOW.get()


@contextmanager
def using(words: SiteWords) -> Iterator[None]:
    """Read with the words of a site."""
    before = _NOW.set(words)
    try:
        yield
    finally:
        _NOW.reset(before)
