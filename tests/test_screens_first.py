"""The first screen comes soon: what is slow to load waits until it is needed."""

import subprocess
import sys
from importlib import import_module

from planner.screens import warming
from tests.screen_driver import ROOT

HEAVY = (
    "highspy",
    "numba",
    "numpy",
    "openpyxl",
    "pandas",
    "pulp",
    "pvlib",
    "pyarrow",
    "reportlab",
)
SCRIPT = f"""
import sys
from streamlit.testing.v1 import AppTest
from planner.screens import warming
warming.warm_up = lambda: None  # what is loaded afterwards is not asked for here
at = AppTest.from_file("app.py", default_timeout=60).run()
assert not at.exception, at.exception
assert at.title[0].value, "there is a heading"
print("loaded:", *(one for one in {HEAVY!r} if one in sys.modules))
"""


def test_what_is_loaded_behind_the_first_screen_is_there_and_asked_for_once():
    for name in warming._LATER:
        assert import_module(name)
    assert warming.warm_up() is warming.warm_up()


def test_the_first_screen_loads_no_solver_and_no_table_library(data_folder):
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT], cwd=ROOT, capture_output=True, text=True,
        check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert done.stdout.split() == ["loaded:"]
