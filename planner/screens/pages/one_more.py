"""Say whether one more item, brought to the desk, can be taken."""

import streamlit as st

from planner.errors import UsageError
from planner.output.cautions import Topic
from planner.output.replan_text import OneMoreSaid, one_more_said
from planner.replanning import in_force_of, one_more, read_item
from planner.result import Plan
from planner.scenario import Scenario, Tier
from planner.screens.contents import heading_of, page_words
from planner.screens.frame import need_plan, need_scenario, say_if_old
from planner.screens.say import manner, say
from planner.screens.show import bullets, caution_box, plain
from planner.screens.state import work

_TIERS = ("", *(tier.value for tier in Tier))
# Nothing stands for: worked out from the item.


def page() -> None:
    """Draw the page."""
    now = work()
    st.title(heading_of("one_more"))
    plan = need_plan(now)
    scenario = need_scenario(now)
    say_if_old(now)
    st.markdown(say("at.one_more.how"))
    fields = _form(scenario)
    if fields is not None:
        _answer(plan, scenario, fields)
    caution_box(Topic.MEDICINES)


def _form(scenario: Scenario) -> dict[str, str] | None:
    """Ask for the item; ``None`` until the button is pressed."""
    auto = say("at.one_more.tier_auto")
    with st.form("one_more_form"):
        item = st.text_input(
            say("at.one_more.item"),
            key="one_more_item",
            placeholder=say("at.one_more.item_hint"),
        )
        left, right = st.columns(2)
        count = left.number_input(
            say("at.one_more.count"),
            min_value=1,
            max_value=500,
            value=1,
            key="one_more_count",
        )
        volume = right.text_input(
            say("at.one_more.volume"),
            key="one_more_volume",
            placeholder=say("at.one_more.volume_hint"),
        )
        place = left.selectbox(
            say("at.one_more.place"),
            [one.name for one in scenario.places],
            key="one_more_place",
        )
        tier = right.selectbox(
            say("at.one_more.tier"),
            _TIERS,
            format_func=({one: one for one in _TIERS} | {"": auto}).__getitem__,
            key="one_more_tier",
        )
        locked = left.checkbox(say("at.one_more.locked"), key="one_more_locked")
        night = right.checkbox(say("at.one_more.night"), key="one_more_night")
        pressed = st.form_submit_button(say("at.one_more.ask"), type="primary")
        st.caption(say("at.draft.lost"))
        if not pressed:
            return None
    return {
        "item": item,
        "quantity": str(int(count)),
        "volume_l": volume,
        "place": place or "",
        "tier": tier,
        "locked": "yes" if locked else "",
        "night_need": "yes" if night else "",
    }


def _answer(plan: Plan, scenario: Scenario, fields: dict[str, str]) -> None:
    """Read the item, ask, and show what to do."""
    found = read_item(fields, scenario)
    if found.line is None:
        last = found.issues[-1]
        st.warning(" ".join(plain(text) for text in manner().issue(last)))
        return
    try:
        answer = one_more(scenario, in_force_of(plan, scenario), found.line)
    except UsageError as fault:
        st.warning(plain(manner().told(str(fault))))
        return
    _show(one_more_said(answer, scenario, found.line, manner()))
    bullets(" ".join(manner().issue(one)) for one in found.issues)


def _show(said: OneMoreSaid) -> None:
    with st.container(border=True):
        st.markdown(plain(said.read_as))
        st.header(plain(said.answer), anchor="answer")
        bullets((*said.why, *said.steps))
        if said.steps:
            st.markdown(say("at.one_more.then", page=page_words("bring_list")))


page()
