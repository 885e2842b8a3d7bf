"""Fields of the conditions' form, each with the source of its value below it."""

from datetime import datetime, time

import streamlit as st

from planner.edits import ConditionsForm, RoomForm
from planner.output.input_words import room_words, setting_source
from planner.scenario import Scenario
from planner.screens.say import manner, say
from planner.screens.show import plain

HOURS = tuple(range(24))


class Fields:
    """Keys and source notes of the fields."""

    def __init__(self, scenario: Scenario, scale: str, ending: str) -> None:
        self.scenario = scenario
        self.scale = scale
        self._ending = f"{ending}_{scale}"

    def key(self, name: str) -> str:
        """Key of a widget: new after each change and visit, to start afresh."""
        return f"conditions_{name}_{self._ending}"

    def note(self, name: str, about: str = "") -> None:
        """Say below a field where its value came from."""
        words, assumed = setting_source(self.scenario, name, manner())
        text = plain(words)
        if about:
            text = say("at.conditions.note_about", about=plain(about), words=text)
        if assumed:
            st.markdown(text)
        else:
            st.caption(text)


def when(fields: Fields, before: ConditionsForm) -> tuple[datetime, int]:
    """Start and length of the window."""
    left, middle, right = st.columns(3)
    day = left.date_input(
        say("at.conditions.day"),
        value=before.start.date(),
        format="YYYY-MM-DD",
        key=fields.key("day"),
    )
    hour = middle.selectbox(
        say("at.conditions.hour"),
        list(HOURS),
        index=before.start.hour,
        format_func=manner().hour_clock,
        key=fields.key("hour"),
    )
    window_h = right.number_input(
        say("at.conditions.window"),
        min_value=1,
        max_value=240,
        value=before.window_h,
        step=1,
        key=fields.key("window"),
    )
    fields.note("start", say("at.conditions.note_start"))
    fields.note("window_h", say("at.conditions.note_hours"))
    return datetime.combine(day, time(hour)), int(window_h)


def room(fields: Fields, before: RoomForm, number: int) -> RoomForm:
    """Coolest, hottest and night of one place."""
    st.markdown(
        say(
            "at.conditions.room",
            name=plain(before.name),
            temps=plain(room_words(fields.scenario, before.name, manner())),
        )
    )
    left, middle, right = st.columns(3)
    coolest = left.number_input(
        say(
            "at.conditions.coolest",
            clock=manner().hour_clock(before.coolest_hour),
            scale=fields.scale,
        ),
        value=before.coolest,
        step=1.0,
        format="%g",
        key=fields.key(f"coolest_{number}"),
    )
    hottest = middle.number_input(
        say(
            "at.conditions.hottest",
            clock=manner().hour_clock(before.hottest_hour),
            scale=fields.scale,
        ),
        value=before.hottest,
        step=1.0,
        format="%g",
        key=fields.key(f"hottest_{number}"),
    )
    night = right.checkbox(
        say("at.conditions.night"),
        value=before.open_at_night,
        key=fields.key(f"night_{number}"),
    )
    fields.note(f"room_temp_c, {before.name}")
    return RoomForm(
        name=before.name,
        coolest=coolest,
        hottest=hottest,
        coolest_hour=before.coolest_hour,
        hottest_hour=before.hottest_hour,
        open_at_night=night,
    )


def where(
    fields: Fields, before: ConditionsForm
) -> tuple[float | None, float | None, float | None, float]:
    """Peak sun hours, latitude, longitude and clock offset."""
    one, two, three, four = st.columns(4)
    peak = one.number_input(
        say("at.conditions.peak"),
        min_value=0.0,
        max_value=12.0,
        value=before.peak_sun_hours,
        step=0.5,
        format="%g",
        key=fields.key("peak"),
    )
    latitude = two.number_input(
        say("at.conditions.latitude"),
        min_value=-90.0,
        max_value=90.0,
        value=before.latitude,
        format="%.2f",
        key=fields.key("latitude"),
    )
    longitude = three.number_input(
        say("at.conditions.longitude"),
        min_value=-180.0,
        max_value=180.0,
        value=before.longitude,
        format="%.2f",
        key=fields.key("longitude"),
    )
    offset = four.number_input(
        say("at.conditions.offset"),
        min_value=-12.0,
        max_value=14.0,
        value=before.utc_offset_h,
        step=0.5,
        format="%g",
        key=fields.key("offset"),
    )
    fields.note("peak_sun_hours", say("at.conditions.note_peak"))
    fields.note("utc_offset_h", say("at.conditions.note_clock"))
    return peak, latitude, longitude, offset


def percent(
    fields: Fields, label: str, name: str, value: float, highest: float
) -> float:
    """One share, typed in percent."""
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
