"""Where the work is kept, how it is carried, and how everything is deleted."""

import streamlit as st

from planner.errors import SavedWorkError
from planner.screens.keeping import close_down, open_saved
from planner.screens.show import plain
from planner.screens.state import Work, saved_form, work
from planner.store import carried, opened, work_file

_NAME = "PRIVATE_work.json"


def page() -> None:
    """Draw the page."""
    now = work()
    st.title("Keep, carry, close down")
    if now.closed_down is not None:
        _closed(now.closed_down)
    _kept()
    _carry(now)
    _close(now)


def _kept() -> None:
    st.header("Kept on this computer")
    st.markdown(
        "Everything is saved after each change and given back when the page is loaded "
        "again or the program is started again: the list, the answers, the changes, the "
        "plan. What was typed but not applied yet is not saved. The file holds **names**; "
        "only this computer's user may read it:"
    )
    st.code(str(work_file()), language=None, wrap_lines=True)
    st.markdown("The last 40 steps can be taken back with **Undo**, at the side.")


def _carry(now: Work) -> None:
    st.header("Carry it to another computer")
    st.markdown(
        "One file with the list, the answers, the changes and the plan. It holds "
        "**names**: carry it on a stick in your pocket, not by mail, and delete it "
        "after use."
    )
    st.download_button(
        "Download the work as one file (PRIVATE, holds names)",
        data=lambda: carried(saved_form(now)),
        file_name=_NAME,
        mime="application/json",
        key="download_work",
        on_click="ignore",
        disabled=not now.list_name,
    )
    st.file_uploader(
        f"Open such a file ({_NAME}), at most 20 MB; it takes the place of what is open",
        key=f"upload_work_{now.opened}",
        on_change=_uploaded_work,
    )
    fault = st.session_state.pop("work_fault", "")
    if fault:
        st.error(f"The file was not opened: {plain(fault)}. Nothing was changed.")


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
    st.header("Close down: delete it all")
    st.markdown(
        "When the site closes, or the list is no longer needed. This deletes the saved "
        "work with all its steps, and with it every link between a name and a code that "
        "this program holds. **It cannot be undone.**"
    )
    st.markdown("This program cannot delete these; do it by hand:")
    st.markdown(
        "- the name key and the work file, if they were downloaded: look in the "
        "Downloads folder for **PRIVATE_name_key.xlsx** and **PRIVATE_work.json**, "
        "and empty the bin\n"
        "- the list itself, wherever it came from, also in mails and on sticks\n"
        "- paper: shred or burn the name key and claim slips"
    )
    sure = st.checkbox("Yes, delete the saved work and all names", key="sure_to_close")
    st.button(
        "Delete it all now",
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
        st.error(
            "**NOT ALL IS DELETED.** Close other programs that hold these files, and "
            "delete them by hand:"
        )
        for name in left:
            st.code(name, language=None, wrap_lines=True)
        return
    st.success(
        "Closed down. The names, the list and the plan are gone from this program, and "
        "looked for again: these files are no longer there. A disk can keep traces of "
        "deleted files; a disk that is encrypted keeps them unreadable."
    )
    for name, _ in files:
        st.code(f"gone: {name}", language=None, wrap_lines=True)
    if not files:
        st.markdown("No file had been saved.")


page()
