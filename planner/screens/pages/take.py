"""The plan as files, the name key apart, and all cautions."""

from datetime import datetime

import streamlit as st

from planner.intake import name_key
from planner.output.cautions import Topic
from planner.output.coded import coded_plan
from planner.output.name_key import name_key_workbook
from planner.output.paper import PaperSize, hand_copy, paper_pdf
from planner.output.plan_json import plan_to_json
from planner.output.summary import summary_text
from planner.output.workbook import plan_mark
from planner.pipeline import what_to_shed
from planner.result import Plan
from planner.screens.choices import LANGUAGES
from planner.screens.contents import heading_of
from planner.screens.frame import need_plan, next_page, say_if_old
from planner.screens.say import manner, say
from planner.screens.show import caution_box, plain
from planner.screens.state import plan_book, work

_SIZES = {PaperSize.LETTER: "at.take.size.letter", PaperSize.A4: "at.take.size.a4"}
_XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def page() -> None:
    """Draw the page."""
    now = work()
    st.title(heading_of("take"))
    plan = need_plan(now)
    say_if_old(now)
    if not now.borrow_asked:
        st.warning(say("at.take.no_loans"))
    st.markdown(say("at.take.mark", mark=plain(plan_mark(plan))))
    st.download_button(
        say("at.take.xlsx"),
        data=lambda: plan_book(now, plan),
        file_name="plan.xlsx",
        mime=_XLSX,
        key="download_xlsx",
        on_click="ignore",
        type="primary",
    )
    st.download_button(
        say("at.take.json"),
        data=lambda: plan_to_json(plan),
        file_name="plan.json",
        mime="application/json",
        key="download_json",
        on_click="ignore",
    )
    _paper(plan)
    st.header(say("at.take.one_screen"))
    st.markdown(say("at.take.read_out"))
    st.code(
        summary_text(coded_plan(plan), now.issues, manner(), columns=None),
        language=None,
        wrap_lines=True,
    )
    _name_key(plan)
    st.header(say("at.take.cautions"))
    caution_box(*Topic)
    next_page("what_if")


def _paper(plan: Plan) -> None:
    st.header(say("at.take.paper"))
    st.markdown(say("at.take.sheets"))
    how = manner()  # of this drawing: the file is made after it
    size = st.radio(
        say("at.take.paper"),
        list(_SIZES),
        format_func={one: say(key) for one, key in _SIZES.items()}.__getitem__,
        key="paper_size",
        horizontal=True,
    )
    language = st.radio(
        say("at.take.language"),
        list(LANGUAGES),
        index=list(LANGUAGES).index(how.language),
        format_func=LANGUAGES.__getitem__,
        key="paper_language",
        horizontal=True,
    )
    sized, spoken = say(_SIZES[size]), LANGUAGES[language]
    # Made when the button is pressed, so that the page itself stays quick.
    st.download_button(
        say("at.take.download_pdf", size=sized, language=spoken),
        data=lambda: paper_pdf(
            plan,
            size=size,
            language=language,
            units=how.units,
            clock=how.clock,
            made_at=_this_minute(),
            ladder=what_to_shed(plan),
        ),
        file_name="paper.pdf",
        mime="application/pdf",
        key="download_paper",
        on_click="ignore",
    )
    st.download_button(
        say("at.take.download_copy", language=spoken),
        data=lambda: hand_copy(
            plan,
            language=language,
            units=how.units,
            clock=how.clock,
            ladder=what_to_shed(plan),
        ),
        file_name="handcopy.txt",
        mime="text/plain",
        key="download_handcopy",
        on_click="ignore",
    )


def _this_minute() -> datetime:
    return datetime.now().replace(second=0, microsecond=0)


def _name_key(plan: Plan) -> None:
    st.header(say("at.take.key"))
    st.markdown(say("at.take.key_how"))
    pairs = name_key(plan.scenario)
    if not pairs:
        st.markdown(say("at.take.no_names"))
        return
    sure = st.checkbox(say("at.take.keeper"), key="keeper")
    if sure:
        st.download_button(
            say("at.take.download_key"),
            data=name_key_workbook(pairs, plan.scenario.conditions.start),
            file_name="PRIVATE_name_key.xlsx",
            mime=_XLSX,
            key="download_key",
            on_click="ignore",
        )


page()
