"""Any row of the catalogue with its source, its trust and its words."""

import streamlit as st

from planner.output.kind_text import (
    NOT_CONFIRMED,
    FactLine,
    KindCard,
    find_defaults,
    find_kinds,
)
from planner.output.tables_kinds import (
    cards,
    defaults_frame,
    kinds_frame,
)
from planner.output.words import plural
from planner.screens.contents import page_words
from planner.screens.show import grid, plain, table

_MOST_CARDS = 12


def page() -> None:
    """Draw the page."""
    st.title("Look up an item")
    st.markdown(
        "What the list falls back on where it says nothing. **The label in the box, the "
        "pharmacist and the programme come first**, always. Every value stands with its "
        "source. A value from memory, or worked out here, says "
        f"**{NOT_CONFIRMED}**."
    )
    items, equipment = st.tabs(["Items", "Values for equipment"])
    with items:
        _items()
    with equipment:
        _equipment()


def _items() -> None:
    word = st.text_input(
        "Search: a generic name, a word people use, or an id",
        key="look_up_word",
        placeholder="insulin, breast milk, eye drops",
    )
    found = find_kinds(word)
    if not found:
        st.warning(
            f"No kind has a name like {plain(word)}. Trade names are not listed: look "
            "for the generic name on the label. You can add your own words with a small "
            f"table on {page_words('bring_list')}."
        )
        return
    st.markdown(f"**{plural(len(found), 'kind')} of item.**")
    if word.strip() and len(found) <= _MOST_CARDS:
        for one in cards(found):
            _card(one, alone=len(found) == 1)
        return
    st.markdown(f"Search until {_MOST_CARDS} or fewer are left to see their sources.")
    grid(kinds_frame(found), key="look_up_kinds")


def _card(one: KindCard, *, alone: bool) -> None:
    mark = "" if one.confirmed else f": {NOT_CONFIRMED}"
    with st.expander(
        f"{plain(one.name)}{mark}", expanded=alone, key=f"kind_{one.kind_id}"
    ):
        if not one.confirmed:
            st.warning(f"**{NOT_CONFIRMED.capitalize()}.** See which value below.")
        for fact in one.facts:
            _fact(fact)
        st.markdown(f"People also say: {plain(', '.join(one.words))}")
        if one.note:
            st.markdown(f"Mind: {plain(one.note)}")
        st.markdown(f"Id for your own word list: **{plain(one.kind_id)}**")


def _fact(fact: FactLine) -> None:
    lines = [f"**{plain(fact.what)}: {plain(fact.value)}**"]
    if fact.trust:
        lines.append(plain(fact.trust[:1].upper() + fact.trust[1:]))
        lines.append(f"Source: {plain(fact.source)} ({plain(fact.jurisdiction)})")
    st.markdown("  \n".join(lines))


def _equipment() -> None:
    word = st.text_input(
        "Search: household, battery, sun, usable share",
        key="look_up_default",
    )
    found = find_defaults(word)
    st.markdown(
        f"**{plural(len(found), 'value')}.** Each is used only where the list leaves a "
        "cell blank, and is then shown as assumed. Read the rating plate instead."
    )
    if len(found) > _MOST_CARDS:
        grid(defaults_frame(found), key="look_up_defaults")
    elif found:
        table(defaults_frame(found))


page()
