"""Language, units and clock: chosen at the side, kept beside the work."""

from collections.abc import Mapping
from dataclasses import fields
from enum import StrEnum

import streamlit as st

from planner.output.manner import Manner
from planner.output.wording import Language
from planner.output.words import Clock, Units
from planner.screens.say import say
from planner.screens.state import Work
from planner.store import load_choices, save_choices, work_file

_KINDS: dict[str, type[StrEnum]] = {
    "language": Language,
    "units": Units,
    "clock": Clock,
}
LANGUAGES = {Language.EN: "English", Language.ES: "Español"}
"""Each language under its own name, so that it is found by who speaks it."""


def begin_manner(now: Work) -> None:
    """Take up the choices that were kept; what is not known any more is left out."""
    kept = load_choices(work_file())
    if kept:
        now.manner = manner_of(kept)


def manner_of(kept: Mapping[str, str]) -> Manner:
    """Choices as they were kept, each where it still exists."""
    found = {
        name: kind(kept[name])
        for name, kind in _KINDS.items()
        if kept.get(name) in set(kind)
    }
    return Manner(**found)  # type: ignore[arg-type]  # each name has its own kind


def kept_form(manner: Manner) -> Mapping[str, str]:
    """Choices as they are kept."""
    return {one.name: str(getattr(manner, one.name)) for one in fields(manner)}


def show_choices(now: Work) -> None:
    """Draw the three choices."""
    names: dict[str, dict[StrEnum, str]] = {
        "language": dict(LANGUAGES.items()),
        "units": {one: say(f"at.choices.{one.value}") for one in Units},
        "clock": {one: say(f"at.choices.{one.value}") for one in Clock},
    }
    left, right = st.columns(2)
    places = {"language": left, "clock": right, "units": st.container()}
    for name, place in places.items():
        options = list(names[name])
        place.selectbox(
            say(f"at.choices.{name}"),
            options,
            index=options.index(getattr(now.manner, name)),
            format_func=names[name].__getitem__,
            key=_key(name),
            on_change=_chosen,
            args=(now,),
        )


def _chosen(now: Work) -> None:
    """Say everything anew, from the next drawing on."""
    before = kept_form(now.manner)
    wanted = {
        name: str(st.session_state.get(_key(name), before[name])) for name in _KINDS
    }
    now.manner = manner_of(wanted)
    if not save_choices(work_file(), kept_form(now.manner)):
        now.notes.append(say("at.choices.not_kept"))


def _key(name: str) -> str:
    return f"choice_{name}"
