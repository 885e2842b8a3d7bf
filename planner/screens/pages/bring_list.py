"""The intake list and, if it stands apart, the equipment workbook."""

import streamlit as st

from planner.issue import Severity
from planner.output.issue_text import HEADINGS, totals
from planner.output.tables_input import issue_rows, items_read, pool_read, rows_read
from planner.screens.bringing import bring, drop_words, take_headings, take_words
from planner.screens.changes import put_away, take_kit, take_sample
from planner.screens.contents import heading_of, page_words
from planner.screens.frame import next_page
from planner.screens.headings import show_headings
from planner.screens.newer import show_newer
from planner.screens.samples import blank, samples
from planner.screens.say import manner, say
from planner.screens.show import grid, plain, sentences, table
from planner.screens.state import Work, work

_KINDS = ".xlsx .xlsm .xls .ods .csv .tsv .txt"
_MOST_MB = 20
_XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def page() -> None:
    """Draw the page."""
    now = work()
    st.title(heading_of("bring_list"))
    show_newer(now)
    _ways_in(now)
    if not now.list_name:
        st.info(say("at.bring_list.nothing"))
        return
    st.header(say("at.bring_list.read"))
    _what_was_read(now)
    show_headings(now)
    _issues(now)
    if now.scenario is not None:
        next_page("questions")


def _ways_in(now: Work) -> None:
    left, right = st.columns(2)
    with left:
        st.file_uploader(
            say("at.bring_list.upload_list", kinds=_KINDS, most=_MOST_MB),
            key=f"upload_list_{now.opened}",
            on_change=_uploaded_list,
        )
        st.file_uploader(
            say("at.bring_list.upload_kit", kinds=_KINDS, most=_MOST_MB),
            key=f"upload_kit_{now.opened}",
            on_change=_uploaded_kit,
        )
        with st.expander(say("at.bring_list.paste"), key="paste"):
            st.text_area(
                say("at.bring_list.paste_box"),
                key=f"pasted_{now.opened}",
            )
            st.button(
                say("at.bring_list.read_pasted"), key="read_pasted", on_click=_pasted
            )
            st.caption(say("at.draft.lost"))
        _helps(now)
    with right:
        st.markdown(say("at.bring_list.no_list"))
        st.download_button(
            say("at.bring_list.blank"),
            data=blank,
            file_name="blank_list.xlsx",
            mime=_XLSX,
            key="download_blank",
            on_click="ignore",
        )
        st.markdown(say("at.bring_list.try"))
        for one in samples():
            st.button(
                say("at.bring_list.open_sample", title=say(one.title_key)),
                key=f"sample_{one.path.stem}",
                on_click=take_sample,
                args=(now, one.path.name, one.path.read_bytes()),
            )
    if now.list_name:
        st.button(
            say("at.bring_list.put_away"),
            key="put_away",
            on_click=put_away,
            args=(now,),
        )


def _helps(now: Work) -> None:
    """Offer files that help to read any list: own words, remembered headings."""
    with st.expander(
        say("at.bring_list.helps"),
        expanded=bool(now.words_name),
        key="reading_helps",
    ):
        st.markdown(say("at.bring_list.own_words", page=page_words("look_up")))
        st.download_button(
            say("at.bring_list.empty_words"),
            data="Words,Kind\n",
            file_name="words.csv",
            mime="text/csv",
            key="download_words",
            on_click="ignore",
        )
        if now.words_name:
            st.markdown(say("at.bring_list.in_use", name=plain(now.words_name)))
            st.button(
                say("at.bring_list.drop_words"),
                key="drop_words",
                on_click=drop_words,
                args=(now,),
            )
        st.file_uploader(
            say("at.bring_list.upload_words", kinds=_KINDS, most=_MOST_MB),
            key=f"upload_words_{now.opened}",
            on_change=_uploaded_words,
        )
        st.markdown(say("at.bring_list.remembered"))
        st.file_uploader(
            say("at.bring_list.upload_headings"),
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
        now.notes.append(say("at.bring_list.no_headings", name=upload.name))


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
    named = plain(now.list_name)
    if now.kit_name:
        named = say("at.bring_list.two_files", one=named, two=plain(now.kit_name))
    st.markdown(say("at.bring_list.open_now", name=named))
    if now.scenario is None:
        st.error(say("at.bring_list.cannot_plan"))
        return
    sentences((rows_read(now.scenario, manner()), pool_read(now.scenario, manner())))
    # The longest table of the page is made when somebody opens it.
    opened = st.expander(
        say("at.bring_list.read_back"), key="read_back", on_change="rerun"
    )
    if opened.open:
        with opened:
            grid(items_read(now.scenario, manner()), key="items_read")


def _issues(now: Work) -> None:
    st.header(say("at.bring_list.remarks"))
    if not now.issues:
        st.success(say("at.bring_list.no_remarks"))
        return
    st.markdown(plain(totals(now.issues, manner())))
    for severity, heading in HEADINGS.items():
        found = issue_rows(now.issues, severity, manner())
        if found.empty:
            continue
        first = severity in {Severity.STOP, Severity.REVIEW}
        with st.expander(
            plain(
                say(
                    "tell.issues.counted",
                    heading=manner().told(heading),
                    count=len(found),
                )
            ),
            expanded=first,
            key=f"issues_{severity}",
        ):
            table(found)


page()
