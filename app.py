"""The app's router: which page is open, and the frame around every page."""

import streamlit as st

from planner.screens.changes import collect, open_first_sample
from planner.screens.contents import CONTENTS, FIRST, path_of
from planner.screens.frame import show_frame
from planner.screens.keeping import begin, look_around
from planner.screens.state import work

st.set_page_config(page_title="Cold storage planner", layout="wide")

first_run = not work().begun
begin(work())
collect(work())
open_first_sample(look_around(work()))
page = st.navigation(
    {
        heading: [
            st.Page(path_of(name), title=title, default=name == FIRST)
            for name, title in pages
        ]
        for heading, pages in CONTENTS.items()
    },
    expanded=True,
)
if first_run and work().plan is not None and not page.url_path:
    st.switch_page(path_of("status"))
show_frame(work())
page.run()
