"""The plan as files, the name key apart, and all cautions."""

from datetime import datetime

import streamlit as st

from planner.intake import name_key
from planner.output.cautions import Topic
from planner.output.name_key import name_key_workbook
from planner.output.paper import PaperSize, hand_copy, paper_pdf
from planner.output.plan_json import plan_to_json
from planner.output.summary import summary_text
from planner.output.wording import Language
from planner.output.workbook import plan_mark
from planner.pipeline import what_to_shed
from planner.result import Plan
from planner.screens.frame import need_plan, next_page, say_if_old
from planner.screens.show import caution_box, plain
from planner.screens.state import plan_book, work

_SIZES = {"Letter": PaperSize.LETTER, "A4": PaperSize.A4}
_LANGUAGES = {"English": Language.EN, "Español": Language.ES}
_XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def page() -> None:
    """Draw the page."""
    now = work()
    st.title("Paper and files")
    plan = need_plan(now)
    say_if_old(now)
    if not now.borrow_asked:
        st.warning(
            "This plan was made without working out what to borrow. In its files "
            "'borrow first: nothing' means: not worked out."
        )
    st.markdown(
        f"Plan **{plain(plan_mark(plan))}**. The same mark stands on every sheet; two "
        "sheets with different marks do not belong together. All files hold codes, "
        "no names."
    )
    st.download_button(
        "Download the plan as a workbook (plan.xlsx)",
        data=lambda: plan_book(now, plan),
        file_name="plan.xlsx",
        mime=_XLSX,
        key="download_xlsx",
        on_click="ignore",
        type="primary",
    )
    st.download_button(
        "Download the plan for another program (plan.json)",
        data=lambda: plan_to_json(plan),
        file_name="plan.json",
        mime="application/json",
        key="download_json",
        on_click="ignore",
    )
    _paper(plan)
    st.header("The plan on one screen")
    st.markdown("To read out or to copy by hand when there is no printer.")
    st.code(summary_text(plan, now.issues), language=None)
    _name_key(plan)
    st.header("Cautions")
    caution_box(*Topic)
    next_page("what_if")


def _paper(plan: Plan) -> None:
    st.header("Paper")
    st.markdown(
        "Sheets for doors, bags, plugs and people, black and white, codes only: "
        "handover, shortfall list, borrow list, door sheets, wiring cards, rota, "
        "load-shed card, logs, warm-exposure slips, labels, claim slips and a notice. "
        "The Spanish was **not reviewed by a native health worker**."
    )
    size = st.radio("Paper", list(_SIZES), key="paper_size", horizontal=True)
    spoken = st.radio(
        "Language", list(_LANGUAGES), key="paper_language", horizontal=True
    )
    language = _LANGUAGES[spoken]
    # Made when the button is pressed, so that the page itself stays quick.
    st.download_button(
        f"Download the sheets to print (paper.pdf, {size}, {spoken})",
        data=lambda: paper_pdf(
            plan,
            size=_SIZES[size],
            language=language,
            made_at=_this_minute(),
            ladder=what_to_shed(plan),
        ),
        file_name="paper.pdf",
        mime="application/pdf",
        key="download_paper",
        on_click="ignore",
    )
    st.download_button(
        f"Download the same to copy by hand (handcopy.txt, {spoken})",
        data=lambda: hand_copy(plan, language=language, ladder=what_to_shed(plan)),
        file_name="handcopy.txt",
        mime="text/plain",
        key="download_handcopy",
        on_click="ignore",
    )


def _this_minute() -> datetime:
    return datetime.now().replace(second=0, microsecond=0)


def _name_key(plan: Plan) -> None:
    st.header("Name key: PRIVATE")
    st.markdown(
        "The only file that says which code stands for whom. One named person keeps "
        "it, never with the plan, and destroys it when the site closes."
    )
    pairs = name_key(plan.scenario)
    if not pairs:
        st.markdown("The list holds no names, so there is no key.")
        return
    sure = st.checkbox("I am the keeper of the name key", key="keeper")
    if sure:
        st.download_button(
            "Download the name key (PRIVATE, holds names)",
            data=name_key_workbook(pairs, plan.scenario.conditions.start),
            file_name="PRIVATE_name_key.xlsx",
            mime=_XLSX,
            key="download_key",
            on_click="ignore",
        )


page()
