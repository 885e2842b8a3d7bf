"""Who is without a cold place, why, until when, and what next."""

import streamlit as st

from planner.output.cards import ShortCard, short_cards
from planner.output.cautions import Topic
from planner.output.change_text import shared_changes
from planner.output.headlines import short_headline, shorter_plan_lines
from planner.scenario import Tier
from planner.screens.contents import heading_of
from planner.screens.frame import need_plan, next_page, say_if_old
from planner.screens.say import manner, say
from planner.screens.show import bullets, caution_box, plain
from planner.screens.state import work

_FIRST = (Tier.A, Tier.B, Tier.C)


def page() -> None:
    """Draw the page."""
    now = work()
    st.title(heading_of("short"))
    plan = need_plan(now)
    say_if_old(now)
    found = short_cards(plan, manner())
    if not found:
        st.success(say("at.short.nobody"))
        next_page("borrow")
        return
    head = short_headline(plan, manner())
    st.markdown(say("at.headline", answer=plain(head.answer), more=plain(head.more)))
    for line in shorter_plan_lines(plan, manner()):
        st.warning(plain(line))
    st.markdown(say("at.short.how"))
    if any(one.change for one in found):
        st.markdown(say("at.short.change_how"))
        shared = shared_changes(plan, manner())
        if shared:
            st.markdown(f"**{say('at.short.shared')}**")
            bullets(shared)
    for heading, group in (
        (say("at.short.urgent"), _urgent(found)),
        (say("at.short.later"), _later(found)),
        (say("at.short.extra"), [one for one in found if one.extra_stock]),
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
    # One text a card: a browser is slow to draw hundreds of small ones.
    with st.container(border=True):
        st.markdown(
            "  \n".join(
                (
                    f"**{plain(one.title)}**",
                    say("at.short.until", until=plain(one.until)),
                    plain(one.about),
                    say("at.short.lacking", lacking=plain(one.lacking)),
                    *([f"**{plain(one.borrow)}**"] if one.borrow else []),
                    *_what_helps(one),
                    say(
                        "at.short.next",
                        step=plain(one.next_step) or say("at.short.ask"),
                    ),
                )
            )
        )


def _what_helps(one: ShortCard) -> list[str]:
    """What is missing and what would place it, where one thing would do."""
    if not one.change:
        return []
    return [
        say("at.short.missing", missing=plain(one.missing)),
        say("at.short.change", change=plain(one.change)),
    ]


page()
