"""The window, the rooms, the sun, the ice."""

import streamlit as st

from planner.edits import (
    ConditionsForm,
    apply_conditions,
    conditions_form,
)
from planner.output.input_words import clock_words
from planner.output.tables_input import assumed_settings
from planner.scenario import Scenario, Segregation, SunCase
from planner.screens.condition_fields import HOURS, Fields, percent, room, when, where
from planner.screens.edited import say_edited, take_edited
from planner.screens.frame import need_scenario, next_page
from planner.screens.show import table
from planner.screens.state import work

_SUN = {
    SunCase.NONE: "none: count on no sun at all",
    SunCase.POOR: "poor: count on cloudy days",
    SunCase.MEAN: "mean: count on usual days",
}
_APART = {
    Segregation.UNITS: "in separate units",
    Segregation.TUBS: "in one unit, in separate lidded tubs",
}
_FROM = {False: "from peak sun hours", True: "from latitude and longitude"}


def page() -> None:
    """Draw the page."""
    now = work()
    st.title("Conditions")
    scenario = need_scenario(now)
    st.markdown(
        "What the day is like. Below each field stands where its value came from. "
        "Nothing counts before you press **Apply** at the foot."
    )
    say_edited(now, "conditions")
    scale = st.radio(
        "I type temperatures in", ["C", "F"], horizontal=True, key="temperature_scale"
    )
    before = conditions_form(scenario, fahrenheit=scale == "F")
    with st.form("conditions_form"):
        form = _form(Fields(now, scenario, scale), before)
        pressed = st.form_submit_button(
            "Apply these changes", type="primary", key="apply_conditions"
        )
    if pressed:
        take_edited(now, "conditions", apply_conditions(scenario, form))
    _assumed(scenario)
    next_page("plan")


def _form(fields: Fields, before: ConditionsForm) -> ConditionsForm:
    st.subheader("When")
    start, window_h = when(fields, before)
    st.subheader("Rooms")
    rooms = tuple(room(fields, one, number) for number, one in enumerate(before.rooms))
    st.subheader("Sun")
    sun_case = st.radio(
        "How much sun the plan counts on",
        list(_SUN),
        index=list(_SUN).index(before.sun_case),
        format_func=_SUN.__getitem__,
        key=fields.key("sun_case"),
        help="The other cases are always shown beside it.",
    )
    fields.note("sun_case")
    from_place = st.radio(
        "Where the sun is worked out from",
        list(_FROM),
        index=list(_FROM).index(before.sun_from_place),
        format_func=_FROM.__getitem__,
        key=fields.key("sun_from"),
    )
    peak, latitude, longitude, offset = where(fields, before)
    sky = percent(fields, "Sky: a usual day, in percent of a clear one", "sky_factor",
                   before.sky_percent, 120.0)  # fmt: skip
    poor = percent(fields, "A cloudy day, in percent of a usual one", "poor_share",
                    before.poor_percent, 100.0)  # fmt: skip
    st.subheader("Reserve, ice, keeping apart, plugs")
    reserve = percent(fields, "Battery charge kept in reserve, percent",
                       "reserve_share", before.reserve_percent, 90.0)  # fmt: skip
    ice = st.number_input(
        "Ice that can be fetched, kg a day",
        min_value=0.0,
        max_value=2000.0,
        value=before.ice_kg_day,
        step=1.0,
        format="%g",
        key=fields.key("ice"),
    )
    fields.note("ice_kg_day")
    apart = st.radio(
        "Infant feeds and medicines are kept",
        list(_APART),
        index=list(_APART).index(before.segregation),
        format_func=_APART.__getitem__,
        key=fields.key("apart"),
    )
    fields.note("segregation")
    swaps = st.multiselect(
        "Clock hours at which somebody can move plugs",
        list(HOURS),
        default=list(before.swap_hours),
        format_func=clock_words,
        key=fields.key("swaps"),
        help="None means: plug in once and leave it.",
    )
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
    st.header("Values that nobody here supplied")
    found = assumed_settings(scenario)
    if found.empty:
        st.markdown("None: every setting was given.")
    else:
        table(found)


page()
