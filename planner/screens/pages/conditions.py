"""The window, the rooms, the sun, the ice."""

from collections.abc import Callable, Mapping
from typing import TypeVar

import streamlit as st

from planner.edits import (
    ConditionsForm,
    apply_conditions,
    conditions_draft,
    conditions_form,
    in_scale,
)
from planner.output.tables_input import assumed_settings
from planner.output.words import Units
from planner.scenario import Scenario, Segregation, SunCase
from planner.screens.condition_fields import HOURS, Fields, percent, room, when, where
from planner.screens.contents import heading_of
from planner.screens.drafting import begun, ending, say_put_back, typed
from planner.screens.edited import say_edited, take_edited
from planner.screens.frame import need_scenario, next_page
from planner.screens.say import manner, say
from planner.screens.show import table
from planner.screens.state import work

_SUN = {
    SunCase.NONE: "at.conditions.sun.none",
    SunCase.POOR: "at.conditions.sun.poor",
    SunCase.MEAN: "at.conditions.sun.mean",
}
_APART = {
    Segregation.UNITS: "at.conditions.apart.units",
    Segregation.TUBS: "at.conditions.apart.tubs",
}
_FROM = {False: "at.conditions.from_hours", True: "at.conditions.from_place"}


def page() -> None:
    """Draw the page."""
    now = work()
    st.title(heading_of("conditions"))
    scenario = need_scenario(now)
    st.markdown(say("at.conditions.how"))
    say_edited(now, "conditions")
    page = "conditions"
    fresh = conditions_form(scenario, fahrenheit=manner().units is Units.US)
    first = begun(now, page, ConditionsForm, lambda: fresh)
    say_put_back(now, page)
    scale = st.radio(
        say("at.conditions.scale"),
        ["C", "F"],
        index=int(first.fahrenheit),
        horizontal=True,
        key="temperature_scale",
    )
    start = in_scale(
        scenario,
        begun(now, page, ConditionsForm, lambda: fresh, part=scale),
        fahrenheit=scale == "F",
    )
    with st.container(border=True):
        form = _form(Fields(scenario, scale, ending(now)), start)
        pressed = st.button(say("at.apply"), type="primary", key="apply_conditions")
    if pressed:
        take_edited(now, page, apply_conditions(scenario, form))
    typed(now, page, conditions_draft(scenario, form))
    _assumed(scenario)
    next_page("plan")


_One = TypeVar("_One")


def _named(keys: Mapping[_One, str]) -> Callable[[_One], str]:
    """Name of each choice, in the words of this drawing."""
    return {one: say(key) for one, key in keys.items()}.__getitem__


def _form(fields: Fields, before: ConditionsForm) -> ConditionsForm:
    st.subheader(say("at.conditions.when"))
    start, window_h = when(fields, before)
    st.subheader(say("at.conditions.rooms"))
    rooms = tuple(room(fields, one, number) for number, one in enumerate(before.rooms))
    st.subheader(say("at.conditions.sun"))
    sun_case = st.radio(
        say("at.conditions.sun_case"),
        list(_SUN),
        index=list(_SUN).index(before.sun_case),
        format_func=_named(_SUN),
        key=fields.key("sun_case"),
        help=say("at.conditions.sun_help"),
    )
    fields.note("sun_case")
    from_place = st.radio(
        say("at.conditions.sun_from"),
        list(_FROM),
        index=list(_FROM).index(before.sun_from_place),
        format_func=_named(_FROM),
        key=fields.key("sun_from"),
    )
    peak, latitude, longitude, offset = where(fields, before)
    sky = percent(fields, say("at.conditions.sky"), "sky_factor",
                   before.sky_percent, 120.0)  # fmt: skip
    poor = percent(fields, say("at.conditions.cloudy"), "poor_share",
                    before.poor_percent, 100.0)  # fmt: skip
    st.subheader(say("at.conditions.rest"))
    reserve = percent(fields, say("at.conditions.reserve"),
                       "reserve_share", before.reserve_percent, 90.0)  # fmt: skip
    ice = st.number_input(
        say("at.conditions.ice"),
        min_value=0.0,
        max_value=2000.0,
        value=before.ice_kg_day,
        step=1.0,
        format="%g",
        key=fields.key("ice"),
    )
    fields.note("ice_kg_day")
    apart = st.radio(
        say("at.conditions.apart"),
        list(_APART),
        index=list(_APART).index(before.segregation),
        format_func=_named(_APART),
        key=fields.key("apart"),
    )
    fields.note("segregation")
    swaps = st.multiselect(
        say("at.conditions.swaps"),
        list(HOURS),
        default=list(before.swap_hours),
        format_func=manner().hour_clock,
        key=fields.key("swaps"),
        help=say("at.conditions.swaps_help"),
    )
    st.markdown(say("at.conditions.swaps_sources"))
    fields.note("swap_hours")
    return ConditionsForm(
        start=start,
        window_h=window_h,
        rooms=rooms,
        fahrenheit=before.fahrenheit,
        sun_from_place=from_place,
        peak_sun_hours=peak,
        latitude=latitude,
        longitude=longitude,
        utc_offset_h=offset,
        sky_percent=sky,
        sun_case=sun_case,
        poor_percent=poor,
        reserve_percent=reserve,
        ice_kg_day=ice,
        segregation=apart,
        swap_hours=tuple(swaps),
    )


def _assumed(scenario: Scenario) -> None:
    st.header(say("at.none_supplied"))
    found = assumed_settings(scenario)
    if found.empty:
        st.markdown(say("at.conditions.all_given"))
    else:
        table(found)


page()
