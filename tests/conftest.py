"""What many tests share: a data folder of their own, a browser, the app in it.

No test may touch the work that somebody saved on this computer.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, sync_playwright

from planner.store import FOLDER_VARIABLE, Saved
from tests.browser_app import CHROMIUM, FLAGS, STILL, WIDE, Served, scarce_work


@pytest.fixture(autouse=True)
def data_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of its own for the working file of each test."""
    folder = tmp_path / "data"
    monkeypatch.setenv(FOLDER_VARIABLE, str(folder))
    return folder


@pytest.fixture(scope="session")
def app() -> Iterator[Served]:
    """The app, served on this machine, once for all tests in a browser."""
    with Served() as served:
        yield served


@pytest.fixture(scope="session")
def planned() -> Saved:
    """Work with a plan, for tests of what comes after planning."""
    return scarce_work()


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """A browser without a window."""
    with sync_playwright() as play:
        opened = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield opened
        opened.close()


@pytest.fixture(scope="module")
def _window(browser: Browser) -> Iterator[BrowserContext]:
    """One window for a file of tests: it fetches the scripts of the app once."""
    made = browser.new_context(viewport=WIDE, reduced_motion="reduce")
    made.add_init_script(f"""addEventListener('DOMContentLoaded', () => {{
        const still = document.createElement('style');
        still.textContent = '{STILL}';
        document.head.append(still);
    }});""")
    yield made
    made.close()


@pytest.fixture
def context(_window: BrowserContext, app: Served) -> Iterator[BrowserContext]:
    """A window without tabs that remembers nothing, on an app with nothing saved."""
    app.forget()
    yield _window
    for tab in _window.pages:
        tab.evaluate("() => { localStorage.clear(); sessionStorage.clear(); }")
        tab.close()
    _window.clear_cookies()
