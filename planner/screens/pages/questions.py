"""Open questions about the list, what can do most harm first, with answers."""

import streamlit as st

from planner.edits import LabelsForm, labels_draft
from planner.intake.answers import OFF_THE_LIST, Answer
from planner.intake.issue_harm import Harm
from planner.intake.review import ReviewRow, issue_key, review_queue
from planner.output.issue_text import totals
from planner.screens.changes import answer
from planner.screens.contents import heading_of
from planner.screens.drafting import begun, ending, say_put_back, typed
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
    page_name = "questions"
    start = begun(now, page_name, LabelsForm, LabelsForm)
    say_put_back(now, page_name)
    labels = dict(start.labels)
    labels |= _queue(now, queue if whole or not several else queue[:_FIRST], start)
    open_now = {_mark(row) for row in queue}
    still = {one: label for one, label in labels.items() if one in open_now}
    typed(now, page_name, labels_draft(still))
    next_page("have")


def _queue(now: Work, rows: tuple[ReviewRow, ...], start: LabelsForm) -> dict[str, str]:
    """Draw the questions; give what is typed as labels, by question."""
    heading, labels = "", {}
    for number, row in enumerate(rows):
        if row.harm.words != heading:
            heading = row.harm.words
            st.subheader(
                say("at.questions.while_open", harm=plain(manner().told(heading)))
            )
        labels[_mark(row)] = _question(now, row, number, start)
    return labels


def _question(now: Work, row: ReviewRow, number: int, start: LabelsForm) -> str:
    """Draw one question with its answers; give what is typed as its label."""
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
        label = ""
        if OFF_THE_LIST in row.answers and row.harm <= _WORTH_TYPING:
            label = _label(now, row, number, start)
        if not row.answers:
            return label
        with st.container(horizontal=True):
            for at, chosen in enumerate(row.answers):
                st.button(
                    plain(how.told(chosen.label)),
                    key=f"answer_{now.version}_{len(now.accepted)}_{number}_{at}",
                    on_click=answer,
                    args=(now, row, chosen),
                )
        return label


def _label(now: Work, row: ReviewRow, number: int, start: LabelsForm) -> str:
    """Take the words of the label: no suggestion may be right."""
    key = f"label_{ending(now)}_{len(now.accepted)}_{number}"
    st.text_input(
        say("at.questions.label"),
        value=dict(start.labels).get(_mark(row), ""),
        key=key,
    )
    st.button(
        say("at.questions.use"),
        key=f"label_use_{now.version}_{len(now.accepted)}_{number}",
        on_click=_use_typed,
        args=(now, row, key),
    )
    return str(st.session_state.get(key, "")).strip()


def _use_typed(now: Work, row: ReviewRow, key: str) -> None:
    text = str(st.session_state.get(key, "")).strip()
    if text:
        answer(now, row, Answer(label=text, cells=(("item", text),)))


def _mark(row: ReviewRow) -> str:
    """Mark of a question: it stays the same while others are answered."""
    return "\n".join("" if one is None else str(one) for one in issue_key(row.issue))


page()
