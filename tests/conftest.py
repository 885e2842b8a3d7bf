"""What many tests share: a data folder of their own, a browser, the app in it.

No test may touch the work that somebody saved on this computer.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, sync_playwright

from planner.store.place import FOLDER_VARIABLE
from tests.browser_app import CHROMIUM, FLAGS, Served


@pytest.fixture(autouse=True)
def data_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of its own for the working file of each test."""
    folder = tmp_path / "data"
    monkeypatch.setenv(FOLDER_VARIABLE, str(folder))
    return folder


@pytest.fixture(scope="module")
def app() -> Iterator[Served]:
    """The app, served on this machine."""
    with Served() as served:
        yield served


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """A browser without a window."""
    with sync_playwright() as play:
        opened = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield opened
        opened.close()


@pytest.fixture
def context(browser: Browser, app: Served) -> Iterator[BrowserContext]:
    """A browser that has never been here, on an app with nothing saved."""
    app.forget()
    made = browser.new_context(viewport={"width": 1280, "height": 900})
    yield made
    made.close()
