"""Page 8: the plan as files, the name key apart, and all cautions."""

import streamlit as st

from planner.output.cautions import Topic
from planner.output.plan_json import plan_to_json
from planner.output.workbook import plan_workbook
from planner.screens.frame import need_plan, say_if_old
from planner.screens.show import caution_box
from planner.screens.state import work

_XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def page() -> None:
    """Draw the page."""
    now = work()
    st.title("Take it with you")
    plan = need_plan(now)
    say_if_old(now)
    st.download_button(
        "Download the plan as a workbook (plan.xlsx)",
        data=plan_workbook(plan),
        file_name="plan.xlsx",
        mime=_XLSX,
        key="download_xlsx",
        on_click="ignore",
        type="primary",
    )
    st.download_button(
        "Download the plan for another program (plan.json)",
        data=plan_to_json(plan),
        file_name="plan.json",
        mime="application/json",
        key="download_json",
        on_click="ignore",
    )
    st.header("Cautions")
    caution_box(*Topic)


page()
