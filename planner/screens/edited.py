"""Taking over a change made on a page, and saying what came of it."""

import streamlit as st

from planner.edits import Edited
from planner.issue import Severity
from planner.output.tables_input import issue_rows
from planner.screens.changes import change
from planner.screens.contents import page_words
from planner.screens.drafting import forget
from planner.screens.say import manner, say
from planner.screens.show import bullets, table
from planner.screens.state import Work


def take_edited(now: Work, page: str, edited: Edited) -> None:
    """Take a change over, or keep its faults to be shown; then draw afresh.

    What was typed on the page waits no longer once it is applied.
    """
    if edited.applied:
        forget(now, page)
    now.edit_issues = edited.issues
    now.edited_page = page
    now.edit_applied = edited.applied
    now.edit_changes = edited.changes
    if edited.applied and edited.changes:
        change(now, edited.scenario, "; ".join(edited.changes))
    st.rerun()


def say_edited(now: Work, page: str) -> None:
    """Say what came of the last change of this page."""
    if now.edited_page != page:
        return
    if not now.edit_applied:
        st.error(say("at.edited.nothing_yet"))
        table(issue_rows(now.edit_issues, Severity.REVIEW, manner()))
        return
    if not now.edit_changes:
        st.warning(say("at.edited.no_difference"))
        return
    st.success(say("at.edited.applied", page=page_words("plan")))
    bullets(manner().told(one) for one in now.edit_changes)
    for severity in (Severity.ASSUMED, Severity.NOTE):
        remarks = issue_rows(now.edit_issues, severity, manner())
        if not remarks.empty:
            table(remarks)
