"""What is brought in on page 1: lists, word lists, remembered headings."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime

from planner.edits import confirmed_headings, newer_list
from planner.intake.headings_seen import SheetHeadings, headings_seen
from planner.intake.mapping import changed, loaded, saved
from planner.output.words import clean, cut
from planner.screens.changes import take_list
from planner.screens.keeping import keep
from planner.screens.say import step
from planner.screens.state import Work, read_again

_MOST_COLUMNS = 60


def bring(now: Work, name: str, data: bytes) -> None:
    """Take a list; while another one is open, only lay it beside that one."""
    if now.scenario is None:
        take_list(now, name, data)
        return
    now.newer = newer_list(
        name,
        data,
        now=datetime.now(),
        equipment=now.equipment,
        mappings=loaded(now.headings),
        aliases=now.aliases,
    )


def take_newer(now: Work, *, keep_kit: bool) -> None:
    """Put the newer list in place of the open one, because somebody said so."""
    newer = now.newer
    if newer is not None:
        now.opened += 1
        take_list(now, newer.name, newer.data, keep_kit=keep_kit)


def keep_open(now: Work) -> None:
    """Put the newer list away; the open one stays as it is."""
    now.newer = None
    now.opened += 1


def take_words(now: Work, name: str, data: bytes) -> None:
    """Read with a site's own word list from now on."""
    now.words_name, now.words_bytes = name, data
    _read(now, step("at.step.words", name=name))


def drop_words(now: Work) -> None:
    """Read without the word list again."""
    what = step("at.step.words_away", name=now.words_name)
    now.words_name, now.words_bytes = "", b""
    now.opened += 1
    _read(now, what)


def take_headings(now: Work, data: bytes) -> bool:
    """Add headings remembered from another list; False when there are none."""
    found = loaded(data)
    if not found:
        return False
    shapes = {one.shape for one in found}
    mine = [one for one in loaded(now.headings) if one.shape not in shapes]
    now.headings = saved((*mine, *found))
    _read(now, step("at.step.remembered"))
    return True


def sheets_seen(now: Work) -> tuple[SheetHeadings, ...]:
    """Headings of the open list, as they are read; looked up once a reading."""
    if now.seen is None or now.seen[0] != now.version:
        known = confirmed_headings(
            now.list_name, now.list_bytes, now.answers, loaded(now.headings)
        )
        found = headings_seen(now.list_name, now.list_bytes, known)
        now.seen = (now.version, found)
    return now.seen[1]


def choose_headings(now: Work, seen: SheetHeadings, choices: Mapping[str, str]) -> None:
    """Read the headings of a sheet as somebody chose; they are remembered."""
    mapping = changed(seen.mapping, choices)
    others = [one for one in loaded(now.headings) if one.shape != mapping.shape]
    now.headings = saved((*others, mapping))
    # What was answered about these headings is part of the choice now.
    now.answers = tuple(
        one
        for one in (
            replace(one, answer=replace(one.answer, headings=()))
            if one.sheet == seen.sheet
            else one
            for one in now.answers
        )
        if one.row is not None or one.answer.headings
    )
    _read(now, step("at.step.headings", sheet=seen.sheet))


def _read(now: Work, what: str) -> None:
    if now.list_name:
        read_again(now, keep=now.edited)
    keep(now, cut(clean(what), _MOST_COLUMNS))
