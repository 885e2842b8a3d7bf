"""From the plan in force to the next one: what changed, few moves, then accept."""

from datetime import datetime
from functools import partial

import streamlit as st

from planner.edits import ReadingsForm, measure, read_out, readings_draft
from planner.output import replan_cards, since
from planner.output.headlines import life_support_warnings
from planner.output.workbook import plan_mark
from planner.result import Plan
from planner.result_replan import InForce, Replanned
from planner.scenario import Battery, Scenario
from planner.screens.again import (
    accept_proposal,
    drop_force,
    drop_proposal,
    in_force,
    proposal,
    start_again,
    take_force,
)
from planner.screens.contents import heading_of, page_words
from planner.screens.drafting import begun, ending, say_put_back, typed, waits
from planner.screens.edited import take_edited
from planner.screens.frame import need_scenario, next_page, to_page
from planner.screens.say import manner, say
from planner.screens.show import bullets, plain, steps, table
from planner.screens.state import Work, work
from planner.screens.watching import ask_limit, say_failure, watch

_PAGE = "plan_again"
_STEP_S = 600


def page() -> None:
    """Draw the page."""
    now = work()
    st.title(heading_of(_PAGE))
    scenario = need_scenario(now)
    st.markdown(say("at.again.intro"))
    stands = _force(now, scenario)
    if stands is None:
        return
    _changed(now, scenario)
    st.header(say("at.again.make"), anchor="new")
    _ask(now, scenario, stands)
    progress = st.container()
    say_failure(now)
    _proposal(now)
    next_page("take")
    watch(now, progress)


def _force(now: Work, scenario: Scenario) -> InForce | None:
    """The plan by which the bags stand now."""
    st.header(say("at.again.force"))
    stands, issues = in_force(now, scenario)
    if now.force_name:
        st.markdown(say("at.again.force_file", name=plain(now.force_name)))
        if stands is None:
            st.error(say("at.again.unreadable"))
        if issues:
            label = say("at.again.read_notes", count=len(issues))
            with st.expander(label, expanded=stands is None, key="force_notes"):
                bullets(f"{one.where}: {one.message} {one.remedy}" for one in issues)
        st.button(
            say("at.again.put_away"), key="drop_force", on_click=drop_force, args=(now,)
        )
    elif now.plan is not None:
        start = now.plan.scenario.conditions.start
        when = manner().day_clock(start)
        mark = plain(plan_mark(now.plan))
        st.markdown(say("at.again.force_here", mark=mark, when=when))
        way = now.plan.moves or now.plan.changeover.at_start
        if way and now.replanned is None:
            _last(now)
    else:
        st.info(say("at.again.force_none", page=page_words("plan")))
        to_page("plan")
    if not now.force_name:
        with st.expander(say("at.again.upload_ask"), key="force_file"):
            st.file_uploader(
                say("at.again.upload"),
                key=f"upload_force_{now.opened}",
                on_change=_uploaded,
            )
    return stands


def _uploaded() -> None:
    now = work()
    upload = st.session_state.get(f"upload_force_{now.opened}")
    if upload is not None:
        take_force(now, upload.name, upload.getvalue())


def _last(now: Work) -> None:
    """The moves that led to the plan in force, until there are others."""
    if now.plan is None:
        return
    if not now.stale:
        st.success(say("at.again.in_force", page=page_words("take")))
    with st.expander(say("at.again.last"), key="last_moves"):
        _later(now.plan)
        _way(now.plan)


def _changed(now: Work, scenario: Scenario) -> None:
    st.header(say("at.again.changed"))
    if now.plan is not None and not now.force_name:
        found = since.since_lines(now.plan, scenario, manner())
        if found:
            bullets(found)
        else:
            st.markdown(say("at.again.same"))
    names = {one: page_words(one) for one in ("have", "borrow")}
    st.markdown(say("at.again.edit", bring=page_words("bring_list"), **names))
    with st.container(horizontal=True):
        for name in ("bring_list", "have", "borrow"):
            to_page(name)
    _measure(now, scenario)


def _measure(now: Work, scenario: Scenario) -> None:
    batteries = read_out(scenario)
    if not batteries:
        return
    st.subheader(say("at.again.measure"))
    if now.edited_page == _PAGE:
        _say_measured(now, scenario)
    st.markdown(say("at.again.measure_how"))
    start = begun(now, _PAGE, ReadingsForm, partial(_nothing_read, scenario))
    say_put_back(now, _PAGE)
    with st.container(border=True):
        form = _readings(now, batteries, start)
        pressed = st.button(say("at.again.apply"), key="apply_readings")
    if pressed:
        take_edited(now, _PAGE, measure(scenario, dict(form.percents), form.at))
    typed(now, _PAGE, readings_draft(scenario, form))


def _nothing_read(scenario: Scenario) -> ReadingsForm:
    return ReadingsForm(at=_now_within(scenario), percents=())


