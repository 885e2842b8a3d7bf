"""Ask for a plan, see it come, read it."""

import streamlit as st

from planner.output import cards, tables, tables_records
from planner.output.answers import row_balance, status, title
from planner.output.ask_whom import hookup_topics, used_units
from planner.output.cautions import Topic
from planner.output.headlines import shorter_plan_lines
from planner.output.pictures import hookup_pictures, unit_pictures
from planner.result import Plan
from planner.scenario import Scenario, UnitType
from planner.screens.answers import three_answers
from planner.screens.changes import start_job
from planner.screens.contents import heading_of, page_words
from planner.screens.frame import need_scenario, next_page, say_if_old, to_page
from planner.screens.say import manner, say
from planner.screens.show import (
    bullets,
    caution_box,
    grid,
    picture,
    plain,
    sentences,
    table,
)
from planner.screens.state import Work, work
from planner.screens.watching import ask_limit, say_failure, watch


def page() -> None:
    """Draw the page."""
    now = work()
    st.title(heading_of("plan"))
    scenario = need_scenario(now)
    _ask(now, scenario)
    progress = st.container()
    say_failure(now)
    if now.plan is not None:
        say_if_old(now)
        if now.stale:
            st.markdown(say("at.plan.few_moves", page=page_words("plan_again")))
            to_page("plan_again")
        three_answers(now, now.plan)
        _details(now.plan)
        next_page("power")
    elif not now.failure and not now.planning:
        st.info(say("at.plan.no_plan"))
    # Last, because it waits: all that is known stands on the page meanwhile.
    watch(now, progress)


def _ask(now: Work, scenario: Scenario) -> None:
    with st.form("ask_plan", border=True):
        left, right = st.columns(2)
        limit_s = ask_limit(left, "time_limit")
        borrow = right.checkbox(
            say("at.plan.with_borrow"),
            value=True,
            key="with_borrow",
        )
        pressed = st.form_submit_button(
            say("at.plan.make" if now.plan is None else "at.plan.again"),
            type="primary",
            key="make_plan",
        )
    if not pressed:
        return
    if now.planning:
        st.info(say("at.plan.already"))
        return
    start_job(now, scenario, limit_s=limit_s, borrow=borrow)
    st.rerun()  # the side, drawn before, has to say that it is being worked out


def _details(plan: Plan) -> None:
    how = manner()
    sentences((title(plan, how), status(plan, how), row_balance(plan, how)))
    for line in shorter_plan_lines(plan, how):
        st.warning(plain(line))
    st.markdown(say("at.plan.jump"))
    st.header(say("at.plan.tiers"), anchor="tiers")
    bullets(cards.tier_lines(plan, how))
    st.header(say("at.plan.units"), anchor="units")
    for number, card in enumerate(cards.unit_cards(plan, how)):
        _unit(plan, card, number)
    idle = cards.units_not_used(plan, how)
    if idle:
        st.markdown(say("at.plan.not_used"))
        bullets(idle)
    if any(unit.kind is UnitType.ICE_CHEST for unit in used_units(plan)):
        caution_box(Topic.FREEZING)
    _hookup(plan)
    _warm(plan)
    _checked(plan)


def _unit(plan: Plan, card: cards.UnitCard, number: int) -> None:
    with st.container(border=True):
        st.subheader(plain(card.name))
        left, right = st.columns(2)
        with left:
            bullets(card.facts)
        with right:
            for drawn in unit_pictures(plan, card.unit_id, manner()):
                if drawn.title != card.name.split(", ")[0]:
                    st.markdown(f"**{plain(drawn.title)}**")
                picture(drawn, words=False)
        if card.bags.empty:
            st.markdown(say("at.plan.empty_unit"))
            return
        table(card.bags)
        with st.expander(say("at.plan.why_here"), key=f"why_{number}"):
            table(card.whys)


def _hookup(plan: Plan) -> None:
    st.header(say("at.plan.plugs"), anchor="plugs")
    plugs = cards.plugs(plan, manner())
    if plugs.empty:
        st.markdown(say("at.plan.no_plugs"))
        return
    with st.container(horizontal=True):
        for drawn in hookup_pictures(plan, manner()):
            with st.container(border=True, width="content"):
                picture(drawn, words=False)
    st.markdown(say("at.plan.in_words"))
    table(plugs)
    caution_box(*hookup_topics(plan))


def _warm(plan: Plan) -> None:
    st.header(say("at.plan.warm"), anchor="warm")
    warm = tables.warm_clocks(plan, manner())
    if warm.empty:
        st.markdown(say("at.plan.no_warm"))
    else:
        table(warm, ("Use or ask by", "Code", "Item", "Bags", "Counts only up to"))
        with st.expander(say("at.plan.why_warm"), key="why_warm"):
            table(warm, ("Code", "Item", "Clock", "Why"))
        caution_box(Topic.MEDICINES)
    outside = tables_records.items_outside(plan)
    if not outside.empty:
        st.subheader(say("at.plan.outside"))
        table(outside, ("Where", "Code", "Item", "Bags"))


def _checked(plan: Plan) -> None:
    st.header(say("at.plan.check"), anchor="check")
    st.markdown(say("at.plan.check_how"))
    found = tables_records.findings(plan)
    if found.empty:
        st.markdown(say("at.plan.no_findings"))
    else:
        with st.expander(say("at.plan.findings", count=len(found)), key="findings"):
            table(found, ("Rule", "About", "Finding"))
    with st.expander(say("at.plan.rows"), key="rows"):
        grid(tables_records.row_accounts(plan), key="row_accounts")
    with st.expander(say("at.plan.assumptions"), key="assumptions"):
        grid(tables_records.assumptions(plan), key="assumption_rows")


page()
