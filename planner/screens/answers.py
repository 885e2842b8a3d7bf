"""The three answers, side by side, as they stand on two pages."""

from dataclasses import replace

import streamlit as st

from planner.output.headlines import Headline, headlines, life_support_warnings
from planner.result import Plan
from planner.screens.frame import to_page
from planner.screens.say import manner, say
from planner.screens.show import bullets, plain
from planner.screens.state import Work

_PAGES = ("short", "power", "borrow")


def three_answers(now: Work, plan: Plan, *, links: bool = False) -> None:
    """Who is short, what goes dark when, what to borrow first."""
    warnings = life_support_warnings(plan, manner())
    if warnings:
        st.error(say("at.answers.life_support"))
        bullets(warnings)
    short, dark, borrow = headlines(plan, borrow_asked=now.borrow_asked, how=manner())
    if now.looking_for_loans:
        borrow = replace(
            borrow,
            answer=say("at.answers.working"),
            more=say("at.answers.plan_ready"),
        )
    found = (short, dark, borrow)
    for place, one, page in zip(st.columns(3), found, _PAGES, strict=True):
        with place, st.container(border=True):
            _headline(one)
            if links:
                to_page(page)


def _headline(one: Headline) -> None:
    st.markdown(f"**{plain(one.question)}**")
    st.markdown(f"#### {plain(one.answer)}")
    st.markdown(plain(one.more))
