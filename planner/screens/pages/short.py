"""Page 6: who is without a cold place, why, until when, and what next."""

import streamlit as st

from planner.output.cards import ShortCard, short_cards
from planner.output.cautions import Topic
from planner.output.headlines import short_headline
from planner.screens.frame import need_plan, next_page, say_if_old
from planner.screens.show import caution_box, plain
from planner.screens.state import work


def page() -> None:
    """Draw the page."""
    now = work()
    st.title("Who is short")
    plan = need_plan(now)
    say_if_old(now)
    found = short_cards(plan)
    if not found:
        st.success("Nobody is short: every bag of the cold pool has a place.")
        next_page("borrow.py", "7 Borrow first")
        return
    head = short_headline(plan)
    st.markdown(f"**{plain(head.answer)}.** {plain(head.more)}")
    st.markdown(
        "The most urgent first. The time says until when the item is inside its "
        "label's allowance at today's room temperature; it does not say that the "
        "item is safe."
    )
    needed = [one for one in found if not one.extra_stock]
    extra = [one for one in found if one.extra_stock]
    st.header("Needed in these days")
    if not needed:
        st.markdown("Nobody: only extra stock is short.")
    for one in needed:
        _card(one)
    if extra:
        st.header("Extra stock beyond these days")
        for one in extra:
            _card(one)
    caution_box(Topic.MEDICINES, Topic.FEEDS)
    next_page("borrow.py", "7 Borrow first")


def _card(one: ShortCard) -> None:
    with st.container(border=True):
        st.markdown(f"**{plain(one.until)}** | **{plain(one.title)}**")
        st.markdown(
            f"{plain(one.tier)}  \n"
            f"Lacking: {plain(one.lacking)}  \n"
            f"**Next:** {plain(one.next_step) or 'ask a pharmacist'}"
        )


page()
