"""The three answers, side by side, as they stand on two pages."""

import streamlit as st

from planner.output.headlines import Headline, headlines, life_support_warnings
from planner.result import Plan
from planner.screens.frame import to_page
from planner.screens.show import bullets, plain

_PAGES = ("short", "power", "borrow")


def three_answers(plan: Plan, *, borrow_asked: bool, links: bool = False) -> None:
    """Who is short, what goes dark when, what to borrow first."""
    warnings = life_support_warnings(plan)
    if warnings:
        st.error("**LIFE SUPPORT**: act on this first.")
        bullets(warnings)
    found = headlines(plan, borrow_asked=borrow_asked)
    for place, one, page in zip(st.columns(3), found, _PAGES, strict=True):
        with place, st.container(border=True):
            _headline(one)
            if links:
                to_page(page)


def _headline(one: Headline) -> None:
    st.markdown(f"**{plain(one.question)}**")
    st.markdown(f"#### {plain(one.answer)}")
    st.markdown(plain(one.more))
