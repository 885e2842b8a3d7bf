"""The app's router: which page is open, and the frame around every page."""

import streamlit as st

from planner.screens.changes import collect, open_first_sample
from planner.screens.choices import begin_manner
from planner.screens.contents import CONTENTS, FIRST, path_of, title_of
from planner.screens.drafting import open_page, show_waiting_pages
from planner.screens.frame import show_frame
from planner.screens.keeping import begin, look_around
from planner.screens.say import say
from planner.screens.state import work
from planner.screens.warming import warm_up

first_run = not work().begun
if first_run:
    begin_manner(work())
st.set_page_config(page_title=say("at.app.name"), layout="wide")
begin(work())
collect(work())
open_first_sample(look_around(work()))
page = st.navigation(
    {
        title_of(heading): [
            st.Page(path_of(name), title=title_of(name), default=name == FIRST)
            for name in pages
        ]
        for heading, pages in CONTENTS.items()
    },
    expanded=True,
)
if first_run and work().plan is not None and not page.url_path:
    st.switch_page(path_of("status"))
open_page(work(), page.url_path)
waiting = show_frame(work())
warm_up()
with waiting:
    show_waiting_pages(work())
page.run()
with waiting:  # what was typed just now waits too
    show_waiting_pages(work())
