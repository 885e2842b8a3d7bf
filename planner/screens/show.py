"""Drawing words and tables so that nothing from a sheet can act as markup."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import TYPE_CHECKING

import streamlit as st

from planner.output.ask_whom import ASK
from planner.output.cautions import Topic, cautions, source_words
from planner.output.words import clean, number
from planner.screens.say import manner, say

if TYPE_CHECKING:
    import pandas as pd

    from planner.output.pictures import Picture

_MARKUP = re.compile(r"([!-/:-@\[-`{-~])")
# A word joiner behind the hyphen keeps a code such as K-47R6D on one line; it
# has no width, and both a search on the page and the intake pass over it.
_CODE = re.compile(r"(?<=\b[A-Z]\\-)(?=[A-Z0-9]{5}\b)")
_AS_TYPED = frozenset(
    {"What stands there", "Unit", "Place", "Sheet", "For", "Out of", "Into",
     "In the open list", "In the newer list", "Source", "Source and its country"}
)  # fmt: skip
"""Headings of columns that hold the words of the site, which nobody translates."""

_JOINER = "\u2060"


def plain(text: str) -> str:
    r"""Text on one line that shows as typed wherever markup would be read.

    >>> plain("*2* <b>")
    '\\*2\\* \\<b\\>'
    """
    return _CODE.sub(_JOINER, _MARKUP.sub(r"\\\1", clean(text)))


def sentences(lines: Iterable[str]) -> None:
    """One paragraph a line."""
    for line in lines:
        st.markdown(plain(line))


def bullets(lines: Iterable[str]) -> None:
    """List lines with bullets."""
    st.markdown("\n".join(f"- {plain(line)}" for line in lines))


def steps(lines: Iterable[str]) -> None:
    """List lines with their numbers, because their order counts."""
    st.markdown("\n".join(f"{n}. {plain(line)}" for n, line in enumerate(lines, 1)))


def table(data: pd.DataFrame, columns: tuple[str, ...] = ()) -> None:
    """Show a table whose cells wrap: nothing is cut, it prints as it stands.

    Headings, and cells that are words of the program, are told.
    """
    chosen = data[list(columns)] if columns else data
    shown = _told(chosen).astype(object).map(_cell)
    shown.columns = [plain(str(heading)) for heading in shown.columns]
    st.table(shown, hide_index=True)


def grid(data: pd.DataFrame, key: str) -> None:
    """Show a long table that scrolls and can be searched; told like a table."""
    st.dataframe(_told(data), hide_index=True, width="stretch", key=key)


def _told(data: pd.DataFrame) -> pd.DataFrame:
    """Put headings, and cells that are words of the program, as the reader wants."""
    tell = manner().told
    shown = data.copy()
    for heading in data.columns:
        if str(heading) not in _AS_TYPED:
            shown[heading] = [
                tell(cell) if isinstance(cell, str) else cell for cell in data[heading]
            ]
    shown.columns = [tell(str(heading)) for heading in data.columns]
    return shown


def picture(drawn: Picture, *, words: bool = True) -> None:
    """Show a drawing as an image, and the same in words for those who cannot see it.

    An image runs no script, whatever the words in it are.
    """
    st.image(
        drawn.svg,
        width="content",
        alt=clean(f"{drawn.title}. {'. '.join(drawn.words)}"),
    )
    if words:
        bullets(drawn.words)


def caution_box(*topics: Topic) -> None:
    """Cautions of some topics: who to ask, what to mind, and who says so."""
    for topic in topics:
        with st.container(border=True):
            how = manner()
            topic_name, whom = how.told(topic.value), plain(how.caution(ASK[topic]))
            st.markdown(say("at.show.mind", topic=topic_name, whom=whom))
            bullets(
                f"{how.caution(one.text)} [{source_words(one, how)}]"
                for one in cautions(topic)
            )


def _cell(value: object) -> str:
    import pandas as pd  # slow to load: not before there is a table

    if value is None or value is pd.NA:
        return ""
    return plain(value if isinstance(value, str) else number(float(str(value)), 2))
