"""Who is without a cold place, why, until when, and what next."""

import streamlit as st

from planner.output.cards import ShortCard, short_cards
from planner.output.cautions import Topic
from planner.output.headlines import short_headline
from planner.scenario import Tier
from planner.screens.frame import need_plan, next_page, say_if_old
from planner.screens.show import caution_box, plain
from planner.screens.state import work

_FIRST = (Tier.A, Tier.B, Tier.C)


def page() -> None:
    """Draw the page."""
    now = work()
    st.title("Who is short")
    plan = need_plan(now)
    say_if_old(now)
    found = short_cards(plan)
    if not found:
        st.success("Nobody is short: every bag of the cold pool has a place.")
        next_page("borrow")
        return
    head = short_headline(plan)
    st.markdown(f"**{plain(head.answer)}.** {plain(head.more)}")
    st.markdown(
        "The most urgent first. The allowance is the time that the label gives an item "
        "out of the cold, at today's room temperature. It does not say that the item "
        "is safe."
    )
    for heading, group in (
        ("Tiers A to C, needed in these days", _urgent(found)),
        ("Tiers D and E, needed in these days", _later(found)),
        ("Extra stock beyond these days", [one for one in found if one.extra_stock]),
    ):
        if group:
            st.header(heading)
        for one in group:
            _card(one)
    caution_box(Topic.MEDICINES, Topic.FEEDS)
    next_page("borrow")


def _urgent(found: tuple[ShortCard, ...]) -> list[ShortCard]:
    return [one for one in found if one.tier in _FIRST and not one.extra_stock]


def _later(found: tuple[ShortCard, ...]) -> list[ShortCard]:
    return [one for one in found if one.tier not in _FIRST and not one.extra_stock]


def _card(one: ShortCard) -> None:
    with st.container(border=True):
        st.markdown(f"**{plain(one.title)}**")
        st.markdown(
            f"Inside its allowance until: **{plain(one.until)}**  \n"
            f"{plain(one.about)}  \n"
            f"Lacking: {plain(one.lacking)}  \n"
            f"**Next:** {plain(one.next_step) or 'ask a pharmacist'}"
        )


page()
