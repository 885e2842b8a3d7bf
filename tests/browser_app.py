"""The app served for a browser: start it, walk its pages, end it."""

import math
import os
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from pathlib import Path
from types import TracebackType

import pytest
from playwright.sync_api import BrowserContext, Page, ViewportSize

from planner import pipeline
from planner.screens.contents import TITLES
from planner.store import FOLDER_VARIABLE, Saved, save
from tests.screen_driver import NOW, scarce_book

ROOT = Path(__file__).parents[1]
CHROMIUM = "/usr/bin/chromium"
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
PAGES = tuple(TITLES.values())
WIDE: ViewportSize = {"width": 1280, "height": 900}
"""Size of a window as most tests have it, in pixels."""
LIST_NAME = "list.xlsx"
STILL = "* { transition: none !important; animation: none !important; }"
"""Style of a page on which nothing slides or fades: nobody waits for it."""
PHONE: ViewportSize = {"width": 390, "height": 844}
NEEDS_CHROMIUM = pytest.mark.skipif(
    not Path(CHROMIUM).exists(), reason=f"no browser at {CHROMIUM}"
)
IN_A_BROWSER = [pytest.mark.browser, NEEDS_CHROMIUM]
"""Marks of a file of tests that want a browser."""
_START_S = 60
_QUIET_MS = 250
_AT_REST = """async ([quiet, limit]) => {
    const began = performance.now();
    let moved = began;
    const watch = new MutationObserver(() => { moved = performance.now(); });
    watch.observe(document.body, {
        subtree: true, childList: true, characterData: true,
    });
    try {
        while (performance.now() - began < limit) {
            await new Promise(go => setTimeout(go, 20));
            const app = document.querySelector('[data-testid=stApp]');
            const idle = app
                && app.getAttribute('data-test-script-state') === 'notRunning'
                && app.getAttribute('data-test-connection-state') === 'CONNECTED'
                && document.querySelector('h1')
                && !document.querySelector('[data-testid^=stSkeleton]');
            const now = performance.now();
            if (!idle) moved = now;
            if (now - moved >= quiet) return true;
        }
        return false;
    } finally {
        watch.disconnect();
    }
}"""


class Served:
    """The app on a free port of this computer, ended on leaving."""

    def __init__(self, sample: Path | None = None) -> None:
        self._data = tempfile.TemporaryDirectory()
        with socket.socket() as free:
            free.bind(("localhost", 0))
            port = free.getsockname()[1]
        self.url = f"http://localhost:{port}"
        environment = {
            **os.environ,
            "PLANNER_SAMPLE": str(sample) if sample else "",
            FOLDER_VARIABLE: self._data.name,
        }
        command = [
            sys.executable, "-m", "streamlit", "run", str(ROOT / "app.py"),
            "--server.port", str(port), "--server.showEmailPrompt", "false",
        ]  # fmt: skip
        self._process = subprocess.Popen(
            command,
            cwd=ROOT,
            env=environment,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )

    @property
    def cpu_s(self) -> float:
        """Processor seconds that the app took so far; not a number where not told."""
        try:
            told = Path(f"/proc/{self._process.pid}/stat").read_text()
        except OSError:
            return math.nan
        user, system = told.rsplit(")", 1)[1].split()[11:13]
        return (int(user) + int(system)) / os.sysconf("SC_CLK_TCK")

    @property
    def work_file(self) -> Path:
        """Where the app that is served keeps its work."""
        return Path(self._data.name) / "work.sqlite"

    def forget(self) -> None:
        """Delete what was saved, so that the next window starts with nothing."""
        for file in Path(self._data.name).iterdir():
            file.unlink()

    def keeps(self, saved: Saved) -> None:
        """Lay work into the file, so that the next window opens with it."""
        save(self.work_file, saved, what="Laid here", mark=None, now=NOW)

    def __enter__(self) -> "Served":
        ends = time.monotonic() + _START_S
        while time.monotonic() < ends:
            try:
                with urllib.request.urlopen(f"{self.url}/_stcore/health"):
                    return self
            except OSError:
                time.sleep(0.05)
        self._process.terminate()
        msg = "the app did not start"
        raise RuntimeError(msg)

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._process.terminate()
        self._process.wait(10)
        self._data.cleanup()


def scarce_work() -> Saved:
    """The small scarce site with its plan and loans, as the app keeps them."""
    data = scarce_book()
    reading = pipeline.read_files(LIST_NAME, data, now=NOW)
    assert reading.scenario is not None
    plan = pipeline.make_plan(reading.scenario, borrow=True)
    return Saved(list_name=LIST_NAME, list_bytes=data, read_at=NOW, plan=plan)


def settled(page: Page, limit_s: float = 240) -> None:
    """Wait until the app has drawn all it has to draw.

    A press is under way before the call of the browser comes back, so it is
    enough that nothing runs, that no grey block stands where a part of the page
    is still to be loaded, and that nothing on the page changes for a while.
    """
    page.wait_for_selector("h1", timeout=limit_s * 1000)
    rested = page.evaluate(_AT_REST, [_QUIET_MS, limit_s * 1000])
    assert rested, f"the page was not at rest within {limit_s:g} s"


def go_to(page: Page, title: str, *, phone: bool = False) -> None:
    """Follow a page's link at the side; on a phone the side is opened first."""
    link = page.get_by_test_id("stSidebarNavLink").filter(has_text=title)
    opener = page.get_by_test_id("stExpandSidebarButton")
    if phone and opener.is_visible():
        opener.click()
        opener.wait_for(state="hidden")
    link.first.click()
    settled(page)
    if phone and not opener.is_visible():
        page.get_by_test_id("stSidebarCollapseButton").locator("button").click()
        opener.wait_for()


def make_plan(page: Page, *, phone: bool = False, limit_s: float = 400) -> None:
    """Ask for a plan on its page and wait until it is there."""
    go_to(page, TITLES["plan"], phone=phone)
    page.get_by_role("button", name="Make the plan").click()
    page.get_by_text("Who is short?").first.wait_for(timeout=limit_s * 1000)
    planned_to_the_end(page, limit_s)


def planned_to_the_end(page: Page, limit_s: float = 240) -> None:
    """Wait for the loans too: the plan is there before they are."""
    stop = page.get_by_role("button", name="Stop planning")
    stop.wait_for(state="detached", timeout=limit_s * 1000)
    settled(page)


def tab(context: BrowserContext, app: Served, size: ViewportSize | None = None) -> Page:
    """Open the app in a new tab."""
    page = context.new_page()
    if size is not None:
        page.set_viewport_size(size)
    page.goto(app.url)
    settled(page)
    return page


def opened_with(context: BrowserContext, app: Served, saved: Saved) -> Page:
    """Open the app where this work was saved before."""
    app.keeps(saved)
    return tab(context, app)


def reload(page: Page) -> None:
    """Load the page again, as a person would."""
    page.reload()
    settled(page)
