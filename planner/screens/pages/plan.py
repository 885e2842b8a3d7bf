"""Ask for a plan, see it come, read it."""

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from planner.output import cards, tables, tables_records
from planner.output.answers import row_balance, status, title
from planner.output.ask_whom import hookup_topics, used_units
from planner.output.cautions import Topic
from planner.output.pictures import hookup_pictures, unit_pictures
from planner.result import Plan
from planner.scenario import Scenario, UnitType
from planner.screens.answers import three_answers
from planner.screens.changes import collect, start_job
from planner.screens.contents import page_words
from planner.screens.frame import need_scenario, next_page, say_if_old
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

_LIMITS_S = {
    "20 seconds": 20.0,
    "1 minute": 60.0,
    "3 minutes": 180.0,
    "10 minutes": 600.0,
}


def page() -> None:
    """Draw the page."""
    now = work()
    st.title("The plan")
    scenario = need_scenario(now)
    _ask(now, scenario)
    progress = st.container()
    if now.failure:
        _failed(now)
    if now.plan is not None:
        say_if_old(now)
        three_answers(now, now.plan)
        _details(now.plan)
        next_page("power")
    elif not now.failure and not now.planning:
        st.info("There is no plan yet. Press the button above.")
    # Last, because it waits: all that is known stands on the page meanwhile.
    _watch(now, progress)


def _ask(now: Work, scenario: Scenario) -> None:
    with st.form("ask_plan", border=True):
        left, right = st.columns(2)
        limit = left.selectbox("Longest search", list(_LIMITS_S), key="time_limit")
        borrow = right.checkbox(
            "Also work out what to borrow",
            value=True,
            key="with_borrow",
        )
        pressed = st.form_submit_button(
            "Make the plan" if now.plan is None else "Plan again",
            type="primary",
            key="make_plan",
        )
    if not pressed:
        return
    if now.planning:
        st.info("A plan is being worked out already; it is not started twice.")
        return
    start_job(now, scenario, limit_s=_LIMITS_S[limit], borrow=borrow)
    st.rerun()  # the side, drawn before, has to say that it is being worked out


def _watch(now: Work, place: DeltaGenerator) -> None:
    job = now.job
    if job is None:
        return
    shown = now.plan
    with place:
        st.button("Stop planning", key="stop_planning", on_click=job.stop)
        with st.status(
            "Planning. You may look at other pages meanwhile.", expanded=True
        ):
            bar = st.progress(0.0, text="Starting")
    while not job.wait(0.3):
        bar.progress(job.share, text=plain(job.words(manner())))
        if job.base is not None and job.base is not shown:
            break  # the plan is there: show it while loans are looked for
    collect(now)
    st.rerun()


def _failed(now: Work) -> None:
    st.error(
        say(now.failure, have=page_words("have"), conditions=page_words("conditions"))
    )
    if now.failure_details:
        with st.expander("For whoever mends it", key="failure_details"):
            bullets(now.failure_details)


def _details(plan: Plan) -> None:
    sentences((title(plan), status(plan), row_balance(plan)))
    st.markdown(
        "Jump to: [tiers](#tiers), [units](#units), [plugs](#plugs), "
        "[room temperature](#warm), [check](#check)"
    )
    st.header("What each tier got", anchor="tiers")
    bullets(cards.tier_lines(plan))
    st.header("What goes in which unit", anchor="units")
    for number, card in enumerate(cards.unit_cards(plan)):
        _unit(plan, card, number)
    idle = cards.units_not_used(plan)
    if idle:
        st.markdown("**Not used:**")
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
            for drawn in unit_pictures(plan, card.unit_id):
                if drawn.title != card.name.split(", ")[0]:
                    st.markdown(f"**{plain(drawn.title)}**")
                picture(drawn, words=False)
        if card.bags.empty:
            st.markdown("Nothing goes in yet.")
            return
        table(card.bags)
        with st.expander("Why each of these is here", key=f"why_{number}"):
            table(card.whys)


def _hookup(plan: Plan) -> None:
    st.header("What is plugged in where, and when", anchor="plugs")
    plugs = cards.plugs(plan)
    if plugs.empty:
        st.markdown("Nothing has to be plugged in.")
        return
    with st.container(horizontal=True):
        for drawn in hookup_pictures(plan):
            with st.container(border=True, width="content"):
                picture(drawn, words=False)
    st.markdown("The same in words:")
    table(plugs)
    caution_box(*hookup_topics(plan))


def _warm(plan: Plan) -> None:
    st.header("What stays at room temperature, and until when", anchor="warm")
    warm = tables.warm_clocks(plan)
    if warm.empty:
        st.markdown("Nothing of the cold pool is left at room temperature.")
    else:
        table(warm, ("Use or ask by", "Code", "Item", "Bags", "Counts only up to"))
        with st.expander("Why each of these may stay out", key="why_warm"):
            table(warm, ("Code", "Item", "Clock", "Why"))
        caution_box(Topic.MEDICINES)
    outside = tables_records.items_outside(plan)
    if not outside.empty:
        st.subheader("Not in the cold pool")
        table(outside, ("Where", "Code", "Item", "Bags"))


def _checked(plan: Plan) -> None:
    st.header("What the check saw", anchor="check")
    st.markdown(
        "Every plan is replayed hour by hour and checked against every rule by a "
        "second way of reckoning. A plan that breaks a rule is not shown."
    )
    found = tables_records.findings(plan)
    if found.empty:
        st.markdown("It had nothing to remark.")
    else:
        with st.expander(f"Warnings ({len(found)})", key="findings"):
            table(found, ("Rule", "About", "Finding"))
    with st.expander("Where every bag of every row ended", key="rows"):
        grid(tables_records.row_accounts(plan), key="row_accounts")
    with st.expander("Assumed values this plan rests on", key="assumptions"):
        grid(tables_records.assumptions(plan), key="assumption_rows")


page()
