"""The app's router: which page is open, and the frame around every page."""

import streamlit as st

from planner.screens.frame import show_frame
from planner.screens.state import open_first_sample, work

st.set_page_config(page_title="Cold storage planner", layout="wide")

PAGES = {
    "In": (
        ("bring_list.py", "1 Bring in the list"),
        ("have.py", "2 What we have"),
        ("conditions.py", "3 Conditions"),
    ),
    "Out": (
        ("plan.py", "4 The plan"),
        ("power.py", "5 Power by the hour"),
        ("short.py", "6 Who is short"),
        ("borrow.py", "7 Borrow first"),
        ("take.py", "8 Take it with you"),
        ("what_if.py", "9 What if"),
    ),
}

open_first_sample(work())
page = st.navigation(
    {
        heading: [
            st.Page(f"planner/screens/pages/{file}", title=title)
            for file, title in pages
        ]
        for heading, pages in PAGES.items()
    },
    expanded=True,
)
show_frame(work())
page.run()
