"""Open questions about the list, what can do most harm first, with answers."""

import streamlit as st

from planner.intake.answers import OFF_THE_LIST, Answer
from planner.intake.issue_harm import Harm
from planner.intake.review import ReviewRow, review_queue
from planner.output.issue_text import totals
from planner.screens.changes import answer
from planner.screens.contents import heading_of
from planner.screens.frame import next_page, to_page
from planner.screens.say import manner, say
from planner.screens.show import plain
from planner.screens.state import Work, work

_FIRST = 20
_WORTH_TYPING = Harm.HOW_IT_IS_KEPT


def page() -> None:
    """Draw the page."""
    now = work()
    st.title(heading_of("questions"))
    if not now.list_name:
        st.info(say("at.questions.nothing"))
        to_page("bring_list")
        return
    queue = review_queue(now.reading, now.accepted)
    if not queue:
        st.success(say("at.questions.none"))
        next_page("have")
        return
    said = plain(totals((row.issue for row in queue), manner()))
    st.markdown(say("at.questions.how", totals=said))
    several = len(queue) > _FIRST
    whole = several and st.checkbox(
        say("at.questions.all", count=len(queue)), key="all_questions"
    )
    _queue(now, queue if whole or not several else queue[:_FIRST])
    next_page("have")


def _queue(now: Work, rows: tuple[ReviewRow, ...]) -> None:
    heading = ""
    for number, row in enumerate(rows):
        if row.harm.words != heading:
            heading = row.harm.words
            st.subheader(
                say("at.questions.while_open", harm=plain(manner().told(heading)))
            )
        _question(now, row, number)


def _question(now: Work, row: ReviewRow, number: int) -> None:
    issue, how = row.issue, manner()
    message, remedy = how.issue(issue)
    with st.container(border=True):
        st.markdown(
            say(
                "at.questions.about",
                where=plain(how.where(issue)) or say("at.questions.whole_file"),
                message=plain(message),
            )
        )
        if row.raw:
            st.markdown(say("at.questions.says", raw=plain(row.raw)))
        if row.meanwhile:
            st.markdown(
                say("at.questions.until_then", meanwhile=plain(how.told(row.meanwhile)))
            )
        st.markdown(say("at.questions.to_do", remedy=plain(remedy)))
        if OFF_THE_LIST in row.answers and row.harm <= _WORTH_TYPING:
            _typed(now, row, number)
        if not row.answers:
            return
        with st.container(horizontal=True):
            for at, chosen in enumerate(row.answers):
                st.button(
                    plain(how.told(chosen.label)),
                    key=f"answer_{now.version}_{len(now.accepted)}_{number}_{at}",
                    on_click=answer,
                    args=(now, row, chosen),
                )


def _typed(now: Work, row: ReviewRow, number: int) -> None:
    """Take the words of the label: no suggestion may be right."""
    ending = f"{now.version}_{len(now.accepted)}_{number}"
    key = f"label_{ending}"
    with st.form(f"label_form_{ending}", border=False):
        st.text_input(say("at.questions.label"), key=key)
        st.form_submit_button(
            say("at.questions.use"),
            key=f"label_use_{ending}",
            on_click=_use_typed,
            args=(now, row, key),
        )


def _use_typed(now: Work, row: ReviewRow, key: str) -> None:
    text = str(st.session_state.get(key, "")).strip()
    if text:
        answer(now, row, Answer(label=text, cells=(("item", text),)))


page()
