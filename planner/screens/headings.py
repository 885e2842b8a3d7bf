"""The headings of the open list: as what each is read, to be changed."""

from functools import partial

import streamlit as st

from planner.intake.headings_seen import SheetHeadings
from planner.intake.mapping import HeadingChoice
from planner.issue import Issue
from planner.output.heading_words import (
    NO_ITEM_HEADING,
    field_choices,
    field_label,
    sureness,
)
from planner.screens.bringing import choose_headings, sheets_seen
from planner.screens.say import manner, say
from planner.screens.show import plain
from planner.screens.state import Work

_FIELDS = field_choices()


def show_headings(now: Work) -> None:
    """Draw one form a sheet, open when somebody should look; then the file of it."""
    for number, seen in enumerate(sheets_seen(now)):
        odd = _misfits(now, seen)
        look = [
            one
            for one in seen.mapping.choices
            if one.typed in odd or _doubtful(seen, one)
        ]
        words = (
            say("at.headings.look", count=len(look))
            if look
            else say("at.headings.no_look")
        )
        with st.expander(
            say("at.headings.title", sheet=plain(seen.sheet), state=words),
            expanded=not seen.found or bool(odd) or any(one.ask for one in look),
            key=f"headings_{number}",
        ):
            _sheet(now, seen, number)
    if now.headings and now.list_name:
        st.download_button(
            say("at.headings.remember"),
            data=now.headings,
            file_name="headings.json",
            mime="application/json",
            key="download_headings",
            on_click="ignore",
            help=say("at.headings.remember_help"),
        )


def _sheet(now: Work, seen: SheetHeadings, number: int) -> None:
    if not seen.found:
        st.warning(manner().told(NO_ITEM_HEADING))
    odd = _misfits(now, seen)
    for issue in odd.values():
        st.warning(plain(" ".join(manner().issue(issue))))
    st.markdown(say("at.headings.how"))
    ordered = sorted(
        seen.mapping.choices,
        key=lambda one: (one.typed not in odd, not _doubtful(seen, one)),
    )
    keys: dict[str, str] = {}
    with st.form(f"headings_form_{number}_{now.version}", border=False):
        for at, one in enumerate(ordered):
            if one.typed in keys:
                continue  # the same heading twice has one meaning
            keys[one.typed] = f"heading_{number}_{at}_{now.version}"
            _row(seen, one, keys[one.typed])
        st.form_submit_button(
            say("at.headings.use"),
            key=f"headings_use_{number}_{now.version}",
            on_click=_use,
            args=(now, seen, keys),
        )
        st.caption(say("at.draft.lost"))
    if seen.mapping.confirmed:
        st.success(say("at.headings.confirmed"))


def _row(seen: SheetHeadings, one: HeadingChoice, key: str) -> None:
    typed, read_as = st.columns(2, vertical_alignment="center")
    words = plain(manner().told(sureness(one, confirmed=seen.mapping.confirmed)))
    words = f"**{words}**" if _doubtful(seen, one) else words
    typed.markdown(f"**{plain(one.typed)}**  \n{words}")
    read_as.selectbox(
        say("at.headings.read_as", heading=plain(one.typed)),
        _FIELDS,
        index=_FIELDS.index(one.field_key),
        format_func=partial(field_label, how=manner()),
        key=key,
        label_visibility="collapsed",
    )


def _misfits(now: Work, seen: SheetHeadings) -> dict[str, Issue]:
    """Remarks on columns whose cells do not fit, by their heading as typed."""
    return {
        one.column: one
        for one in now.issues
        if one.code == "column-misfit" and one.sheet == seen.sheet
    }


def _doubtful(seen: SheetHeadings, one: HeadingChoice) -> bool:
    return not seen.mapping.confirmed and (one.ask or not one.field_key)


def _use(now: Work, seen: SheetHeadings, keys: dict[str, str]) -> None:
    choices = {typed: str(st.session_state[key]) for typed, key in keys.items()}
    choose_headings(now, seen, choices)
