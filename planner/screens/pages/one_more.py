"""Say whether one more item, brought to the desk, can be taken."""

import streamlit as st

from planner.errors import UsageError
from planner.output.cautions import Topic
from planner.output.replan_text import OneMoreSaid, one_more_said
from planner.replanning import in_force_of, one_more, read_item
from planner.result import Plan
from planner.scenario import Scenario, Tier
from planner.screens.contents import page_words
from planner.screens.frame import need_plan, need_scenario, say_if_old
from planner.screens.show import bullets, caution_box, plain
from planner.screens.state import work

_WORKED_OUT = "worked out from the item"
_TIERS = (_WORKED_OUT, *(tier.value for tier in Tier))


def page() -> None:
    """Draw the page."""
    now = work()
    st.title("Take one more")
    plan = need_plan(now)
    scenario = need_scenario(now)
    say_if_old(now)
    st.markdown(
        "Write what is brought. The answer comes at once and **changes nothing**: when "
        "it is taken in, add it to the list and plan again. No names are asked."
    )
    fields = _form(scenario)
    if fields is not None:
        _answer(plan, scenario, fields)
    caution_box(Topic.MEDICINES)


def _form(scenario: Scenario) -> dict[str, str] | None:
    """Ask for the item; ``None`` until the button is pressed."""
    with st.form("one_more_form"):
        item = st.text_input(
            "Item: generic name and form, as on the label",
            key="one_more_item",
            placeholder="insulin glargine pens",
        )
        left, right = st.columns(2)
        count = left.number_input(
            "Packs or bags", min_value=1, max_value=500, value=1, key="one_more_count"
        )
        volume = right.text_input(
            "Outer size of one pack in litres, if known",
            key="one_more_volume",
            placeholder="from the catalogue",
        )
        place = left.selectbox(
            "Where the person sleeps",
            [one.name for one in scenario.places],
            key="one_more_place",
        )
        tier = right.selectbox(
            "Tier, only when someone who may decide has decided",
            _TIERS,
            key="one_more_tier",
        )
        locked = left.checkbox("It must be locked away", key="one_more_locked")
        night = right.checkbox("It is fetched at night", key="one_more_night")
        if not st.form_submit_button("Can we take it?", type="primary"):
            return None
    return {
        "item": item,
        "quantity": str(int(count)),
        "volume_l": volume,
        "place": place or "",
        "tier": "" if tier == _WORKED_OUT else tier,
        "locked": "yes" if locked else "",
        "night_need": "yes" if night else "",
    }


def _answer(plan: Plan, scenario: Scenario, fields: dict[str, str]) -> None:
    """Read the item, ask, and show what to do."""
    found = read_item(fields, scenario)
    if found.line is None:
        last = found.issues[-1]
        st.warning(f"{plain(last.message)} {plain(last.remedy)}")
        return
    try:
        answer = one_more(scenario, in_force_of(plan, scenario), found.line)
    except UsageError as fault:
        st.warning(plain(str(fault)))
        return
    _show(one_more_said(answer, scenario, found.line))
    bullets(f"{one.message} {one.remedy}" for one in found.issues)


def _show(said: OneMoreSaid) -> None:
    with st.container(border=True):
        st.markdown(plain(said.read_as))
        st.header(plain(said.answer), anchor="answer")
        bullets((*said.why, *said.steps))
        if said.steps:
            st.markdown(
                f"Then add the row to the list on {page_words('bring_list')} and plan "
                "again."
            )


page()
