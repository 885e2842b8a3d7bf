"""Page 3: the window, the rooms, the sun, the ice."""

from datetime import datetime, time

import streamlit as st

from planner.edits import (
    ConditionsForm,
    RoomForm,
    apply_conditions,
    conditions_form,
)
from planner.output.input_words import clock_words, room_words, setting_source
from planner.output.tables_input import assumed_settings
from planner.scenario import Scenario, Segregation, SunCase
from planner.screens.edited import say_edited, take_edited
from planner.screens.frame import need_scenario, next_page
from planner.screens.show import plain, table
from planner.screens.state import Work, work

_HOURS = tuple(range(24))
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
        form = _form(_Fields(now, scenario, scale), before)
        pressed = st.form_submit_button(
            "Apply these changes", type="primary", key="apply_conditions"
        )
    if pressed:
        take_edited(now, "conditions", apply_conditions(scenario, form))
    _assumed(scenario)
    next_page("plan.py", "4 The plan")


class _Fields:
    """Keys and source notes of the fields."""

    def __init__(self, now: Work, scenario: Scenario, scale: str) -> None:
        self.scenario = scenario
        self.scale = scale
        self._ending = f"{now.version}_{scale}"

    def key(self, name: str) -> str:
        """Key of a widget: new after each change, so that it starts afresh."""
        return f"conditions_{name}_{self._ending}"

    def note(self, name: str, about: str = "") -> None:
        """Say below a field where its value came from."""
        words, assumed = setting_source(self.scenario, name)
        text = plain(f"{about}: {words}" if about else words)
        if assumed:
            st.markdown(text)
        else:
            st.caption(text)


def _form(fields: _Fields, before: ConditionsForm) -> ConditionsForm:
    st.subheader("When")
    start, window_h = _when(fields, before)
    st.subheader("Rooms")
    rooms = tuple(
        _room(fields, room, number) for number, room in enumerate(before.rooms)
    )
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
    peak, latitude, longitude, offset = _where(fields, before)
    sky = _percent(fields, "Sky: a usual day, in percent of a clear one", "sky_factor",
                   before.sky_percent, 120.0)  # fmt: skip
    poor = _percent(fields, "A cloudy day, in percent of a usual one", "poor_share",
                    before.poor_percent, 100.0)  # fmt: skip
    st.subheader("Reserve, ice, keeping apart, plugs")
    reserve = _percent(fields, "Battery charge kept in reserve, percent",
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
        list(_HOURS),
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


def _when(fields: _Fields, before: ConditionsForm) -> tuple[datetime, int]:
    left, middle, right = st.columns(3)
    day = left.date_input(
        "First day",
        value=before.start.date(),
        format="YYYY-MM-DD",
        key=fields.key("day"),
    )
    hour = middle.selectbox(
        "First hour",
        list(_HOURS),
        index=before.start.hour,
        format_func=clock_words,
        key=fields.key("hour"),
    )
    window_h = right.number_input(
        "Hours to plan for",
        min_value=1,
        max_value=240,
        value=before.window_h,
        step=1,
        key=fields.key("window"),
    )
    fields.note("start", "Start")
    fields.note("window_h", "Hours")
    return datetime.combine(day, time(hour)), int(window_h)


def _room(fields: _Fields, room: RoomForm, number: int) -> RoomForm:
    st.markdown(
        f"**{plain(room.name)}**: {plain(room_words(fields.scenario, room.name))}"
    )
    left, middle, right = st.columns(3)
    coolest = left.number_input(
        f"Coolest, about {clock_words(room.coolest_hour)} ({fields.scale})",
        value=room.coolest,
        step=1.0,
        format="%g",
        key=fields.key(f"coolest_{number}"),
    )
    hottest = middle.number_input(
        f"Hottest, about {clock_words(room.hottest_hour)} ({fields.scale})",
        value=room.hottest,
        step=1.0,
        format="%g",
        key=fields.key(f"hottest_{number}"),
    )
    night = right.checkbox(
        "Open at night", value=room.open_at_night, key=fields.key(f"night_{number}")
    )
    fields.note(f"room_temp_c, {room.name}")
    return RoomForm(
        name=room.name,
        coolest=coolest,
        hottest=hottest,
        coolest_hour=room.coolest_hour,
        hottest_hour=room.hottest_hour,
        open_at_night=night,
    )


def _where(
    fields: _Fields, before: ConditionsForm
) -> tuple[float | None, float | None, float | None, float]:
    one, two, three, four = st.columns(4)
    peak = one.number_input(
        "Peak sun hours a day",
        min_value=0.0,
        max_value=12.0,
        value=before.peak_sun_hours,
        step=0.5,
        format="%g",
        key=fields.key("peak"),
    )
    latitude = two.number_input(
        "Latitude, south is minus",
        min_value=-90.0,
        max_value=90.0,
        value=before.latitude,
        format="%.2f",
        key=fields.key("latitude"),
    )
    longitude = three.number_input(
        "Longitude, west is minus",
        min_value=-180.0,
        max_value=180.0,
        value=before.longitude,
        format="%.2f",
        key=fields.key("longitude"),
    )
    offset = four.number_input(
        "Hours the clock is ahead of UTC",
        min_value=-12.0,
        max_value=14.0,
        value=before.utc_offset_h,
        step=0.5,
        format="%g",
        key=fields.key("offset"),
    )
    fields.note("peak_sun_hours", "Peak sun hours")
    fields.note("utc_offset_h", "Clock")
    return peak, latitude, longitude, offset


def _percent(
    fields: _Fields, label: str, name: str, value: float, highest: float
) -> float:
    found = st.number_input(
        label,
        min_value=0.0,
        max_value=highest,
        value=value,
        step=5.0,
        format="%g",
        key=fields.key(name),
    )
    fields.note(name)
    return found


def _assumed(scenario: Scenario) -> None:
    st.header("Values that nobody here supplied")
    found = assumed_settings(scenario)
    if found.empty:
        st.markdown("None: every setting was given.")
    else:
        table(found)


page()
