"""Any row of the catalogue with its source, its trust and its words."""

import streamlit as st

from planner.output.kind_text import (
    NOT_CONFIRMED,
    FactLine,
    KindCard,
    find_kinds,
)
from planner.output.tables_kinds import (
    cards,
    defaults_frame,
    defaults_named,
    kinds_frame,
)
from planner.screens.contents import heading_of, page_words
from planner.screens.say import count, manner, say
from planner.screens.show import grid, plain, table

_MOST_CARDS = 12


def page() -> None:
    """Draw the page."""
    st.title(heading_of("look_up"))
    st.markdown(say("at.look_up.how", mark=manner().told(NOT_CONFIRMED)))
    items, equipment = st.tabs([say("at.look_up.items"), say("at.look_up.equipment")])
    with items:
        _items()
    with equipment:
        _equipment()


def _items() -> None:
    word = st.text_input(
        say("at.look_up.search"),
        key="look_up_word",
        placeholder=say("at.look_up.search_hint"),
    )
    found = find_kinds(word, manner())
    if not found:
        st.warning(
            say("at.look_up.none", word=plain(word), page=page_words("bring_list"))
        )
        return
    st.markdown(count("at.look_up.kinds", len(found)))
    if word.strip() and len(found) <= _MOST_CARDS:
        for one in cards(found):
            _card(one, alone=len(found) == 1)
        return
    st.markdown(say("at.look_up.fewer", most=_MOST_CARDS))
    grid(kinds_frame(found), key="look_up_kinds")


def _card(one: KindCard, *, alone: bool) -> None:
    name = plain(manner().told(one.name))
    if not one.confirmed:
        name = say("at.look_up.marked", name=name, mark=manner().told(NOT_CONFIRMED))
    with st.expander(name, expanded=alone, key=f"kind_{one.kind_id}"):
        if not one.confirmed:
            st.warning(
                say(
                    "at.look_up.unconfirmed",
                    mark=manner().told(NOT_CONFIRMED.capitalize()),
                )
            )
        for fact in one.facts:
            _fact(fact)
        st.markdown(say("at.look_up.also", words=plain(", ".join(one.words))))
        if one.note:
            st.markdown(say("at.look_up.mind", note=plain(manner().told(one.note))))
        st.markdown(say("at.look_up.id", id=plain(one.kind_id)))


def _fact(fact: FactLine) -> None:
    tell = manner().told
    lines = [
        say(
            "at.look_up.fact",
            what=plain(tell(fact.what)),
            value=plain(tell(fact.value)),
        )
    ]
    if fact.trust:
        lines.append(plain(tell(fact.trust[:1].upper() + fact.trust[1:])))
        lines.append(
            say(
                "at.look_up.source",
                source=plain(tell(fact.source)),
                jurisdiction=plain(tell(fact.jurisdiction)),
            )
        )
    st.markdown("  \n".join(lines))


def _equipment() -> None:
    word = st.text_input(
        say("at.look_up.search_kit"),
        key="look_up_default",
    )
    found = defaults_named(word, manner())
    st.markdown(count("at.look_up.values", len(found)))
    if len(found) > _MOST_CARDS:
        grid(defaults_frame(found), key="look_up_defaults")
    elif found:
        table(defaults_frame(found))


page()
