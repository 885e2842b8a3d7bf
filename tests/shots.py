"""Screenshot every page of the app, wide and phone width, into ./shots/.

Run ``python -m tests.shots`` (or with the path of a workbook).  It starts the
app by itself on a free port, opens the workbook, plans once, and walks the
pages in each width.
"""

import sys
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from tests.browser_app import CHROMIUM, FLAGS, PAGES, Served, go_to, make_plan, settled

ROOT = Path(__file__).parents[1]
OUT = ROOT / "shots"
SAMPLE = ROOT / "sample_data" / "hall_in_heat.xlsx"
SIZES = {"wide": (1366, 800), "phone": (390, 844)}
TALLEST = 14000


def shoot(workbook: Path) -> None:
    """Walk the pages once a width and save a picture of each."""
    OUT.mkdir(exist_ok=True)
    with Served(workbook) as app, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        page = browser.new_page(viewport={"width": 1366, "height": 800})
        page.goto(app.url)
        settled(page)
        make_plan(page)
        for size, (width, height) in SIZES.items():
            page.set_viewport_size({"width": width, "height": height})
            for number, title in enumerate(PAGES):
                go_to(page, title, phone=size == "phone")
                save(page, OUT / f"{workbook.stem}-{number:02d}-{size}.png", width)
                page.set_viewport_size({"width": width, "height": height})
        browser.close()


def save(page: Page, file: Path, width: int) -> None:
    """Make the window as tall as the page, so that one picture holds it all."""
    tall = page.evaluate(
        "document.querySelector('[data-testid=stMainBlockContainer]').scrollHeight"
    )
    page.set_viewport_size({"width": width, "height": min(int(tall) + 80, TALLEST)})
    page.wait_for_timeout(1200)
    page.screenshot(path=str(file))


if __name__ == "__main__":
    shoot(Path(sys.argv[1]) if len(sys.argv) > 1 else SAMPLE)