def _readings(
    now: Work, batteries: tuple[Battery, ...], start: ReadingsForm
) -> ReadingsForm:
    """Draw the fields: the clock time of reading, then one a battery."""
    read = dict(start.percents)
    left, right = st.columns(2)
    day = left.date_input(
        say("at.again.read_day"),
        value=start.at.date(),
        format="YYYY-MM-DD",
        key=f"read_day_{ending(now)}",
    )
    clock = right.time_input(
        say("at.again.read_clock"),
        value=start.at.time(),
        step=_STEP_S,
        key=f"read_clock_{ending(now)}",
    )
    percents = tuple(
        (
            one.id,
            place.number_input(
                say("at.again.percent", battery=plain(one.name)),
                min_value=0.0,
                max_value=100.0,
                value=read.get(one.id),
                step=1.0,
                format="%g",
                key=f"read_{number}_{ending(now)}",
            ),
        )
        for number, (one, place) in enumerate(
            zip(batteries, _columns(len(batteries)), strict=True)
        )
    )
    return ReadingsForm(at=datetime.combine(day, clock), percents=percents)


def _columns(count: int) -> list[st.delta_generator.DeltaGenerator]:
    """A column a field, two in a row."""
    places: list[st.delta_generator.DeltaGenerator] = []
    while len(places) < count:
        places.extend(st.columns(2))
    return places[:count]


def _say_measured(now: Work, scenario: Scenario) -> None:
    if now.edit_applied:
        start = manner().day_clock(scenario.conditions.start)
        st.success(say("at.again.applied", when=start))
        bullets(f"{one.where}: {one.message} {one.remedy}" for one in now.edit_issues)
        return
    st.error(say("at.again.not_applied"))
    bullets(f"{one.sheet}: {one.message} {one.remedy}" for one in now.edit_issues)


def _now_within(scenario: Scenario) -> datetime:
    """Give this minute where it lies inside the plan's hours, else their start."""
    conditions = scenario.conditions
    minute = datetime.now().replace(second=0, microsecond=0)
    inside = conditions.start <= minute < conditions.clock(conditions.window_h)
    return minute if inside else conditions.start


def _ask(now: Work, scenario: Scenario, stands: InForce) -> None:
    refused = now.edited_page == _PAGE and not now.edit_applied
    if refused or waits(now, _PAGE):
        st.warning(say("at.again.unread"))
    with st.form("ask_again", border=True):
        left, right = st.columns(2)
        limit_s = ask_limit(left, "again_limit")
        borrow = right.checkbox(say("at.again.borrow"), key="again_borrow")
        pressed = st.form_submit_button(
            say("at.again.press"), type="primary", key="plan_again"
        )
    if not pressed:
        return
    if now.planning:
        st.info(say("at.plan.already"))
        return
    start_again(now, scenario, stands, limit_s=limit_s, borrow=borrow)
    st.rerun()  # the side, drawn before, has to say that it is being worked out


def _proposal(now: Work) -> None:
    if now.replanned is None:
        return
    made = proposal(now)
    if made is None:
        st.warning(say("at.again.outdated"))
        return
    with st.container(border=True):
        st.subheader(say("at.again.proposal"))
        for line in life_support_warnings(made.plan, manner()):
            st.error(say("at.again.life_support", warning=plain(line)))
        _show(now, made)
        with st.container(horizontal=True):
            st.button(
                say("at.again.accept"),
                key="accept_again",
                type="primary",
                on_click=accept_proposal,
                args=(now,),
            )
            st.button(
                say("at.again.drop"),
                key="drop_again",
                on_click=drop_proposal,
                args=(now,),
            )
        st.markdown(say("at.again.accept_how", page=page_words("take")))
        _way(made.plan)


def _later(plan: Plan) -> None:
    """Plugs that change over later, which the steps at the start do not show."""
    said = replan_cards.later_line(plan, manner())
    if said:
        st.markdown(f"**{plain(said)}**")


def _way(plan: Plan) -> None:
    """All there is to do on the way to a plan, in order."""
    first, last = replan_cards.change_lines(plan, manner())
    if first:
        st.markdown(f"**{say('at.again.first')}**")
        steps(first)
    st.markdown(f"**{say('at.again.carry')}**")
    if plan.moves:
        table(replan_cards.move_rows(plan, manner()))
    else:
        st.markdown(say("at.again.no_moves"))
    if last:
        st.markdown(f"**{say('at.again.after')}**")
        steps(last)


def _show(now: Work, made: Replanned) -> None:
    how = manner()
    st.markdown(f"**{plain(replan_cards.headline(made, how))}**")
    _later(made.plan)
    before = None if now.force_name else now.plan
    st.markdown(f"**{say('at.again.tiers')}**")
    bullets(replan_cards.tier_lines(before, made.plan, how))
    st.markdown(plain(replan_cards.factor_line(made, how)))


page()
