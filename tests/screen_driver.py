"""Drive the app without a browser: open a page, press, read what is shown."""

from datetime import datetime
from pathlib import Path

import pandas as pd
from streamlit.testing.v1 import AppTest

from planner.output.power_views import batteries_in_use
from planner.screens.contents import TITLES
from planner.screens.state import Work
from tests import workbook_maker

ROOT = Path(__file__).parents[1]
SAMPLES = ROOT / "sample_data"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
PAGES = tuple(TITLES)

SCARCE = {
    "Intake": """
Resident | Place | Item | Quantity | Volume each (L) | Keep from (C) | Keep to (C) | Never freeze | Warm hours | Warm max (C) | Notes
Ada Sentinelname | Hall | insulin glargine pens | 3 | 0.4 | 2 | 8 | yes | 672 | 30 |
Bo Sentinelname | Hall | TPN bags | 3 | 3 | 2 | 8 | yes | 24 | 25 |
Cy Sentinelname | Hall | breast milk fresh | 6 | 0.25 | | | | 4 | 25 |
Di Sentinelname | Hall | see note | | | | | | | |
""",
    "Cold units": """
Unit | Place | Type | Gross volume (L) | Usable share | Set points (C) | Swing (C) | Running W | Rated Wh/day | Rated ambient (C) | Rated inside (C) | Supply | Status | Lender | Ready in (h)
Little fridge | Hall | compressor | 12 | 0.7 | 4 | 1.5 | 40 | 240 | 25 | 5 | 12V | here | |
Lent fridge | Hall | compressor | 40 | 0.7 | 2; 4 | 1.5 | 40 | 240 | 25 | 5 | 12V | can borrow | Lender A | 0
""",
    "Batteries": """
Battery | Place | Capacity (Wh) | Chemistry | Charge now (%) | Usable share | Max out (W) | 12V ports | AC outlets | AC idle (W) | Max charge (W) | Solar input max (W) | Movable
Pack one | Hall | 2000 | LFP | 100% | 0.9 | 300 | 2 | 0 | 0 | 200 | 100 | yes
""",
    "Conditions": """
Setting | Place | Value
Start | | d:2025-10-13 08:00
Window (h) | | 24
Room temperature (C) | | 27
Peak sun hours | | 4
Sun case | | none
Swap times | | none
""",
}
"""A small site in which one fridge is too small and a second is on offer."""


def scarce_book() -> bytes:
    """Workbook of the small scarce site."""
    return workbook_maker.book(SCARCE)


def page_path(name: str) -> str:
    return f"planner/screens/pages/{name}.py"


def app() -> AppTest:
    """The app, opened for the first time."""
    return sound(AppTest.from_file(str(ROOT / "app.py"), default_timeout=120).run())


def go(at: AppTest, name: str) -> AppTest:
    """Open a page, and on it what is drawn only when it is opened."""
    at = sound(at.switch_page(page_path(name)).run())
    if name == "power" and work(at).plan is not None:
        for number, _ in enumerate(batteries_in_use(work(at).plan)[0]):
            at.session_state[f"numbers_{number}"] = True
        at = sound(at.run())
    if name == "bring_list" and work(at).scenario is not None:
        at.session_state["read_back"] = True
        at = sound(at.run())
    return at


def press(at: AppTest, key: str) -> AppTest:
    """Press a button."""
    return sound(at.button(key=key).click().run())


def upload(at: AppTest, data: bytes, name: str = "list.xlsx", key: str = "upload_list"):
    """Bring in a file."""
    uploader = at.file_uploader(key=f"{key}_{work(at).opened}")
    return sound(uploader.set_value((name, data, XLSX)).run())


def sound(at: AppTest) -> AppTest:
    """First of all: nothing was raised."""
    assert not at.exception, [one.message for one in at.exception]
    return at


def with_work(**fields: object) -> AppTest:
    """The app in a session that has work done already."""
    at = AppTest.from_file(str(ROOT / "app.py"), default_timeout=120)
    at.session_state["work"] = Work(asked_for_sample=True, **fields)
    return sound(at.run())


def work(at: AppTest) -> Work:
    found: Work = at.session_state["work"]
    return found


def ending(at: AppTest) -> str:
    """End of the keys of the fields of the page that is open."""
    return f"{work(at).version}_{work(at).typing.visit}"


def unescaped(text: str) -> str:
    """A markdown text as it is read on the page."""
    return text.replace("\\", "").replace("\u2060", "")


def shown(at: AppTest) -> str:
    """All text of the page, side included, as a person reads it."""
    texts: list[str] = []
    for kind in (
        "title", "header", "subheader", "markdown", "caption", "text", "code",
        "error", "warning", "info", "success",
    ):  # fmt: skip
        texts += [unescaped(str(one.value)) for one in at.get(kind)]
    texts += [unescaped(one.label) for one in at.expander]
    texts += [unescaped(one.label) for one in at.button]
    for table in (*at.table, *at.dataframe):
        frame: pd.DataFrame = table.value
        texts += [unescaped(str(one)) for one in frame.columns]
        texts += [unescaped(str(one)) for one in frame.to_numpy().ravel()]
    return "\n".join(texts)


NOW = datetime(2025, 10, 13, 7, 12)
