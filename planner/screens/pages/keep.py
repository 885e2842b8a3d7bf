"""Where the work is kept, how it is carried, and how everything is deleted."""

import streamlit as st

from planner.errors import SavedWorkError
from planner.screens.contents import heading_of
from planner.screens.keeping import close_down, open_saved
from planner.screens.say import say
from planner.screens.show import plain
from planner.screens.state import Work, saved_form, work
from planner.store import carried, opened, work_file

_NAME = "PRIVATE_work.json"
_MOST_MB = 20


def page() -> None:
    """Draw the page."""
    now = work()
    st.title(heading_of("keep"))
    if now.closed_down is not None:
        _closed(now.closed_down)
    _kept()
    _carry(now)
    _close(now)


def _kept() -> None:
    st.header(say("at.keep.here"))
    st.markdown(say("at.keep.how"))
    st.code(str(work_file()), language=None, wrap_lines=True)
    st.markdown(say("at.keep.steps"))


def _carry(now: Work) -> None:
    st.header(say("at.keep.carry"))
    st.markdown(say("at.keep.carry_how"))
    st.download_button(
        say("at.keep.download"),
        data=lambda: carried(saved_form(now)),
        file_name=_NAME,
        mime="application/json",
        key="download_work",
        on_click="ignore",
        disabled=not now.list_name,
    )
    st.file_uploader(
        say("at.keep.open", name=_NAME, most=_MOST_MB),
        key=f"upload_work_{now.opened}",
        on_change=_uploaded_work,
    )
    fault = st.session_state.pop("work_fault", "")
    if fault:
        st.error(say("at.keep.not_opened", why=plain(fault)))


def _uploaded_work() -> None:
    now = work()
    upload = st.session_state.get(f"upload_work_{now.opened}")
    if upload is None:
        return
    try:
        saved, notes = opened(upload.getvalue())
    except SavedWorkError as fault:
        st.session_state["work_fault"] = str(fault)
        return
    open_saved(now, saved, notes)


def _close(now: Work) -> None:
    st.header(say("at.keep.close"))
    st.markdown(say("at.keep.close_how"))
    st.markdown(say("at.keep.by_hand"))
    by_hand = (say(f"at.keep.by_hand.{one}") for one in ("files", "list", "paper"))
    st.markdown("\n".join(f"- {one}" for one in by_hand))
    sure = st.checkbox(say("at.keep.sure"), key="sure_to_close")
    st.button(
        say("at.keep.delete"),
        key="close_down",
        disabled=not sure,
        on_click=_close_down,
        type="primary",
    )


def _close_down() -> None:
    st.session_state["sure_to_close"] = False
    close_down(work())


def _closed(files: tuple[tuple[str, bool], ...]) -> None:
    """Show that the files are gone, looked at after they were deleted."""
    left = [name for name, gone in files if not gone]
    if left:
        st.error(say("at.keep.not_all"))
        for name in left:
            st.code(name, language=None, wrap_lines=True)
        return
    st.success(say("at.keep.closed"))
    for name, _ in files:
        st.code(say("at.keep.gone", name=name), language=None, wrap_lines=True)
    if not files:
        st.markdown(say("at.keep.no_file"))


page()
