"""The intake list and, if it stands apart, the equipment workbook."""

import streamlit as st

from planner.issue import Severity
from planner.output.issue_text import HEADINGS, totals
from planner.output.tables_input import issue_rows, items_read, pool_read, rows_read
from planner.screens.bringing import bring, drop_words, take_headings, take_words
from planner.screens.changes import put_away, take_kit, take_sample
from planner.screens.contents import page_words
from planner.screens.frame import next_page
from planner.screens.headings import show_headings
from planner.screens.newer import show_newer
from planner.screens.samples import blank, samples
from planner.screens.show import grid, plain, sentences, table
from planner.screens.state import Work, work

_KINDS = ".xlsx .xlsm .xls .ods .csv .tsv .txt"
_MOST_MB = 20
_XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def page() -> None:
    """Draw the page."""
    now = work()
    st.title("Bring in the list")
    show_newer(now)
    _ways_in(now)
    if not now.list_name:
        st.info("Nothing is open yet. Choose a workbook, or open a sample to try it.")
        return
    st.header("What was read")
    _what_was_read(now)
    show_headings(now)
    _issues(now)
    if now.scenario is not None:
        next_page("questions")


def _ways_in(now: Work) -> None:
    left, right = st.columns(2)
    with left:
        st.file_uploader(
            f"File with the list of items ({_KINDS}), at most {_MOST_MB} MB",
            key=f"upload_list_{now.opened}",
            on_change=_uploaded_list,
        )
        st.file_uploader(
            "Second file with the equipment, only if it is not in the first "
            f"({_KINDS}), at most {_MOST_MB} MB",
            key=f"upload_kit_{now.opened}",
            on_change=_uploaded_kit,
        )
        with st.expander("Or paste a list as text", key="paste"):
            st.text_area(
                "One item a line with the person's name before a colon, or a table "
                "copied from another program",
                key=f"pasted_{now.opened}",
            )
            st.button("Read the pasted list", key="read_pasted", on_click=_pasted)
        _helps(now)
    with right:
        st.markdown("**No list yet?** Fill in a blank workbook and bring it back.")
        st.download_button(
            "Download a blank workbook",
            data=blank(),
            file_name="blank_list.xlsx",
            mime=_XLSX,
            key="download_blank",
            on_click="ignore",
        )
        st.markdown(
            "**Just trying it?** Open a sample. Its people and things are invented."
        )
        for one in samples():
            st.button(
                f"Open: {one.title}",
                key=f"sample_{one.path.stem}",
                on_click=take_sample,
                args=(now, one.path.name, one.path.read_bytes()),
            )
    if now.list_name:
        st.button("Put this list away", key="put_away", on_click=put_away, args=(now,))


def _helps(now: Work) -> None:
    """Offer files that help to read any list: own words, remembered headings."""
    with st.expander(
        "Your own words for items, remembered headings",
        expanded=bool(now.words_name),
        key="reading_helps",
    ):
        st.markdown(
            "**Your own words**: a table with the columns **Words** and **Kind**. The "
            f"ids for Kind are on {page_words('look_up')}."
        )
        st.download_button(
            "Download an empty word list",
            data="Words,Kind\n",
            file_name="words.csv",
            mime="text/csv",
            key="download_words",
            on_click="ignore",
        )
        if now.words_name:
            st.markdown(f"In use: **{plain(now.words_name)}**")
            st.button(
                "Stop using this word list",
                key="drop_words",
                on_click=drop_words,
                args=(now,),
            )
        st.file_uploader(
            f"File with your own words ({_KINDS}), at most {_MOST_MB} MB",
            key=f"upload_words_{now.opened}",
            on_change=_uploaded_words,
        )
        st.markdown(
            "**Remembered headings**: the file headings.json of an earlier list."
        )
        st.file_uploader(
            "File with remembered headings (.json)",
            key=f"upload_headings_{now.opened}",
            on_change=_uploaded_headings,
        )


def _uploaded_words() -> None:
    now = work()
    upload = st.session_state.get(f"upload_words_{now.opened}")
    if upload is not None:
        take_words(now, upload.name, upload.getvalue())


def _uploaded_headings() -> None:
    now = work()
    upload = st.session_state.get(f"upload_headings_{now.opened}")
    if upload is not None and not take_headings(now, upload.getvalue()):
        now.notes.append(f"{upload.name} holds no headings; nothing was changed.")


def _uploaded_list() -> None:
    now = work()
    upload = st.session_state.get(f"upload_list_{now.opened}")
    if upload is not None:
        bring(now, upload.name, upload.getvalue())


def _uploaded_kit() -> None:
    now = work()
    upload = st.session_state.get(f"upload_kit_{now.opened}")
    if upload is not None:
        take_kit(now, upload.name, upload.getvalue())


def _pasted() -> None:
    now = work()
    text = str(st.session_state.get(f"pasted_{now.opened}", ""))
    if text.strip():
        now.opened += 1  # the box is empty again
        bring(now, "pasted.txt", text.encode("utf-8", "replace"))


def _what_was_read(now: Work) -> None:
    named = f"{now.list_name} and {now.kit_name}" if now.kit_name else now.list_name
    st.markdown(f"Open now: **{plain(named)}**")
    if now.scenario is None:
        st.error("This file cannot be planned yet. See below what to mend.")
        return
    sentences((rows_read(now.scenario), pool_read(now.scenario)))
    with st.expander("Read it back: how each item was understood", key="read_back"):
        grid(items_read(now.scenario), key="items_read")


def _issues(now: Work) -> None:
    st.header("Remarks")
    if not now.issues:
        st.success("No remarks: every row and cell was understood.")
        return
    st.markdown(plain(totals(now.issues)))
    for severity, heading in HEADINGS.items():
        found = issue_rows(now.issues, severity)
        if found.empty:
            continue
        first = severity in {Severity.STOP, Severity.REVIEW}
        with st.expander(
            plain(f"{heading} ({len(found)})"), expanded=first, key=f"issues_{severity}"
        ):
            table(found)


page()
