"""Who is without a cold place, why, until when, and what next."""

import streamlit as st

from planner.output import tables
from planner.output.cards import ShortCard, short_cards
from planner.output.cautions import Topic
from planner.output.change_text import shared_changes
from planner.output.headlines import short_headline, shorter_plan_lines
from planner.output.held import held_lines
from planner.result import Plan
from planner.scenario import Tier
from planner.screens.contents import heading_of
from planner.screens.frame import need_plan, next_page, say_if_old, to_page
from planner.screens.say import manner, say
from planner.screens.show import bullets, caution_box, plain, table
from planner.screens.state import work

_FIRST = (Tier.A, Tier.B, Tier.C)


def page() -> None:
    """Draw the page."""
    now = work()
    st.title(heading_of("short"))
    plan = need_plan(now)
    say_if_old(now)
    found = short_cards(plan, manner())
    head = short_headline(plan, manner())
    if not found and head.good:
        st.success(say("at.short.nobody"))
        next_page("borrow")
        return
    st.markdown(say("at.headline", answer=plain(head.answer), more=plain(head.more)))
    for line in shorter_plan_lines(plan, manner()):
        st.warning(plain(line))
    _not_planned(plan)
    if found:
        _short(plan, found)
    _not_cold_in_time(plan)
    caution_box(Topic.MEDICINES, Topic.FEEDS)
    next_page("borrow")


def _not_planned(plan: Plan) -> None:
    """Rows of the list that have no place and no clock, and where to answer."""
    lines = held_lines(plan, manner())
    if not lines:
        return
    st.header(say("at.short.held"))
    bullets(lines)
    to_page("questions")


def _not_cold_in_time(plan: Plan) -> None:
    """Bags whose allowance ends before their unit is expected cold."""
    rows = tables.late(plan, manner())
    if rows.empty:
        return
    st.header(say("at.short.late"))
    st.markdown(say("at.short.late_how"))
    table(rows)


def _short(plan: Plan, found: tuple[ShortCard, ...]) -> None:
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
